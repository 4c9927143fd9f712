package table

import (
	"encoding/xml"
	"errors"
	"io"
	"strconv"
	"strings"
)

// cellInfo is what the worksheet says about a cell besides its text.
type cellInfo struct {
	column  int
	style   int
	kind    string // ECMA-376 part 1, 18.18.11, ST_CellType; "" is a number
	formula bool
	value   bool
	text    [2]int // where its text is among those of the row
}

// cellInfoReader reads the types and styles of the cells of a worksheet, row by row.
// Source: ECMA-376 part 1, 18.3.1 worksheets.
type cellInfoReader struct {
	decoder *xml.Decoder

	row      int
	hidden   bool
	cells    []cellInfo
	text     textReader // of the cell
	rowTexts []byte     // of all cells of the row

	hiddenColumns [][2]int
	merged        []string
	ended         bool // the end tag of the worksheet was read
}

// maxMerged limits the merged cells and the spans of hidden columns of a sheet that
// are kept; five are shown.
const maxMerged = 1000

// maxRows is the last row of a worksheet.
const maxRows = 1 << 20

func newCellInfoReader(in io.Reader) *cellInfoReader {
	return &cellInfoReader{decoder: xml.NewDecoder(in)}
}

// nextRow reads the next row; it is false at the end of the worksheet.
func (m *cellInfoReader) nextRow() (bool, error) {
	for {
		token, err := m.token()
		if err != nil || m.ended {
			return false, err
		}
		start, ok := token.(xml.StartElement)
		if !ok {
			continue
		}
		switch start.Name.Local {
		case "row":
			return true, m.readRow(start.Attr)
		case "col":
			m.addColumns(start.Attr)
		case "mergeCell":
			if len(m.merged) < maxMerged {
				m.merged = append(m.merged, attribute(start.Attr, "ref"))
			}
		}
	}
}

// token reads the next token; the end of the file before the end of the worksheet
// is an error.
func (m *cellInfoReader) token() (xml.Token, error) {
	token, err := m.decoder.RawToken()
	if err == io.EOF {
		return nil, errors.New("it ends before its end tag")
	}
	if end, ok := token.(xml.EndElement); ok {
		m.ended = end.Name.Local == "worksheet"
	}
	return token, err
}

// readRow reads a row after its start tag. Rows and cells without a reference follow
// the one before.
func (m *cellInfoReader) readRow(attrs []xml.Attr) error {
	row := m.row + 1
	if name := attribute(attrs, "r"); name != "" {
		var err error
		if row, err = strconv.Atoi(name); err != nil {
			return err
		}
	}
	if row <= m.row || row > maxRows {
		return errors.New("rows out of order")
	}
	m.row, m.hidden, m.cells = row, isTrue(attribute(attrs, "hidden")), m.cells[:0]
	m.rowTexts = m.rowTexts[:0]
	for {
		token, err := m.token()
		if err != nil {
			return err
		}
		if err := m.text.take(token); err != nil {
			return err
		}
		switch t := token.(type) {
		case xml.StartElement:
			if err := m.readElement(t); err != nil {
				return err
			}
		case xml.EndElement:
			switch {
			case t.Name.Local == "c":
				m.endCell()
			case t.Name.Local == "row":
				return nil
			case m.ended:
				return errors.New("a row without an end tag")
			}
		}
	}
}

// readElement reads the start of an element inside a row.
func (m *cellInfoReader) readElement(t xml.StartElement) error {
	switch last := len(m.cells) - 1; t.Name.Local {
	case "c":
		return m.addCell(t.Attr)
	case "f":
		if last >= 0 {
			m.cells[last].formula = true
		}
	case "v", "is":
		if last >= 0 {
			m.cells[last].value = true
		}
	}
	return nil
}

// endCell keeps the text of a cell.
func (m *cellInfoReader) endCell() {
	if last := len(m.cells) - 1; last >= 0 {
		start := len(m.rowTexts)
		m.rowTexts = append(m.rowTexts, m.text.text...)
		m.cells[last].text = [2]int{start, len(m.rowTexts)}
	}
	m.text.text = m.text.text[:0]
}

// textOf returns the text of a cell of the row, which the next row overwrites.
func (m *cellInfoReader) textOf(c cellInfo) []byte { return m.rowTexts[c.text[0]:c.text[1]] }

func (m *cellInfoReader) addCell(attrs []xml.Attr) (err error) {
	before := 0
	if n := len(m.cells); n > 0 {
		before = m.cells[n-1].column
	}
	c := cellInfo{column: before + 1, kind: attribute(attrs, "t")}
	if name := attribute(attrs, "r"); name != "" {
		var row int
		if c.column, row = parseCellName(name); c.column == 0 {
			return errors.New("a cell with the name " + quoteShort(name))
		}
		if row != m.row {
			return errors.New("cell " + name + " out of its row")
		}
	}
	if style := attribute(attrs, "s"); style != "" {
		if c.style, err = strconv.Atoi(style); err != nil {
			return err
		}
	}
	if c.column <= before || c.column > maxColumns {
		return errors.New("cells out of order")
	}
	m.cells = append(m.cells, c)
	return nil
}

// addColumns records hidden columns.
func (m *cellInfoReader) addColumns(attrs []xml.Attr) {
	if isTrue(attribute(attrs, "hidden")) && len(m.hiddenColumns) < maxMerged {
		from, _ := strconv.Atoi(attribute(attrs, "min"))
		to, _ := strconv.Atoi(attribute(attrs, "max"))
		m.hiddenColumns = append(m.hiddenColumns, [2]int{from, to})
	}
}

func (m *cellInfoReader) hiddenColumn(column int) bool {
	for _, span := range m.hiddenColumns {
		if span[0] <= column && column <= span[1] {
			return true
		}
	}
	return false
}

// mergedBelow lists the merged cells that reach below the header.
func (m *cellInfoReader) mergedBelow(header int) string {
	var found []string
	for _, ref := range m.merged {
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
