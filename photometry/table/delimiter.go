package table

import "bytes"

// delimiters are the possible delimiters, the least likely inside a cell first.
var delimiters = []byte{'\t', ';', ','}

// How much of a file is examined to find its delimiter.
const (
	sniffBytes   = 64 << 10
	sniffRecords = 200
)

// findDelimiter finds the delimiter of the table at the start of head. Notes
// and remarks do not count. whole says that head is the whole file.
//
// Each delimiter in the header is tried on the first records and scored, mainly by
// the share of cells without other delimiters (a comma in a number counts as a
// decimal comma), then by the records with as many cells as the header, less those
// with more.
func findDelimiter(head []byte, whole bool) byte {
	if len(head) > sniffBytes {
		// The header may be longer than the part examined.
		head, whole = head[:max(sniffBytes, headerEnd(head))], false
	}
	if i := bytes.LastIndexAny(head, "\r\n"); !whole && i >= 0 {
		head = head[:i+1]
	}
	best, bestScore := byte(0), 0.0
	for _, d := range delimiters {
		t := tryDelimiter(d, head)
		if t.header < 2 {
			continue
		}
		score := 3*t.share(t.clean, t.cells) + t.share(t.match, t.records) - 2*t.share(t.over, t.records)
		if best == 0 || score > bestScore {
			best, bestScore = d, score
		}
	}
	if best != 0 {
		return best
	}
	// A single column: choose a delimiter that its cells do not contain.
	for _, d := range []byte{',', ';', '\t'} {
		if tryDelimiter(d, head).over == 0 {
			return d
		}
	}
	return ','
}

// headerEnd returns where the first line that is not a note ends.
func headerEnd(head []byte) int {
	at := 0
	for at < len(head) {
		end := bytes.IndexAny(head[at:], "\r\n")
		if end < 0 {
			return len(head)
		}
		line := bytes.Trim(head[at:at+end], " \t\",;")
		at += end + 1
		if len(line) > 0 && line[0] != '#' {
			return min(at+1, len(head))
		}
	}
	return at
}

// trial is the counts of cells at the start of a file with one delimiter.
type trial struct {
	header               int // cells of the header
	records, match, over int // records below it, with as many cells, with more
	cells, clean         int
}

func (t trial) share(part, of int) float64 {
	if of == 0 {
		return 0
	}
	return float64(part) / float64(of)
}

func tryDelimiter(delimiter byte, head []byte) trial {
	p := newRecordReader(bytes.NewReader(head), delimiter)
	t := trial{}
	for t.records < sniffRecords && p.next() != nil {
		filled := filledCells(p.cells)
		if filled == 0 || t.header == 0 && isRemark(p.cells, true) || t.header > 0 && isRemark(p.cells, false) {
			continue
		}
		t.cells += filled
		for _, c := range p.cells[:filled] {
			if c.quoted || cleanCell(c.text, delimiter) {
				t.clean++
			}
		}
		t.clean -= min(t.clean, len(p.stray))
		switch {
		case t.header == 0:
			t.header = p.count
			continue
		case p.count == t.header:
			t.match++
		case filled > t.header || p.extra.Column > 0:
			t.over++
		}
		t.records++
	}
	return t
}

// cleanCell reports whether an unquoted cell looks like one cell, and not
// like several with another delimiter between them.
func cleanCell(text []byte, delimiter byte) bool {
	for i, c := range text {
		switch {
		case c == '\t', c == ';' && delimiter != '\t':
			return false
		case c == ',' && delimiter != ',' && i+1 < len(text) && text[i+1] != ' ':
			// Prose has a space after the comma; otherwise a comma is in a number.
			return scanNumeral(text).digits != "" || oddNumber(text)
		}
	}
	return true
}

// oddNumber reports whether a text has a single number with a comma inside,
// such as “116,5 fc”.
func oddNumber(text []byte) bool {
	commas := bytes.Count(text, []byte(","))
	for token := range numberTokens(text) {
		if scanNumeral(text[token[0]:token[1]]).digits != "" {
			commas -= bytes.Count(text[token[0]:token[1]], []byte(","))
		}
	}
	return commas == 0
}

// filledCells returns how many cells a record has without the empty ones at
// its end.
func filledCells(cells []rawCell) int {
	n := len(cells)
	for n > 0 && len(cells[n-1].text) == 0 && cells[n-1].kind == typed {
		n--
	}
	return n
}
