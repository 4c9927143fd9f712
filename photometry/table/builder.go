package table

import (
	"math"
	"strconv"
)

// builder makes a sheet of records. Columns grow in blocks, so that a long
// file never has a column twice in memory; the first block is as long as the
// size of the file lets expect.
type builder struct {
	sheet    *Sheet
	decimals *decimals
	errs     *errorList

	blocks []block
	now    block // the last block, that which grows
	size   int   // rows that fit into it
	row    int   // rows in it
	offset int   // run: line of a row less its number
	words  []interner
	mixed  bool // there is a mixed column, which only records fill
	number numeralBuffer

	lateNote bool // a note below the header was warned of
}

// numeralBuffer is room for the digits of one number.
type numeralBuffer [64]byte

// block is some rows of each column, nil where the column is of another kind.
type block struct {
	num  [][]float64
	text [][]string
	rows int
}

const (
	firstBlock = 512     // rows of the first block, where nothing is known
	mostBlock  = 1 << 16 // rows of a further one
)

// start begins the rows, of which about expected will come; 0 is not known.
func (b *builder) start(wants []Want, expected int) {
	if len(wants) != len(b.sheet.Header) {
		panic("table: " + strconv.Itoa(len(wants)) + " wants for " + strconv.Itoa(len(b.sheet.Header)) + " columns")
	}
	b.sheet.Columns = make([]Column, len(wants))
	b.words = make([]interner, len(wants))
	for i, w := range wants {
		b.sheet.Columns[i].Want = w
		b.mixed = b.mixed || w == mixed
	}
	if expected <= 0 {
		expected = firstBlock
	}
	b.grow(expected)
}

// grow begins a new block.
func (b *builder) grow(size int) {
	if b.row > 0 {
		b.now.rows = b.row
		b.blocks = append(b.blocks, b.now)
	}
	n := len(b.sheet.Columns)
	b.now = block{num: make([][]float64, n), text: make([][]string, n)}
	for i, c := range b.sheet.Columns {
		if c.Want == Number || c.Want == mixed {
			b.now.num[i] = make([]float64, size)
		}
		if c.Want == Text || c.Want == mixed {
			b.now.text[i] = make([]string, size)
		}
	}
	b.size, b.row = size, 0
}

// room makes room for one more row.
func (b *builder) room() {
	if b.row == b.size {
		b.grow(min(2*b.size, mostBlock))
	}
}

// startLine says that this row, and those below it, stand on this line and
// those below it.
func (b *builder) startLine(row, line int) {
	if row == 0 || line-row != b.offset {
		b.offset = line - row
		b.sheet.runs = append(b.sheet.runs, run{row, line})
	}
}

// add adds a record that is neither blank nor a remark.
func (b *builder) add(cells []rawCell, line int) {
	b.room()
	row := b.sheet.Rows
	b.startLine(row, line)
	for j := range b.sheet.Columns {
		col := &b.sheet.Columns[j]
		if col.Want == Skip {
			continue
		}
		var c rawCell
		if j < len(cells) {
			c = cells[j]
		}
		if !b.sound(c, j) {
			c = rawCell{}
		}
		if col.Want != Text {
			b.now.num[j][b.row] = b.readNumber(col, row, j, c)
		}
		if col.Want != Number {
			b.now.text[j][b.row] = b.words[j].intern(c.text)
		}
	}
	b.row++
	b.sheet.Rows++
}

// sound reports whether a cell can be read at all, and the error where not.
func (b *builder) sound(c rawCell, column int) bool {
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
	for _, ch := range c.text {
		if ch < ' ' && ch != '\t' && ch != '\n' {
			e := b.sheet.Error(Cell{Text: string(c.text), Line: c.line, Column: column + 1}, "text without control characters")
			b.errs.add(e)
			return false
		}
	}
	return true
}

