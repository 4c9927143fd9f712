package sheet

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/schema"
	"evenfall/photometry/table"
)

// grid reads a part as rows and columns of levels, with or without heads.
type grid struct {
	*draft
	m             *matrix
	top           int // the row of heads, -1 for none
	first         int // the first row of levels
	left          int // the column of heads, -1 for none
	rows, columns []int
	across, down  heads
}

// heads are the heads of a grid's columns or rows.
type heads struct {
	texts []table.Cell
	kind  headKind
	at    []float64 // positions in meters, or bare numbers
	rank  []int     // the place of each, counted from camera left or the top
	odd   string    // that is no number, as half of the others or more are
}

type headKind uint8

const (
	noHeads headKind = iota
	wordHeads
	sideHeads   // top, middle, bottom
	letterHeads // A, B, C
	countHeads  // 1, 2, 3
	bareHeads   // numbers without a unit
	lengthHeads
)

func readGrid(m *matrix, top, left int) *draft {
	g := &grid{draft: &draft{how: "grid", times: 1, sign: m.sign, numbers: m.allNumbers()}, m: m, top: top, left: left}
	g.first = top + 1
	for top < 0 && g.first < m.height()-1 && m.numbers(g.first) == 0 && len(m.filled(g.first)) < min(3, m.width) {
		g.first++ // titles
	}
	above := g.first
	if top >= 0 {
		g.headerLine, above = m.line(top), top
	}
	if !g.findBody() {
		return nil
	}
	for r := range above {
		g.above(m, r)
	}
	g.readHeads()
	if !g.readCells() {
		return nil
	}
	return g.draft
}

// findBody finds the rows and columns of levels; summaries among them are left out.
func (g *grid) findBody() bool {
	m, from := g.m, g.left+1
	for c := from; c < m.width; c++ {
		n := 0
		for r := g.first; r < m.height(); r++ {
			if m.values[r][c].isReading() {
				n++
			}
		}
		head := ""
		if g.top >= 0 {
			head = m.text(g.top, c)
		}
		switch {
		case n == 0 && head == "" && m.columnsOf(c, c+1).rowsOf(g.first, m.height()).blank():
		case n == 0 && head == "", readHeading(head).role == asideRole, readHeading(head).column == schema.Comment:
			g.leave(columnName(m, c, head), 0)
		case g.isSummaryHead(head) || g.sumsRows(c) || head == "" && g.top >= 0 && c > from+1 && (g.formulas(g.first, m.height(), c, c+1) || sumUp(m.transposed(), c, from, g.first)):
			g.leave(columnName(m, c, head), 0)
			g.explained += n
		case head == "" && g.top >= 0:
			return false
		case n == 0 && !placeLike(head):
			return false
		default:
			g.columns = append(g.columns, c)
		}
	}
	if len(g.columns) < 2 {
		return false
	}
	return g.findRows()
}

func columnName(m *matrix, c int, head string) string {
	if head != "" {
		return "column " + head
	}
	return "column " + table.ColumnName(m.sheetColumn(c))
}

// findRows finds the rows of levels.
func (g *grid) findRows() bool {
	m, ended, last, gap := g.m, false, g.lastRow(), false
	for r := g.first; r < m.height(); r++ {
		if m.blankRow(r) {
			ended = ended || len(g.rows) > 0 && last < r
			gap = len(g.rows) > 0
			continue
		}
		n, odd := g.count(r)
		head := ""
		if g.left >= 0 {
			head = m.text(r, g.left)
		}
		switch {
		case g.sumsColumns(r, head):
			name := "row " + head
			if head == "" {
				name = "line " + strconv.Itoa(m.line(r))
			}
			g.leave(name, m.line(r))
			g.explained += m.numbers(r)
		case g.left < 0 && odd > 0 && (gap && g.isBare() || g.isSummaryHead(m.wordsOf(r))):
			g.takeAside(m, r)
			g.explained += m.numbers(r)
		case ended || n == 0 && odd == 0 && len(m.filled(r)) == 1 && !placeLike(head):
			g.takeAside(m, r)
		case n == 0 && (odd > 0 || head == ""):
			if len(g.rows) == 0 {
				return false
			}
			g.takeAside(m, r)
			ended = true
		case head == "" && g.left >= 0:
			return false
		default:
			g.rows = append(g.rows, r)
		}
	}
	return len(g.rows) > 1 || len(g.rows) == 1 && len(g.columns) > 2 && g.top >= 0
}

// isBare reports whether no row so far has a word in the place of a level.
func (g *grid) isBare() bool {
	return !slices.ContainsFunc(g.rows, func(r int) bool {
		_, odd := g.count(r)
		return odd > 0
	})
}

