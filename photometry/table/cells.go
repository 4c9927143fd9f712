package table

import (
	"bufio"
	"bytes"
	"fmt"
	"io"
	"math"
	"regexp"
	"slices"
)

// RawCell is a cell before anything was made of it: its text, where it is and what the
// workbook says of it.
type RawCell struct {
	Cell
	Number  bool // a number of a workbook, which has a decimal point whatever the texts have
	Formula bool // computed by the workbook
	NoValue bool // a formula whose value was never computed, or an error value
}

// Cells is a whole sheet, a slice of cells a row, as it is in the file, without empty
// cells at the end of a row; nil is one or several blank rows between others. Lines that
// start with # above the first other one are its notes, others are left out.
type Cells struct {
	File, Name string
	Notes      []Note
	Rows       [][]RawCell
	Dialect    Dialect // without the decimal sign
}

// ReadCells reads a file as cells, up to [MostTypedCells] and [MostTypedRows] a sheet. A CSV
// file gives one sheet, a workbook one per worksheet. It fails where the file cannot be
// read at all, not where a cell makes no sense; with [ErrTooLong] beyond those limits.
//
// The delimiter is the one by which most lines have several cells, most of them equally
// many, and cells are single numbers or words; a first line such as sep=; decides it.
// Columns may be lined up by spaces, two or more between them.
func ReadCells(r io.Reader, file string) ([]*Cells, error) {
	in := bufio.NewReaderSize(r, bufferSize)
	head, _ := in.Peek(peekSize)
	if bytes.HasPrefix(head, []byte(zipStart)) {
		return readWorkbookCells(in, file)
	}
	text, encoding, err := openText(in, head, file)
	if err != nil {
		return nil, err
	}
	start, err := text.Peek(bufferSize)
	delimiter := bestDelimiter(start, err != nil)
	if delimiterScore(aligned(start), '\t') > delimiterScore(start, delimiter) {
		whole, err := io.ReadAll(text)
		if err != nil {
			return nil, Errors{{File: file, Found: err.Error(), InWords: true, Expected: tableExpected}}
		}
		text, delimiter = bufio.NewReaderSize(bytes.NewReader(aligned(whole)), bufferSize), '\t'
	}
	records := newRecordReader(text, delimiter)
	s := &Cells{File: file, Dialect: Dialect{Encoding: encoding, Delimiter: rune(delimiter), Decimal: '.'}}
	if err := s.take(records); err != nil {
		return nil, Errors{err}
	}
	if records.windows1252Line > 0 {
		s.Dialect.Encoding = encodingWindows
	}
	s.Dialect.LineEnd = records.lines.ends.String()
	return []*Cells{s}, nil
}

var columnGap = regexp.MustCompile(`(?m)(\S|^) {2,}`)

// aligned is a text with a tab for each two or more spaces, as in columns that somebody
// lined up by hand. A line that begins with them has an empty first cell.
func aligned(text []byte) []byte {
	return columnGap.ReplaceAll(text, []byte("$1\t"))
}

func readWorkbookCells(in io.Reader, file string) (sheets []*Cells, err error) {
	book, fault := openWorkbook(in)
	if fault != nil {
		fault.File = file
		return nil, Errors{fault}
	}
	for _, part := range book.parts {
		s := &Cells{File: file, Name: part.name, Dialect: Dialect{Encoding: encodingXLSX, Decimal: '.'}}
		rows := book.rows(part)
		fault := s.take(rows)
		rows.close()
		if fault != nil {
			return nil, Errors{fault}
		}
		sheets = append(sheets, s)
	}
	return sheets, nil
}

// take keeps the records of a source as rows.
func (s *Cells) take(from source) *Error {
	taken := 0
	for {
		r := from.next()
		if r == nil {
			break
		}
		switch {
		case r.blank():
			if n := len(s.Rows); n > 0 && len(s.Rows[n-1]) > 0 {
				s.Rows = append(s.Rows, nil)
			}
			continue
		case len(s.Rows) == 0 && s.Notes == nil && separatorLine(r.raw) != 0:
			continue
		case isRemark(r.cells, len(s.Rows) == 0) && !namesFollow(r.cells):
			if fault := s.takeRemark(r); fault != nil {
				return fault
			}
			continue
		}
		n := filledCells(r.cells)
		if wide := tooWide(s.File, s.Name, r.line, n); wide != nil {
			return wide
		}
		if taken += n; taken > MostTypedCells || len(s.Rows) >= MostTypedRows {
			return &Error{File: s.File, Sheet: s.Name, Line: r.line, Found: fmt.Sprintf("more than %d cells or %d rows in a sheet without a plain header", MostTypedCells, MostTypedRows), InWords: true,
				Expected: "a first row with the names of the columns, such as label, E (lx), and readings below it", Err: ErrTooLong}
		}
		if fault := s.takeRow(r.cells[:n]); fault != nil {
			return fault
		}
	}
	if n := len(s.Rows); n > 0 && s.Rows[n-1] == nil {
		s.Rows = s.Rows[:n-1]
	}
	if fault := from.fault(); fault != nil {
		fault.File, fault.Sheet = s.File, s.Name
		return fault
	}
	return nil
}

