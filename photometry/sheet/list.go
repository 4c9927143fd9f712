package sheet

import (
	"cmp"
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/schema"
	"evenfall/photometry/table"
)

// list reads a part as a list: a header of some rows from one on, none where there are
// no rows of it, and a row a place below.
type list struct {
	*draft
	m        *matrix
	header   int // first row of it
	below    int // first row below it
	headings []heading
	units    int // column of units beside the levels, -1 for none
	days     int // column of days, -1 for none

	labels  []int // columns that together name the place
	levels  []int
	x, y    int
	row     int // columns of rows and columns of places, -1 for none
	column  int
	others  []int
	remarks []int // columns of them, which become one
	tenths  int   // column of the tenths of a stop beside f-numbers, -1 for none

	contents []content    // of the columns
	group    table.Cell   // what the places below it have in common
	day      string       // on which the rows below it were read, or in which state of the light
	filled   []table.Cell // the last names of columns that are filled in once
	records  []int        // rows of readings

	typed, computed int  // levels
	last            int  // row of the last reading that is no summary
	again           bool // names of places come again
}

func readList(m *matrix, header, below int) *draft {
	l := &list{draft: &draft{in: m.answers.in, how: "list", times: 1, sign: m.sign, numbers: m.allNumbers()}, m: m, header: header, below: below, units: -1, days: -1, x: -1, y: -1, row: -1, column: -1, tenths: -1}
	if below > header {
		l.headerLine = m.line(header)
	}
	if !l.isHeader() {
		return nil
	}
	l.readHeader()
	if !l.assign() {
		return nil
	}
	for r := range header {
		l.above(m, r)
	}
	l.readRows()
	if len(l.readings) < 2 {
		return nil
	}
	l.settle()
	return l.draft
}

// isHeader reports whether the rows of the header can be one: without readings, and in
// two rows only where one completes the other.
func (l *list) isHeader() bool {
	for r := l.header; r < l.below; r++ {
		for c, v := range l.m.values[r] {
			if v.isReading() && (v.kind != number || v.unit != photometry.NoUnit || v.number > 20 || v.number != math.Trunc(v.number) || l.m.width < 3 || c == 0) {
				return false
			}
		}
	}
	if l.below > l.header && len(l.m.filled(l.header)) < 2 && l.m.width > 1 {
		return false
	}
	if l.below-l.header < 2 {
		return true
	}
	alone, units, both := 0, 0, 0
	for c := range l.m.width {
		upper, lower := l.m.text(l.header, c), l.m.text(l.header+1, c)
		u, _ := unitOf(strings.Trim(lower, "()[] "))
		_, length := table.LengthFactor(strings.Trim(lower, "()[] "))
		switch {
		case upper != "" && lower == "":
			alone++
		case u != photometry.NoUnit || length:
			units++
		case upper != "" && lower != "":
			both++
		}
	}
	return len(l.m.filled(l.header)) > 1 && both <= 1 && alone+units > 0 && l.m.notesOf(l.header) == nil
}

// readHeader joins the rows of the header; a cell above several goes with each of them.
func (l *list) readHeader() {
	l.headings = make([]heading, l.m.width)
	upper := ""
	for c := range l.headings {
		text := ""
		for r := l.header; r < l.below; r++ {
			part := l.m.text(r, c)
			if r == l.header && l.below-l.header > 1 {
				if part != "" {
					upper = part
				} else if l.m.text(r+1, c) != "" {
					part = upper
				}
			}
			text = strings.TrimSpace(text + " " + part)
		}
		l.headings[c] = l.m.heading(text)
	}
	l.forgetLetters()
	l.findNumbered()
}

// forgetLetters: a letter among others, A to E or L, C, R, is no name of a column.
func (l *list) forgetLetters() {
	letter := func(h heading) bool { return len(h.text) == 1 }
	if !slices.ContainsFunc(l.headings, func(h heading) bool { return letter(h) && !h.known() }) {
		return
	}
	for c, h := range l.headings {
		if letter(h) && h.role == levelRole {
			l.headings[c] = heading{text: h.text, times: 1}
		}
	}
}

