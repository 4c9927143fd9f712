package setup

import (
	"errors"
	"io"
	"slices"
	"strings"

	"evenfall/photometry/schema"
	"evenfall/photometry/table"
)

// Origin is the file of a table and what else is in it.
type Origin struct {
	File     string
	Notes    []table.Note
	Warnings []table.Warning
	Dialect  table.Dialect
}

// rows is a table being checked: its rows, and what is wrong so far.
type rows[T any] struct {
	*table.Typed[T]
	errs table.Errors
}

// read reads the rows of a table that must have the named columns and at least
// one row. An error is one that leaves nothing to check.
func read[T any](r io.Reader, in schema.File, file, what string, columns ...string) (*rows[T], error) {
	t, err := table.ReadTyped[T](r, file, schema.Vocabulary(in))
	out := &rows[T]{Typed: t}
	if err != nil && !errors.As(err, &out.errs) || t == nil {
		return nil, err
	}
	if in == schema.LampsFile { // whose notes are for whoever asks; what none is, is reported here
		t.Warnings = append(t.Warnings, schema.Read(in, []*schema.Source{schema.Sheet(t.Sheet)}).Warnings...)
	}
	if len(t.Rows) == 0 && len(out.errs) == 0 {
		return nil, &table.Error{File: file, Sheet: t.Name, Found: "a table without rows", InWords: true, Expected: "a row for each " + what}
	}
	for _, name := range columns {
		if !t.Has(name) && len(out.errs) == 0 {
			return nil, &table.Error{File: file, Sheet: t.Name, Found: "no column “" + name + "”", InWords: true, Expected: "one in a table of " + what + "s"}
		}
	}
	return out, nil
}

func (r *rows[T]) origin() Origin {
	return Origin{File: r.File, Notes: r.Notes, Warnings: r.Warnings, Dialect: r.Dialect}
}

// values are the rows without their places.
func (r *rows[T]) values() []T {
	out := make([]T, len(r.Rows))
	for i, row := range r.Rows {
		out[i] = row.Value
	}
	return out
}

// fail notes an error at a cell. A cell is reported once, and an empty one only
// where nothing else is wrong on its line: what is missing may be what could not
// be read.
func (r *rows[T]) fail(row int, column, expected string) {
	cell := r.Cell(row, column)
	for _, e := range r.errs {
		if e.Line == cell.Line && (e.Column == cell.Column || cell.Text == "") {
			return
		}
	}
	r.errs = append(r.errs, r.Error(row, column, expected))
}

// add notes further errors, but not a second one at the same place.
func (r *rows[T]) add(errs table.Errors) {
	for _, e := range errs {
		if !slices.ContainsFunc(r.errs, func(known *table.Error) bool {
			return known.File == e.File && known.Line == e.Line && known.Column == e.Column && e.Line > 0
		}) {
			r.errs = append(r.errs, e)
		}
	}
}

// same compares names as people write them.
func same(a, b string) bool { return strings.EqualFold(strings.TrimSpace(a), strings.TrimSpace(b)) }
