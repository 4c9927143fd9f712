package table

import (
	"bytes"
	"strings"
	"unicode"
	"unicode/utf8"
)

// errorValues are what spreadsheet programs write for a cell without a value. They
// start with # but are not remarks.
var errorValues = map[string]bool{
	"#DIV/0!": true, "#N/A": true, "#NAME?": true, "#NULL!": true, "#NUM!": true, "#REF!": true, "#VALUE!": true,
	"#SPILL!": true, "#CALC!": true, "#FIELD!": true, "#BLOCKED!": true, "#GETTING_DATA": true,
}

// isRemark reports whether a record is a note or a remark: its first cell starts with
// #. Above the table, empty cells may precede it, and a lone # followed by names is
// the header of a table whose first column has that name.
func isRemark(cells []rawCell, above bool) bool {
	first := 0
	for above && first < len(cells) && len(cells[first].text) == 0 {
		first++
	}
	if first >= len(cells) || cells[first].kind != typed {
		return false
	}
	text := cells[first].text
	if len(text) == 0 || text[0] != '#' || errorValues[string(text)] {
		return false
	}
	return !(above && len(text) == 1 && filledCells(cells) > first+2)
}

// parseNote makes a note from a record that isRemark accepts. It is false for a
// remark.
//
// All forms in which spreadsheet programs write “# area: 0.3,0.2” are accepted: with
// quotes around it, with empty cells after it, or with the value in cells of its
// own, with or without the colon.
func parseNote(r *record, delimiter byte) (Note, bool) {
	cells, raw := r.cells, r.raw
	first := 0
	for len(cells[first].text) == 0 {
		first++
	}
	n := Note{Line: cells[first].line, Column: first + 1}
	cells = cells[first:filledCells(cells)]

	// Without quotes the value is everything after the colon, including spaces and
	// delimiters.
	quoted := raw == nil
	for _, c := range cells {
		quoted = quoted || c.quoted
	}
	head := strings.TrimLeft(string(cells[0].text), "# \t")
	key, value, colon := strings.Cut(head, ":")
	switch {
	case colon && !quoted:
		_, behind, _ := bytes.Cut(raw, []byte(":"))
		value = string(bytes.Trim(behind, " \t"+string(delimiter)))
		if !utf8.ValidString(value) {
			value = string(fromWindows([]byte(value)))
		}
	case colon:
		value = joinCells(value, cells[1:], delimiter)
	case len(cells) > 1 && (quoted || !proseFollows(raw, delimiter)):
		key, value = head, joinCells("", cells[1:], delimiter)
	case len(cells) == 1 && !quoted:
		// “# width,4.8” above a table with another delimiter.
		i := strings.IndexAny(head, "\t;,")
		if i < 0 || i+1 == len(head) || head[i+1] == ' ' {
			return Note{}, false
		}
		key, value = head[:i], strings.TrimRight(head[i+1:], "\t;, ")
	default:
		return Note{}, false
	}
	n.Key, n.Value = foldNote(key), strings.TrimSpace(value)
	if !colon && !plainKey(n.Key) {
		return Note{}, false
	}
	return n, n.Key != ""
}

// proseFollows reports whether the first delimiter of a line has a space after it, as
// in a sentence but not in the output of a spreadsheet program.
func proseFollows(raw []byte, delimiter byte) bool {
	i := bytes.IndexByte(raw, delimiter)
	return delimiter != '\t' && i >= 0 && i+1 < len(raw) && raw[i+1] == ' '
}

// joinCells joins the cells of a note's value as in a line.
func joinCells(value string, cells []rawCell, delimiter byte) string {
	parts := make([]string, 0, len(cells)+1)
	if value = strings.TrimSpace(value); value != "" {
		parts = append(parts, value)
	}
	for _, c := range cells {
		if len(parts) > 0 || len(c.text) > 0 {
			parts = append(parts, string(c.text))
		}
	}
	return strings.Join(parts, string(delimiter))
}

// plainKey reports whether a text without a colon can be the key of a note: up to
// three words of letters.
func plainKey(key string) bool {
	for _, r := range key {
		if !unicode.IsLetter(r) && r != ' ' && r != '-' {
			return false
		}
	}
	return strings.Count(key, " ") < 3
}

// foldNote converts a note's key to lower case with single spaces.
func foldNote(key string) string {
	key = strings.TrimFunc(key, func(r rune) bool { return unicode.IsSpace(r) || r == '#' })
	return foldName(key)
}
