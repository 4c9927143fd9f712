package table

import (
	"bytes"
	"errors"
	"io"
	"strconv"
	"strings"
)

// sheetRows yields the rows of a worksheet as records.
type sheetRows struct {
	book   *workbook
	part   sheetPart
	xml    io.ReadCloser
	marks  *cellInfoReader
	record record
	gaps   int        // missing cells before present ones
	hidden lineRanges // hidden rows with content
	err    error      // why reading stopped
}

// maxGaps limits the missing cells of a worksheet before present ones: they take no
// space in the file but as much memory as any other.
const maxGaps = 8 << 20

func (w *workbook) rows(part sheetPart) *sheetRows {
	r := &sheetRows{book: w, part: part}
	if r.xml, r.err = w.container.open(part.path, maxPart); r.err == nil {
		r.marks = newCellInfoReader(r.xml)
	}
	return r
}

func (r *sheetRows) close() {
	if r.xml != nil {
		r.xml.Close()
	}
}

// next returns the next row of the worksheet.
func (r *sheetRows) next() *record {
	if r.err != nil {
		return nil
	}
	more, err := r.read()
	if r.err = err; err != nil || !more {
		return nil
	}
	if r.marks.hidden && filledCells(r.record.cells) > 0 {
		r.hidden.add(r.record.line)
	}
	return &r.record
}

// fault returns why reading stopped, nil at the end of the worksheet.
func (r *sheetRows) fault() *Error {
	if r.err == nil {
		return nil
	}
	return &Error{Line: r.record.line, Found: "a damaged worksheet (" + r.err.Error() + ")", InWords: true,
		Expected: "one that a spreadsheet program can open", Err: r.err}
}

// read reads the next row into the record; it is false at the end.
func (r *sheetRows) read() (more bool, err error) {
	if more, err = r.marks.nextRow(); err != nil || !more {
		return false, err
	}
	line := r.marks.row
	r.record.line = line
	cells := r.record.cells[:0]
	for _, m := range r.marks.cells {
		text, err := r.text(m)
		if err != nil {
			return false, err
		}
		if r.gaps += m.column - len(cells) - 1; r.gaps > maxGaps {
			return false, errors.New("cells far to the right of an empty sheet")
		}
		for len(cells) < m.column {
			cells = append(cells, rawCell{line: line})
		}
		r.book.fill(&cells[m.column-1], m, text)
		cells[m.column-1].formula = m.formula
	}
	r.record.cells = cells
	return true, nil
}

// text returns the text of a cell, also where cells share it.
func (r *sheetRows) text(m cellInfo) ([]byte, error) {
	text := bytes.TrimSpace(r.marks.textOf(m))
	switch m.kind {
	case "s":
		if len(text) == 0 {
			break
		}
		i, err := strconv.Atoi(string(text))
		if err != nil || i < 0 || i >= len(r.book.texts) {
			return nil, errors.New("a cell whose text is missing")
		}
		text = []byte(strings.TrimSpace(r.book.texts[i]))
	case "inlineStr", "str":
		text = []byte(unescapeText(string(text)))
	}
	if r.book.textBytes += len(text); r.book.textBytes > maxCellTexts {
		return nil, errors.New("more text than can be read")
	}
	return text, nil
}

// fill fills a record's cell from that of a worksheet.
func (w *workbook) fill(c *rawCell, m cellInfo, text []byte) {
	switch {
	case m.formula && (!m.value || len(text) == 0 && m.kind == ""):
		c.kind = noValue
		return
	case len(text) == 0:
		return
	}
	switch m.kind {
	case "", "n":
		c.kind = number
		if f := w.format(m.style); f != (numberFormat{}) {
			if v, err := strconv.ParseFloat(string(text), 64); err == nil {
				if shown, ok := f.format(v, w.date1904); ok {
					c.kind, text = asText, []byte(shown)
				}
			}
		}
	case "b":
		c.kind = asText
		text = []byte(map[string]string{"0": "FALSE", "1": "TRUE"}[string(text)])
	case "e":
		c.kind = cellError
	case "d":
		c.kind = asText
		text = []byte(strings.TrimSuffix(strings.Replace(string(text), "T", " ", 1), "Z"))
	}
	c.text = text
}
