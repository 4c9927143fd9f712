package table

import (
	"bufio"
	"io"
)

const (
	bufferSize    = 256 << 10 // how much of a file is read at a time, and examined to find its dialect
	maxLineLength = 16 << 20  // the most bytes that a line may have
)

// lineReader splits a text into lines that end in LF, CRLF or CR, also mixed.
type lineReader struct {
	scanner *bufio.Scanner
	line    int       // number of the line that next returned, counted from 1
	flags   lineFlags // what is in it
	ends    lineEnds

	scanned      int       // bytes of the line to come that have no end
	pendingFlags lineFlags // what is in these
}

// lineFlags are the properties of a line that matter for reading it.
type lineFlags uint8

const (
	hasQuote  lineFlags = 1 << iota
	hasBeyond           // bytes outside ASCII
	isLineEnd
)

var flagOf = func() (of [256]lineFlags) {
	for c := 0x80; c < 0x100; c++ {
		of[c] = hasBeyond
	}
	of['"'], of['\n'], of['\r'] = hasQuote, isLineEnd, isLineEnd
	return of
}()

func newLineReader(in io.Reader) *lineReader {
	r := &lineReader{scanner: bufio.NewScanner(in)}
	r.scanner.Buffer(nil, maxLineLength)
	r.scanner.Split(r.split)
	return r
}

// next returns the next line without its end; it is false at the end of what
// can be read. The bytes are valid until the next call.
func (r *lineReader) next() (line []byte, ok bool) {
	r.pendingFlags = 0
	if !r.scanner.Scan() {
		return nil, false
	}
	r.line++
	r.flags = r.pendingFlags
	return r.scanner.Bytes(), true
}

// err returns why reading stopped: nil at the end of the text, bufio.ErrTooLong at a
// line that is too long.
func (r *lineReader) err() error { return r.scanner.Err() }

// split is a bufio.SplitFunc. A line that a failing reader cuts short is not
// returned.
func (r *lineReader) split(data []byte, atEnd bool) (advance int, line []byte, err error) {
	i := r.scanned
	for ; i < len(data); i++ {
		m := flagOf[data[i]]
		if m == isLineEnd {
			break
		}
		r.pendingFlags |= m
	}
	r.scanned = i
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
	r.scanned = 0
	return advance, data[:i], nil
}

// lineEnds are the line ends in a text.
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
