package table

import (
	"bufio"
	"bytes"
	"errors"
	"io"
	"strconv"
)

const (
	chunk       = 256 << 10 // how much of a file is read at a time
	longestLine = 16 << 20  // the most bytes that a line may have
)

// csvReader reads one CSV file, chunk by chunk, into a builder.
type csvReader struct {
	in       io.Reader
	buf      []byte // buf[start:end] is read and not yet used
	start    int
	end      int
	complete int  // the end of the last line in buf that is whole for certain
	line     int  // the line that buf[start] is on
	atEnd    bool // nothing more will come
	failed   error
	read     int64 // bytes read so far
	size     int64 // bytes of the whole file, 0 where that is not known

	sheet    *Sheet
	builder  builder
	parser   recordParser
	decimals decimals
	errs     errorList
	opts     options
}

// readCSV reads the file that begins with head. size is its length in bytes,
// 0 where it is not known.
func readCSV(in *bufio.Reader, head []byte, size int64, file string, choose chooser, opts options) ([]*Sheet, error) {
	r := &csvReader{line: 1, size: size, sheet: &Sheet{File: file}, opts: opts}
	r.in, r.sheet.Dialect.Encoding = decodeText(in, head)
	switch r.sheet.Dialect.Encoding {
	case encodingUTF16LE, encodingUTF16BE:
		r.size /= 2
	default:
		if what := foreign(head); what != "" {
			return nil, Errors{r.fault(0, what, tableExpected)}
		}
	}
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
	r.rows(wants)
	r.finish()
	return []*Sheet{r.sheet}, r.errs.all.ErrOrNil()
}

// fault makes an error about the file that is not about one cell.
func (r *csvReader) fault(line int, found, expected string) *Error {
	return &Error{File: r.sheet.File, Line: line, Found: found, InWords: true, Expected: expected}
}

// header reads notes and header; it is false where there is no table.
func (r *csvReader) header() bool {
	r.buf = make([]byte, max(r.opts.sniff, r.opts.chunk))
	for r.fill() && (r.end < r.opts.sniff || headerEnd(r.buf[:r.end]) == r.end) {
	}
	r.parser = recordParser{delimiter: findDelimiter(r.buf[:r.end], r.atEnd), limit: mostColumns}
	r.sheet.Dialect.Delimiter = rune(r.parser.delimiter)
	for {
		line, ok := r.record()
		if !ok {
			break
		}
		cells := r.parser.cells
		switch {
		case filledCells(cells) == 0 && r.parser.extraAt == 0:
			continue
		case isRemark(cells, true):
			if n, ok := parseNote(cells, r.parser.raw, r.parser.delimiter); ok {
				r.sheet.Notes = append(r.sheet.Notes, n)
			}
			continue
		case r.parser.extraAt > 0:
			e := r.fault(line, "more than 16,384 columns", "no more than a spreadsheet can have")
			r.errs.add(e)
			return false
		}
		setHeader(r.sheet, cells, &r.decimals, &r.errs)
		return true
	}
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
		if !b.sound(c, i) {
			c = rawCell{line: c.line}
		}
		s.Header = append(s.Header, Cell{string(c.text), c.line, i + 1})
		if n := scanNumeral(c.text, nil); c.kind == typed && n.reading != notNumber {
			d.see(n, s, -1, place{c.text, c.line, i + 1})
		}
	}
}

// rows reads everything below the header.
func (r *csvReader) rows(wants []Want) {
	b := &r.builder
	*b = builder{sheet: r.sheet, decimals: &r.decimals, errs: &r.errs}
	b.start(wants, r.expected())
	r.parser.limit = len(wants)
	plain := !r.opts.slow && !b.mixed
	for !r.errs.full() {
		if plain {
			if r.start >= r.complete {
				r.fill()
			}
			if r.start < r.complete {
				r.fast()
				if b.row == b.size {
					continue
				}
			}
		}
		line, ok := r.record()
		if !ok {
			break
		}
		cells := r.parser.cells
		switch {
		case filledCells(cells) == 0 && r.parser.extraAt == 0:
			continue
		case isRemark(cells, false):
			b.remark(cells, r.parser.raw, r.parser.delimiter)
			continue
		}
		for _, stray := range r.parser.strayText {
			r.errs.add(r.sheet.Error(stray.cell(), "nothing between a closing quote and the end of the cell"))
		}
		b.add(cells, line)
		if r.parser.extraAt > 0 {
			b.extra(r.parser.extra, r.parser.extraAt)
		}
	}
	if r.errs.full() {
		r.errs.all = append(r.errs.all, r.fault(r.line, strconv.Itoa(mostErrors)+" errors", "fewer; the rest of the file was not read"))
	}
}

