package main

import (
	"bytes"
	"encoding/binary"
	"hash/fnv"
	"strings"

	"github.com/xuri/excelize/v2"
)

func checksum(content []byte) uint64 {
	h := fnv.New64a()
	h.Write(content)
	return h.Sum64()
}

// hostileFiles are files that no golden text can hold: workbooks whole and
// damaged, other bytes than text, and texts that are too long.
func hostileFiles() map[string][]byte {
	book := excelize.NewFile()
	for i, row := range [][]any{{"x (m)", "y (m)", "E (lx)"}, {0.5, 0.5, 500}, {1.5, 0.5, 520}, {0.5, 1.5, 480}, {1.5, 1.5, 510}} {
		cell, err := excelize.CoordinatesToCellName(1, i+1)
		must(err)
		must(book.SetSheetRow("Sheet1", cell, &row))
	}
	var whole bytes.Buffer
	must(book.Write(&whole))
	sheet := whole.Bytes()
	flipped := bytes.Clone(sheet)
	for i := 200; i < len(flipped); i += 97 {
		flipped[i] ^= 0x55
	}
	noise := make([]byte, 4096)
	state := uint32(1)
	for i := range noise {
		state = state*1664525 + 1013904223
		noise[i] = byte(state >> 24)
	}
	const table = "x (m),y (m),E (lx)\n0,0,500\n1,0,520\n0,1,480\n1,1,510\n"
	utf16 := []byte{0xff, 0xfe}
	for _, r := range table {
		utf16 = binary.LittleEndian.AppendUint16(utf16, uint16(r))
	}
	return map[string][]byte{
		"whole.xlsx":        sheet,
		"half.xlsx":         sheet[:len(sheet)/2],
		"flipped.xlsx":      flipped,
		"endless.xlsx":      append(bytes.Clone(sheet), noise...),
		"text.xlsx":         []byte(table),
		"noise.csv":         noise,
		"book.csv":          sheet,
		"picture.csv":       []byte("\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR"),
		"nul.csv":           []byte(strings.Replace(table, "520", "5\x0020", 1)),
		"control.csv":       []byte(strings.Replace(table, "520", "\x1b[31m520", 1)),
		"latin1.csv":        []byte("# surface: toile fonc\xe9e\n" + table),
		"utf16.csv":         utf16,
		"utf16-half.csv":    utf16[:len(utf16)-1],
		"bom.csv":           []byte("\ufeff" + strings.ReplaceAll(table, "\n", "\r\n")),
		"cr.csv":            []byte(strings.ReplaceAll(table, "\n", "\r")),
		"line.csv":          []byte(table + "2,2," + strings.Repeat("9", 2<<20) + "\n"),
		"cell.csv":          []byte(table + "2,2,\"" + strings.Repeat("long ", 1<<18) + "\"\n"),
		"columns.csv":       []byte(strings.Repeat("E (lx),", 20000) + "E (lx)\n"),
		"quotes.csv":        []byte(table + strings.Repeat(`"`, 100001)),
		"unclosed.csv":      []byte(table + "2,2,\"530\n3,3,540\n"),
		"stray-quote.csv":   []byte(strings.Replace(table, "520", `5"20`, 1)),
		"empty.csv":         {},
		"spaces.csv":        []byte(" \n\t\n \n"),
		"no-line-end.csv":   []byte(strings.TrimSuffix(table, "\n")),
		"only-notes.csv":    []byte("# surface: cloth\n# for: screen\n"),
		"only-header.csv":   []byte("x (m),y (m),E (lx)\n"),
		"only-commas.csv":   []byte(strings.Repeat(",,,\n", 50)),
		"formula.csv":       []byte(strings.Replace(table, "520", "=2+5", 1)),
		"html.csv":          []byte("<html><body><table><tr><td>500</td></tr></table></body></html>\n"),
		"json.csv":          []byte(`{"x": 1, "y": 2, "E": 500}` + "\n"),
		"numbers.csv":       []byte("1,2,3\n4,5,6\n"),
		"hidden.csv":        []byte("x (m),y (m),E (lx)\n0,0,5\u200b00\n1,0,520\n"),
		"arabic-digits.csv": []byte("x (m),y (m),E (lx)\n0,0,٥٠٠\n1,0,520\n"),
	}
}
