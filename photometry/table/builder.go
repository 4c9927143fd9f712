package table

import (
	"cmp"
	"math"
	"slices"
	"strconv"
)

// builder builds a sheet from records.
type builder struct {
	sheet    *Sheet
	decimals *decimals
	errs     *errorList

	offset int // line of a row less its number, in the current run
	words  []interner

	lateNote bool // there was a warning of a note below the header
	missing  int  // cells by which all rows are shorter than the header
}

const (
	// initialRows is the capacity for rows where their number is not known.
	initialRows = 512
	// maxExpectedCells limits the cells for which memory is allocated in advance.
	maxExpectedCells = 64 << 20
	// maxMissingCells limits the cells by which all rows are shorter than the
	// header: these take no space in the file but as much memory as any other.
	maxMissingCells = 32 << 20
)

// source yields the records of a table, lines of a CSV text or rows of a
// worksheet.
type source interface {
	// next returns the next record, nil at the end and where nothing more can
	// be read.
	next() *record
	// fault returns why nothing more could be read, nil at the end. The error has
	// no file.
	fault() *Error
}

// read reads all of a source: notes, then the header, then rows, of which
// about expected will come; 0 is not known. It is false where the source has
// no table. Its error is that of choose.
func (b *builder) read(from source, choose chooser, expected int) (kept bool, err error) {
	for !b.errs.full() {
		r := from.next()
		if r == nil {
			break
		}
		switch {
		case r.blank():
		case isRemark(r.cells, !kept):
			b.remark(r, kept)
			if len(b.sheet.Notes) > MostNotes {
				return false, nil
			}
		case kept && b.missing > maxMissingCells:
			b.errs.add(&Error{File: b.sheet.File, Sheet: b.sheet.Name, Line: r.line, Found: "short rows under a header of " + strconv.Itoa(len(b.sheet.Header)) + " cells",
				InWords: true, Expected: "a header as wide as its rows"})
			b.finish()
			return true, nil
		case kept:
			b.add(r)
		default:
			if wide := tooWide(b.sheet.File, b.sheet.Name, r.line, max(filledCells(r.cells), r.extra.Column)); wide != nil {
				b.errs.add(wide)
				return false, nil
			}
			b.header(r.cells)
			wants, err := choose(b.sheet)
			if err != nil {
				return false, err
			}
			b.start(wants, expected)
			kept = true
		}
	}
	if e := from.fault(); e != nil {
		e.File, e.Sheet = b.sheet.File, b.sheet.Name
		b.errs.add(e)
	}
	b.finish()
	return kept, nil
}

// header makes the header of a sheet from its cells. Plain numbers in it, as in
// the first row of a grid, count as evidence of the decimal sign.
func (b *builder) header(cells []rawCell) {
	for i := range cells[:filledCells(cells)] {
		c := &cells[i]
		if !b.isReadable(c, i) {
			c = &rawCell{line: c.line}
		}
		b.sheet.Header = append(b.sheet.Header, Cell{string(c.text), c.line, i + 1})
		if n := scanNumeral(c.text); c.kind == typed && n.digits != "" {
			b.decimals.observe(n, b.sheet, -1, place{c.text, c.line, i + 1})
		}
	}
}

// remark handles a line that starts with #. Above the header it may be a note; the
// first line below it that looks like one is a warning.
func (b *builder) remark(r *record, below bool) {
	s := b.sheet
	n, ok := parseNote(r, cmp.Or(byte(s.Dialect.Delimiter), ','))
	switch {
	case !ok:
	case !below:
		if fault := addNote(&s.Notes, n, s.File, s.Name); fault != nil {
			b.errs.add(fault)
		}
	case !b.lateNote:
		b.lateNote = true
		s.warn(n.Line, n.Column, quoteShort("# "+n.Key)+" is below the header and counts as a remark; notes are above it")
	}
}

// start begins the rows, of which about expected will follow; 0 is not known.
func (b *builder) start(wants []Want, expected int) {
	if len(wants) != len(b.sheet.Header) {
		panic("table: " + strconv.Itoa(len(wants)) + " wants for " + strconv.Itoa(len(b.sheet.Header)) + " columns")
	}
	if expected = min(expected, maxExpectedCells/max(1, len(wants))); expected <= 0 {
		expected = initialRows
	}
	b.sheet.Columns = make([]Column, len(wants))
	b.words = make([]interner, len(wants))
	for i, w := range wants {
		col := Column{Want: w}
		if w == Number || w == mixed {
			col.Num = make([]float64, 0, expected)
		}
		if w == Text || w == mixed {
			col.Text = make([]string, 0, expected)
		}
		b.sheet.Columns[i] = col
	}
}

// addRun records that this row and those after it are on this line and those
// after it.
func (b *builder) addRun(row, line int) {
	if row == 0 || line-row != b.offset {
		b.offset = line - row
		b.sheet.runs = append(b.sheet.runs, run{row, line})
	}
}

// add adds a record that is neither blank nor a remark.
func (b *builder) add(r *record) {
	row := b.sheet.Rows
	b.addRun(row, r.line)
	for _, stray := range r.stray {
		b.errs.add(b.sheet.Error(stray, "nothing between a closing quote and the end of the cell"))
	}
	for j := range b.sheet.Columns {
		col := &b.sheet.Columns[j]
		if col.Want == Skip {
			if j < len(r.cells) && len(r.cells[j].text) > 0 {
				b.setAside(row, j, &r.cells[j])
			}
			continue
		}
		c := &rawCell{}
		if j < len(r.cells) {
			c = &r.cells[j]
		} else {
			b.missing++
		}
		if col.Want == Number {
			if v, ok := plainNumber(c.text, b.decimalSignOf(c)); ok {
				col.Num = append(col.Num, v)
				continue
			}
		}
		if !b.isReadable(c, j) {
			c = &rawCell{}
		}
		if col.Want != Text {
			col.Num = append(col.Num, b.readNumber(col, row, j, c))
		}
		if col.Want != Number {
			col.Text = append(col.Text, b.words[j].intern(c.text))
		}
	}
	b.sheet.Rows++
	b.checkWidth(r)
}

