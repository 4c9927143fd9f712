package page

import (
	"errors"
	"regexp"
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
	cell, counts := cellPattern(t.delim), map[string]int{}
	for line := 1; rest != ""; line++ {
		r := &record{line: line}
		for more := true; more; {
			part := t.firstCell(rest, cell)
			if len(r.cells) == 0 && strings.HasPrefix(strings.TrimLeft(part, " \t"), "#") {
				part = restOfLine.FindString(rest)
			}
			r.cells = append(r.cells, part)
			line += strings.Count(part, "\n") + strings.Count(part, "\r") - strings.Count(part, "\r\n")
			rest, more = strings.CutPrefix(rest[len(part):], t.delim)
		}
		if r.end = lineEnd.FindString(rest); r.end == "" && rest != "" {
			return nil, errQuote
		}
		rest = rest[len(r.end):]
		t.records = append(t.records, r)
		if r.line == headerLine {
			t.header = r
		}
		counts[r.end]++
	}
	delete(counts, "") // of the last line
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

var (
	lineEnd    = regexp.MustCompile(`^(?:\r\n|\n|\r)`)
	restOfLine = regexp.MustCompile(`^[^\r\n]*`)
)

// firstCell is the cell that a text begins with, as it is written.
func (t *csvText) firstCell(text string, quoted *regexp.Regexp) string {
	end := strings.IndexAny(text, t.delim+"\"\r\n")
	switch {
	case end < 0:
		return text
	case text[end] == '"':
		return quoted.FindString(text)
	}
	return text[:end]
}

// cellPattern is a cell that a text begins with: one in quotes, with doubled ones in it, and
// whatever is behind them, or one without. A quote that is never closed is none of them.
func cellPattern(delim string) *regexp.Regexp {
	return regexp.MustCompile(strings.NewReplacer("BLANKS", strings.ReplaceAll(" \t", delim, ""), "DELIMITER", regexp.QuoteMeta(delim)).Replace(
		`^(?:[BLANKS]*"(?:[^"]|"")*"(?:[^"DELIMITER\r\n][^DELIMITER\r\n]*)?|[BLANKS]*(?:[^"BLANKSDELIMITER\r\n][^DELIMITER\r\n]*)?)`))
}

// at is the record that begins at a line, nil for none.
func (t *csvText) at(line int) *record {
	i, found := slices.BinarySearchFunc(t.records, line, func(r *record, line int) int { return r.line - line })
	if !found {
		return nil
	}
	return t.records[i]
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
