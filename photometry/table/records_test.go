package table

import (
	"bytes"
	"io"
	"math"
	"strconv"
	"testing"
	"testing/iotest"
	"unicode/utf8"

	"github.com/google/go-cmp/cmp"
	"golang.org/x/text/encoding/charmap"
	"pgregory.net/rapid"
)

// reading of a text, record by record, and what is known at its end.
type recordList struct {
	Records   []recordCopy
	OpenQuote Cell
	Ends      lineEnds
	UTF8      int
	Windows   int
}

// recordCopy is all that is known of a record.
type recordCopy struct {
	Line, Count int
	Cells       []cellCopy
	Extra       Cell
	Stray       []Cell
	Raw         string // of a line without quotes
}

type cellCopy struct {
	Text   string
	Line   int
	Quoted bool
}

func copyCells(cells []rawCell) []cellCopy {
	var out []cellCopy
	for _, c := range cells {
		out = append(out, cellCopy{string(c.text), c.line, c.quoted})
	}
	return out
}

// readRecords reads all records of a text.
func readRecords(in io.Reader, delimiter byte) recordList {
	r := newRecordReader(in, delimiter)
	var out recordList
	for r.next() != nil {
		c := recordCopy{Line: r.line, Count: r.count, Cells: copyCells(r.cells), Extra: r.extra, Stray: append([]Cell(nil), r.stray...)}
		if r.flags&hasQuote == 0 {
			c.Raw = string(r.raw)
		}
		out.Records = append(out.Records, c)
	}
	out.OpenQuote, out.Ends, out.UTF8, out.Windows = r.openQuote, r.lines.ends, r.utf8Line, r.windows1252Line
	return out
}

// oldRecords reads them with another parser, which is slower and
// has the whole text in memory.
func oldRecords(text []byte, delimiter byte) recordList {
	p := oldRecordParser{delimiter: delimiter, limit: maxColumns}
	var out recordList
	for line := 1; len(text) > 0; {
		size, lines, status, openAt := p.next(text, line, true)
		if status != oldParsed {
			out.OpenQuote = openAt.cell()
			out.OpenQuote.Text = ""
			break
		}
		c := recordCopy{Line: line, Count: p.count, Cells: copyCells(p.cells)}
		for i := range c.Cells { // the old one kept the apostrophe before what a spreadsheet would run
			c.Cells[i].Text = FromText(c.Cells[i].Text)
		}
		if p.extraAt > 0 {
			c.Extra = Cell{string(p.extra.text), p.extra.line, p.extraAt}
		}
		for _, stray := range p.strayText {
			c.Stray = append(c.Stray, stray.cell())
		}
		if !bytes.ContainsRune(p.raw, '"') {
			c.Raw = string(p.raw)
		}
		out.Records = append(out.Records, c)
		text, line = text[size:], line+lines
	}
	out.Ends, out.UTF8, out.Windows = p.seen, p.utf8, p.windows
	return out
}

// compareRecords holds the reader of records to the old one.
func compareRecords(t interface {
	Helper()
	Fatalf(string, ...any)
}, text []byte, delimiter byte, in io.Reader) {
	t.Helper()
	want, got := oldRecords(text, delimiter), readRecords(in, delimiter)
	if want.OpenQuote.Line > 0 { // behind which the old one does not look
		want.Ends, want.UTF8, want.Windows = got.Ends, got.UTF8, got.Windows
	}
	if diff := cmp.Diff(want, got, cmp.AllowUnexported(lineEnds{})); diff != "" {
		t.Fatalf("%q (want, got):\n%s", text, diff)
	}
}

// FuzzRecords holds the reader of records to the old one, cell for cell, over
// readers that cut the text at every place.
func FuzzRecords(f *testing.F) {
	for i, s := range seeds {
		f.Add([]byte(s), byte(i))
	}
	f.Fuzz(func(t *testing.T, text []byte, delimiter byte) {
		sign := delimiters[int(delimiter)%len(delimiters)]
		compareRecords(t, text, sign, iotest.OneByteReader(bytes.NewReader(text)))
		compareRecords(t, text, sign, bytes.NewReader(text))
	})
}

// TestRecordsAtRandom does the same with files of every kind.
func TestRecordsAtRandom(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		text := drawTable(r)
		sign := rapid.SampledFrom(delimiters).Draw(r, "read with")
		compareRecords(r, text, sign, iotest.HalfReader(bytes.NewReader(text)))
		compareRecords(r, text, sign, iotest.OneByteReader(bytes.NewReader(text)))
	})
}