// numbered is the name of a column with a number: E1, lux 2 (cloth).
var numbered = regexp.MustCompile(`^(\pL[^\d(]*?)[ .#_-]*\d{1,2}\b(.*)$`)

// findNumbered makes columns of one name that differ in its number, E1, E2, E3, repeats of
// a level, where the rows are places.
func (l *list) findNumbered() {
	if !l.namesPlaces() {
		return
	}
	of := map[string][]int{}
	var names []string
	for c, h := range l.headings {
		m := numbered.FindStringSubmatch(h.text)
		if m == nil || h.role != noRole && h.role != levelRole || isState(m[1]) || isRowName(m[1]) || hasLamp(m[1]) {
			continue
		}
		names = append(names, h.text)
		of[table.Fold(m[1]+"|"+m[2])] = append(of[table.Fold(m[1]+"|"+m[2])], c)
	}
	if arePlaces(names) {
		return
	}
	for _, columns := range of {
		for _, c := range columns {
			h := &l.headings[c]
			if len(columns) < 2 || slices.ContainsFunc(columns, func(k int) bool { return k != c && l.headings[k].text == h.text }) {
				break
			}
			h.role, h.ordinal, h.rest = levelRole, true, ""
			if m := numbered.FindStringSubmatch(h.text); h.unit == photometry.NoUnit && len(m[1]) > 1 {
				h.unit, h.times = unitIn(m[1] + " " + m[2])
			}
		}
	}
}

// namesPlaces reports whether the first column has places: by its name, or since each of
// its texts is one by itself.
func (l *list) namesPlaces() bool {
	if l.headings[0].role == labelRole {
		return true
	}
	var names []string
	for r := l.below; r < l.m.height(); r++ {
		if text := l.m.text(r, 0); text != "" && !isSummary(schema.Words(text)) {
			names = append(names, text)
		}
	}
	return arePlaces(names)
}

// content counts what a column has below the header.
type content struct {
	numbers, words, filled, unitCells, unitNames, lengths, running int
	last                                                           float64
}

// addWord counts a text without a number, and the name of a unit as far as the column may
// be one of units.
func (n *content) addWord(text string) {
	if n.words++; n.words-n.unitNames > 3 {
		return
	}
	if u, _ := unitOf(text); u != photometry.NoUnit {
		n.unitNames++
	}
}

func (l *list) countContent(c int) (n content) {
	for r := l.below; r < l.m.height(); r++ {
		text, v := l.m.text(r, c), l.m.values[r][c]
		if text == "" {
			continue
		}
		n.filled++
		switch {
		case v.isReading() || v.kind == unread:
			if v.kind == number {
				n.numbers++
				if v.number == n.last+1 {
					n.running++
				}
				n.last = v.number
			}
			if v.unit != photometry.NoUnit && v.unit != photometry.Percent {
				n.unitCells++
			}
			if finite(v.length) {
				n.lengths++
			}
		default:
			n.addWord(text)
		}
	}
	return n
}

// assign finds what each column is for; false where there is no column of levels.
func (l *list) assign() bool {
	l.contents = make([]content, l.m.width)
	l.pairAxes()
	var bare, texts []int
	again := false                   // a position twice
	counting, others := false, false // levels that are no more than counted, other numbers
	for c := range l.headings {
		l.contents[c] = l.countContent(c)
		h, n := &l.headings[c], l.contents[c]
		switch {
		case n.filled == 0:
			h.role = noRole
		case h.role == levelRole && n.numbers == 0 && n.unitNames == 0 && n.unitCells == 0 && h.light == "":
			h.role = noRole
		case n.unitNames > 0 && n.unitNames >= n.words-2 && n.numbers == 0:
			l.units, h.role = c, asideRole
		case h.role == noRole && n.unitCells > n.filled/2:
			h.role, h.guessed = levelRole, true
		case h.role == noRole && n.lengths > n.filled/2 && l.in == schema.SeriesFile:
			h.role, h.column = otherRole, schema.Distance
		}
		others = others || h.role <= columnRole && n.numbers > n.words && !n.counts()
		switch h.role {
		case levelRole:
			l.levels = append(l.levels, c)
			counting = counting || n.counts()
		case labelRole:
			l.labels = append(l.labels, c)
		case xRole:
			again = again || l.x >= 0
			l.x = c
		case yRole:
			again = again || l.y >= 0
			l.y = c
		case rowRole:
			l.row = c
		case columnRole:
			l.column = c
		case otherRole:
			if h.column == schema.Comment {
				if l.remarks = append(l.remarks, c); len(l.remarks) > 1 {
					h.role = asideRole // it goes with the first
					break
				}
			}
			l.others = append(l.others, c)
		case noRole:
			if n.numbers > n.words {
				bare = append(bare, c)
			} else if n.words > 0 {
				texts = append(texts, c)
			}
		}
	}
	l.findDays()
	l.findTenths()
	l.takeBare(bare)
	l.takeNames(texts)
	l.askDistances()
	l.dropLonePosition()
	return len(l.levels) > 0 && !again && !(counting && others)
}

