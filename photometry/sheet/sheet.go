package sheet

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/schema"
	"evenfall/photometry/table"
)

// ReadAs says how a sheet was read.
type ReadAs = photometry.ReadAs

// Table is a table that was found, in the plain form.
type Table struct {
	*table.Sheet
	// Spots are the places of rows that are known in rows and columns only, by their
	// labels A1, A2 …; nil where they are known otherwise or not at all.
	Spots []string
	ReadAs
	figures figures
}

// Figures are the smallest and the greatest level as written, without those known only
// as bounds, how many places have a reading or a bound, and the unit of levels.
func (t *Table) Figures() (low, high float64, places int, unit photometry.Unit) {
	return t.figures.low, t.figures.high, t.figures.places, t.figures.unit
}

// Read finds the tables of a file of readings of a surface: one, or one of levels and
// further ones of colors. Flags are notes of a command line, which answer questions before
// those of the file. The error is a *Question where it could be meant in several ways, and
// table.Errors where it cannot be read or has no table.
func Read(r io.Reader, file string, flags []table.Note) ([]*Table, error) {
	return ReadSort(schema.SurveyFile, false, r, file, flags)
}

// ReadSort is Read for a sort of file with levels: also a series or lights at marks, or
// lamps on a surface, where each table, or each column of levels, may be of one lamp, so
// that several of them are no question.
func ReadSort(in schema.File, lamps bool, r io.Reader, file string, flags []table.Note) ([]*Table, error) {
	sheets, err := table.ReadCells(r, file)
	if err != nil {
		return nil, err
	}
	b := &book{}
	for _, s := range sheets {
		takeNotes(in, s)
		b.answers = answers{in: in, lamps: lamps}.of(append(slices.Clone(flags), s.Notes...))
		if e := splitNumber(s); e != nil {
			return nil, table.Errors{e}
		}
		if len(s.Rows) > 0 {
			b.read(s)
		}
	}
	return b.choose(sheets)
}

// takeNotes takes the notes that stand between the titles of a sheet and its first number,
// as those of the whole sheet; what is written below is of one table.
func takeNotes(in schema.File, s *table.Cells) {
	for i := 0; i < len(s.Rows); i++ {
		row := s.Rows[i]
		if slices.ContainsFunc(row, func(c table.RawCell) bool { return parse(c, '.').kind == number }) {
			return
		}
		if len(row) != 1 || !strings.HasPrefix(row[0].Text, "# ") {
			continue
		}
		if key, value, _ := strings.Cut(row[0].Text[2:], ": "); schema.Holds(in, key, value) {
			s.Notes = append(s.Notes, table.Note{Key: key, Value: value, Line: row[0].Line, Column: row[0].Column})
			s.Rows = slices.Delete(s.Rows, i, i+1)
			i--
		}
	}
}

// Rewindable is a reader that [Rewind] takes to its start: a file as it is, else its content
// in memory.
func Rewindable(r io.Reader, file string) (io.Reader, error) {
	if s, ok := r.(io.Seeker); ok {
		if at, err := s.Seek(0, io.SeekCurrent); err == nil && at == 0 {
			return r, nil
		}
	}
	content, err := io.ReadAll(r)
	if err != nil {
		return nil, table.Errors{{File: file, Found: "an error while reading (" + err.Error() + ")", InWords: true, Expected: "the rest of the file", Err: err}}
	}
	return bytes.NewReader(content), nil
}

// Rewind takes a reader of [Rewindable] to its start.
func Rewind(r io.Reader) {
	r.(io.Seeker).Seek(0, io.SeekStart) // a failure is one of the next read
}

// found is a draft and the sheet that it is of.
type found struct {
	*draft
	sheet *table.Cells
}

// book gathers the tables of all sheets.
type book struct {
	answers answers
	tables  []found
	aside   []leftOut
}

// read finds the tables of a sheet with each decimal sign.
func (b *book) read(s *table.Cells) {
	answers := b.answers
	tables, aside := b.withDecimals(s, &answers)
	if len(tables) == 0 && s.Name != "" {
		b.aside = append(b.aside, leftOut{text: "sheet " + s.Name})
	}
	b.tables = append(b.tables, tables...)
	b.aside = append(b.aside, aside...)
}

