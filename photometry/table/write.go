package table

import (
	"io"
	"strconv"

	"github.com/xuri/excelize/v2"
)

// WriteWorkbook writes a table as an .xlsx workbook of one sheet that ReadColumns reads:
// notes as lines “# key: value”, the header, which stays in sight, and the rows. A format
// of a column is a number format such as 0.00, "" for texts; cells that are numbers are
// written as such where it has one.
// Source: ECMA-376 part 1, 18.8.31 numFmts.
func WriteWorkbook(w io.Writer, notes []Note, header, formats []string, rows [][]string) error {
	book := excelize.NewFile()
	defer book.Close()
	sheet := book.GetSheetName(0)
	line := 0
	var failed error
	write := func(column int, value any) {
		if err := book.SetCellValue(sheet, cellName(column, line), value); err != nil && failed == nil {
			failed = err
		}
	}
	for _, n := range notes {
		line++
		write(0, "# "+n.Key+": "+n.Value)
	}
	line++
	for j, name := range header {
		write(j, name)
	}
	head := line
	for _, row := range rows {
		line++
		for j, text := range row {
			if v, err := strconv.ParseFloat(text, 64); err == nil && formats[j] != "" {
				write(j, v)
			} else if text != "" {
				write(j, text)
			}
		}
	}
	for j, format := range formats {
		if format == "" || failed != nil {
			continue
		}
		style, err := book.NewStyle(&excelize.Style{CustomNumFmt: &format})
		if err == nil {
			err = book.SetCellStyle(sheet, cellName(j, head+1), cellName(j, max(line, head+1)), style)
		}
		failed = err
	}
	if failed == nil {
		failed = book.SetPanes(sheet, &excelize.Panes{Freeze: true, YSplit: head, TopLeftCell: cellName(0, head+1), ActivePane: "bottomLeft"})
	}
	if failed != nil {
		return failed
	}
	_, err := book.WriteTo(w)
	return err
}