// pairAxes makes two columns of numbers that positions of either axis are named for, as
// across and up, those of positions, where no others are.
func (l *list) pairAxes() {
	at := map[role][]int{}
	for c, h := range l.headings {
		if h.role == xRole || h.role == yRole {
			return
		}
		if axis := axisOf(h.text); axis != noRole {
			at[axis] = append(at[axis], c)
		}
	}
	if l.in != schema.SurveyFile || len(at[xRole]) != 1 || len(at[yRole]) != 1 {
		return
	}
	for _, axis := range []role{xRole, yRole} {
		numbers, filled := 0, 0
		for r := l.below; r < l.m.height(); r++ {
			if text := l.m.text(r, at[axis][0]); text != "" {
				filled++
				if _, err := l.dialect().Length(text, "m"); err == nil {
					numbers++
				}
			}
		}
		if 2*numbers <= filled {
			return
		}
	}
	for _, axis := range []role{xRole, yRole} {
		h := &l.headings[at[axis][0]]
		h.role, h.column, h.unit = axis, nil, photometry.NoUnit
	}
}

// dialect is how the numbers of the part are written.
func (l *list) dialect() table.Dialect { return table.Dialect{Decimal: l.m.sign} }

// position is a cell of a position, counted from camera left or up from below: where it is
// not, the size of the surface has to be known.
func (l *list) position(r, c int) table.Cell {
	cell := l.m.cells[r][c].Cell
	h := l.headings[c]
	if !h.flipped {
		return cell
	}
	of, words := schema.Width, "across from camera left"
	if h.role == yRole {
		of, words = schema.Height, "up from below"
	}
	said := cmp.Or(schema.Text(schema.SurveyFile, l.m.answers.notes, of), schema.Text(schema.SurveyFile, l.notes, of))
	size, err := l.dialect().Length(said, cmp.Or(l.m.answers.lengthUnit, "m"))
	if err != nil {
		l.ask(Question{Code: "length", Line: l.headerLine, Text: fmt.Sprintf("%s counts from the other side: a note above the table, such as “# %s: 2.4 m”, has the size of the surface; or write the lengths %s",
			quote(h.text), of.Name, words)})
		return cell
	}
	length, err := l.dialect().Length(cell.Text, cmp.Or(l.m.answers.lengthUnit, h.length, "m"))
	if err != nil {
		return cell // whoever reads the plain form says what is wrong
	}
	cell.Text = figureText(math.Round((size-length)*1e6)/1e6, l.m.sign) + " m"
	return cell
}

// counts reports whether a column has running numbers alone.
func (n content) counts() bool {
	return n.numbers > 2 && n.running >= n.numbers-1 && n.numbers == n.filled
}

