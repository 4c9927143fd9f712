package sheet

import (
	"fmt"
	"io"
	"regexp"
	"slices"
	"strings"

	"evenfall/photometry/schema"
	"evenfall/photometry/table"
)

// records is a table of things with figures, a row a lamp, a gel or a camera.
type records struct {
	*draft
	m       *matrix
	below   int              // first row below the header
	names   []string         // of the columns, "" for one that is not read
	columns []*schema.Column // likewise
	rows    []int
}

// ReadRecords finds the table of a sort of file without levels, and flags answer questions
// as for [Read]. Where cells differ by the decimal sign it is read with a point and with a
// comma, and whoever knows what the figures can be chooses.
func ReadRecords(in schema.File, r io.Reader, file string, flags []table.Note) ([]*Table, error) {
	sheets, err := table.ReadCells(r, file)
	if err != nil {
		return nil, err
	}
	var tables []found
	var aside []leftOut
	for _, s := range sheets {
		a := answers{in: in}.of(append(slices.Clone(flags), s.Notes...))
		if len(s.Rows) == 0 || a.sheet != "" && table.Fold(a.sheet) != table.Fold(s.Name) {
			continue
		}
		read := len(tables)
		for _, sign := range signsOf(s, a.decimal) {
			if l := findRecords(newMatrix(s.Rows, sign, &a)); l != nil {
				tables = append(tables, found{l.plain(), s})
			}
		}
		if len(tables) == read {
			aside = append(aside, leftOut{text: "sheet " + s.Name})
		}
	}
	if len(tables) == 0 {
		return nil, noTable(in, sheets)
	}
	if last := tables[len(tables)-1]; last.sheet != tables[0].sheet {
		q := &Question{Code: "table", File: file, Note: "sheet", Text: "which sheet, " + quote(tables[0].title()) + " or " + quote(last.title()) + "? Both have a table"}
		for _, t := range []found{tables[0], last} {
			q.Options = append(q.Options, Option{t.title(), fmt.Sprintf("%d rows", len(t.cells))})
		}
		return nil, q
	}
	var out []*Table
	for _, t := range tables {
		if q := t.question; q != nil {
			q.File, q.Sheet = t.sheet.File, t.sheet.Name
			return nil, q
		}
		t.left = append(t.left, aside...)
		out = append(out, t.table())
	}
	return out, nil
}

// signsOf are the decimal signs that a sheet may have: the one of the answer, a point where
// no number has a comma.
func signsOf(s *table.Cells, answer string) []rune {
	switch {
	case strings.Contains(answer, "comma") || answer == ",":
		return []rune{','}
	case answer != "":
		return []rune{'.'}
	}
	for _, row := range s.Rows {
		for _, c := range row {
			if m := figureShape.FindStringSubmatch(c.Text); m != nil && strings.Contains(m[1], ",") {
				return []rune{'.', ','}
			}
		}
	}
	return []rune{'.'}
}

// findRecords finds the header, the best known row or two of the first ones, and the rows
// below it; nil where none has two columns of the table.
func findRecords(m *matrix) (best *records) {
	most := 1
	for r := range min(mostHeads, m.height()-1) {
		for below := r + 1; below <= min(r+2, m.height()-1) && len(m.filled(r)) > 1; below++ {
			l := &records{draft: &draft{in: m.answers.in, how: "list", sign: m.sign, headerLine: m.line(r)}, m: m, below: below}
			known := l.readHeader(r)
			if below > r+1 && best != nil && known == most && l.unitsIn(r+1) {
				known++ // the same columns with their units
			}
			if known > most {
				best, most = l, known
			}
		}
	}
	if best == nil {
		return nil
	}
	for r := range best.below {
		if m.line(r) < best.headerLine {
			best.takeAside(m, r)
		}
	}
	best.readRows()
	best.checkLengths()
	return best
}

// readHeader understands the rows of the header from one on, and counts the columns that
// are known.
func (l *records) readHeader(r int) (known int) {
	above := ""
	l.names, l.columns = make([]string, l.m.width), make([]*schema.Column, l.m.width)
	for c := range l.m.width {
		upper, lower := l.m.text(r, c), ""
		if l.below > r+1 {
			if lower = l.m.text(r+1, c); upper != "" {
				above = upper
			} else if lower != "" {
				upper = above // a head over several columns
			}
		}
		for k, text := range []string{strings.TrimSpace(upper + " " + lower), lower} {
			of, unit := schema.Find(l.m.answers.in, text)
			if of == nil || k > 0 && slices.Contains(l.columns, of) || l.below > r+1 && l.m.values[r+1][c].isReading() {
				continue
			}
			if l.columns[c], l.names[c] = of, of.Name; unit != "" && !strings.HasSuffix(" "+table.Fold(of.Name), " "+table.Fold(unit)) {
				l.names[c] += " (" + unit + ")"
			}
			known++
			break
		}
	}
	return known
}

// unitsIn reports whether a row has no more than the units of the columns.
func (l *records) unitsIn(r int) bool {
	for _, c := range l.m.filled(r) {
		if of := l.columns[c]; of == nil || !strings.HasSuffix(l.names[c], ")") {
			return false
		}
	}
	return len(l.m.filled(r)) > 0
}

