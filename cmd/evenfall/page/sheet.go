package page

import (
	"bytes"
	"errors"
	"strings"
)

// sheet is a CSV file as it stands, byte for byte, cut into records so that
// single cells can be written without touching anything else.
type sheet struct {
	mark    []byte // a byte-order mark, or nothing
	records []*record
	header  *record
	delim   byte
	end     string // what lines end in
}

// record is one line of the file, or several where a quoted cell runs over them.
type record struct {
	raw   []byte // without its line end
	end   string // its line end, "" for the last line of some files
	line  int    // in the file, from 1, as it was read
	cells []span // nil until asked for
}

// span is where a cell stands in a record, quotes and blanks included.
type span struct{ from, to int }

var errQuote = errors.New("a quote is open at the end of the file")

// cut cuts a file into records by the rules that the table reader has: a quote
// opens a cell only at its start, line ends within quotes belong to the cell,
// and a line whose first character is # is a remark without quotes.
func cut(content []byte, delim byte, headerLine int) (*sheet, error) {
	s := &sheet{delim: delim, end: "\n"}
	counts := map[string]int{}
	line := 1
	if bytes.HasPrefix(content, bom) {
		s.mark, content = bom, content[len(bom):]
	}
	for at := 0; at < len(content); {
		to, next, lines, ok := recordEnd(content, at, delim)
		if !ok {
			return nil, errQuote
		}
		r := &record{raw: bytes.Clone(content[at:to]), end: string(content[to:next]), line: line}
		s.records = append(s.records, r)
		if line == headerLine {
			s.header = r
		}
		if r.end != "" {
			counts[r.end]++
		}
		line += lines
		at = next
	}
	for end, n := range counts {
		if n > counts[s.end] {
			s.end = end
		}
	}
	if s.header == nil {
		return nil, errors.New("no header")
	}
	return s, nil
}

// recordEnd finds where the record at a place ends and the next one begins.
func recordEnd(b []byte, at int, delim byte) (to, next, lines int, ok bool) {
	first := skipBlanks(b, at, delim)
	remark := first < len(b) && b[first] == '#'
	lines = 1
	quoted, atStart := false, true
	for i := at; i < len(b); i++ {
		c := b[i]
		switch {
		case quoted:
			switch {
			case c == '"' && i+1 < len(b) && b[i+1] == '"':
				i++
			case c == '"':
				quoted = false
			case c == '\n', c == '\r' && (i+1 == len(b) || b[i+1] != '\n'):
				lines++
			}
		case c == '\n':
			return i, i + 1, lines, true
		case c == '\r':
			if i+1 < len(b) && b[i+1] == '\n' {
				return i, i + 2, lines, true
			}
			return i, i + 1, lines, true
		case remark:
		case c == delim:
			atStart = true
		case c == '"' && atStart:
			quoted, atStart = true, false
		case c != ' ' && c != '\t':
			atStart = false
		}
	}
	return len(b), len(b), lines, !quoted
}

var bom = []byte("\xef\xbb\xbf")

func skipBlanks(b []byte, at int, delim byte) int {
	for at < len(b) && (b[at] == ' ' || b[at] == '\t') && b[at] != delim {
		at++
	}
	return at
}

// spans finds the cells of a record.
func (s *sheet) spans(r *record) []span {
	if r.cells != nil {
		return r.cells
	}
	from, quoted, atStart := 0, false, true
	for i := from; i < len(r.raw); i++ {
		switch c := r.raw[i]; {
		case quoted:
			if c == '"' {
				if i+1 < len(r.raw) && r.raw[i+1] == '"' {
					i++
				} else {
					quoted = false
				}
			}
		case c == s.delim:
			r.cells = append(r.cells, span{from, i})
			from, atStart = i+1, true
		case c == '"' && atStart:
			quoted, atStart = true, false
		case c != ' ' && c != '\t':
			atStart = false
		}
	}
	r.cells = append(r.cells, span{from, len(r.raw)})
	return r.cells
}

// get is the text of a cell, trimmed and without its quotes; "" where the record
// ends before it.
func (s *sheet) get(r *record, column int) string {
	cells := s.spans(r)
	if column < 0 || column >= len(cells) {
		return ""
	}
	text := strings.TrimSpace(string(r.raw[cells[column].from:cells[column].to]))
	if len(text) >= 2 && text[0] == '"' && text[len(text)-1] == '"' {
		text = strings.TrimSpace(strings.ReplaceAll(text[1:len(text)-1], `""`, `"`))
	}
	return text
}

// set writes a cell and leaves the rest of the record as it is, but for the
// delimiters that it needs to reach the cell.
func (s *sheet) set(r *record, column int, text string) {
	if s.get(r, column) == text {
		return
	}
	for len(s.spans(r)) <= column {
		r.raw = append(r.raw, s.delim)
		r.cells = nil
	}
	at := s.spans(r)[column]
	var b []byte
	b = append(b, r.raw[:at.from]...)
	b = append(b, s.quoted(text)...)
	b = append(b, r.raw[at.to:]...)
	r.raw, r.cells = b, nil
}

// quoted is a text as it stands in a cell.
func (s *sheet) quoted(text string) string {
	if strings.ContainsAny(text, "\"\r\n"+string(rune(s.delim))) || strings.TrimSpace(text) != text {
		return `"` + strings.ReplaceAll(text, `"`, `""`) + `"`
	}
	return text
}

// add puts a new record at the end of the table: behind the last line that is not
// empty, so that blank lines at the end of a file stay there.
func (s *sheet) add() *record {
	last := len(s.records) - 1
	for last > 0 && len(bytes.TrimSpace(s.records[last].raw)) == 0 {
		last--
	}
	r := &record{end: s.records[last].end}
	if s.records[last].end == "" {
		s.records[last].end = s.end
	}
	s.records = append(s.records[:last+1], append([]*record{r}, s.records[last+1:]...)...)
	return r
}

// remove takes records out.
func (s *sheet) remove(gone map[*record]bool) {
	if len(gone) == 0 {
		return
	}
	kept := s.records[:0]
	for _, r := range s.records {
		if !gone[r] {
			kept = append(kept, r)
		}
	}
	s.records = kept
}

// column finds a column of the header, adding it at the end where it is missing.
func (s *sheet) column(columns map[string]int, name, header string) int {
	if at, ok := columns[name]; ok {
		return at
	}
	at := len(s.spans(s.header))
	for at > 0 && s.get(s.header, at-1) == "" {
		at-- // a spreadsheet program pads lines with empty cells
	}
	s.set(s.header, at, header)
	columns[name] = at
	return at
}

// bytes is the whole file.
func (s *sheet) bytes() []byte {
	size := len(s.mark)
	for _, r := range s.records {
		size += len(r.raw) + len(r.end)
	}
	b := append(make([]byte, 0, size), s.mark...)
	for _, r := range s.records {
		b = append(append(b, r.raw...), r.end...)
	}
	return b
}