// takeBare makes columns of numbers without a known name levels, where no column has
// the name of one, but for running numbers.
func (l *list) takeBare(bare []int) {
	switch {
	case len(l.levels) > 0:
		if len(bare) > 0 && len(l.labels) == 0 && bare[0] < l.levels[0] && l.contents[bare[0]].counts() {
			l.headings[bare[0]].role = indexRole
		}
		for _, c := range bare {
			if l.in == schema.SurveyFile && IsLampAlone(l.headings[c].text) {
				l.headings[c].role, l.headings[c].guessed = levelRole, true
				l.levels = append(l.levels, c)
			}
		}
		return
	case len(bare) > 2 && l.below == l.header:
		return // without any header it is a grid
	}
	for _, c := range bare {
		if n := l.contents[c]; len(bare) > 1 && c == bare[0] && n.counts() && !l.headings[c].ordinal {
			l.headings[c].role = indexRole
			continue
		}
		l.headings[c].role, l.headings[c].guessed = levelRole, true
		l.levels = append(l.levels, c)
		if l.headings[c].percent {
			l.headings[c].unit = photometry.Percent
		}
	}
}

// takeNames makes the first column of texts, or of running numbers, that of the names
// of places, and one before it that is filled in once for several what they have in common.
func (l *list) takeNames(texts []int) {
	if len(l.labels) == 0 && len(l.levels) > 0 {
		for _, c := range texts {
			if c < l.levels[0] && len(l.labels) < 2 {
				l.labels = append(l.labels, c)
				l.headings[c].role, l.headings[c].guessed = labelRole, true
			}
		}
	} else if len(l.labels) == 1 && l.row < 0 {
		for _, c := range texts {
			if c < l.labels[0] && l.sidesIn(c) && l.contents[c].filled > 0 {
				l.labels = append([]int{c}, l.labels...)
				l.headings[c].role, l.headings[c].guessed = labelRole, true
			}
		}
	}
	if l.row >= 0 && l.column < 0 && len(l.labels) == 1 {
		l.labels = []int{l.row, l.labels[0]}
		l.row = -1
	}
	if len(l.labels) == 0 && (l.row < 0) != (l.column < 0) {
		l.labels, l.row, l.column = []int{max(l.row, l.column)}, -1, -1
	}
	for c, h := range l.headings {
		if h.role == indexRole && len(l.labels) == 0 && l.row < 0 {
			l.labels = []int{c}
		}
	}
}

// askDistances asks where levels stand beside distances from a light, and no places.
func (l *list) askDistances() {
	named := func(c int) bool { return l.headings[c].role == labelRole }
	if l.in != schema.SurveyFile || l.below == l.header || l.m.swapped || len(l.levels) == 0 || slices.ContainsFunc(l.labels, named) || l.x >= 0 && l.y >= 0 || l.row >= 0 {
		return
	}
	for c, h := range l.headings {
		if of, _ := schema.Find(schema.SeriesFile, h.text); of == schema.Distance && l.contents[c].numbers > 1 && !l.headings[l.levels[0]].guessed {
			l.ask(Question{Code: "table", Line: l.headerLine, Text: quote(h.text) + " has distances from a light, not places on a surface: name that column “place” if each is one", Command: "distance"})
		}
	}
}

// sidesIn reports whether the texts of a column are sides of places.
func (l *list) sidesIn(c int) bool {
	n := 0
	for r := l.below; r < l.m.height(); r++ {
		if text := l.m.text(r, c); text != "" {
			if _, ok := wordSides(text); !ok && !isRowName(text) {
				return false
			}
			n++
		}
	}
	return n > 0
}

// dropLonePosition leaves out a position across without one up, or the other way around.
func (l *list) dropLonePosition() {
	if (l.x < 0) != (l.y < 0) {
		c := max(l.x, l.y)
		l.headings[c].role, l.x, l.y = asideRole, -1, -1
		if len(l.labels) == 0 && l.row < 0 {
			l.labels = []int{c}
			l.headings[c].role = labelRole
		}
	}
	if l.row >= 0 && l.column < 0 || l.row < 0 && l.column >= 0 {
		l.row, l.column = -1, -1
	}
}

// above takes a row above the table: a known note, or left out. Numbers in it, and names
// of columns, count against the table.
func (d *draft) above(m *matrix, r int) {
	if !d.takeAside(m, r) {
		d.score -= float64(m.numbers(r)) / 4
	}
	known := 0
	for _, c := range m.filled(r) {
		if h := readHeading(m.text(r, c)); h.known() && h.role != summaryRole {
			known++
		}
	}
	if known > 1 {
		d.score -= 3
	}
}

