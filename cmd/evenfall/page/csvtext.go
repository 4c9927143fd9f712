package page

import (
	"errors"
	"slices"
	"strings"

	"evenfall/photometry/table"
)

// csvText is a CSV file as it is, byte for byte, cut into records so that single
// cells can be written without touching anything else.
type csvText struct {
	mark    string // a byte-order mark, or nothing
	records []*record
	header  *record
	delim   string
	end     string // what lines end in
}

// record is one line of the file, or several where a quoted cell runs over them.
type record struct {
	cells []string // as written, with their quotes and blanks; a remark is one cell
	end   string   // its line end, "" for the last line of some files
	line  int      // in the file, from 1, as it was read
}

var errQuote = errors.New("a quote is open at the end of the file")

const byteOrderMark = "\xef\xbb\xbf"

// cut cuts a file into records by the rules that the table reader has: a quote
// opens a cell only at its start, line ends within quotes belong to the cell,
// and a line whose first character is # is a remark without quotes.
func cut(content string, delim byte, headerLine int) (*csvText, error) {
	rest := strings.TrimPrefix(content, byteOrderMark)
	t := &csvText{mark: content[:len(content)-len(rest)], delim: string(delim), end: "\n"}
	counts := map[string]int{}
	for line := 1; rest != ""; {
		r, lines, after, err := cutRecord(rest, delim)
		if err != nil {
			return nil, err
		}
		r.line = line
		t.records = append(t.records, r)
		if line == headerLine {
			t.header = r
		}
		if r.end != "" {
			counts[r.end]++
		}
		line, rest = line+lines, after
	}
	for end, n := range counts {
		if n > counts[t.end] {
			t.end = end
		}
	}
	if t.header == nil {
		return nil, errors.New("no header")
	}
	return t, nil
}

// cutRecord takes the first record of a text, with the number of its lines.
func cutRecord(text string, delim byte) (r *record, lines int, rest string, err error) {
	r = &record{}
	blanks := strings.ReplaceAll(" \t", string(delim), "")
	remark := strings.HasPrefix(strings.TrimLeft(text, blanks), "#")
	from, quoted, atStart := 0, false, true
	lines = 1
	for i := 0; i < len(text); i++ {
		c := text[i]
		switch {
		case c == '\n' || c == '\r':
			end := text[i : i+1]
			if strings.HasPrefix(text[i:], "\r\n") {
				end = "\r\n"
			}
			if quoted {
				lines++
				i += len(end) - 1
				continue
			}
			r.cells, r.end = append(r.cells, text[from:i]), end
			return r, lines, text[i+len(end):], nil
		case quoted && strings.HasPrefix(text[i:], `""`):
			i++
		case quoted && c == '"':
			quoted = false
		case quoted, remark:
		case c == delim:
			r.cells = append(r.cells, text[from:i])
			from, atStart = i+1, true
		case c == '"' && atStart:
			quoted, atStart = true, false
		case c != ' ' && c != '\t':
			atStart = false
		}
	}
	if quoted {
		return nil, 0, "", errQuote
	}
	r.cells = append(r.cells, text[from:])
	return r, lines, "", nil
}

// get is the text of a cell, trimmed and without its quotes; "" where the record
// ends before it.
func (r *record) get(column int) string {
	if column < 0 || column >= len(r.cells) {
		return ""
	}
	text := strings.TrimSpace(r.cells[column])
	if len(text) >= 2 && text[0] == '"' && text[len(text)-1] == '"' {
		text = strings.TrimSpace(strings.ReplaceAll(text[1:len(text)-1], `""`, `"`))
	}
	return table.FromText(text)
}

// set writes a cell and leaves the rest of the record as it is, but for the
// delimiters that it needs to reach the cell.
func (t *csvText) set(r *record, column int, text string) {
	if r.get(column) == text {
		return
	}
	for len(r.cells) <= column {
		r.cells = append(r.cells, "")
	}
	text = table.AsText(text)
	if strings.ContainsAny(text, "\"\r\n"+t.delim) || strings.TrimSpace(text) != text {
		text = `"` + strings.ReplaceAll(text, `"`, `""`) + `"`
	}
	r.cells[column] = text
}

// add puts a new record at the end of the table: behind the last line that is not
// empty, so that blank lines at the end of a file stay there.
func (t *csvText) add() *record {
	last := len(t.records) - 1
	for last > 0 && strings.TrimSpace(strings.Join(t.records[last].cells, t.delim)) == "" {
		last--
	}
	r := &record{cells: []string{""}, end: t.records[last].end}
	if r.end == "" {
		t.records[last].end = t.end
	}
	t.records = slices.Insert(t.records, last+1, r)
	return r
}

// remove takes records out.
func (t *csvText) remove(gone map[*record]bool) {
	t.records = slices.DeleteFunc(t.records, func(r *record) bool { return gone[r] })
}

// addColumn puts a column at the end of the header and returns its index.
func (t *csvText) addColumn(header string) int {
	at := len(t.header.cells)
	for at > 0 && t.header.get(at-1) == "" {
		at-- // a spreadsheet program pads lines with empty cells
	}
	t.set(t.header, at, header)
	return at
}

// bytes is the whole file.
func (t *csvText) bytes() []byte {
	b := []byte(t.mark)
	for _, r := range t.records {
		for i, cell := range r.cells {
			if i > 0 {
				b = append(b, t.delim...)
			}
			b = append(b, cell...)
		}
		b = append(b, r.end...)
	}
	return b
}
