package table

import (
	"bytes"
	"unicode/utf8"

	"golang.org/x/text/encoding/charmap"
)

// kind says where the text of a cell comes from.
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
	text   []byte // trimmed, in UTF-8
	line   int
	kind   kind
	quoted bool
}

// mostColumns is how many columns a spreadsheet can have.
const mostColumns = 16_384

// recordParser takes records out of a buffer, by the rules of RFC 4180 and
// with more patience: blanks may stand around quotes, a quote inside an
// unquoted cell is a character, and the three kinds of line end are all
// understood.
type recordParser struct {
	delimiter byte

	cells   []rawCell
	limit   int // how many cells to keep; the others are only looked through
	count   int // how many cells the record has
	extra   rawCell
	extraAt int // the column, from 1, of the first cell beyond limit with content; 0 for none

	raw     []byte // the record without its line end
	scratch []byte
	seen    lineEnds
	utf8    int // first line with a character outside ASCII in UTF-8; 0 for none
	windows int // first line that is not UTF-8

	strayText []place // text behind a closing quote
}

// parseStatus says what became of a record.
type parseStatus uint8

const (
	parsed parseStatus = iota
	needMore
	openQuote // the input ends inside a quoted cell
)

// next parses the record at the start of buf, which begins on line, and
// returns its length and the number of lines it takes. At the end of the
// input the last line end may be missing. Where the record is not whole,
// openAt is the quoted cell in which buf ends, if it does.
func (p *recordParser) next(buf []byte, line int, atEnd bool) (size, lines int, status parseStatus, openAt place) {
	p.cells, p.scratch = p.cells[:0], p.scratch[:0]
	p.count, p.extraAt = 0, 0
	p.strayText = p.strayText[:0]
	seen := p.seen
	defer func() {
		if status != parsed {
			p.seen = seen
		}
	}()
	if first := skipBlanks(buf, 0, p.delimiter); first < len(buf) && buf[first] == '#' {
		return p.remark(buf, line, atEnd)
	}
	at, start := 0, line
	for {
		// A cell.
		cellLine := line
		from := skipBlanks(buf, at, p.delimiter)
		var text []byte
		quoted := from < len(buf) && buf[from] == '"'
		if quoted {
			at = from + 1
			plain, keep := at, len(p.scratch)
			for {
				i := bytes.IndexAny(buf[at:], "\"\r\n")
				if i < 0 {
					openAt = place{line: cellLine, column: p.count + 1}
					if !atEnd {
						return 0, 0, needMore, openAt
					}
					return 0, 0, openQuote, openAt
				}
				at += i
				c := buf[at]
				if c == '"' {
					if at+1 < len(buf) && buf[at+1] == '"' {
						p.scratch = append(p.scratch, buf[plain:at+1]...)
						at += 2
						plain = at
						continue
					}
					break
				}
				end, ok := p.lineEnd(buf, at, atEnd)
				if !ok {
					return 0, 0, needMore, place{}
				}
				line++
				if c == '\r' { // every line end inside a cell is \n
					p.scratch = append(p.scratch, buf[plain:at]...)
					p.scratch = append(p.scratch, '\n')
					plain = end
				}
				at = end
			}
			if len(p.scratch) == keep {
				text = buf[plain:at]
			} else {
				p.scratch = append(p.scratch, buf[plain:at]...)
				text = p.scratch[keep:len(p.scratch):len(p.scratch)]
			}
			at++
		}
		// To the end of the cell.
		tail := at
		for at < len(buf) && buf[at] != p.delimiter && buf[at] != '\n' && buf[at] != '\r' {
			at++
		}
		if at == len(buf) && !atEnd {
			return 0, 0, needMore, place{}
		}
		if !quoted {
			text = buf[tail:at]
		} else if stray := bytes.TrimSpace(buf[tail:at]); len(stray) > 0 {
			p.strayText = append(p.strayText, place{stray, line, p.count + 1})
			keep := len(p.scratch)
			p.scratch = append(append(p.scratch, text...), buf[tail:at]...)
			text = p.scratch[keep:len(p.scratch):len(p.scratch)]
		}
		p.keep(text, cellLine, quoted)
		if at < len(buf) && buf[at] == p.delimiter {
			at++
			continue
		}
		p.raw = buf[:at]
		if at < len(buf) {
			end, ok := p.lineEnd(buf, at, atEnd)
			if !ok {
				return 0, 0, needMore, place{}
			}
			at = end
			line++
		}
		return at, line - start, parsed, place{}
	}
}