// takeAside takes a row that is no reading: a known note, a unit, or left out.
func (d *draft) takeAside(m *matrix, r int) bool {
	filled := m.filled(r)
	if len(filled) == 0 {
		return true
	}
	if notes := m.notesOf(r); notes != nil {
		d.notes = append(d.notes, notes...)
		return true
	}
	first := m.text(r, filled[0])
	key, rest, colon := strings.Cut(first, ":")
	if len(filled) == 2 && strings.TrimSpace(rest) == "" {
		rest = m.text(r, filled[1])
	}
	if colon {
		first = key
	} else if !m.headerLike(r) {
		for _, c := range filled[1:] {
			if m.values[r][c].kind == words {
				first += ", " + m.text(r, c)
			}
		}
	}
	d.leave(first, m.line(r))
	d.left[len(d.left)-1].unit = parse(table.RawCell{Cell: table.Cell{Text: rest}}, m.sign).unit
	return m.numbers(r) == 0
}

// isSetting reports whether a word and what follows it are a date or a setting of the
// camera, as in "ISO 400": other notes need a colon or a cell of their own.
func isSetting(word, value string) bool {
	at := []table.Note{{Key: word, Value: value}}
	is := func(n schema.Declared) bool { return schema.Text(schema.SurveyFile, at, n) != "" }
	return value != "" && value[0] >= '0' && value[0] <= '9' && (is(schema.ISO) || is(schema.Shutter) || is(schema.Date))
}

// isShortDate reports whether a note is a date with a year of two digits: it is a note all
// the same, which whoever takes the notes refuses. In a column such dates tell days apart,
// and it is asked which one is meant.
func (m *matrix) isShortDate(key, value string) bool {
	return schema.HasShortYear(value) && schema.Text(m.answers.in, []table.Note{{Key: key, Value: value}}, schema.Date) != ""
}

// notesOf are the notes that a row has and nothing else, nil where it has more: cells such
// as "ISO: 400" or "ISO 400", or two cells a note, "ISO" and "400".
func (m *matrix) notesOf(r int) (notes []table.Note) {
	filled := m.filled(r)
	for i := 0; i < len(filled); i++ {
		at := filled[i]
		key, value, colon := strings.Cut(strings.TrimLeft(m.text(r, at), "# "), ":")
		if word, rest, _ := strings.Cut(key, " "); !colon && isSetting(word, rest) {
			key, value = word, rest
		}
		if value = strings.TrimSpace(value); value == "" && i+1 < len(filled) && (colon || schema.KnowsHere(key)) {
			i++
			at = filled[i]
			value = m.text(r, at)
		}
		if value == "" || !schema.Holds(m.answers.in, key, value) && !m.isShortDate(key, value) {
			return nil
		}
		notes = append(notes, table.Note{Key: table.Fold(key), Value: value, Line: m.line(r), Column: m.cells[r][at].Column})
	}
	return notes
}

func isRowName(text string) bool {
	return schema.HasWord(text, schema.RowWord|schema.ColumnWord)
}

// readRows takes the rows below the header.
func (l *list) readRows() {
	l.filled = make([]table.Cell, len(l.labels))
	l.lookAhead()
	gap, ended := false, false
	for r := l.below; r < l.m.height(); r++ {
		switch {
		case l.m.blankRow(r):
			gap = true
			continue
		case ended:
			l.takeAside(l.m, r)
		case l.isSummaryRow(r), l.sumsAbove(r):
			l.leaveSummary(r)
		case l.hasReading(r) && !l.isKeyed(r):
			l.record(r)
		case l.sameAsHeader(r):
			l.leave(l.m.text(r, l.m.filled(r)[0]), l.m.line(r))
		case l.isGroup(r):
			if l.group = l.m.cells[r][l.m.filled(r)[0]].Cell; isState(l.group.Text) {
				l.day, l.group = l.group.Text, table.Cell{}
			}
		case l.isUnread(r, gap):
			l.record(r)
		case l.isBroken(r, gap):
			l.askLevel(r)
		default:
			l.takeAside(l.m, r)
			ended = gap && l.last < r
		}
		gap = false
	}
}