// withDecimals reads a sheet with decimal points and with decimal commas. Where the two
// differ, the sign counts that explains more numbers, or else brings the readings over
// four stops nearer together.
func (b *book) withDecimals(s *table.Cells, answers *answers) ([]found, []leftOut) {
	var read [2][]found
	var aside [2][]leftOut
	points := newMatrix(s.Rows, '.', answers)
	commas := points.withSign(',')
	for k, m := range []*matrix{points, commas} {
		if m == nil {
			break
		}
		drafts, left := readMatrix(m)
		for _, d := range drafts {
			read[k] = append(read[k], found{d, s})
		}
		aside[k] = left
	}
	pick := func(k int) ([]found, []leftOut) { return read[k], aside[k] }
	switch {
	case commas == nil: // no cell has either sign
		return pick(0)
	case answers.decimal != "":
		if strings.Contains(answers.decimal, "comma") || answers.decimal == "," {
			return pick(1)
		}
		return pick(0)
	case len(read[1]) == 0:
		return pick(0)
	case len(read[0]) == 0:
		return pick(1)
	}
	point, comma := read[0][0], read[1][0]
	same := len(read[0]) == len(read[1])
	for i := 0; same && i < len(read[0]); i++ {
		same = read[0][i].figures() == read[1][i].figures()
	}
	if better := point.score - comma.score; answers.in != schema.SurveyFile && math.Abs(better) > ambiguous {
		if better > 0 {
			return pick(0)
		}
		return pick(1)
	}
	tighter := spread(point.stops()) - spread(comma.stops())
	if a, b := point.rises(), comma.rises(); a != b { // light falls with distance
		tighter = 5 * float64(a-b)
	}
	switch {
	case same && comma.explained > point.explained:
		return pick(1) // its positions need the sign
	case same || point.numbers > comma.numbers || point.numbers == comma.numbers && point.differing(comma) == "":
		return pick(0)
	case point.numbers < comma.numbers:
		return pick(1)
	case (tighter < -4 || point.question == nil && comma.question != nil) && tighter <= 0:
		point.assumeSign(point.differing(comma))
		return pick(0)
	case (tighter > 4 || comma.question == nil && point.question != nil) && tighter >= 0:
		comma.assumeSign(comma.differing(point))
		return pick(1)
	}
	point.question = nil
	point.ask(Question{Code: "decimal", Line: point.headerLine, Note: "decimal", Text: fmt.Sprintf("is the sign in %s a decimal one, or does it mark thousands?", quote(point.differing(comma))),
		Options: []Option{{"point", point.gives()}, {"comma", comma.gives()}}})
	return pick(0)
}

// assumeSign says what the sign in a cell was taken for.
func (d *draft) assumeSign(example string) {
	if strings.LastIndexByte(example, byte(d.sign)) >= 0 {
		d.assume("sheet.decimal", "example", example)
	} else {
		d.assume("sheet.thousands", "example", example)
	}
}

// differing is a cell that two drafts read differently.
func (d *draft) differing(other found) string {
	for i, r := range d.readings {
		if i < len(other.readings) && r.value.number != other.readings[i].value.number {
			return r.level.Text
		}
	}
	return ""
}

// choose takes the table of levels, and those of colors of the same places.
func (b *book) choose(sheets []*table.Cells) ([]*Table, error) {
	var levels, colors []found
	for _, t := range b.tables {
		switch {
		case b.answers.sheet != "" && !t.isNamed(b.answers.sheet):
			b.aside = append(b.aside, leftOut{text: "table " + t.title()})
		case t.color != nil:
			colors = append(colors, t)
		default:
			levels = append(levels, t)
		}
	}
	if len(levels) == 0 && len(colors) == 0 {
		return nil, noTable(b.answers.in, sheets)
	}
	if len(levels) > 1 && !b.answers.lamps {
		return nil, askTable(levels)
	}
	all := append(levels, colors...)
	var out []*Table
	for _, t := range all {
		if q := t.question; q != nil {
			q.File, q.Sheet = t.sheet.File, t.sheet.Name
			if q.Line == 0 {
				q.Line = t.headerLine
			}
			return nil, q
		}
		out = append(out, t.table())
		if len(levels) > 1 {
			out[len(out)-1].nameLamp(t)
		}
	}
	for _, left := range b.aside {
		out[0].LeftOut = append(out[0].LeftOut, left.text)
	}
	return out, nil
}

