// Package testdata contains published figures only, as embedded tables, so that
// tests and the self-check read the very same numbers. SOURCES.md beside it
// names each source and the test that uses it. Nothing here is computed by the
// project itself.
package testdata

import (
	"embed"
	"encoding/csv"
	"strconv"

	"github.com/gocarina/gocsv"
)

//go:embed *.csv
var files embed.FS

// rows reads an embedded table by the names of its columns; an empty number is 0.
// A fault in one is a fault of the program, so it panics.
func rows[T any](name string) []T {
	f, err := files.Open(name)
	if err != nil {
		panic("testdata: " + err.Error())
	}
	defer f.Close()
	var out []T
	if err := gocsv.Unmarshal(f, &out); err != nil {
		panic("testdata: " + name + ": " + err.Error())
	}
	return out
}

// records reads an embedded table whose columns have no fixed names, the header
// first.
func records(name string) [][]string {
	f, err := files.Open(name)
	if err != nil {
		panic("testdata: " + err.Error())
	}
	defer f.Close()
	all, err := csv.NewReader(f).ReadAll()
	if err != nil {
		panic("testdata: " + name + ": " + err.Error())
	}
	return all
}

func number(text string) float64 {
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		panic("testdata: " + err.Error())
	}
	return v
}