// hasReading reports whether a row has a level in one of its columns.
func (l *list) hasReading(r int) bool {
	for _, c := range l.levels {
		if v := l.m.values[r][c]; v.isReading() && v.unit != photometry.Percent {
			return true
		}
	}
	return false
}

// isKeyed reports whether a row below a gap is a key and its value, such as lamps: 4.
func (l *list) isKeyed(r int) bool {
	filled := l.m.filled(r)
	return len(l.labels) > 0 && len(filled) > 0 && strings.HasSuffix(l.m.text(r, filled[0]), ":")
}

func (l *list) sameAsHeader(r int) bool {
	if l.below == l.header {
		return false
	}
	for c := range l.m.width {
		if l.m.text(r, c) != l.m.text(l.header, c) {
			return false
		}
	}
	return true
}

// isGroup reports whether a row has a name alone, of what the places below it have in
// common: Top row.
func (l *list) isGroup(r int) bool {
	filled := l.m.filled(r)
	if len(filled) != 1 || len(l.labels) == 0 || filled[0] > l.labels[0] || l.last < r {
		return false
	}
	text := l.m.text(r, filled[0])
	_, sides := wordSides(text)
	return (sides || isRowName(text) || isState(text)) && l.again
}

// isUnread reports whether a row names a place at which nothing was read.
func (l *list) isUnread(r int, gap bool) bool {
	if len(l.labels) == 0 {
		return l.m.values[r][l.levels[0]].kind == unread
	}
	c := l.labels[len(l.labels)-1]
	text := l.m.text(r, c)
	if text == "" {
		return false
	}
	for _, lc := range l.levels {
		if l.m.values[r][lc].kind == unread {
			return true
		}
		if l.m.text(r, lc) != "" {
			return false
		}
	}
	return placeLike(text) && !gap
}

// isBroken reports whether a row has a level that cannot be read beside something else.
func (l *list) isBroken(r int, gap bool) bool {
	if gap || len(l.m.filled(r)) < 2 || strings.Contains(l.m.text(r, l.m.filled(r)[0]), ":") {
		return false
	}
	for _, c := range l.levels {
		if l.m.text(r, c) != "" {
			return true
		}
	}
	return false
}

// askLevel asks about the level of a row that cannot be read.
func (l *list) askLevel(r int) {
	if l.in != schema.SurveyFile {
		l.score -= 2
		l.record(r) // whoever reads the plain form says what is wrong
		return
	}
	for _, c := range l.levels {
		if text := l.m.text(r, c); text != "" {
			l.score -= 2
			l.draft.askLevel(l.m.cells[r][c].Cell, l.nameOf(r).Text)
			return
		}
	}
}

// isSummaryRow reports whether a row sums up others by its words.
func (l *list) isSummaryRow(r int) bool {
	if text := l.m.firstWords(r); text != "" {
		return isSummary(schema.Words(text))
	}
	return l.isFormulaRow(r)
}

// isFormulaRow reports whether the levels of a row are computed where those of most rows
// are not.
func (l *list) isFormulaRow(r int) bool {
	all, any := true, false
	for _, c := range l.levels {
		if l.m.text(r, c) != "" {
			any, all = true, all && l.m.cells[r][c].Formula
		}
	}
	return any && all && l.typed > l.computed
}

// lookAhead counts typed and computed levels and finds the last reading, and whether names
// of places come again.
func (l *list) lookAhead() {
	seen := map[string]bool{}
	for r := l.below; r < l.m.height(); r++ {
		for _, c := range l.levels {
			if l.m.values[r][c].kind == number {
				if l.m.cells[r][c].Formula {
					l.computed++
				} else {
					l.typed++
				}
			}
		}
	}
	for r := l.below; r < l.m.height(); r++ {
		if len(l.labels) == 0 || !l.hasReading(r) || l.isSummaryRow(r) || l.isKeyed(r) || l.nameOf(r).Text == "" {
			continue
		}
		l.last = r
		key := labelKey(l.m.text(r, l.labels[len(l.labels)-1]))
		l.again = l.again || seen[key]
		seen[key] = true
	}
}

