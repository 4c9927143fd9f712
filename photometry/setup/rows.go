package setup

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/schema"
	"evenfall/photometry/sheet"
	"evenfall/photometry/table"
)

// Origin is the file of a table and what else is in it.
type Origin struct {
	File     string
	Notes    []table.Note
	Warnings []table.Warning
	Dialect  table.Dialect
	ReadAs   *photometry.ReadAs // of a sheet that is not in the plain form
}

// rows is a table being checked: its rows, and what is wrong so far.
type rows[T any] struct {
	*table.Typed[T]
	errs   table.Errors
	readAs *sheet.ReadAs
}

// kindOf is a sort of table: its rows in words, and the columns that it must have.
type kindOf struct {
	in      schema.File
	what    string
	columns []string
}

// Flags are notes of a command line.
type Flags []*schema.Source

// read reads a table in the plain form, or else as people type sheets, and has its rows
// made into what it is.
func read[T, Out any](r io.Reader, file string, kind kindOf, flags []*schema.Source, build func(*rows[T]) (Out, error)) (none Out, err error) {
	if r, err = sheet.Rewindable(r, file); err != nil {
		return none, err
	}
	made := func(from *table.Typed[T], err error, as *sheet.ReadAs) (t *rows[T], out Out, _ error) {
		if t, err = newRows(from, err, file, kind); err == nil {
			t.readAs = as
			out, err = build(t)
		}
		return t, out, err
	}
	plain, err := table.ReadTyped[T](r, file, schema.Vocabulary(kind.in))
	t, out, err := made(plain, err, nil)
	if err == nil && !t.isOpen(kind.in, flags) {
		return out, nil
	}
	sheet.Rewind(r)
	var typed []Out
	tables, typedErr := typedTables(r, file, kind.in, flags)
	for _, found := range tables {
		again, e := table.TypedOf[T](found.Sheet, schema.Vocabulary(kind.in))
		if _, out, e = made(again, e, &found.ReadAs); e == nil {
			typed = append(typed, out)
		}
		typedErr = cmp.Or(typedErr, e)
	}
	var q *sheet.Question
	errors.As(typedErr, &q)
	switch {
	case len(typed) > 1:
		return none, &sheet.Question{Code: "decimal", File: file, Note: schema.DecimalSign.Name, Text: "is the comma a decimal one, or does it mark thousands?", Options: []sheet.Option{{Answer: "point"}, {Answer: "comma"}}}
	case len(typed) == 1:
		return typed[0], nil
	case err == nil: // the plain form left something open, which nothing answers
		return none, typedErr
	case errors.Is(err, table.ErrNoColumn) && (len(tables) > 0 || q != nil || errors.Is(typedErr, table.ErrTooLong)), q != nil && q.Code == "decimal":
		return none, typedErr
	}
	return none, err
}

// typedTables finds a table in a sheet as people type it, in one way or with each decimal
// sign.
func typedTables(r io.Reader, file string, in schema.File, flags []*schema.Source) ([]*sheet.Table, error) {
	var notes []table.Note
	for _, source := range flags {
		notes = append(notes, source.Notes...)
	}
	if in == schema.RatioFile {
		return sheet.ReadSort(in, false, r, file, notes)
	}
	return sheet.ReadRecords(in, r, file, notes)
}

// isOpen reports whether a table in the plain form can be meant in two ways: a row whose
// name is that of a mean, or places of 30 or more without a unit.
func (r *rows[T]) isOpen(in schema.File, flags []*schema.Source) bool {
	for j, head := range r.Header {
		if c, _ := schema.Find(in, head.Text); c == nil {
			continue
		}
		for i := range r.Rows {
			words := 0
			for k := range r.Header {
				if text := r.Sheet.Cell(i, k).Text; text != "" && !namesNumber(text) {
					words++
				}
			}
			if words < 2 && sheet.IsSummary(r.Sheet.Cell(i, j).Text) {
				return true
			}
		}
		break
	}
	said := func(s *schema.Source) bool { return schema.Text(in, s.Notes, schema.LengthUnit) != "" }
	if in != schema.LampsFile || slices.ContainsFunc(append(flags, schema.Sheet(r.Sheet)), said) {
		return false
	}
	for j, head := range r.Header {
		c, unit := schema.Find(in, head.Text)
		far := func(v float64) bool { return v >= sheet.FarApart }
		if unit == "" && (c == schema.X || c == schema.Y || c == schema.Z) && slices.ContainsFunc(r.Columns[j].Num, far) {
			return true
		}
	}
	return false
}

// namesNumber reports whether a cell is a number, with or without a unit.
func namesNumber(text string) bool { return strings.IndexAny(text, "0123456789") == 0 }

// newRows checks that a table has its columns and at least one row. An error is one that
// leaves nothing to check.
func newRows[T any](t *table.Typed[T], err error, file string, kind kindOf) (*rows[T], error) {
	in, what, columns := kind.in, kind.what, kind.columns
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
	if most := schema.MostRows(in); most > 0 && len(t.Rows) > most {
		return nil, &table.Error{File: file, Sheet: t.Name, Line: t.Sheet.Line(most), Found: fmt.Sprintf("more than %d rows", most), InWords: true, Expected: fmt.Sprintf("at most %d of a table of %ss", most, what)}
	}
	for _, name := range columns {
		if !t.Has(name) && len(out.errs) == 0 {
			return nil, &table.Error{File: file, Sheet: t.Name, Found: "no column “" + name + "”", InWords: true, Expected: "one in a table of " + what + "s", Err: table.ErrNoColumn}
		}
	}
	return out, nil
}

// within refuses a figure out of the bounds of its column; nil is none.
func (r *rows[T]) within(i int, c *schema.Column, v *float64) {
	if v != nil && !c.Hold(*v) {
		r.fail(i, c.Name, c.Expected)
	}
}

// fault is an error of a table as a whole, in words.
func (r *rows[T]) fault(found, expected string) *table.Error {
	return &table.Error{File: r.File, Sheet: r.Name, Found: found, InWords: true, Expected: expected}
}

func (r *rows[T]) origin() Origin {
	return Origin{File: r.File, Notes: r.Notes, Warnings: r.Warnings, Dialect: r.Dialect, ReadAs: r.readAs}
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
