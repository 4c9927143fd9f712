package table

import (
	"bufio"
	"io"
)

const (
	bufferSize  = 256 << 10 // how much of a file is read at a time, and looked at to find how it is written
	longestLine = 16 << 20  // the most bytes that a line may have
)

// lineReader cuts a text into lines that end in LF, CRLF or CR, mixed as they
// come.
type lineReader struct {
	scanner *bufio.Scanner
	line    int   // number of the line that next returned, counted from 1
	marks   marks // what is in it
	ends    lineEnds

	looked int   // bytes of the line to come that have no end
	ahead  marks // what is in these
}

// marks says what a line has beside plain ASCII.
type marks uint8

const (
	hasQuote  marks = 1 << iota
	hasBeyond       // bytes outside ASCII
	isLineEnd
)

var markOf = func() (of [256]marks) {
	for c := 0x80; c < 0x100; c++ {
		of[c] = hasBeyond
	}
	of['"'], of['\n'], of['\r'] = hasQuote, isLineEnd, isLineEnd
	return of
}()

func newLineReader(in io.Reader) *lineReader {
	r := &lineReader{scanner: bufio.NewScanner(in)}
	r.scanner.Buffer(nil, longestLine)
	r.scanner.Split(r.split)
	return r
}

// next returns the next line without its end; it is false at the end of what
// can be read. The bytes are valid until the next call.
func (r *lineReader) next() (line []byte, ok bool) {
	r.ahead = 0
	if !r.scanner.Scan() {
		return nil, false
	}
	r.line++
	r.marks = r.ahead
	return r.scanner.Bytes(), true
}

// err returns why reading stopped, nil at the end of the text and
// bufio.ErrTooLong before a line that is too long.
func (r *lineReader) err() error { return r.scanner.Err() }

// split is a bufio.SplitFunc. A line that a failing reader cuts short is left
// out.
func (r *lineReader) split(data []byte, atEnd bool) (advance int, line []byte, err error) {
	i := r.looked
	for ; i < len(data); i++ {
		m := markOf[data[i]]
		if m == isLineEnd {
			break
		}
		r.ahead |= m
	}
	r.looked = i
	rest := data[i:]
	switch {
	case len(rest) > 0 && rest[0] == '\n':
		r.ends.lf = true
		advance = i + 1
	case len(rest) > 1 && rest[1] == '\n':
		r.ends.crlf = true
		advance = i + 2
	case len(rest) > 1 || len(rest) == 1 && atEnd:
		r.ends.cr = true
		advance = i + 1
	case !atEnd || i == 0 || r.err() != nil:
		return 0, nil, nil
	default:
		advance = i // the last line, without an end
	}
	r.looked = 0
	return advance, data[:i], nil
}

// lineEnds notes which line ends were seen.
type lineEnds struct{ lf, crlf, cr bool }

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