// wordsOf are the words of a row, without its numbers.
func (m *matrix) wordsOf(r int) string {
	var texts []string
	for _, c := range m.filled(r) {
		if m.values[r][c].kind == words {
			texts = append(texts, m.text(r, c))
		}
	}
	return strings.Join(texts, " ")
}

// count counts the levels of a row, and its words in their place.
func (g *grid) count(r int) (levels, odd int) {
	for _, c := range g.columns {
		switch v := g.m.values[r][c]; {
		case v.isReading():
			levels++
		case v.kind == words:
			odd++
		}
	}
	return levels, odd
}

// sumsColumns reports whether a row sums up the columns: by its head, or where it has none
// by its formulas or its figures.
func (g *grid) sumsColumns(r int, head string) bool {
	if head != "" || g.left < 0 || len(g.rows) < 2 {
		return g.isSummaryHead(head)
	}
	return g.formulas(r, r+1, g.columns[0], g.columns[len(g.columns)-1]+1) || sumUp(g.m, r, g.first, g.columns[0])
}

// sumUp reports whether the numbers of a row, from a column on, are all the means or the
// sums of those above it.
func sumUp(m *matrix, r, first, from int) bool {
	n := 0
	for c := from; c < m.width; c++ {
		v := m.values[r][c]
		if v.kind != number {
			continue
		}
		var above []reading
		for k := first; k < r; k++ {
			above = append(above, reading{value: m.values[k][c]})
		}
		if mean, sum := sumsUp(above, v.number); !mean && !sum {
			return false
		}
		n++
	}
	return n > 1
}

// sumsRows reports whether a last column, whose head is no place, has the means or the
// sums of all rows.
func (g *grid) sumsRows(c int) bool {
	if g.top < 0 || c < g.left+4 || placeLike(g.m.text(g.top, c)) || len(g.m.text(g.top, c)) < 2 {
		return false
	}
	last := g.m.columnsOf(c+1, g.m.width).rowsOf(g.first, g.m.height()).blank()
	return last && sumUp(g.m.transposed(), c, g.left+1, g.first)
}

// lastRow is the last row with two levels or more.
func (g *grid) lastRow() int {
	for r := g.m.height() - 1; r >= g.first; r-- {
		if n, _ := g.count(r); n > 1 {
			return r
		}
	}
	return -1
}

// isSummaryHead reports whether a head is that of a summary. Place words come first.
func (g *grid) isSummaryHead(head string) bool {
	if _, side := wordSides(head); side {
		return false
	}
	return head != "" && isSummary(schema.Words(head))
}

// formulas reports whether all numbers of a rectangle are computed, and some outside of it
// are not.
func (g *grid) formulas(r0, r1, c0, c1 int) bool {
	computed := 0
	for r := r0; r < r1; r++ {
		for c := c0; c < c1; c++ {
			if g.m.values[r][c].kind == number {
				if !g.m.cells[r][c].Formula {
					return false
				}
				computed++
			}
		}
	}
	return computed > 0
}

// readHeads understands the heads and the corner.
func (g *grid) readHeads() {
	if g.top >= 0 {
		for _, c := range g.columns {
			g.across.texts = append(g.across.texts, g.m.cells[g.top][c].Cell)
		}
		g.across.read(g.m, g.top, g.columns, false)
	}
	if g.left >= 0 {
		for _, r := range g.rows {
			g.down.texts = append(g.down.texts, g.m.cells[r][g.left].Cell)
		}
		g.down.read(g.m.transposed(), g.left, g.rows, true)
	}
	if g.left >= 0 && g.top >= 0 && arePlaces(g.down.names()) {
		g.score -= 4 // each row is a place by itself
	}
	if g.top >= 0 && len(g.m.columnsOf(g.left+1, g.m.width).twice(g.top)) > 0 {
		g.score -= 4 // several columns would be one place
	}
	g.across.fill(len(g.columns))
	g.down.fill(len(g.rows))
	if g.top >= 0 && g.left >= 0 {
		g.readCorner()
	}
	g.rateHeads(&g.across)
	g.rateHeads(&g.down)
}

// worthOfHeads is what heads of a kind add to the score.
var worthOfHeads = map[headKind]float64{wordHeads: 1, bareHeads: 1.5, sideHeads: 2.5, letterHeads: 2.5, countHeads: 2.5, lengthHeads: 3}

// rateHeads scores heads: by their kind, and less where they are rather the names of
// columns, or states of the light, each of which has a column of levels.
func (g *grid) rateHeads(h *heads) {
	for _, c := range h.texts {
		known := readHeading(c.Text)
		if len(c.Text) < 2 || isRowName(c.Text) || placeLike(c.Text) || !known.known() && !known.ordinal {
			continue
		}
		if g.score -= 4; known.role == levelRole || known.role == xRole || known.role == yRole {
			g.score -= 20
		}
		break
	}
	if h.odd != "" {
		g.assume("sheet.odd_head", "head", quote(h.odd))
	}
	if h.ofStates() {
		g.score -= 20
	}
	g.score += worthOfHeads[h.kind]
}

