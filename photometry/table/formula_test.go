package table

import (
	"encoding/csv"
	"strings"
	"testing"
)

// Texts that a spreadsheet program would run are written so that it does not, and read
// as they were.
func TestFormulasAreTexts(t *testing.T) {
	texts := []string{"=1+1", `=HYPERLINK("x","y")`, "+A1", "-A1", "@sum", "'=1", "''=1", "-1.5..2.0", "'tis", "key", "A - B", "'", "-1/3 stop"}
	var b strings.Builder
	w := csv.NewWriter(&b)
	w.Write([]string{"name", "lx"})
	for _, text := range texts {
		cell := AsText(text)
		if cell == "" || strings.ContainsAny(cell[:1], runs) {
			t.Errorf("%q is written as %q", text, cell)
		}
		w.Write([]string{cell, AsText("-12.5")})
	}
	w.Flush()
	sheets, err := ReadColumns(strings.NewReader(b.String()), "f.csv", wantsOf(Text, Number))
	if err != nil {
		t.Fatal(err)
	}
	for i, got := range sheets[0].Columns[0].Text {
		if got != texts[i] || FromText(AsText(got)) != texts[i] {
			t.Errorf("%q comes back as %q", texts[i], got)
		}
		if v := sheets[0].Columns[1].Num[i]; v != -12.5 {
			t.Errorf("a number comes back as %v", v)
		}
	}
}
