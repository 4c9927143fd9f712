package table

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"strconv"
	"strings"

	"github.com/xuri/excelize/v2"
)

// sheetRows yields the rows of a worksheet as records. The texts come from
// the library's stream of rows. That stream does not tell a number from a text
// that looks like one, nor a formula without a value from an empty cell, so
// that a second pass over the same part of the archive, in step with it,
// supplies the type and the style of each cell.
type sheetRows struct {
	book  *workbook
	texts *excelize.Rows
	marks *cellMarks
	at    int // the row that texts is on

	line   int // of the last row that next returned
	hidden bool
	cells  []rawCell
}

func (w *workbook) rows(part sheetPart) (r *sheetRows, err error) {
	defer guard(&err)
	content, err := w.part(part.path)
	if err != nil {
		return nil, err
	}
	texts, err := w.file.Rows(part.name)
	if err != nil {
		return nil, err
	}
	return &sheetRows{book: w, texts: texts, marks: newCellMarks(content)}, nil
}

func (r *sheetRows) close() { r.texts.Close() }

// next returns the cells of the next row that the worksheet has.
func (r *sheetRows) next() (cells []rawCell, more bool, err error) {
	defer guard(&err)
	more, err = r.marks.nextRow()
	if err != nil || !more {
		return nil, false, err
	}
	r.line, r.hidden = r.marks.row, r.marks.hidden
	for r.at < r.line {
		if !r.texts.Next() {
			return nil, false, errors.Join(errors.New("rows that cannot be told apart"), r.texts.Error())
		}
		r.at++
		if r.at < r.line { // a row that is not there
			if _, err := r.texts.Columns(); err != nil {
				return nil, false, err
			}
		}
	}
	texts, err := r.texts.Columns()
	if err != nil {
		return nil, false, err
	}
	r.cells = r.cells[:0]
	for _, m := range r.marks.cells {
		text := ""
		if m.column <= len(texts) {
			text = strings.TrimSpace(texts[m.column-1])
		}
		for len(r.cells) < m.column {
			r.cells = append(r.cells, rawCell{line: r.line})
		}
		r.cells[m.column-1] = r.book.cell(m, text, r.line)
	}
	return r.cells, true, nil
}

// cell makes a record's cell of one of a worksheet.
func (w *workbook) cell(m cellMark, text string, line int) rawCell {
	c := rawCell{line: line}
	switch {
	case m.formula && (!m.value || text == "" && m.kind == ""):
		c.kind = noValue
		return c
	case text == "":
		return c
	}
	switch m.kind {
	case "", "n":
		c.kind = number
		if v, err := strconv.ParseFloat(text, 64); err == nil {
			if shown, ok := w.format(m.style).show(v, w.date1904); ok {
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
	return c
}

// cellMark is what the worksheet says about a cell beside its text.
type cellMark struct {
	column  int
	style   int
	kind    string // ECMA-376 part 1, 18.18.11, ST_CellType; "" is a number
	formula bool
	value   bool
}

// cellMarks reads the marks of a worksheet, row by row.
type cellMarks struct {
	decoder *xml.Decoder

	row    int
	hidden bool
	cells  []cellMark

	hiddenColumns [][2]int
	merged        []string
}

func newCellMarks(content []byte) *cellMarks {
	return &cellMarks{decoder: xml.NewDecoder(bytes.NewReader(content))}
}

// nextRow reads the next row; it is false at the end of the worksheet. Rows
// and cells may leave out their names and then follow the one before.
func (m *cellMarks) nextRow() (bool, error) {
	m.cells = m.cells[:0]
	inRow := false
	for {
		token, err := m.decoder.RawToken()
		if err == io.EOF {
			return false, nil
		}
		if err != nil {
			return false, err
		}
		switch t := token.(type) {
		case xml.StartElement:
			switch t.Name.Local {
			case "row":
				row := m.row + 1
				m.hidden = false
				for _, a := range t.Attr {
					switch a.Name.Local {
					case "r":
						if row, err = strconv.Atoi(a.Value); err != nil {
							return false, err
						}
					case "hidden":
						m.hidden = a.Value == "1" || a.Value == "true"
					}
				}
				if row <= m.row || row > excelize.TotalRows {
					return false, errors.New("rows out of order")
				}
				m.row, inRow = row, true
			case "c":
				if inRow {
					if err := m.addCell(t.Attr); err != nil {
						return false, err
					}
				}
			case "f":
				if n := len(m.cells); n > 0 {
					m.cells[n-1].formula = true
				}
			case "v", "is":
				if n := len(m.cells); n > 0 {
					m.cells[n-1].value = true
				}
			case "col":
				m.addColumns(t.Attr)
			case "mergeCell":
				for _, a := range t.Attr {
					if a.Name.Local == "ref" && len(m.merged) < 1000 {
						m.merged = append(m.merged, a.Value)
					}
				}
			}
		case xml.EndElement:
			if t.Name.Local == "row" && inRow {
				return true, nil
			}
		}
	}
}

func (m *cellMarks) addCell(attrs []xml.Attr) error {
	before := 0
	if n := len(m.cells); n > 0 {
		before = m.cells[n-1].column
	}
	c := cellMark{column: before + 1}
	for _, a := range attrs {
		var err error
		switch a.Name.Local {
		case "r":
			var row int
			c.column, row, err = excelize.CellNameToCoordinates(a.Value)
			if err == nil && row != m.row {
				err = errors.New("cell " + a.Value + " out of its row")
			}
		case "s":
			c.style, err = strconv.Atoi(a.Value)
		case "t":
			c.kind = a.Value
		}
		if err != nil {
			return err
		}
	}
	if c.column <= before || c.column > mostColumns {
		return errors.New("cells out of order")
	}
	m.cells = append(m.cells, c)
	return nil
}

// addColumns takes note of hidden columns.
func (m *cellMarks) addColumns(attrs []xml.Attr) {
	span, hidden := [2]int{}, false
	for _, a := range attrs {
		switch a.Name.Local {
		case "min":
			span[0], _ = strconv.Atoi(a.Value)
		case "max":
			span[1], _ = strconv.Atoi(a.Value)
		case "hidden":
			hidden = a.Value == "1" || a.Value == "true"
		}
	}
	if hidden {
		m.hiddenColumns = append(m.hiddenColumns, span)
	}
}

func (m *cellMarks) hiddenColumn(column int) bool {
	for _, span := range m.hiddenColumns {
		if span[0] <= column && column <= span[1] {
			return true
		}
	}
	return false
}

// mergedBelow lists the merged cells that reach below the header.
func (m *cellMarks) mergedBelow(header int) string {
	var found []string
	for _, ref := range m.merged {
		_, last, ok := strings.Cut(ref, ":")
		if _, row, err := excelize.CellNameToCoordinates(last); !ok || err != nil || row <= header {
			continue
		}
		if len(found) == 5 {
			found = append(found, "…")
			break
		}
		found = append(found, ref)
	}
	return strings.Join(found, ", ")
}

func decodeXML(content []byte, into any) error {
	return xml.NewDecoder(bytes.NewReader(content)).Decode(into)
}
