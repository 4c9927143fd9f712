package setup

import (
	"fmt"
	"io"

	"evenfall/photometry/table"
)

// Value is a row of a table of keys and values: what is known of a set-up beside
// its tables, such as the height of the floor.
type Value struct {
	Key   string `csv:"key" alias:"name"`
	Value string `csv:"value"`
	Note  string `csv:"note" alias:"notes,remark,comment"`
}

// Values is what a table of keys and values holds.
type Values struct {
	File     string
	Rows     []Value
	Warnings []table.Warning
	Dialect  table.Dialect

	typed *table.Typed[Value]
}

// ReadValues reads a table of keys and values; each key may stand once, in any
// case. The error is table.Errors, or one *table.Error where the table has no
// rows at all.
func ReadValues(r io.Reader, file string) (*Values, error) {
	t, err := read[Value](r, file, "value", "key", "value")
	if err != nil {
		return nil, err
	}
	for i, row := range t.Rows {
		if row.Value.Key == "" {
			t.fail(i, "key", "the name of what the value is")
		}
		for _, before := range t.Rows[:i] {
			if row.Value.Key != "" && same(before.Value.Key, row.Value.Key) {
				t.fail(i, "key", fmt.Sprintf("each key once; it stands on line %d already", before.Line))
			}
		}
	}
	if err := t.errs.ErrOrNil(); err != nil {
		return nil, err
	}
	out := &Values{File: file, Warnings: t.Warnings, Dialect: t.Dialect, typed: t.Typed}
	for _, row := range t.Rows {
		out.Rows = append(out.Rows, row.Value)
	}
	return out, nil
}

// Length is the value of a key as meters; a number without a unit is in meters.
// ok is false where the table has no such key or its value is empty; the error
// names the cell.
func (v *Values) Length(key string) (meters float64, ok bool, err error) {
	for i, row := range v.Rows {
		if !same(row.Key, key) || row.Value == "" {
			continue
		}
		if meters, err = v.Dialect.Length(row.Value, "m"); err != nil {
			return 0, false, v.typed.Error(i, "value", "a length such as -0.8 (m), 80 cm or -2.5 ft")
		}
		return meters, true, nil
	}
	return 0, false, nil
}