// readRows takes the rows below the header.
func (l *records) readRows() {
	gap, ended := false, false
	for r := l.below; r < l.m.height(); r++ {
		filled := l.m.filled(r)
		if len(filled) == 0 {
			gap = true
			continue
		}
		first := l.m.text(r, filled[0])
		switch {
		case IsSummary(first) && !l.hasWords(r, filled[0]) || l.computed(r):
			l.leave(first, l.m.line(r))
		case ended, gap && (len(filled) == 1 || strings.HasSuffix(first, ":")):
			l.takeAside(l.m, r)
			ended = true
		default:
			l.rows = append(l.rows, r)
		}
		gap = false
	}
	for c := range l.names {
		if head := l.m.text(l.below-1, c); l.columns[c] == nil && !l.m.rowsOf(l.below-1, l.m.height()).blankColumn(c) {
			l.leave(columnName(l.m, c, head), 0)
		}
	}
}

// hasWords reports whether a row has words behind its name, as a lamp has its kind.
func (l *records) hasWords(r, name int) bool {
	return slices.ContainsFunc(l.m.filled(r), func(c int) bool { return c > name && l.m.values[r][c].kind == words })
}

// computed reports whether all that a row has is formulas.
func (l *records) computed(r int) bool {
	return !slices.ContainsFunc(l.m.filled(r), func(c int) bool { return !l.m.cells[r][c].Formula })
}

// checkLengths asks where places without a unit are 30 m or more from the corner.
func (l *records) checkLengths() {
	if l.m.answers.lengthUnit != "" {
		return
	}
	bare := false
	for c, of := range l.columns {
		if of != schema.X && of != schema.Y && of != schema.Z || l.names[c] != of.Name {
			continue
		}
		for _, r := range l.rows {
			v := l.m.values[r][c]
			if bare = bare || v.kind == number && !finite(v.length); v.kind == number && !finite(v.length) && v.number >= FarApart {
				l.ask(askLength(l.headerLine, "places", quote(l.nameOf(r))+" would be at "+figure(v.number)+" m"))
				return
			}
		}
	}
	if bare {
		l.assume("sheet.length_unit")
	}
}

func (l *records) nameOf(r int) string { return l.m.text(r, l.m.filled(r)[0]) }

// plain is the draft with its cells as the plain form has them.
func (l *records) plain() *draft {
	var kept []int
	for c, of := range l.columns {
		if of != nil {
			kept = append(kept, c)
			l.header = append(l.header, table.Cell{Text: l.names[c], Line: max(l.headerLine, 1), Column: l.m.sheetColumn(c)})
		}
	}
	var name table.Cell
	for _, r := range l.rows {
		var row []table.Cell
		for n, c := range kept {
			cell := l.m.cells[r][c].Cell
			if cell.Line == 0 {
				cell.Line, cell.Column = l.m.line(r), l.m.sheetColumn(c)
			}
			switch {
			case n > 0 && l.columns[c] != schema.Comment:
				cell.Text = l.figureOf(cell.Text, c)
			case n == 0 && cell.Text == "" && l.in == schema.CamerasFile && name.Text != "":
				cell.Text = name.Text // filled in once for several rows
			case n == 0:
				name = cell
			}
			row = append(row, cell)
		}
		l.cells = append(l.cells, row)
	}
	if slices.Contains(l.columns, schema.X) && !slices.Contains(l.columns, schema.ColumnNamed(l.in, "kind")) {
		l.assumeKind()
	}
	return l.draft
}

// assumeKind takes lamps without a column of kinds as panels where they have a size, else
// as points.
func (l *records) assumeKind() {
	sized := slices.Index(l.columns, schema.ColumnNamed(l.in, "source width"))
	for i, r := range l.rows {
		kind := l.cells[i][0]
		kind.Text = "point"
		if sized >= 0 && l.m.text(r, sized) != "" {
			kind.Text = "panel"
		}
		l.cells[i] = append(l.cells[i], kind)
	}
	l.header = append(l.header, table.Cell{Text: "kind", Line: max(l.headerLine, 1), Column: 1})
	l.assume("sheet.kind")
}

// figureShape has a number and the unit behind it.
var figureShape = regexp.MustCompile(`^([-+−]?\d+(?:[.,'’\x{a0}\x{202f} ]\d+)*)\s*(\D*)$`)

// figureOf is a cell without what says that it is empty, without separators of thousands and
// without the name of its column as a unit.
func (l *records) figureOf(text string, c int) string {
	if schema.ClassOfCell(text)&schema.NotReadWord != 0 && len(text) > 1 || strings.Trim(text, "-–—") == "" {
		return ""
	}
	m := figureShape.FindStringSubmatch(text)
	if m == nil {
		return text
	}
	unit := strings.TrimSpace(m[2])
	if table.Fold(unit) == table.Fold(l.columns[c].Name) {
		unit = ""
	}
	v, ok := numeral(m[1], l.m.sign)
	if !ok || unit == strings.TrimSpace(m[2]) && !strings.ContainsAny(m[1], ".,'’\u00a0\u202f ") {
		return text
	}
	return strings.TrimSpace(figureText(v, l.m.sign) + " " + unit)
}

func (f found) dialect() table.Dialect {
	return table.Dialect{Encoding: f.sheet.Dialect.Encoding, Delimiter: f.sheet.Dialect.Delimiter, Decimal: f.sign, Settled: true}
}