// FuzzNumeral holds the shapes of numbers to the old scanner's, and plain
// numbers to the shapes.
func FuzzNumeral(f *testing.F) {
	for _, s := range []string{"1.25", "1,234.5", "1.234.567,8", "-1’234", "\u2212.5e-3", "1\u00a0234,5", "12,345", "0,125", "5.", "1e5", "1.2,3", "1,2,3"} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		want, got := oldScanNumeral(text, nil), scanNumeral(text)
		was, _ := strconv.ParseFloat(string(want.digits), 64)
		is, _ := strconv.ParseFloat(got.digits, 64)
		if len(text) <= maxGroups && (want.reading != readingOf(got) || want.group != got.group || math.Float64bits(was) != math.Float64bits(is)) {
			t.Fatalf("%q is %+v, was %+v", text, got, want)
		}
		for _, sign := range []byte{0, '.', ','} {
			v, ok := plainNumber(text, sign)
			if !ok {
				continue
			}
			p, ok := got.parse()
			if p = got.inDecimal(p, rune(sign)); !ok || math.Float64bits(p) != math.Float64bits(v) {
				t.Fatalf("%q with %q is %v, and plainly %v", text, sign, p, v)
			}
		}
	})
}

// oldNumeral is the shape of a number, with its digits as bytes.
type oldNumeral struct {
	reading reading
	digits  []byte
	group   rune
}

// oldScanNumeral finds the shape of a number in a trimmed text. digits are
// written into scratch, which may be nil.
func oldScanNumeral(text, scratch []byte) oldNumeral {
	var (
		signs   [maxGroups]rune    // the separators
		lengths [maxGroups + 1]int // digits before, between and behind them
		ends    [maxGroups + 1]int // where in out each run of digits ends
		n       int                // separators
		points  int
		commas  int
		others  int
	)
	out := scratch[:0]
	i := 0
	if size, minus := oldScanSign(text); size > 0 {
		if minus {
			out = append(out, '-')
		}
		i = size
	}
	first := len(out)
scan:
	for i < len(text) {
		c := text[i]
		if c-'0' <= 9 {
			out = append(out, c)
			lengths[n]++
			i++
			continue
		}
		sign, size := rune(c), 1
		switch {
		case c == '.':
			points++
		case c == ',':
			commas++
		case c == '\'':
			others++
		case c == 'e' || c == 'E':
			break scan
		case c >= utf8.RuneSelf:
			sign, size = utf8.DecodeRune(text[i:])
			switch sign {
			case '\u00a0', '\u202f', '\u2009', '’': // no-break, narrow no-break and thin space
				others++
			default:
				return oldNumeral{}
			}
		default:
			return oldNumeral{}
		}
		if n == maxGroups {
			return oldNumeral{}
		}
		signs[n] = sign
		ends[n] = len(out)
		n++
		i += size
	}
	if len(out) == first {
		return oldNumeral{}
	}
	exponent := i < len(text)

	num := oldNumeral{}
	groups := n // separators between groups, those before the decimal sign
	switch {
	case points+commas == 0:
		num.reading = neutral
	case points+commas == 1 || points == 1 && commas > 1 || commas == 1 && points > 1 || points == 1 && commas == 1:
		// One decimal sign, which must be the last separator.
		groups = n - 1
		last := signs[n-1]
		switch {
		case last == '.' && points == 1:
			num.reading = onlyPoint
		case last == ',' && commas == 1:
			num.reading = onlyComma
		default:
			return oldNumeral{}
		}
		if groups == 0 && !exponent && lengths[0] >= 1 && lengths[0] <= 3 && out[first] != '0' && lengths[1] == 3 {
			num.reading += eitherPoint - onlyPoint
		}
	case commas == 0: // several points: groups
		num.reading = onlyComma
	case points == 0:
		num.reading = onlyPoint
	default:
		return oldNumeral{}
	}
	if groups > 0 {
		num.group = signs[0]
		if exponent || lengths[0] < 1 || lengths[0] > 3 || out[first] == '0' {
			return oldNumeral{}
		}
		for k := range groups {
			if signs[k] != num.group || lengths[k+1] != 3 {
				return oldNumeral{}
			}
		}
	}
	if groups < n {
		at := ends[n-1]
		out = append(out, 0)
		copy(out[at+1:], out[at:])
		out[at] = '.'
	}
	if exponent {
		out = append(out, 'e')
		i++
		if size, minus := oldScanSign(text[i:]); size > 0 {
			if minus {
				out = append(out, '-')
			}
			i += size
		}
		if i == len(text) {
			return oldNumeral{}
		}
		for ; i < len(text); i++ {
			if text[i]-'0' > 9 {
				return oldNumeral{}
			}
			out = append(out, text[i])
		}
	}
	num.digits = out
	return num
}