func (h *heads) names() (names []string) {
	for _, c := range h.texts {
		names = append(names, c.Text)
	}
	return names
}

// ofStates reports whether half of the heads or more name a state of the light or a lamp.
func (h *heads) ofStates() bool {
	n := 0
	for _, c := range h.texts {
		if isState(c.Text) || hasLamp(c.Text) {
			n++
		}
	}
	return n > 0 && 2*n >= len(h.texts)
}

// readCorner takes the cell between the heads: a unit, or what the rows are.
func (g *grid) readCorner() {
	corner := g.m.text(g.top, g.left)
	h := readHeading(corner)
	if h.percent {
		h.unit, h.role = photometry.Percent, levelRole
	}
	if h.length != "" && h.unit == photometry.NoUnit {
		g.length = h.length
		g.score += 2
	}
	if h.unit != photometry.NoUnit && h.role == levelRole {
		g.unit, g.times, g.iso = h.unit, h.times, h.iso
		g.draft.columns = append(g.draft.columns, corner)
		g.score += 2
	} else if h.role == otherRole && h.column != nil && !h.column.IsLevel() && schema.ClassOf(table.Fold(h.column.Name))&schema.ColorWord != 0 {
		g.color = h.column
		g.score += 2
	} else if u, times := unitIn(corner); u != photometry.NoUnit {
		g.unit, g.times = u, times
		g.score += 2
	}
	if isRowName(corner) && g.down.kind == bareHeads || isRowName(corner) && g.down.kind == countHeads {
		g.down.kind = wordHeads
		g.down.rank = counted(len(g.rows))
	}
}

// read understands heads; downward says that they are of rows.
func (h *heads) read(m *matrix, r int, columns []int, downward bool) {
	var names []string
	numbers, lengths, single, counts := 0, 0, 0, 0
	for k, c := range columns {
		text, v := m.text(r, c), m.values[r][c]
		names = append(names, text)
		at := math.NaN()
		if v.kind == number && v.unit == photometry.NoUnit {
			numbers++
			if at = v.number; finite(v.length) {
				lengths++
				at = v.length
			}
			if at == float64(k+1) && !finite(v.length) {
				counts++
			}
		} else if isRowName(text) && slices.Contains(schema.Words(text), strconv.Itoa(k+1)) {
			counts++
		}
		h.at = append(h.at, at)
		if len(text) <= 2 && strings.ToUpper(text) == table.ColumnName(k+1) {
			single++
		}
	}
	n := len(columns)
	switch {
	case lengths == n:
		h.kind = lengthHeads
	case counts == n:
		h.kind = countHeads
	case numbers == n && monotone(h.at):
		h.kind = bareHeads
	case single == n:
		h.kind = letterHeads
	case h.readSides(lattice(names), downward):
		h.kind = sideHeads
	case numbers == n:
		h.kind = noHeads // numbers in no order are no heads
	default:
		h.kind = wordHeads
		if numbers > 0 && 2*numbers >= n {
			h.odd = names[slices.IndexFunc(h.at, math.IsNaN)]
		}
	}
}

// readSides orders heads by the sides that they name; false where two are on one.
func (h *heads) readSides(spots []spot, downward bool) bool {
	var rank []int
	for _, s := range spots {
		if downward {
			s.column = s.row
		}
		rank = append(rank, s.column)
	}
	if len(rank) == 0 || len(slices.Compact(slices.Sorted(slices.Values(rank)))) < len(rank) {
		return false
	}
	h.rank = rank
	return true
}

// fill gives heads without an order that of the sheet.
func (h *heads) fill(n int) {
	if h.rank == nil {
		h.rank = counted(n)
	}
}

func counted(n int) []int {
	out := make([]int, n)
	for i := range out {
		out[i] = i
	}
	return out
}

func monotone(at []float64) bool {
	up, down := true, true
	for i := 1; i < len(at); i++ {
		up, down = up && at[i] > at[i-1], down && at[i] < at[i-1]
	}
	return up || down
}

// positioned reports whether heads are lengths.
func (h *heads) positioned() bool { return h.kind == lengthHeads || h.kind == bareHeads }