// takeRemark keeps the note of a remark, if it is one: below a title as a row, since whoever
// finds the table sees whether it is a note.
func (s *Cells) takeRemark(r *record) *Error {
	n, ok := parseNote(r, max(byte(s.Dialect.Delimiter), ' '))
	switch {
	case !ok:
		return nil
	case len(s.Rows) > 0:
		s.Rows = append(s.Rows, []RawCell{{Cell: Cell{"# " + n.Key + ": " + n.Value, n.Line, n.Column}}})
		return nil
	}
	return addNote(&s.Notes, n, s.File, s.Name)
}

// namesFollow reports whether a record is the header of a table whose first column is
// called #: names alone follow it, and no number of a row that # puts out of use.
func namesFollow(cells []rawCell) bool {
	cells = cells[:filledCells(cells)]
	for len(cells) > 0 && len(cells[0].text) == 0 {
		cells = cells[1:]
	}
	if len(cells) < 3 || string(cells[0].text) != "#" {
		return false
	}
	return !slices.ContainsFunc(cells[1:], func(c rawCell) bool { return c.kind == number || scanNumeral(c.text).digits != "" })
}

// takeRow keeps the cells of a record as a row.
func (s *Cells) takeRow(cells []rawCell) *Error {
	row := make([]RawCell, len(cells))
	for j, c := range cells {
		if expected := unfit(c.text); expected != "" {
			return &Error{File: s.File, Sheet: s.Name, Line: c.line, Column: j + 1, Found: string(c.text), Expected: expected}
		}
		row[j] = RawCell{Cell: Cell{string(c.text), c.line, j + 1}, Number: c.kind == number, Formula: c.formula,
			NoValue: c.kind == noValue || c.kind == cellError}
	}
	s.Rows = append(s.Rows, row)
	return nil
}

// separatorLine returns the delimiter of a line such as sep=; that some spreadsheet
// programs write first, 0 for another line.
func separatorLine(line []byte) byte {
	line = bytes.TrimSpace(line)
	if len(line) == 5 && bytes.EqualFold(line[:4], []byte("sep=")) && slices.Contains(delimiters, line[4]) {
		return line[4]
	}
	return 0
}

// bestDelimiter finds the delimiter of a text whose table may start anywhere: by the
// share of lines with several cells, times the share at their commonest number, and the
// share of cells that are single numbers or words. Where no line has several cells it is
// one that no cell contains.
func bestDelimiter(head []byte, whole bool) byte {
	if i := bytes.LastIndexAny(head, "\r\n"); !whole && i >= 0 {
		head = head[:i+1]
	}
	first, _, _ := bytes.Cut(head, []byte("\n"))
	if d := separatorLine(first); d != 0 {
		return d
	}
	best, bestScore := byte(0), 0.0
	for _, d := range delimiters {
		if score := delimiterScore(head, d); score > bestScore {
			best, bestScore = d, score
		}
	}
	if best != 0 {
		return best
	}
	return findDelimiter(head, whole)
}

func delimiterScore(head []byte, delimiter byte) float64 {
	records := newRecordReader(bytes.NewReader(head), delimiter)
	lines, several, cells, clean := 0, 0, 0, 0
	widths := map[int]int{}
	for r := records.next(); r != nil && lines < sniffRecords; r = records.next() {
		filled := filledCells(r.cells)
		if filled == 0 || isRemark(r.cells, true) {
			continue
		}
		lines++
		if records.count > 1 {
			several++
			widths[records.count]++
		}
		for _, c := range r.cells[:filled] {
			if len(c.text) == 0 {
				continue
			}
			if cells++; c.quoted || cleanCell(c.text, delimiter) {
				clean++
			}
		}
	}
	commonest := 0
	for _, n := range widths {
		commonest = max(commonest, n)
	}
	if several == 0 {
		return 0
	}
	t := trial{}
	return t.share(several, lines)*t.share(commonest, several) + 0.6*t.share(clean, cells)
}

// Sheet makes a sheet of records whose cells keep their places in a file, a header
// before them, so that a table found anywhere in a sheet reads as one that begins at its
// top. Its columns are skipped until [Sheet.Fill].
func (s *Cells) Sheet(header []Cell, records [][]Cell, dialect Dialect) *Sheet {
	return &Sheet{File: s.File, Name: s.Name, Notes: s.Notes, Header: header, Columns: make([]Column, len(header)), Rows: len(records), Dialect: dialect, cells: records}
}

// Fill makes the columns of a sheet of [Cells.Sheet]; numbers are as the dialect reads
// them.
func (s *Sheet) Fill(wants []Want) {
	for j, want := range wants {
		col := &s.Columns[j]
		*col = Column{Want: want}
		for i, record := range s.cells {
			c := record[j]
			if want == Text || want == mixed {
				col.Text = append(col.Text, c.Text)
			}
			if want != Number && want != mixed {
				continue
			}
			v, err := s.Dialect.Number(c.Text)
			if err != nil {
				v = math.NaN()
				if c.Text != "" {
					col.Odd = append(col.Odd, Odd{i, c})
				}
			}
			col.Num = append(col.Num, v)
		}
	}
}

// Fold writes a text for comparison with known words: in lower case, without accents,
// with ß as ss and single spaces.
func Fold(text string) string { return foldName(foldAccents(text)) }
