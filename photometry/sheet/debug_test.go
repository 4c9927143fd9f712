package sheet

import (
	"os"
	"path/filepath"
	"testing"

	"evenfall/photometry/table"
)

func TestDebug(t *testing.T) {
	path := os.Getenv("SHEET")
	if path == "" {
		t.Skip()
	}
	f, _ := os.Open(path)
	sheets, err := table.ReadCells(f, filepath.Base(path), 0)
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range sheets {
		t.Logf("sheet %q", s.Name)
		for _, row := range s.Rows {
			line := ""
			for _, c := range row {
				line += c.Text
				if c.Formula {
					line += "=f"
				}
				line += " | "
			}
			t.Log(line)
		}
		for _, sign := range []rune{'.', ','} {
			m := newMatrix(s.Rows, sign, &Answers{})
			for i, d := range candidates(m, sign) {
				if i > 5 {
					break
				}
				t.Logf("%c %-12s score %.1f header %d explained %d of %d: %s left %v cols %v q %v", sign, d.how, d.score, d.headerLine, d.explained, d.numbers, d.figures(), d.left, d.columns, d.question)
			}
		}
	}
}
