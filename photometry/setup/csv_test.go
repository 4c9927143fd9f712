package setup

import (
	"encoding/csv"
	"strconv"
	"strings"

	"evenfall/photometry/table"
)

// csvOf writes a table with encoding/csv.
func csvOf(header string, rows ...[]string) string {
	var out strings.Builder
	csv.NewWriter(&out).WriteAll(append([][]string{strings.Split(header, ",")}, rows...))
	return out.String()
}

// cell writes a number, and nothing for none.
func cell[F ~float64](v *F) string {
	if v == nil {
		return ""
	}
	return strconv.FormatFloat(float64(*v), 'g', -1, 64)
}

// readBack reads the rows of a table without an error.
func readBack[T any](t interface{ Fatalf(string, ...any) }, text string) []T {
	read, err := table.ReadTyped[T](strings.NewReader(text), "f.csv")
	if err != nil {
		t.Fatalf("%v in\n%s", err, text)
	}
	var out []T
	for _, r := range read.Rows {
		out = append(out, r.Value)
	}
	return out
}