// oldRecordParser takes records out of a buffer, by the rules of RFC 4180 and
// with more patience: blanks may stand around quotes, a quote inside an
// unquoted cell is a character, and the three kinds of line end are all
// understood.
type oldRecordParser struct {
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

// oldParseStatus says what became of a record.
type oldParseStatus uint8

const (
	oldParsed oldParseStatus = iota
	oldNeedMore
	oldOpenQuote // the input ends inside a quoted cell
)

// next parses the record at the start of buf, which begins on line, and
// returns its length and the number of lines it takes. At the end of the
// input the last line end may be missing. Where the record is not whole,
// openAt is the quoted cell in which buf ends, if it does.
func (p *oldRecordParser) next(buf []byte, line int, atEnd bool) (size, lines int, status oldParseStatus, openAt place) {
	p.cells, p.scratch = p.cells[:0], p.scratch[:0]
	p.count, p.extraAt = 0, 0
	p.strayText = p.strayText[:0]
	seen := p.seen
	defer func() {
		if status != oldParsed {
			p.seen = seen
		}
	}()
	if first := oldSkipBlanks(buf, 0, p.delimiter); first < len(buf) && buf[first] == '#' {
		return p.remark(buf, line, atEnd)
	}
	at, start := 0, line
	for {
		// A cell.
		cellLine := line
		from := oldSkipBlanks(buf, at, p.delimiter)
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
						return 0, 0, oldNeedMore, openAt
					}
					return 0, 0, oldOpenQuote, openAt
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
					return 0, 0, oldNeedMore, place{}
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
			return 0, 0, oldNeedMore, place{}
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
				return 0, 0, oldNeedMore, place{}
			}
			at = end
			line++
		}
		return at, line - start, oldParsed, place{}
	}
}

// remark parses a line that starts with #, which is one line whatever quotes
// it has.
func (p *oldRecordParser) remark(buf []byte, line int, atEnd bool) (size, lines int, status oldParseStatus, openAt place) {
	at := bytes.IndexAny(buf, "\r\n")
	if at < 0 {
		if !atEnd {
			return 0, 0, oldNeedMore, place{}
		}
		at = len(buf)
	}
	p.raw = buf[:at]
	size = at
	if at < len(buf) {
		end, ok := p.lineEnd(buf, at, atEnd)
		if !ok {
			return 0, 0, oldNeedMore, place{}
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
		if open := oldSkipBlanks(rest, 0, p.delimiter); open < len(rest) && rest[open] == '"' {
			// A cell in quotes, where they close within the line.
			if closing := oldClosingQuote(rest[open+1:]); closing >= 0 {
				after := oldSkipBlanks(rest, open+1+closing+1, p.delimiter)
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
			return size, lines, oldParsed, place{}
		}
		rest = rest[end+1:]
	}
}

// oldClosingQuote returns where a quoted text ends, -1 for nowhere.
func oldClosingQuote(text []byte) int {
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
func (p *oldRecordParser) keep(text []byte, line int, quoted bool) {
	p.count++
	text = p.decode(text, line)
	if p.count <= p.limit {
		p.cells = append(p.cells, rawCell{text: text, line: line, quoted: quoted})
	} else if len(text) > 0 && p.extraAt == 0 {
		p.extraAt, p.extra = p.count, rawCell{text: text, line: line, quoted: quoted}
	}
}

// decode trims a cell and brings it into UTF-8.
func (p *oldRecordParser) decode(text []byte, line int) []byte {
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
func (p *oldRecordParser) lineEnd(buf []byte, at int, atEnd bool) (int, bool) {
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

// oldSkipBlanks returns the index of the first byte from at that is not a space
// or a tab (where tabs do not divide cells).
func oldSkipBlanks(buf []byte, at int, delimiter byte) int {
	for at < len(buf) && (buf[at] == ' ' || buf[at] == '\t' && delimiter != '\t') {
		at++
	}
	return at
}

// oldScanSign returns the length of the sign at the start of text, 0 for none.
func oldScanSign(text []byte) (size int, minus bool) {
	switch {
	case len(text) == 0:
		return 0, false
	case text[0] == '-':
		return 1, true
	case text[0] == '+':
		return 1, false
	case len(text) >= 3 && string(text[:3]) == "−":
		return 3, true
	}
	return 0, false
}
