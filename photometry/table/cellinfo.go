package table

import (
	"encoding/xml"
	"errors"
	"io"
	"strconv"
	"strings"

	"github.com/xuri/excelize/v2"
)

// cellInfo is what the worksheet says about a cell besides its text.
type cellInfo struct {
	column  int
	style   int
	kind    string // ECMA-376 part 1, 18.18.11, ST_CellType; "" is a number
	formula bool
	value   bool
}

// cellInfoReader reads the types and styles of the cells of a worksheet, row by row.
// Source: ECMA-376 part 1, 18.3.1 worksheets.
type cellInfoReader struct {
	decoder *xml.Decoder

	row    int
	hidden bool
	cells  []cellInfo

	hiddenColumns [][2]int
	merged        []string
	ended         bool // the end tag of the worksheet was read
}

// maxMerged limits the merged cells of a sheet that are kept; five are shown.
const maxMerged = 1000

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
	if row <= m.row || row > excelize.TotalRows {
		return errors.New("rows out of order")
	}
	m.row, m.hidden, m.cells = row, isTrue(attribute(attrs, "hidden")), m.cells[:0]
	for {
		token, err := m.token()
		if err != nil {
			return err
		}
		switch t := token.(type) {
		case xml.StartElement:
			if err := m.readElement(t); err != nil {
				return err
			}
		case xml.EndElement:
			if t.Name.Local == "row" {
				return nil
			}
			if m.ended {
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

func (m *cellInfoReader) addCell(attrs []xml.Attr) (err error) {
	before := 0
	if n := len(m.cells); n > 0 {
		before = m.cells[n-1].column
	}
	c := cellInfo{column: before + 1, kind: attribute(attrs, "t")}
	if name := attribute(attrs, "r"); name != "" {
		var row int
		if c.column, row, err = excelize.CellNameToCoordinates(name); err != nil {
			return err
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
	if isTrue(attribute(attrs, "hidden")) {
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
