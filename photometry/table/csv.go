package table

import (
	"bufio"
	"bytes"
	"errors"
	"strconv"
)

// csvReader reads one CSV file into a sheet.
type csvReader struct {
	sheet    *Sheet
	records  *recordReader
	builder  builder
	decimals decimals
	errs     errorList
}

// readCSV reads the file that begins with head. size is its length in bytes,
// 0 where it is not known.
func readCSV(in *bufio.Reader, head []byte, size int64, file string, choose chooser) ([]*Sheet, error) {
	r := &csvReader{sheet: &Sheet{File: file}}
	decoded, encoding := decodeText(in, head)
	switch encoding {
	case encodingUTF16LE, encodingUTF16BE:
		size /= 2
	default:
		if what := foreign(head); what != "" {
			return nil, Errors{r.fault(0, what, tableExpected)}
		}
	}
	text := bufio.NewReaderSize(decoded, bufferSize)
	start, err := text.Peek(bufferSize)
	whole := err != nil // an error comes again when the rest is read
	expected := expectedRows(start, whole, size)
	r.records = newRecordReader(text, findDelimiter(start, whole))
	r.sheet.Dialect = Dialect{Encoding: encoding, Delimiter: rune(r.records.delimiter)}

	if !r.header() {
		return nil, r.errs.all.ErrOrNil()
	}
	wants, err := choose(r.sheet)
	switch {
	case errors.Is(err, ErrSkipSheet):
		return nil, nil
	case err != nil:
		return nil, withErrors(r.errs.all, err)
	}
	r.rows(wants, expected)
	r.finish()
	return []*Sheet{r.sheet}, r.errs.all.ErrOrNil()
}

// fault makes an error about the file that is not about one cell.
func (r *csvReader) fault(line int, found, expected string) *Error {
	return &Error{File: r.sheet.File, Line: line, Found: found, InWords: true, Expected: expected}
}

// expectedRows estimates the rows of a file from the lines at its start, and
// its size where that is not the whole; 0 is not known.
func expectedRows(start []byte, whole bool, size int64) int {
	lines := max(bytes.Count(start, []byte{'\n'}), bytes.Count(start, []byte{'\r'}))
	if whole {
		return lines + 1
	}
	return int(float64(lines) / float64(len(start)) * float64(size) * 1.01)
}

// header reads notes and header; it is false where there is no table.
func (r *csvReader) header() bool {
	for r.records.next() {
		cells := r.records.cells
		switch {
		case r.records.blank():
		case isRemark(cells, true):
			if n, ok := parseNote(cells, r.records.raw, r.records.delimiter); ok {
				r.sheet.Notes = append(r.sheet.Notes, n)
			}
		case r.records.extra.Column > 0:
			r.errs.add(r.fault(r.records.line, "more than 16,384 columns", "no more than a spreadsheet can have"))
			return false
		default:
			setHeader(r.sheet, cells, &r.decimals, &r.errs)
			return true
		}
	}
	r.endFault()
	if len(r.errs.all) == 0 {
		found := "an empty file"
		if len(r.sheet.Notes) > 0 {
			found = "notes and no table"
		}
		r.errs.add(r.fault(0, found, "a header row with the names of the columns, and rows below it"))
	}
	return false
}

// setHeader makes the header of a sheet of its cells. Plain numbers in it, as
// in the first row of a grid, count as evidence of the decimal sign.
func setHeader(s *Sheet, cells []rawCell, d *decimals, errs *errorList) {
	b := builder{sheet: s, errs: errs}
	for i, c := range cells[:filledCells(cells)] {
		if !b.sound(&c, i) {
			c = rawCell{line: c.line}
		}
		s.Header = append(s.Header, Cell{string(c.text), c.line, i + 1})
		if n := scanNumeral(c.text, nil); c.kind == typed && n.reading != notNumber {
			d.see(n, s, -1, place{c.text, c.line, i + 1})
		}
	}
}

// rows reads everything below the header.
func (r *csvReader) rows(wants []Want, expected int) {
	b := &r.builder
	*b = builder{sheet: r.sheet, decimals: &r.decimals, errs: &r.errs}
	b.start(wants, expected)
	r.records.limit = len(wants)
	for !r.errs.full() {
		if !r.records.next() {
			r.endFault()
			return
		}
		cells := r.records.cells
		switch {
		case r.records.blank():
			continue
		case isRemark(cells, false):
			b.remark(cells, r.records.raw, r.records.delimiter)
			continue
		}
		for _, stray := range r.records.stray {
			r.errs.add(r.sheet.Error(stray, "nothing between a closing quote and the end of the cell"))
		}
		b.add(cells, r.records.line)
		if r.records.extra.Column > 0 {
			b.extra(r.records.extra)
		}
	}
	r.errs.all = append(r.errs.all, r.fault(r.records.lines.line+1, strconv.Itoa(mostErrors)+" errors", "fewer; the rest of the file was not read"))
}

// endFault reports why no more records can be read, where that is not the end
// of the file.
func (r *csvReader) endFault() {
	line := r.records.lines.line + 1
	switch err := r.records.lines.err(); {
	case errors.Is(err, bufio.ErrTooLong):
		r.errs.add(r.fault(line, "a line of more than 16 MiB", "lines of a table that a person can open"))
	case err != nil:
		e := r.fault(line, "an error while reading ("+err.Error()+")", "the rest of the file")
		e.Err = err
		r.errs.add(e)
	case r.records.openQuote.Line > 0:
		e := r.fault(r.records.openQuote.Line, "a quote that opens here and is never closed", "a closing quote")
		e.Column = r.records.openQuote.Column
		r.errs.add(e)
	}
}

// finish completes the sheet.
func (r *csvReader) finish() {
	s := r.sheet
	r.builder.finish()
	if first := r.records.windows; first > 0 {
		if s.Dialect.Encoding == encodingMarked || r.records.utf8 > 0 {
			text := "not UTF-8, as other lines are; read as Windows-1252"
			s.Warnings = append(s.Warnings, Warning{File: s.File, Line: first, Text: text})
		}
		s.Dialect.Encoding = encodingWindows
	}
	s.Dialect.LineEnd = r.records.lines.ends.String()
	r.decimals.settle([]*Sheet{s}, &r.errs)
}
