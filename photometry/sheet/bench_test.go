package sheet

import (
	"fmt"
	"strings"
	"testing"
)

// sheetOf is a sheet of many rows below a header.
func sheetOf(header, row string, rows int) string {
	var b strings.Builder
	b.WriteString(header + "\n")
	for i := range rows {
		fmt.Fprintf(&b, row+"\n", i, 500+i*7919%97)
	}
	return b.String()
}

// BenchmarkSheetRefused: levels that cannot be read.
func BenchmarkSheetRefused(b *testing.B) {
	text := sheetOf("label,x (m),y (m),E (lx)", "p%d,1,2,abc%d", 100_000)
	for b.Loop() {
		if _, err := Read(strings.NewReader(text), "bad.csv", nil); err == nil {
			b.Fatal("taken")
		}
	}
}

// BenchmarkSheetList: a long list that is not in the plain form.
func BenchmarkSheetList(b *testing.B) {
	text := sheetOf("Spot,Lux reading", "p%d,%d", 100_000)
	for b.Loop() {
		if _, err := Read(strings.NewReader(text), "list.csv", nil); err != nil {
			b.Fatal(err)
		}
	}
}