// title is what a table is called: its sheet, or the first title above it.
func (f found) title() string {
	if f.sheet.Name != "" {
		return f.sheet.Name
	}
	for _, l := range f.left {
		if l.line > 0 && l.line < f.readings[0].level.Line {
			return l.text
		}
	}
	return fmt.Sprintf("at line %d", max(f.headerLine, 1))
}

func (f found) isNamed(name string) bool {
	return f.day != "" && table.Fold(f.day) == table.Fold(name) || table.Fold(f.title()) == table.Fold(name) || table.Fold(f.sheet.Name) == table.Fold(name)
}

func askTable(tables []found) *Question {
	q := &Question{Code: "table", File: tables[0].sheet.File, Note: "sheet"}
	var names []string
	for _, t := range tables {
		names = append(names, quote(t.title()))
		q.Options = append(q.Options, Option{t.title(), t.gives()})
	}
	what := "They have different places"
	if tables[0].samePlaces(tables[1].draft) {
		what = "The same places are in both, with other readings"
	}
	q.Text = "which table, " + strings.Join(names, " or ") + "? " + what
	return q
}

// ErrNoLevels is behind the error of a file in which no cell is a level.
var ErrNoLevels = errors.New("sheet: no cell that is a level")

// examples are what is looked for in a sort of file, with an example.
var examples = map[schema.File]string{
	schema.SurveyFile: "a column of levels and, best, one of places, or a grid of levels. An example:\n" +
		"  place, lux\n  A1, 742\n  A2, 765\n  A3, 812\n  B1, 810\n  B2, 842\n  B3, 880\n  C1, 655\n  C2, 701",
	schema.SeriesFile: "a column of levels and one of distances, angles or filters. An example:\n" +
		"  distance (m), lux\n  0.5, 4310\n  1, 1104\n  2, 281\n  4, 74",
	schema.RatioFile: "a column of levels a light, or columns of roles and levels. An example:\n" +
		"  mark, key (lux), fill (lux)\n  puppet, 1250, 320\n  dragon, 1180, 300",
}

// noTable is the error of a file without a table: what was found and looked for, and an
// example.
func noTable(in schema.File, sheets []*table.Cells) error {
	e := &table.Error{Found: "no table of readings", InWords: true, Expected: examples[in]}
	if len(sheets) > 0 {
		e.File = sheets[0].File
	}
	levels := false
	var heads []string
	for _, s := range sheets {
		for _, row := range s.Rows {
			var texts []string
			for _, c := range row {
				v := parse(c, '.')
				levels = levels || v.isReading()
				if v.kind == words && c.Text != "" {
					texts = append(texts, quote(c.Text))
				}
			}
			if len(heads) < 2 && len(texts) > 1 {
				heads = texts
			}
		}
	}
	if len(heads) > 1 {
		e.Found += " (its heads are " + strings.Join(heads[:min(8, len(heads))], ", ") + ")"
	}
	if !levels {
		e.Found, e.Err = e.Found+" and no cell that is a level alone", ErrNoLevels
	}
	return table.Errors{e}
}

// table brings a draft into the plain form.
func (f found) table() *Table {
	d := f.draft
	t := &Table{figures: d.figures()}
	t.ReadAs = ReadAs{File: f.sheet.File, Sheet: f.sheet.Name, HeaderLine: d.headerLine, Columns: d.columns, LeftOut: []string{}, Assumed: append([]photometry.Remark{}, d.assumed...)}
	for _, l := range d.left {
		if !slices.Contains(t.LeftOut, l.text) {
			t.LeftOut = append(t.LeftOut, l.text)
		}
	}
	f.sheet.Notes = append(f.sheet.Notes, d.notes...)
	if d.header != nil {
		t.Sheet = f.sheet.Sheet(d.header, d.cells, f.dialect())
		return t
	}
	names := []string{"label"}
	if d.in == schema.RatioFile && !slices.ContainsFunc(d.readings, func(r reading) bool { return r.name.Text != "" }) {
		names[0] = "" // of one mark
	}
	placed := d.readings[0].x.Text != ""
	if placed {
		unit := cmp.Or(d.length, "m")
		names = append(names, "x ("+unit+")", "y ("+unit+")")
	}
	names = append(names, d.levelName())
	for k, c := range d.others {
		names = append(names, c.Name+d.otherUnits[k])
	}
	header := make([]table.Cell, len(names))
	for i, name := range names {
		header[i] = table.Cell{Text: name, Line: max(d.headerLine, 1), Column: i + 1}
	}
	var rows [][]table.Cell
	for _, r := range d.readings {
		row := []table.Cell{r.name}
		if placed {
			row = append(row, r.x, r.y)
		}
		level := r.level
		level.Text = d.levelText(r)
		row = append(append(row, level), r.others...)
		rows = append(rows, row)
		if r.spot != nil {
			t.Spots = append(t.Spots, r.spot.String())
		}
	}
	if len(t.Spots) < len(rows) {
		t.Spots = spotsOf(rows)
	}
	f.takeTitle(t)
	f.takeDay(t)
	if d.iso != "" && schema.Text(schema.SurveyFile, f.sheet.Notes, schema.MeterISO) == "" {
		f.sheet.Notes = append(f.sheet.Notes, table.Note{Key: schema.MeterISO.Name, Value: d.iso, Line: max(d.headerLine, 1)})
	}
	t.Sheet = f.sheet.Sheet(header, rows, f.dialect())
	return t
}

