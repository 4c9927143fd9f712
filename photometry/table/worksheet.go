package table

import (
	"errors"
	"io"
	"strconv"
	"strings"

	"github.com/xuri/excelize/v2"
)

// sheetRows yields the rows of a worksheet as records. The texts are from the
// library's stream of rows, which does not distinguish a number from a text that
// looks like one, nor a formula without a value from an empty cell. A second pass
// over the same part of the archive, in parallel, supplies the type and the style
// of each cell.
type sheetRows struct {
	book   *workbook
	part   sheetPart
	xml    io.ReadCloser
	texts  *excelize.Rows
	marks  *cellInfoReader
	at     int // the row that texts is on
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
	r.err = r.open()
	return r
}

func (r *sheetRows) open() (err error) {
	defer recoverPanic(&err)
	if r.xml, err = r.book.container.open(r.part.path); err != nil {
		return err
	}
	r.marks = newCellInfoReader(r.xml)
	r.texts, err = r.book.file.Rows(r.part.name)
	return err
}

func (r *sheetRows) close() {
	if r.xml != nil {
		r.xml.Close()
	}
	if r.texts != nil {
		r.texts.Close()
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
	defer recoverPanic(&err)
	if more, err = r.marks.nextRow(); err != nil || !more {
		return false, err
	}
	line := r.marks.row
	r.record.line = line
	var texts []string
	for r.at < line { // skip missing rows
		if !r.texts.Next() {
			return false, errors.Join(errors.New("rows that cannot be separated"), r.texts.Error())
		}
		if texts, err = r.texts.Columns(); err != nil {
			return false, err
		}
		r.at++
	}
	cells := r.record.cells[:0]
	for _, m := range r.marks.cells {
		text := ""
		if m.column <= len(texts) {
			text = strings.TrimSpace(texts[m.column-1])
		}
		r.gaps += m.column - len(cells) - 1
		for len(cells) < m.column {
			cells = append(cells, rawCell{line: line})
		}
		r.book.fill(&cells[m.column-1], m, text)
		cells[m.column-1].formula = m.formula
	}
	r.record.cells = cells
	if r.gaps > maxGaps {
		return false, errors.New("cells far to the right of an empty sheet")
	}
	return true, nil
}

// fill fills a record's cell from that of a worksheet.
func (w *workbook) fill(c *rawCell, m cellInfo, text string) {
	switch {
	case m.formula && (!m.value || text == "" && m.kind == ""):
		c.kind = noValue
		return
	case text == "":
		return
	}
	switch m.kind {
	case "", "n":
		c.kind = number
		if v, err := strconv.ParseFloat(text, 64); err == nil {
			if shown, ok := w.format(m.style).format(v, w.date1904); ok {
				c.kind, text = asText, shown
			}
		}
	case "b":
		c.kind = asText
		text = map[string]string{"0": "FALSE", "1": "TRUE"}[text]
	case "e":
		c.kind = cellError
	case "d":
		c.kind = asText
		text = strings.TrimSuffix(strings.Replace(text, "T", " ", 1), "Z")
	}
	c.text = []byte(text)
}
