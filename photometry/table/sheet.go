package table

import (
	"errors"
	"math"
	"sort"
	"strconv"
	"strings"
)

// Note is a “# key: value” line before the table. Key is in lower case with
// single spaces inside; Value is the rest of the line, trimmed, without the
// empty cells that a spreadsheet program pads it with. A # line without a
// colon and without a value in a cell of its own is a remark, not a note.
type Note struct {
	Key, Value   string
	Line, Column int
}

// Cell is the text of a cell, trimmed, and its place. Line is where the cell
// begins (cells may run over several lines), Column counts cells from 1.
type Cell struct {
	Text         string
	Line, Column int
}

// Want is how a column is to be read.
type Want uint8

const (
	Skip   Want = iota // the column is not kept
	Number             // plain numbers into Column.Num, anything else into Column.Odd
	Text               // trimmed text into Column.Text

	// mixed keeps the text of a column of numbers, so that it can be read
	// again by a type of its own; its cells count as evidence of the decimal
	// sign. For typed tables.
	mixed
)

// Column is one column of a sheet.
type Column struct {
	Want Want

	// Num has one value per row where Want is Number: NaN where the cell is empty
	// or odd.
	Num []float64

	// Text has one string per row, trimmed, where Want is Text; "" where the cell
	// is empty.
	Text []string

	// Odd has the cells of a Number column that are neither empty nor a plain
	// number ("116 fc", "f/8", "5.6 7/10", "n/a", "NaN"), in the order of the
	// rows. The caller must read each or report it as an error.
	Odd []Odd
}

// Odd is a cell of a Number column that is not a plain number. Row counts
// data rows from 0.
type Odd struct {
	Row  int
	Cell Cell
}

// Sheet is one table: a CSV file or a worksheet. All columns have Rows
// entries, or none where they were skipped.
type Sheet struct {
	File, Name string // Name is the worksheet's, "" for CSV
	Notes      []Note
	Header     []Cell // as many as Columns; empty ones at the end are left out
	Columns    []Column
	Rows       int
	Dialect    Dialect
	Warnings   []Warning

	runs  []run
	aside []uint64 // keys of the cells of skipped columns by row; nil for none
	cells [][]Cell // of a sheet made of cells from anywhere; nil for a table as it is in its file
}

// run says that data row Row is on line Line and that the rows after it are on the
// following lines, until the next run.
type run struct{ Row, Line int }

// Place names the sheet in messages: its file, and the worksheet where it has one.
func (s *Sheet) Place() string {
	if s.Name == "" {
		return s.File
	}
	return s.File + "[" + s.Name + "]"
}

// Line returns the line of the file (the row of the worksheet) on which data
// row row, counted from 0, begins. It panics where there is no such row.
func (s *Sheet) Line(row int) int {
	if row < 0 || row >= s.Rows {
		panic("table: no row " + strconv.Itoa(row) + " in a sheet of " + strconv.Itoa(s.Rows))
	}
	if s.cells != nil {
		return s.cells[row][0].Line
	}
	i := sort.Search(len(s.runs), func(i int) bool { return s.runs[i].Row > row }) - 1
	return s.runs[i].Line + row - s.runs[i].Row
}

// Cell returns the cell of a data row and column, both counted from 0, with
// its place. For a Number column Text is the odd text, or the number in its
// shortest form, or "" where the cell is empty; for a skipped one it is "".
func (s *Sheet) Cell(row, column int) Cell {
	if s.cells != nil {
		return s.cells[row][column]
	}
	c := Cell{Line: s.Line(row), Column: column + 1}
	switch col := &s.Columns[column]; col.Want {
	case Number:
		i := sort.Search(len(col.Odd), func(i int) bool { return col.Odd[i].Row >= row })
		if i < len(col.Odd) && col.Odd[i].Row == row {
			return col.Odd[i].Cell
		}
		if v := col.Num[row]; !math.IsNaN(v) {
			c.Text = strconv.FormatFloat(v, 'g', -1, 64)
		}
	case Text, mixed:
		c.Text = col.Text[row]
	}
	return c
}

// Error makes an Error of this sheet at a cell: found is the cell's text.
func (s *Sheet) Error(c Cell, expected string) *Error {
	return &Error{File: s.File, Sheet: s.Name, Line: c.Line, Column: c.Column, Found: c.Text, Expected: expected}
}

// Fault makes an Error of this sheet as a whole, placed at its header; found is in words.
func (s *Sheet) Fault(found, expected string) *Error {
	return &Error{File: s.File, Sheet: s.Name, Line: s.Header[0].Line, Found: found, InWords: true, Expected: expected}
}

// warn adds a warning of this sheet at a place, as far as it is known.
func (s *Sheet) warn(line, column int, text string) {
	s.Warnings = append(s.Warnings, Warning{File: s.File, Sheet: s.Name, Line: line, Column: column, Text: text})
}

// ErrSkipSheet is returned by a Choose function to skip a sheet.
var ErrSkipSheet = errors.New("table: sheet left out")

// Choose returns how each column is to be read. It is called once per sheet, when
// notes and header are known and before the rows are read, and returns one Want per
// header cell. It may return ErrSkipSheet; any other error ends the reading and is
// returned unchanged, with the errors found so far where it is an *Error or Errors.
type Choose func(notes []Note, header []Cell) ([]Want, error)

// AmongHeads names the columns of the sheet, for an error about one that is not there; "" where
// none has a name.
func (s *Sheet) AmongHeads() string {
	var names []string
	for _, cell := range s.Header {
		if cell.Text != "" {
			names = append(names, "“"+cell.Text+"”")
		}
	}
	if len(names) == 0 {
		return ""
	}
	return " among " + strings.Join(names, ", ")
}