// longestTitle is how many characters a title has at most: more is a remark.
const longestTitle = 60

// takeTitle makes the text that stands alone in the first row of the sheet, above the
// table, the title of its survey, where no note is one and it says more than a unit.
func (f found) takeTitle(t *Table) {
	for _, row := range f.sheet.Rows {
		texts := slices.DeleteFunc(slices.Clone(row), func(c table.RawCell) bool { return strings.TrimSpace(c.Text) == "" })
		if len(texts) == 0 {
			continue
		}
		text := strings.TrimSpace(texts[0].Text)
		_, names := new(heading).countWords(schema.Words(text))
		if len(texts) == 1 && slices.Contains(f.left, leftOut{text: text, line: texts[0].Line}) && len(names) > 0 && len(text) <= longestTitle && schema.Text(schema.SurveyFile, f.sheet.Notes, schema.Title) == "" {
			t.Title = text
			f.sheet.Notes = append(f.sheet.Notes, table.Note{Key: schema.Title.Name, Value: text, Line: texts[0].Line, Column: texts[0].Column})
		}
		return
	}
}

// spotsOf are the rows and columns that names of places say, canonical labels in place of
// 1B and top left; nil where they do not.
func spotsOf(rows [][]table.Cell) (spots []string) {
	names := make([]string, len(rows))
	for i, row := range rows {
		names[i] = row[0].Text
		if s, ok := gridSpot(names[i]); ok {
			row[0].Text = s.String()
			spots = append(spots, row[0].Text)
		}
	}
	if len(spots) == len(rows) {
		return nil // the labels say it
	}
	spots = nil
	for _, s := range lattice(names) {
		spots = append(spots, s.String())
	}
	return spots
}

// levelName is the name of the plain column of levels.
func (d *draft) levelName() string {
	if d.color != nil {
		return d.color.Name
	}
	switch d.unit {
	case photometry.LX, photometry.FC:
		return "E (" + d.unit.String() + ")"
	case photometry.CDM2:
		return "L (cd/m²)"
	case photometry.LXS, photometry.FCS:
		return "H (" + d.unit.String() + ")"
	}
	if d.unit == photometry.Percent {
		return "relative (%)"
	}
	return d.unit.String()
}

// inOtherUnit reports whether a level says that it is in footcandles where the others are
// in lux, or the other way around.
func (d *draft) inOtherUnit(v value) bool {
	return v.unit == photometry.FC && d.unit == photometry.LX || v.unit == photometry.LX && d.unit == photometry.FC
}

// levelText is a level as the plain column has it.
func (d *draft) levelText(r reading) string {
	v := r.value
	switch {
	case v.kind == words && (d.in&(schema.SeriesFile|schema.RatioFile) != 0 || strings.ContainsAny(r.level.Text, "0123456789")):
		return r.level.Text
	case v.kind == blank || v.kind == unread || v.kind == words:
		return ""
	case v.kind == number && !v.doubt && d.inOtherUnit(v):
		return figureText(v.number, d.sign) + " " + v.unit.String() // as it was read
	case v.kind == number && !v.doubt && v.part == 0:
		return figureText(d.written(v), d.sign)
	}
	mark := map[kind]string{over: ">", under: "<"}[v.kind]
	if v.doubt {
		mark += "~"
	}
	if !finite(v.number) {
		return mark
	}
	return mark + figureText(d.written(v), d.sign)
}