// remark parses a line that starts with #, which is one line whatever quotes
// it has.
func (p *recordParser) remark(buf []byte, line int, atEnd bool) (size, lines int, status parseStatus, openAt place) {
	at := bytes.IndexAny(buf, "\r\n")
	if at < 0 {
		if !atEnd {
			return 0, 0, needMore, place{}
		}
		at = len(buf)
	}
	p.raw = buf[:at]
	size = at
	if at < len(buf) {
		end, ok := p.lineEnd(buf, at, atEnd)
		if !ok {
			return 0, 0, needMore, place{}
		}
		size, lines = end, 1
	}
	rest := p.raw
	for {
		end := bytes.IndexByte(rest, p.delimiter)
		text := rest
		if end >= 0 {
			text = rest[:end]
		}
		quoted := false
		if open := skipBlanks(rest, 0, p.delimiter); open < len(rest) && rest[open] == '"' {
			// A cell in quotes, where they close within the line.
			if closing := closingQuote(rest[open+1:]); closing >= 0 {
				after := skipBlanks(rest, open+1+closing+1, p.delimiter)
				if after == len(rest) || rest[after] == p.delimiter {
					quoted = true
					text = bytes.ReplaceAll(rest[open+1:open+1+closing], []byte(`""`), []byte(`"`))
					end = after
					if after == len(rest) {
						end = -1
					}
				}
			}
		}
		p.keep(text, line, quoted)
		if end < 0 {
			return size, lines, parsed, place{}
		}
		rest = rest[end+1:]
	}
}

// closingQuote returns where a quoted text ends, -1 for nowhere.
func closingQuote(text []byte) int {
	for i := 0; i < len(text); i++ {
		if text[i] == '"' {
			if i+1 == len(text) || text[i+1] != '"' {
				return i
			}
			i++
		}
	}
	return -1
}

// keep adds a cell to the record.
func (p *recordParser) keep(text []byte, line int, quoted bool) {
	p.count++
	text = p.decode(text, line)
	if p.count <= p.limit {
		p.cells = append(p.cells, rawCell{text: text, line: line, quoted: quoted})
	} else if len(text) > 0 && p.extraAt == 0 {
		p.extraAt, p.extra = p.count, rawCell{text: text, line: line, quoted: quoted}
	}
}

// decode trims a cell and brings it into UTF-8.
func (p *recordParser) decode(text []byte, line int) []byte {
	for _, c := range text {
		if c < utf8.RuneSelf {
			continue
		}
		if utf8.Valid(text) {
			if p.utf8 == 0 {
				p.utf8 = line
			}
			break
		}
		if p.windows == 0 {
			p.windows = line
		}
		keep := len(p.scratch)
		for _, c := range text {
			p.scratch = utf8.AppendRune(p.scratch, charmap.Windows1252.DecodeByte(c))
		}
		text = p.scratch[keep:len(p.scratch):len(p.scratch)]
		break
	}
	return bytes.TrimSpace(text)
}

// lineEnd takes the line end at buf[at] and returns where the next line
// begins; it is false where that cannot be known yet.
func (p *recordParser) lineEnd(buf []byte, at int, atEnd bool) (int, bool) {
	if buf[at] == '\n' {
		p.seen.lf = true
		return at + 1, true
	}
	if at+1 == len(buf) && !atEnd {
		return 0, false
	}
	if at+1 < len(buf) && buf[at+1] == '\n' {
		p.seen.crlf = true
		return at + 2, true
	}
	p.seen.cr = true
	return at + 1, true
}

// skipBlanks returns the index of the first byte from at that is not a space
// or a tab (where tabs do not divide cells).
func skipBlanks(buf []byte, at int, delimiter byte) int {
	for at < len(buf) && (buf[at] == ' ' || buf[at] == '\t' && delimiter != '\t') {
		at++
	}
	return at
}