// setAside keeps the key of a cell that is not read, by which copied rows are told from
// readings taken again.
func (b *builder) setAside(row, column int, c *rawCell) {
	s := b.sheet
	for len(s.aside) <= row {
		s.aside = append(s.aside, 0)
	}
	name := columnKey(s.Header[column].Text)
	if v, ok := plainNumber(c.text, b.decimalSignOf(c)); ok {
		s.aside[row] += numberKey(name, v)
		return
	}
	s.aside[row] += textKey(name, string(c.text))
}

// decimalSignOf returns the decimal sign of a cell, 0 where it is not known or the
// cell is not a number.
func (b *builder) decimalSignOf(c *rawCell) byte {
	switch c.kind {
	case typed:
		return byte(b.decimals.sign)
	case number:
		return '.'
	}
	return 0
}

// isReadable reports whether a cell can be read at all, and adds the error if not.
func (b *builder) isReadable(c *rawCell, column int) bool {
	switch c.kind {
	case cellError:
		e := b.sheet.Error(Cell{Text: string(c.text), Line: c.line, Column: column + 1}, "a value in cell "+cellName(column, c.line))
		b.errs.add(e)
		return false
	case noValue:
		e := b.sheet.Error(Cell{Line: c.line, Column: column + 1},
			"its value: open and save the workbook in a spreadsheet program, or type the value in")
		e.Found, e.InWords = "a formula in cell "+cellName(column, c.line)+" whose value was never computed", true
		b.errs.add(e)
		return false
	}
	if expected := unfit(c.text); expected != "" {
		b.errs.add(b.sheet.Error(Cell{string(c.text), c.line, column + 1}, expected))
		return false
	}
	return true
}

// hasControl reports whether a text has control characters of ASCII or Latin-1 but
// for tabs and line feeds: a terminal may obey them.
func hasControl[T string | []byte](text T) bool {
	for i := range len(text) {
		switch ch := text[i]; {
		case ch < ' ' && ch != '\t' && ch != '\n', ch == 0x7f:
			return true
		case ch == 0xc2 && i+1 < len(text) && text[i+1] < 0xa0: // U+0080 to U+009F in UTF-8
			return true
		}
	}
	return false
}

// readNumber returns the number of a cell, or NaN; a cell with something else is
// added to the column's odd cells.
func (b *builder) readNumber(col *Column, row, column int, c *rawCell) float64 {
	if len(c.text) == 0 {
		return math.NaN()
	}
	at := place{c.text, c.line, column + 1}
	n := numeral{}
	if c.kind != asText {
		n = scanNumeral(c.text)
	}
	if n.digits != "" {
		if v, ok := n.parse(); ok {
			if c.kind == typed {
				v = n.inDecimal(v, b.decimals.observe(n, b.sheet, row, at))
			}
			return v
		}
	} else if c.kind == typed {
		b.decimals.observeOdd(b.sheet, at)
	}
	col.Odd = append(col.Odd, Odd{row, Cell{b.words[column].intern(c.text), c.line, column + 1}})
	return math.NaN()
}

// checkWidth reports the cells of a record beyond the header.
func (b *builder) checkWidth(r *record) {
	n := len(b.sheet.Header)
	extra := r.extra
	for j := n; j < len(r.cells); j++ {
		if c := r.cells[j]; len(c.text) > 0 || c.kind == noValue {
			extra = Cell{string(c.text), c.line, j + 1}
			break
		}
	}
	if extra.Column > 0 {
		cells := " cells"
		if n == 1 {
			cells = " cell"
		}
		b.errs.add(b.sheet.Error(extra, "no more than the "+strconv.Itoa(n)+cells+" of the header"))
	}
}

// finish releases memory that was not needed.
func (b *builder) finish() {
	for j := range b.sheet.Columns {
		col := &b.sheet.Columns[j]
		col.Num, col.Text = clip(col.Num), clip(col.Text)
	}
	b.words = nil
}

// clip copies a column whose capacity is much larger than its length.
func clip[V any](column []V) []V {
	if cap(column) > len(column)+len(column)/8+64 {
		return slices.Clone(column)
	}
	return slices.Clip(column)
}

// interner gives equal texts of a column one string, unless there are too many
// different ones: labels, names of lamps and notes repeat often.
type interner map[string]string

const mostWords = 1 << 12

func (in *interner) intern(text []byte) string {
	if s, ok := (*in)[string(text)]; ok {
		return s
	}
	s := string(text)
	if *in == nil {
		*in = make(interner)
	}
	if len(*in) < mostWords {
		(*in)[s] = s
	}
	return s
}

// cellName returns the name that a spreadsheet program gives a cell: B7.
// column counts from 0, line from 1.
func cellName(column, line int) string { return ColumnName(column+1) + strconv.Itoa(line) }

// ColumnName is the name of a column alone, counted from 1: AA.
func ColumnName(column int) string {
	name := ""
	for ; column > 0; column = (column - 1) / 26 {
		name = string(rune('A'+(column-1)%26)) + name
	}
	return name
}
