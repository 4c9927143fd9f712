package table

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"strconv"
	"strings"
)

// sheetRows yields the rows of a worksheet as records.
// Source: ECMA-376 part 1, 18.3.1 worksheets.
type sheetRows struct {
	book    *workbook
	part    sheetPart
	xml     io.ReadCloser
	decoder *xml.Decoder
	ended   bool  // the end tag of the worksheet was read
	err     error // why reading stopped

	record    record
	hiddenRow bool
	cell      sheetCell  // the last one of the row so far
	text      textReader // since its start
	texts     []byte     // of all cells of the row
	gaps      int        // missing cells before present ones

	hidden        lineRanges // hidden rows with content
	hiddenColumns [][2]int
	merged        []string
}

// sheetCell is what the worksheet says about a cell.
type sheetCell struct {
	column  int // 0 for none
	style   int
	kind    string // ECMA-376 part 1, 18.18.11, ST_CellType; "" is a number
	formula bool
	value   bool
	text    []byte
}

const (
	// maxMerged limits the merged cells and the spans of hidden columns of a sheet that
	// are kept; five are shown.
	maxMerged = 1000
	// maxRows is the last row of a worksheet.
	maxRows = 1 << 20
	// maxGaps limits the missing cells of a worksheet before present ones: they take no
	// space in the file but as much memory as any other.
	maxGaps = 8 << 20
)

func (w *workbook) rows(part sheetPart) *sheetRows {
	r := &sheetRows{book: w, part: part}
	if r.xml, r.err = w.container.open(part.path, maxPart); r.err == nil {
		r.decoder = xml.NewDecoder(r.xml)
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
	more, err := r.nextRow()
	if r.err = err; err != nil || !more {
		return nil
	}
	if r.hiddenRow && filledCells(r.record.cells) > 0 {
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

// nextRow reads the next row into the record; it is false at the end of the worksheet.
func (r *sheetRows) nextRow() (bool, error) {
	for {
		token, err := r.token()
		if err != nil || r.ended {
			return false, err
		}
		start, ok := token.(xml.StartElement)
		if !ok {
			continue
		}
		switch start.Name.Local {
		case "row":
			return true, r.readRow(start.Attr)
		case "col":
			if isTrue(attribute(start.Attr, "hidden")) && len(r.hiddenColumns) < maxMerged {
				from, _ := strconv.Atoi(attribute(start.Attr, "min"))
				to, _ := strconv.Atoi(attribute(start.Attr, "max"))
				r.hiddenColumns = append(r.hiddenColumns, [2]int{from, to})
			}
		case "mergeCell":
			if len(r.merged) < maxMerged {
				r.merged = append(r.merged, attribute(start.Attr, "ref"))
			}
		}
	}
}

// token reads the next token; the end of the file before the end of the worksheet
// is an error.
func (r *sheetRows) token() (xml.Token, error) {
	token, err := r.decoder.RawToken()
	if err == io.EOF {
		return nil, errors.New("it ends before its end tag")
	}
	if end, ok := token.(xml.EndElement); ok {
		r.ended = end.Name.Local == "worksheet"
	}
	return token, err
}

// readRow reads a row after its start tag. Rows and cells without a reference follow
// the one before.
func (r *sheetRows) readRow(attrs []xml.Attr) error {
	row := r.record.line + 1
	if name := attribute(attrs, "r"); name != "" {
		var err error
		if row, err = strconv.Atoi(name); err != nil {
			return err
		}
	}
	if row <= r.record.line || row > maxRows {
		return errors.New("rows out of order")
	}
	r.record.line, r.hiddenRow = row, isTrue(attribute(attrs, "hidden"))
	r.record.cells, r.texts, r.cell = r.record.cells[:0], r.texts[:0], sheetCell{}
	for {
		token, err := r.token()
		if err != nil {
			return err
		}
		if err := r.text.take(token); err != nil {
			return err
		}
		switch t := token.(type) {
		case xml.StartElement:
			switch t.Name.Local {
			case "c":
				if err := r.startCell(t.Attr); err != nil {
					return err
				}
			case "f":
				r.cell.formula = true
			case "v", "is":
				r.cell.value = true
			}
		case xml.EndElement:
			switch {
			case t.Name.Local == "c":
				from := len(r.texts)
				r.texts = append(r.texts, r.text.text...)
				r.cell.text, r.text.text = r.texts[from:], r.text.text[:0]
			case t.Name.Local == "row":
				return r.keepCell()
			case r.ended:
				return errors.New("a row without an end tag")
			}
		}
	}
}

// startCell keeps the cell before and begins the next one.
func (r *sheetRows) startCell(attrs []xml.Attr) (err error) {
	if err := r.keepCell(); err != nil {
		return err
	}
	c := sheetCell{column: r.cell.column + 1, kind: attribute(attrs, "t")}
	if name := attribute(attrs, "r"); name != "" {
		var row int
		if c.column, row = parseCellName(name); c.column == 0 {
			return errors.New("a cell with the name " + quoteShort(name))
		}
		if row != r.record.line {
			return errors.New("cell " + name + " out of its row")
		}
	}
	if style := attribute(attrs, "s"); style != "" {
		if c.style, err = strconv.Atoi(style); err != nil {
			return err
		}
	}
	if c.column <= r.cell.column || c.column > maxColumns {
		return errors.New("cells out of order")
	}
	r.cell = c
	return nil
}

// keepCell puts the last cell into the record.
func (r *sheetRows) keepCell() error {
	column, cells := r.cell.column, r.record.cells
	if column == 0 {
		return nil
	}
	text, err := r.cellText()
	if err != nil {
		return err
	}
	if r.gaps += column - len(cells) - 1; r.gaps > maxGaps {
		return errors.New("cells far to the right of an empty sheet")
	}
	for len(cells) < column {
		cells = append(cells, rawCell{line: r.record.line})
	}
	cells[column-1].formula = r.cell.formula
	r.book.fill(&cells[column-1], r.cell, text)
	r.record.cells = cells
	return nil
}

// cellText returns the text of the last cell, also where cells share it.
func (r *sheetRows) cellText() ([]byte, error) {
	text := bytes.TrimSpace(r.cell.text)
	switch r.cell.kind {
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
func (w *workbook) fill(c *rawCell, m sheetCell, text []byte) {
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

func (r *sheetRows) hiddenColumn(column int) bool {
	for _, span := range r.hiddenColumns {
		if span[0] <= column && column <= span[1] {
			return true
		}
	}
	return false
}

// mergedBelow lists the merged cells that reach below the header.
func (r *sheetRows) mergedBelow(header int) string {
	var found []string
	for _, ref := range r.merged {
		_, last, ok := strings.Cut(ref, ":")
		if _, row := parseCellName(last); !ok || row <= header {
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

// parseCellName reads the name of a cell such as B7, column and row counted from 1;
// 0 where it is none.
func parseCellName(name string) (column, row int) {
	i := 0
	for ; i < len(name) && i < 4 && name[i]|0x20 >= 'a' && name[i]|0x20 <= 'z'; i++ {
		column = column*26 + int(name[i]|0x20-'a') + 1
	}
	row, err := strconv.Atoi(name[i:])
	if err != nil || row < 1 || row > maxRows || column > maxColumns {
		return 0, 0
	}
	return column, row
}

// attribute returns the value of an attribute, "" where there is none.
func attribute(attrs []xml.Attr, name string) string {
	for _, a := range attrs {
		if a.Name.Local == name {
			return a.Value
		}
	}
	return ""
}

// isTrue reports whether an attribute is true (xsd:boolean).
func isTrue(value string) bool { return value == "1" || value == "true" }