func (l *list) leaveSummary(r int) {
	text := l.m.firstWords(r)
	if text == "" {
		text = "line " + strconv.Itoa(l.m.line(r))
	}
	l.leave(text, l.m.line(r))
	l.explained += l.m.numbers(r)
}

// nameOf is the name of the place of a row, its parts put together.
func (l *list) nameOf(r int) table.Cell {
	if l.row >= 0 && l.column >= 0 {
		return l.m.cells[r][l.row].Cell
	}
	if len(l.labels) == 0 {
		return table.Cell{}
	}
	c := l.m.cells[r][l.labels[len(l.labels)-1]].Cell
	if len(l.labels) > 1 && l.filled[0].Text != "" && c.Text != "" {
		c.Text = l.filled[0].Text + " " + c.Text
	}
	return c
}

// record takes a row as readings, one for each column of levels.
func (l *list) record(r int) {
	for k, c := range l.labels {
		if text := l.m.text(r, c); text != "" {
			l.filled[k] = l.m.cells[r][c].Cell
		}
	}
	name := l.nameOf(r)
	if l.group.Text != "" && name.Text != "" {
		name.Text = l.group.Text + " " + name.Text
	}
	rec := reading{name: name, day: l.dayOf(r)}
	if l.row >= 0 && l.column >= 0 {
		rec.name, rec.spot = l.rowAndColumn(r)
	}
	if l.x >= 0 && l.y >= 0 {
		rec.x, rec.y = l.position(r, l.x), l.position(r, l.y)
	}
	if name.Text == "" && len(l.labels) > 0 {
		rec.row = l.m.firstWords(r)
	}
	for _, c := range l.others {
		rec.others = append(rec.others, l.m.cells[r][c].Cell)
		if len(l.remarks) > 1 && c == l.remarks[0] {
			rec.others[len(rec.others)-1].Text = l.remarksOf(r)
		}
	}
	l.records = append(l.records, r)
	for _, c := range l.levels {
		rec.level, rec.value = l.levelAt(r, c)
		if l.units >= 0 {
			if u, times := unitOf(l.m.text(r, l.units)); u != photometry.NoUnit && rec.value.kind == number {
				rec.value.unit, rec.value.number = u, rec.value.number*times
			}
		}
		if rec.name.Line == 0 {
			rec.name.Line, rec.name.Column = rec.level.Line, rec.level.Column
		}
		l.readings = append(l.readings, rec)
	}
}

// tenthsHead is the name of a column of tenths of a stop.
var tenthsHead = regexp.MustCompile(`(?i)^(1/10|10ths?|tenths?|zehntel|dixi[eè]mes?|d[eé]cimos?|decimi|tienden)( (of a )?stops?)?$`)

// IsTenths reports whether a column has the tenths of a stop of f-numbers, by its name.
func IsTenths(head string) bool { return tenthsHead.MatchString(strings.Trim(head, "() .")) }

// findTenths finds the tenths of a stop that a meter shows beside its f-numbers.
func (l *list) findTenths() {
	if len(l.levels) != 1 || l.headings[l.levels[0]].unit != photometry.FStop {
		return
	}
	c := l.levels[0] + 1
	if c < len(l.headings) && IsTenths(l.headings[c].text) {
		l.headings[c].role, l.tenths = asideRole, c
	}
}

// levelAt is the level of a row, an f-number with the tenths beside it.
func (l *list) levelAt(r, c int) (table.Cell, value) {
	level := l.m.cells[r][c]
	if l.tenths < 0 || l.m.text(r, l.tenths) == "" {
		return level.Cell, l.m.values[r][c]
	}
	level.Text, level.Number = level.Text+" "+l.m.text(r, l.tenths)+"/10", false
	if v := l.m.values[r][l.tenths]; v.kind != number || v.number != math.Trunc(v.number) || v.number < 0 || v.number > 9 {
		level.Text = l.m.text(r, c) + " and " + l.m.text(r, l.tenths) + " tenths" // no level: it is asked about
	}
	return level.Cell, parse(level, l.m.sign)
}

// remarksOf is what a row has in several columns of remarks.
func (l *list) remarksOf(r int) string {
	var texts []string
	for _, c := range l.remarks {
		if text := l.m.text(r, c); text != "" {
			texts = append(texts, text)
		}
	}
	return strings.Join(texts, "; ")
}

