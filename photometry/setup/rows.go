package setup

import (
	"errors"
	"io"
	"strings"

	"evenfall/photometry/table"
)

// rows is a table being checked: its rows, and what is wrong so far.
type rows[T any] struct {
	*table.Typed[T]
	errs   table.Errors
	faulty map[int]bool // lines that have an error already
}

// read reads the rows of a table that must have the named columns and at least
// one row. An error is one that leaves nothing to check.
func read[T any](r io.Reader, file, what string, columns ...string) (*rows[T], error) {
	t, err := table.ReadTyped[T](r, file)
	out := &rows[T]{Typed: t, faulty: map[int]bool{}}
	if err != nil && !errors.As(err, &out.errs) || t == nil {
		return nil, err
	}
	for _, e := range out.errs {
		out.faulty[e.Line] = true
	}
	if len(t.Rows) == 0 && len(out.errs) == 0 {
		return nil, &table.Error{File: file, Sheet: t.Sheet, Found: "a table without rows", InWords: true, Expected: "a row for each " + what}
	}
	for _, name := range columns {
		if !t.Has(name) && len(out.errs) == 0 {
			return nil, &table.Error{File: file, Sheet: t.Sheet, Found: "no column “" + name + "”", InWords: true, Expected: "one in a table of " + what + "s"}
		}
	}
	return out, nil
}

// fail notes an error at a cell; a line is told off once.
func (r *rows[T]) fail(row int, column, expected string) {
	line := r.Rows[row].Line
	if !r.faulty[line] {
		r.errs = append(r.errs, r.Error(row, column, expected))
	}
}

// done marks the line's errors as complete, so that a second check of the same
// line adds nothing.
func (r *rows[T]) done(row int) {
	for _, e := range r.errs {
		if e.Line == r.Rows[row].Line {
			r.faulty[e.Line] = true
		}
	}
}

// same compares names as people write them.
func same(a, b string) bool { return strings.EqualFold(strings.TrimSpace(a), strings.TrimSpace(b)) }