// readNumber returns the number of a cell, or NaN and, where the cell has
// something else, an odd one.
func (b *builder) readNumber(col *Column, row, column int, c rawCell) float64 {
	if len(c.text) == 0 {
		return math.NaN()
	}
	at := place{c.text, c.line, column + 1}
	n := numeral{}
	if c.kind != asText {
		n = scanNumeral(c.text, b.number[:0])
	}
	if n.reading != notNumber {
		if v, ok := n.parse(); ok {
			if c.kind == typed {
				v = n.read(v, b.decimals.see(n, b.sheet, row, at))
			}
			return v
		}
	} else if c.kind == typed {
		b.decimals.seeOdd(b.sheet, at)
	}
	col.Odd = append(col.Odd, Odd{row, Cell{b.words[column].intern(c.text), c.line, column + 1}})
	return math.NaN()
}

// extra reports a cell beyond the header.
func (b *builder) extra(c rawCell, column int) {
	n := len(b.sheet.Header)
	cells := " cells"
	if n == 1 {
		cells = " cell"
	}
	e := b.sheet.Error(Cell{Text: string(c.text), Line: c.line, Column: column}, "no more than the "+strconv.Itoa(n)+cells+" of the header")
	b.errs.add(e)
}

// finish puts the blocks of each column together.
func (b *builder) finish() {
	b.now.rows = b.row
	blocks := append(b.blocks, b.now)
	for j := range b.sheet.Columns {
		col := &b.sheet.Columns[j]
		if col.Want == Number || col.Want == mixed {
			col.Num = joinBlocks(blocks, b.sheet.Rows, func(k *block) *[]float64 { return &k.num[j] })
		}
		if col.Want == Text || col.Want == mixed {
			col.Text = joinBlocks(blocks, b.sheet.Rows, func(k *block) *[]string { return &k.text[j] })
		}
	}
	b.blocks, b.now, b.words = nil, block{}, nil
}

// joinBlocks puts one column together and lets its blocks go.
func joinBlocks[V any](blocks []block, rows int, of func(*block) *[]V) []V {
	if len(blocks) == 1 {
		all := *of(&blocks[0])
		if cap(all) <= rows+rows/8+64 {
			return all[:rows:rows]
		}
	}
	out := make([]V, 0, rows)
	for i := range blocks {
		part := of(&blocks[i])
		out = append(out, (*part)[:blocks[i].rows]...)
		*part = nil
	}
	return out
}

// interner gives equal texts of a column one string, as long as there are not
// too many different ones: labels, names of lamps and notes come again and
// again.
type interner struct {
	seen   map[string]string
	misses int
}

const mostWords = 1 << 12

func (in *interner) intern(text []byte) string {
	if len(text) == 0 {
		return ""
	}
	if in.misses < mostWords {
		if s, ok := in.seen[string(text)]; ok {
			return s
		}
		if in.seen == nil {
			in.seen = make(map[string]string)
		}
		in.misses++
		s := string(text)
		in.seen[s] = s
		return s
	}
	return string(text)
}

// cellName returns the name that a spreadsheet program gives a cell: B7.
// column counts from 0, line from 1.
func cellName(column, line int) string {
	name := ""
	for column++; column > 0; column = (column - 1) / 26 {
		name = string(rune('A'+(column-1)%26)) + name
	}
	return name + strconv.Itoa(line)
}

// remark takes note of a line below the header that starts with #. What looks
// like a note there is not one, and the first of its kind is warned of.
func (b *builder) remark(cells []rawCell, raw []byte, delimiter byte) {
	n, ok := parseNote(cells, raw, delimiter)
	if !ok || b.lateNote {
		return
	}
	b.lateNote = true
	s := b.sheet
	s.Warnings = append(s.Warnings, Warning{File: s.File, Sheet: s.Name, Line: n.Line, Column: n.Column,
		Text: quoteShort("# "+n.Key) + " stands below the header and counts as a remark; notes stand above it"})
}