// readCells takes the levels; false where the heads are numbers in no order.
func (g *grid) readCells() bool {
	if g.top >= 0 && g.across.kind == noHeads || g.left >= 0 && g.down.kind == noHeads {
		return false
	}
	g.askRows()
	placed := g.across.positioned() && g.down.positioned()
	for i, r := range g.rows {
		for j, c := range g.columns {
			rec := g.cell(i, j, r, c)
			if placed {
				rec.x, rec.y, rec.spot = g.across.texts[j], g.down.texts[i], nil
			}
			switch {
			case rec.value.kind == number:
				g.explained++
			case rec.value.kind == words && strings.ContainsAny(rec.level.Text, "0123456789"):
				g.askLevel(rec.level, rec.name.Text)
			case rec.value.kind == words:
				g.leave(rec.level.Text, rec.level.Line)
			}
			g.readings = append(g.readings, rec)
		}
	}
	if !placed {
		g.explained += g.across.numbers() + g.down.numbers()
	} else {
		g.explained += len(g.columns) + len(g.rows)
	}
	if spread(g.columnMeans()) > 3 {
		g.score -= 4 // rather columns of several quantities
	}
	for _, h := range []*heads{&g.across, &g.down} {
		if h.kind == bareHeads && g.likeReadings(h.at) {
			g.score -= 6 // rather levels
		}
	}
	return true
}

// cell is the reading in row i and column j of the grid, row r and column c of the part.
func (g *grid) cell(i, j, r, c int) reading {
	rec := reading{level: g.m.cells[r][c].Cell, value: g.m.values[r][c], spot: &spot{g.across.rank[j], g.down.rank[i]}}
	if rec.level.Line == 0 {
		rec.level.Line, rec.level.Column = g.m.line(r), g.m.sheetColumn(c)
	}
	rec.name = rec.level
	rec.name.Text = g.name(i, j)
	if g.left >= 0 {
		rec.row = g.down.texts[i].Text
	}
	return rec
}

func (h *heads) numbers() (n int) {
	for _, v := range h.at {
		if finite(v) {
			n++
		}
	}
	return n
}

// likeReadings reports whether heads are within 1.5 stops of the levels.
func (g *grid) likeReadings(heads []float64) bool {
	stops := g.stops()
	if len(stops) == 0 {
		return false
	}
	low, high := slices.Min(stops)-1.5, slices.Max(stops)+1.5
	for _, v := range heads {
		if s := math.Log2(v); !(s > low && s < high) {
			return false
		}
	}
	return true
}

// columnMeans are the mean levels of the columns in stops.
func (g *grid) columnMeans() (means []float64) {
	for j := range g.columns {
		sum, n := 0.0, 0.0
		for i := range g.rows {
			if v := g.readings[i*len(g.columns)+j].value.level(g.unit); v > 0 {
				sum, n = sum+math.Log2(v), n+1
			}
		}
		if n > 0 {
			means = append(means, sum/n)
		}
	}
	return means
}

// name is what a place is called: both heads together, as in bottom left or the column B
// and its row 1, or its row and column as A1.
func (g *grid) name(i, j int) string {
	across, down := g.across.kind, g.down.kind
	named := func(k headKind) bool { return k.wordy() || k == letterHeads }
	switch {
	case down == letterHeads && across == countHeads:
		return g.down.texts[i].Text + g.across.texts[j].Text
	case across == letterHeads && down == countHeads:
		return g.across.texts[j].Text + " " + g.down.texts[i].Text
	case g.top >= 0 && g.left >= 0 && (named(down) || named(across)):
		return g.down.texts[i].Text + " " + g.across.texts[j].Text
	}
	return spot{g.across.rank[j], g.down.rank[i]}.String()
}

func (k headKind) wordy() bool { return k == wordHeads || k == sideHeads }

// firstTexts are the first of some headings, and that there are more.
func firstTexts(texts []table.Cell) string {
	if len(texts) == 1 {
		return texts[0].Text
	}
	return texts[0].Text + ", " + texts[1].Text + ", …"
}

// askRows asks where bare numbers beside the rows may be rows from the top or lengths.
func (g *grid) askRows() {
	d := &g.down
	switch {
	case d.kind != countHeads || isRowName(d.texts[0].Text):
		return
	case g.across.kind == letterHeads || g.across.kind.wordy():
		d.kind = countHeads // words or letters across count, so do these
		return
	}
	switch answer := g.m.answers.rows; {
	case strings.Contains(answer, "top"):
		d.kind, d.rank = countHeads, counted(len(g.rows))
	case strings.Contains(answer, "below") || strings.Contains(answer, "length") || answer == "m":
		d.kind = bareHeads
	default:
		g.ask(Question{Code: "rows", Line: g.headerLine, Note: "rows", Text: "are the numbers at the left (" + firstTexts(d.texts) + ") rows from the top, or lengths from below? The map would be upside down",
			Options: []Option{{"from the top", ""}, {"from below", ""}}})
		return
	}
	if d.kind == bareHeads && g.across.kind == countHeads {
		g.across.kind = bareHeads
	}
}