// rowAndColumn is the place of a row with columns for both.
func (l *list) rowAndColumn(r int) (table.Cell, *spot) {
	count := func(c int) int { // from 0, of a number or a letter
		text, v := l.m.text(r, c), l.m.values[r][c]
		switch {
		case v.kind == number && v.number >= 1:
			return int(v.number) - 1
		case len(text) == 1:
			return letterIndex(text)
		}
		return -1
	}
	name, s := l.m.cells[r][l.row].Cell, spot{count(l.column), count(l.row)}
	if s.row >= 0 && s.column >= 0 {
		name.Text = s.String()
		return name, &s
	}
	name.Text = strings.TrimSpace(name.Text + " " + l.m.text(r, l.column))
	return name, nil
}

// settle counts what was explained and decides between columns.
func (l *list) settle() {
	unknown := 0
	for c, h := range l.headings {
		if n := l.contents[c]; !h.known() && n.numbers > n.words {
			unknown++
		}
	}
	for c, h := range l.headings {
		n := l.contents[c]
		if h.known() || isState(h.text) || n.numbers > 1 && n.running >= n.numbers-1 || h.text != "" && unknown < 2 {
			for _, r := range l.records {
				if l.m.values[r][c].kind == number {
					l.explained++
				}
			}
		}
		l.settleColumn(c)
	}
	l.scoreNames()
	if l.in == schema.SeriesFile && !l.isSeries() {
		l.score -= 20
	}
	l.settleLevels()
}

// settleColumn keeps a column beside the levels, or leaves it out.
func (l *list) settleColumn(c int) {
	h := l.headings[c]
	switch h.role {
	case asideRole, noRole, summaryRole:
		l.leaveColumn(c)
	case otherRole:
		l.draft.others = append(l.draft.others, h.column)
		l.otherUnits = append(l.otherUnits, h.inUnit())
		if l.m.answers.in != schema.SurveyFile {
			l.score += 2
		}
	case xRole, yRole:
		if l.x != c && l.y != c {
			return
		}
		if l.score += 2; l.length == "" {
			l.length = h.length
		}
	}
}

// leaveColumn names a column with numbers, or without a name, that is not read.
func (l *list) leaveColumn(c int) {
	h := l.headings[c]
	if l.contents[c].filled == 0 && (h.text == "" || h.known()) || slices.Contains(l.remarks, c) || c == l.tenths {
		return
	}
	if h.text == "" {
		if n := l.contents[c]; n.numbers > n.words && n.running < n.numbers-1 && l.below > l.header && !l.m.cells[l.records[0]][c].Formula {
			l.ask(Question{Code: "column", Line: l.headerLine, Text: "what are the numbers of column " + table.ColumnName(l.m.sheetColumn(c)) + "? It has no name: give it one, such as lux 2 or remarks"})
		}
		l.leave("column "+table.ColumnName(l.m.sheetColumn(c)), 0)
		return
	}
	l.leave(h.text, 0)
}

// headsColor reports whether a cell of a row is the head of a column of colors: rows and
// columns are not to be swapped.
func (l *list) headsColor(r int) bool {
	return slices.ContainsFunc(l.m.filled(r), func(c int) bool {
		return l.m.values[r][c].kind == words && schema.IsColor(l.m.text(r, c))
	})
}

// scoreNames adds what the names of places are worth.
func (l *list) scoreNames() {
	if l.m.swapped && slices.ContainsFunc(l.records, l.headsColor) {
		l.score -= 20
	}
	named, like := 0, 0
	for _, c := range l.labels {
		if l.headings[c].text != "" && !l.headings[c].guessed {
			l.score += 2
			break
		}
	}
	if l.row >= 0 && l.column >= 0 {
		l.score += 2
	}
	for _, r := range l.readings {
		if r.name.Text != "" {
			named++
			if placeLike(r.name.Text) {
				like++
			}
		}
	}
	if named > 0 {
		l.score += 2 * float64(like) / float64(len(l.readings))
		if named == len(l.readings) {
			l.score += 0.5
		}
	}
}

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }
