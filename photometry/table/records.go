package table

import (
	"bufio"
	"bytes"
	"errors"
	"io"
	"unicode/utf8"

	"golang.org/x/text/encoding/charmap"
)

// kind is the origin of the text of a cell.
type kind uint8

const (
	typed     kind = iota // text that a person or a program typed: its dialect counts
	number                // a number in a workbook, with a decimal point whatever the dialect
	asText                // a date, a time or a boolean of a workbook, written out
	cellError             // an error value of a workbook, #DIV/0!
	noValue               // a formula of a workbook without a value
)

// rawCell is a cell of a record. Its text is only valid until the next
// record.
type rawCell struct {
	text    []byte // trimmed, in UTF-8
	line    int
	kind    kind
	quoted  bool
	formula bool // computed by the workbook
}

// maxColumns is how many columns a spreadsheet can have.
const maxColumns = 16_384

// record is a line of cells: of a CSV text, or a row of a worksheet.
type record struct {
	line  int
	cells []rawCell // at most maxColumns
	extra Cell      // the first cell beyond these with content; Column is 0 for none
	stray []Cell    // texts behind a closing quote
	raw   []byte    // the line, in a CSV text; not beyond the first one
}

// blank reports whether the record has no content at all.
func (r *record) blank() bool { return filledCells(r.cells) == 0 && r.extra.Column == 0 }

// recordReader reads records from a text by the rules of RFC 4180, and also accepts
// spaces around quotes and a quote character in an unquoted cell.
type recordReader struct {
	record
	lines     *lineReader
	delimiter byte

	count   int       // how many cells the record has
	flags   lineFlags // of the lines of the record so far
	scratch []byte    // texts that are not as they are in the line
	owned   int       // cells whose text does not lie in the line

	openQuote       Cell // where a cell begins in whose quotes the text ends; Line is 0 for none
	utf8Line        int  // first line with a character outside ASCII in UTF-8; 0 for none
	windows1252Line int  // first line that is not UTF-8
}

func newRecordReader(in io.Reader, delimiter byte) *recordReader {
	return &recordReader{lines: newLineReader(in), delimiter: delimiter}
}

// next reads the next record, which is valid until the next call; it is nil at
// the end of what can be read.
func (r *recordReader) next() *record {
	line, ok := r.lines.next()
	if !ok {
		return nil
	}
	r.record = record{line: r.lines.line, raw: line, cells: r.cells[:0], stray: r.stray[:0]}
	r.flags, r.scratch, r.count, r.owned = r.lines.flags, r.scratch[:0], 0, 0
	switch first := r.skipBlanks(line); {
	case len(first) > 0 && first[0] == '#':
		r.cutRemark(line)
	case r.flags&hasQuote == 0:
		r.cut(line)
	case !r.cutQuoted(line):
		return nil
	}
	return &r.record
}

// fault returns why no more records can be read, nil at the end of the text.
func (r *recordReader) fault() *Error {
	line := r.lines.line + 1
	switch err := r.lines.err(); {
	case errors.Is(err, bufio.ErrTooLong):
		return &Error{Line: line, Found: "a line of more than 16 MiB", InWords: true, Expected: "lines of a table that a person can open"}
	case err != nil:
		return &Error{Line: line, Found: "an error while reading (" + err.Error() + ")", InWords: true, Expected: "the rest of the file", Err: err}
	case r.openQuote.Line > 0:
		return &Error{Line: r.openQuote.Line, Column: r.openQuote.Column,
			Found: "a quote that opens here and is never closed", InWords: true, Expected: "a closing quote"}
	}
	return nil
}

// cut splits a line without quotes into cells.
func (r *recordReader) cut(line []byte) {
	from := 0
	for i, c := range line {
		if c == r.delimiter {
			r.keep(line[from:i], r.line, false)
			from = i + 1
		}
	}
	r.keep(line[from:], r.line, false)
}

// cutQuoted splits a record with quotes into cells; the record may continue on the
// following lines. It is false where the text ends inside a cell.
func (r *recordReader) cutQuoted(line []byte) bool {
	for {
		if first := r.skipBlanks(line); len(first) == 0 || first[0] != '"' {
			end := r.cellEnd(line)
			r.keep(line[:end], r.lines.line, false)
			line = line[end:]
		} else if text, rest, _ := bytes.Cut(first[1:], quote); len(rest) > 0 && rest[0] == r.delimiter {
			r.keep(text, r.lines.line, true)
			line = rest
		} else if rest, ok := r.quotedCell(first[1:]); ok {
			line = rest
		} else {
			return false
		}
		if len(line) == 0 {
			return true
		}
		line = line[1:]
	}
}