// fast reads as many plain lines as it can.
func (r *csvReader) fast() {
	b := &r.builder
	b.room()
	bare, quoted := byte(undecided), byte(undecided)
	if sign := byte(r.decimals.sign); sign != 0 {
		quoted = sign
		if sign != r.parser.delimiter {
			bare = sign
		}
	}
	row := r.sheet.Rows
	taken, lines := b.fast(r.buf[r.start:r.complete], r.parser.delimiter, bare, quoted, &r.parser.seen)
	if lines > 0 {
		b.startLine(row, r.line)
	}
	r.start += taken
	r.line += lines
}

// record parses the next record and returns its line; it is false at the end
// of what can be read, with an error added where that is not the end of the
// file.
func (r *csvReader) record() (line int, ok bool) {
	for {
		for r.start == r.end {
			if !r.fill() {
				r.endFault(place{})
				return 0, false
			}
		}
		size, lines, status, openAt := r.parser.next(r.buf[r.start:r.end], r.line, r.atEnd && r.failed == nil)
		switch {
		case status == parsed:
			line = r.line
			r.start += size
			r.line += lines
			return line, true
		case status == openQuote || !r.fill():
			r.endFault(openAt)
			return 0, false
		}
	}
}

// endFault reports why the last record cannot be read. openAt is where a
// quote is open.
func (r *csvReader) endFault(openAt place) {
	switch {
	case r.failed != nil:
		e := r.fault(r.line, "an error while reading ("+r.failed.Error()+")", "the rest of the file")
		e.Err = r.failed
		r.errs.add(e)
	case openAt.line > 0:
		e := r.fault(openAt.line, "a quote that opens here and is never closed", "a closing quote")
		e.Column = openAt.column
		r.errs.add(e)
	case r.start < r.end:
		r.errs.add(r.fault(r.line, "a line of more than 16 MiB", "lines of a table that a person can open"))
	}
	r.start = r.end
}

// fill reads more of the file, or finds that this is its end; it is false where
// the end was known, or where what is not yet used is already too long for a
// line.
func (r *csvReader) fill() bool {
	if r.atEnd || r.end-r.start >= longestLine {
		return false
	}
	if r.start > 0 {
		r.end = copy(r.buf, r.buf[r.start:r.end])
		r.start = 0
	}
	if r.end == len(r.buf) {
		r.buf = append(r.buf, make([]byte, len(r.buf))...)
	}
	to := min(len(r.buf), r.end+r.opts.chunk)
	for idle := 0; r.end < to && !r.atEnd; {
		n, err := r.in.Read(r.buf[r.end:to])
		r.end += n
		r.read += int64(n)
		switch {
		case err == io.EOF:
			r.atEnd = true
		case err != nil:
			r.atEnd, r.failed = true, err
		case n == 0:
			if idle++; idle == 100 {
				r.atEnd, r.failed = true, io.ErrNoProgress
			}
		}
	}
	r.complete = lastLine(r.buf[:r.end])
	return true
}

// lastLine returns where the last line of buf ends that is whole for certain:
// a CR at the very end may be half of a CRLF.
func lastLine(buf []byte) int {
	if i := bytes.LastIndexByte(buf, '\n'); i >= 0 {
		return i + 1
	}
	if len(buf) == 0 {
		return 0
	}
	return bytes.LastIndexByte(buf[:len(buf)-1], '\r') + 1
}

// expected estimates the rows to come from the lines in the buffer and the
// size of the file; 0 where that is not known.
func (r *csvReader) expected() int {
	here := r.buf[r.start:r.end]
	lines := max(bytes.Count(here, []byte{'\n'}), bytes.Count(here, []byte{'\r'}))
	switch {
	case r.atEnd:
		return lines + 1
	case r.size <= r.read || len(here) == 0:
		return 0
	}
	rest := float64(len(here)) + float64(r.size-r.read)
	return int(float64(lines)*rest/float64(len(here))*1.01) + 16
}

// finish completes the sheet.
func (r *csvReader) finish() {
	s := r.sheet
	r.builder.finish()
	if first := r.parser.windows; first > 0 {
		if before := s.Dialect.Encoding; before == encodingMarked || r.parser.utf8 > 0 {
			text := "not UTF-8, as other lines are; read as Windows-1252"
			s.Warnings = append(s.Warnings, Warning{File: s.File, Line: first, Text: text})
		}
		s.Dialect.Encoding = encodingWindows
	}
	s.Dialect.LineEnd = r.parser.seen.String()
	r.decimals.settle([]*Sheet{s}, &r.errs)
}

// String names the line ends as Dialect does.
func (e lineEnds) String() string {
	switch e {
	case lineEnds{}:
		return ""
	case lineEnds{lf: true}:
		return "LF"
	case lineEnds{crlf: true}:
		return "CRLF"
	case lineEnds{cr: true}:
		return "CR"
	}
	return "mixed"
}
