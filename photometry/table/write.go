package table

import (
	"encoding/csv"
	"fmt"
	"io"
	"reflect"
	"strings"
	"unicode/utf8"

	"github.com/gocarina/gocsv"
)

// Write writes rows as CSV that Read reads back: UTF-8, commas, decimal points,
// LF, and a header of csv names with the units in brackets. Fields without a
// csv tag are left out. What could not be read back is an error: a row without
// content, a first cell that starts with #, numbers that are not finite,
// control characters, bytes that are not UTF-8. Blanks around a text are not kept, since Read trims its
// cells.
func Write[T any](w io.Writer, rows []T) error {
	out := &typedWriter{out: csv.NewWriter(w), fields: make(map[string]columnField)}
	for _, f := range columnFields(reflect.TypeFor[T]()) {
		out.fields[f.name] = f
	}
	if rows == nil {
		rows = []T{}
	}
	if err := gocsv.MarshalCSV(rows, out); err != nil {
		return fmt.Errorf("table: %w", err)
	}
	return nil
}

// typedWriter takes the records of the library, header first.
type typedWriter struct {
	out    *csv.Writer
	fields map[string]columnField
	keep   []int // which of the library's columns are columns of the table
	number []bool
	row    int
	record []string
}

// Write is part of gocsv.CSVWriter.
func (w *typedWriter) Write(record []string) error {
	w.record = w.record[:0]
	if w.keep == nil {
		for i, name := range record {
			f, ok := w.fields[name]
			if !ok {
				continue
			}
			if f.unit != "" {
				name += " (" + f.unit + ")"
			}
			w.keep = append(w.keep, i)
			w.number = append(w.number, f.kind == ofNumber)
			w.record = append(w.record, name)
		}
		return w.out.Write(w.record)
	}
	w.row++
	content := false
	for k, i := range w.keep {
		text := lineEndsToLF.Replace(record[i])
		content = content || strings.TrimSpace(text) != ""
		if k == 0 && strings.HasPrefix(strings.TrimSpace(text), "#") && !errorWords[strings.TrimSpace(text)] {
			return fmt.Errorf("row %d: its first cell %s would be read as a remark", w.row, quoteShort(text))
		}
		if w.number[k] && (text == "NaN" || strings.HasSuffix(text, "Inf")) {
			return fmt.Errorf("row %d: %s is not a finite number", w.row, text)
		}
		if !utf8.ValidString(text) {
			return fmt.Errorf("row %d: %s is not UTF-8", w.row, quoteShort(text))
		}
		if strings.ContainsFunc(text, func(r rune) bool { return r < ' ' && r != '\t' && r != '\n' }) {
			return fmt.Errorf("row %d: control characters in %s", w.row, quoteShort(text))
		}
		w.record = append(w.record, text)
	}
	if !content {
		return fmt.Errorf("row %d: no cell has content", w.row)
	}
	return w.out.Write(w.record)
}

// Flush is part of gocsv.CSVWriter.
func (w *typedWriter) Flush() { w.out.Flush() }

// Error is part of gocsv.CSVWriter.
func (w *typedWriter) Error() error { return w.out.Error() }

var lineEndsToLF = strings.NewReplacer("\r\n", "\n", "\r", "\n")