var quote = []byte{'"'}

// quotedCell reads a cell after its opening quote and returns the rest of the line; it
// is false where the text ends before the closing quote.
func (r *recordReader) quotedCell(text []byte) (rest []byte, ok bool) {
	at, from := r.lines.line, len(r.scratch)
	rest, closed := r.unquote(text)
	for !closed {
		if text, ok = r.continued(); !ok {
			r.openQuote = Cell{Line: at, Column: r.count + 1}
			return nil, false
		}
		rest, closed = r.unquote(text)
	}
	end := r.cellEnd(rest)
	if stray := bytes.TrimSpace(rest[:end]); len(stray) > 0 {
		r.stray = append(r.stray, Cell{string(stray), r.lines.line, r.count + 1})
		r.scratch = append(r.scratch, rest[:end]...)
	}
	r.keep(r.scratch[from:len(r.scratch):len(r.scratch)], at, true)
	return rest[end:], true
}

// continued returns the line on which a quoted cell continues, after a line end that
// belongs to the cell.
func (r *recordReader) continued() (line []byte, ok bool) {
	for ; r.owned < len(r.cells); r.owned++ {
		r.cells[r.owned].text = bytes.Clone(r.cells[r.owned].text)
	}
	if len(r.scratch) > maxLineLength {
		return nil, false
	}
	r.scratch = append(r.scratch, '\n')
	line, ok = r.lines.next()
	r.flags |= r.lines.flags
	return line, ok
}

// cutRemark splits a line that starts with # into cells. It is always one line; quotes
// count only around a whole cell.
func (r *recordReader) cutRemark(line []byte) {
	for {
		end, from := r.cellEnd(line), len(r.scratch)
		text, quoted := line[:end], false
		if first := r.skipBlanks(line); len(first) > 0 && first[0] == '"' {
			rest, closed := r.unquote(first[1:])
			if rest = r.skipBlanks(rest); closed && (len(rest) == 0 || rest[0] == r.delimiter) {
				text, quoted = r.scratch[from:len(r.scratch):len(r.scratch)], true
				end = len(line) - len(rest)
			}
		}
		r.keep(text, r.line, quoted)
		if end == len(line) {
			return
		}
		line = line[end+1:]
	}
}

// unquote adds a text up to its closing quote to scratch, with single quotes
// for double ones, and returns what follows; closed is false where the text
// has no closing quote.
func (r *recordReader) unquote(text []byte) (rest []byte, closed bool) {
	for {
		inside, rest, found := bytes.Cut(text, quote)
		r.scratch = append(r.scratch, inside...)
		if !found || len(rest) == 0 || rest[0] != '"' {
			return rest, found
		}
		r.scratch = append(r.scratch, '"')
		text = rest[1:]
	}
}

// cellEnd returns where a cell ends that has no quotes.
func (r *recordReader) cellEnd(line []byte) int {
	if i := bytes.IndexByte(line, r.delimiter); i >= 0 {
		return i
	}
	return len(line)
}

// skipBlanks returns a text without the spaces, and the tabs where they do not
// divide cells, at its start.
func (r *recordReader) skipBlanks(text []byte) []byte {
	for len(text) > 0 && (text[0] == ' ' || text[0] == '\t' && r.delimiter != '\t') {
		text = text[1:]
	}
	return text
}

// keep adds a cell to the record.
func (r *recordReader) keep(text []byte, line int, quoted bool) {
	r.count++
	if r.flags&hasBeyond != 0 {
		text = r.decode(text, line)
	}
	text = withoutApostrophe(bytes.TrimSpace(text))
	if r.count <= maxColumns {
		r.cells = append(r.cells, rawCell{text: text, line: line, quoted: quoted})
	} else if len(text) > 0 && r.extra.Column == 0 {
		r.extra = Cell{string(text), line, r.count}
	}
}

// decode converts a cell to UTF-8.
func (r *recordReader) decode(text []byte, line int) []byte {
	switch {
	case bytes.IndexFunc(text, func(c rune) bool { return c >= utf8.RuneSelf }) < 0:
	case utf8.Valid(text):
		if r.utf8Line == 0 {
			r.utf8Line = line
		}
	default:
		if r.windows1252Line == 0 {
			r.windows1252Line = line
		}
		return fromWindows(text)
	}
	return text
}

// fromWindows converts a text that is not UTF-8 from Windows-1252, in which every byte
// is a character, so that this cannot fail.
func fromWindows(text []byte) []byte {
	out := make([]byte, 0, len(text)+len(text)/4)
	for _, c := range text {
		out = utf8.AppendRune(out, charmap.Windows1252.DecodeByte(c))
	}
	return out
}
