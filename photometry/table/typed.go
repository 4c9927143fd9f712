package table

import (
	"cmp"
	"encoding"
	"errors"
	"io"
	"math"
	"reflect"
	"slices"
	"strconv"
	"strings"
)

// Row is one row of a typed table and its line.
type Row[T any] struct {
	Value T
	Line  int
}

// Typed is a small table with a Go type for its rows, and the sheet that it was read
// from.
type Typed[T any] struct {
	*Sheet
	Rows []Row[T]

	columns map[string]int // by csv name
}

// Has reports whether the table has a column for the field with this csv
// name.
func (t *Typed[T]) Has(name string) bool {
	_, ok := t.columns[name]
	return ok
}

// Cell returns the cell of row i (counted from 0) in the column of the field with this
// csv name, as typed. Where the table has no such column, only the line is set.
func (t *Typed[T]) Cell(i int, name string) Cell {
	column, ok := t.columns[name]
	if !ok {
		return Cell{Line: t.Sheet.Line(i)}
	}
	return t.Sheet.Cell(i, column)
}

// Error makes an Error at that cell, for a value that can be read but is not valid
// there.
func (t *Typed[T]) Error(i int, name, expected string) *Error {
	return t.Sheet.Error(t.Cell(i, name), expected)
}

// ReadTyped reads a table whose rows are values of the struct T: CSV, or the
// first worksheet with content of a workbook. A field that is a column has a
// tag `csv:"name"`, and may have
//
//   - `unit:"m"`: the unit of the value. A header in another unit of length is
//     converted; a header without one means this unit, or for a length the
//     one in the note “length unit”; any other unit is an error. A cell may
//     repeat the unit, and a length may have one of its own.
//
// words finds the column that a header means; without it a column has the name in its
// tag.
//
// Fields may be numbers, booleans (yes, no, true, false, 1, 0), strings,
// pointers to them, or types with UnmarshalCSV(string) error or
// UnmarshalText. These get the cell's text with its numbers rewritten with a
// decimal point and in the field's unit; where their error is an *Error, its
// Expected is what the message says. An empty or missing cell leaves the zero
// value, or a nil pointer. Two columns of one name are an error; a column of no
// known name is a warning with the nearest name, and a known one without a field is
// not read.
//
// Where the error is Errors, what could be read is returned with it, as by
// ReadColumns. ReadTyped panics where T is not a struct with csv tags on such fields;
// the fields of exported embedded structs are included.
func ReadTyped[T any](r io.Reader, file string, words ...Vocabulary) (*Typed[T], error) {
	plan := newTypedPlan(columnFields(reflect.TypeFor[T]()), words)
	sheets, err := readColumns(r, file, plan.choose)
	return typedRows[T](plan, sheets, err)
}

// TypedOf is ReadTyped for a sheet of cells from anywhere; see [Cells.Sheet].
func TypedOf[T any](s *Sheet, words ...Vocabulary) (*Typed[T], error) {
	plan := newTypedPlan(columnFields(reflect.TypeFor[T]()), words)
	wants, err := plan.choose(s)
	if err != nil {
		return nil, err
	}
	s.Fill(wants)
	return typedRows[T](plan, []*Sheet{s}, nil)
}

// typedRows makes the rows of the first sheet, and adds what is wrong with them.
func typedRows[T any](plan *typedPlan, sheets []*Sheet, err error) (*Typed[T], error) {
	var errs Errors
	if err != nil && !errors.As(err, &errs) {
		return nil, err
	}
	if len(sheets) == 0 {
		return nil, err
	}
	s := sheets[0]
	plan.check(s)
	errs = append(errs, plan.errs...)
	s.Warnings = append(s.Warnings, plan.warnings...)
	t := &Typed[T]{Sheet: s, columns: make(map[string]int)}
	for _, c := range plan.columns {
		t.columns[c.field.Name] = c.at
	}
	known := make(map[[2]int]bool) // cells with an error, which are not reported twice
	for _, e := range errs {
		known[[2]int{e.Line, e.Column}] = true
	}
	list := errorList{errs}
	for i := 0; i < s.Rows && !list.full(); i++ {
		row := Row[T]{Line: s.Line(i)}
		to := reflect.ValueOf(&row.Value).Elem()
		for _, c := range plan.columns {
			expected := c.read(s, i, to.FieldByIndex(c.field.index))
			if cell := s.Cell(i, c.at); expected != "" && !known[[2]int{cell.Line, cell.Column}] {
				list.add(s.Error(cell, expected))
			}
		}
		t.Rows = append(t.Rows, row)
	}
	return t, list.all.ErrOrNil()
}

// Vocabulary finds the column that a header means: the name in its csv tag and the
// unit that the header carries, "" for none; or no name and the nearest one.
type Vocabulary func(header string) (name, unit, nearest string)

// typedPlan assigns the columns of a sheet to the fields of a type.
type typedPlan struct {
	fields   []columnField
	words    Vocabulary
	columns  []typedColumn
	sheet    string
	started  bool
	unknown  int // columns without a field
	errs     Errors
	warnings []Warning
}

// typedColumn is a column of the sheet with a field.
type typedColumn struct {
	field columnField
	at    int
	unit  string // of the column
	scale scale  // from it to the field's unit
}

func newTypedPlan(fields []columnField, words []Vocabulary) *typedPlan {
	if len(words) > 0 {
		return &typedPlan{fields: fields, words: words[0]}
	}
	known := make([]Field, len(fields))
	for i, f := range fields {
		known[i] = f.Field
	}
	return &typedPlan{fields: fields, words: func(header string) (name, unit, nearest string) {
		at, unit, nearest := Match(known, header)
		if at < 0 {
			return "", "", nearest
		}
		return known[at].Name, unit, nearest
	}}
}

func (p *typedPlan) choose(s *Sheet) ([]Want, error) {
	if p.started { // only the first sheet is the table
		p.warnings = append(p.warnings, Warning{File: s.File, Sheet: s.Name,
			Text: "not read: the table is the first sheet with content, " + quoteShort(p.sheet)})
		return nil, ErrSkipSheet
	}
	if !slices.ContainsFunc(s.Header, func(h Cell) bool { name, _, _ := p.words(h.Text); return name != "" }) {
		return nil, p.noColumn(s)
	}
	p.started, p.sheet = true, s.Name
	given := p.lengthUnit(s)
	siblings := p.siblingUnit(s, given)
	wants := make([]Want, len(s.Header))
	first := make(map[string]int)
	for i, h := range s.Header {
		if h.Text == "" {
			wants[i] = Text // to check whether there is anything below it
			continue
		}
		name, unit, near := p.words(h.Text)
		if name == "" {
			if p.unknown++; p.unknown <= maxListed {
				s.warn(h.Line, h.Column, "unknown column "+quoteShort(h.Text)+", not read; the nearest known one is "+quoteShort(near))
			}
			continue
		}
		if before, twice := first[name]; twice {
			p.errs = append(p.errs, s.Error(h, "only one column "+name+"; column "+strconv.Itoa(before+1)+" is one already"))
			continue
		}
		first[name] = i
		at := slices.IndexFunc(p.fields, func(f columnField) bool { return f.Name == name })
		if at < 0 {
			continue
		}
		c := typedColumn{field: p.fields[at], at: i, unit: unit}
		if expected := c.resolveUnit(cmp.Or(given, siblings)); expected != "" {
			p.errs = append(p.errs, s.Error(h, expected))
		}
		p.columns = append(p.columns, c)
		wants[i] = c.field.kind.want()
	}
	return wants, nil
}

// ErrNoColumn is behind the error of a table whose header has no column of it, or not one
// that it needs.
var ErrNoColumn = errors.New("table: no column")

// noColumn is the error of a header without a column of the table.
func (p *typedPlan) noColumn(s *Sheet) *Error {
	var names []string
	for _, f := range p.fields {
		names = append(names, f.Name)
	}
	e := s.Error(s.Header[0], "a column of this table: "+strings.Join(names, ", "))
	e.Err = ErrNoColumn
	return e
}

// lengthUnit returns the unit of the note “length unit”, "" for none.
func (p *typedPlan) lengthUnit(s *Sheet) string {
	for _, n := range s.Notes {
		if n.Key != "length unit" {
			continue
		}
		if u, ok := findLength(n.Value); ok {
			return u.name
		}
		p.errs = append(p.errs, s.Error(Cell{n.Value, n.Line, n.Column}, "a unit of length: m, cm, mm, ft or in"))
	}
	return ""
}

// siblingUnit is the unit of lengths for columns without one where a note gives none: that
// of x, or else of the first column with one; "" for meters.
func (p *typedPlan) siblingUnit(s *Sheet, given string) (unit string) {
	var without []Cell
	for _, h := range s.Header {
		name, own, _ := p.words(h.Text)
		at := slices.IndexFunc(p.fields, func(f columnField) bool { return f.Name == name })
		if at < 0 {
			continue
		}
		if _, isLength := findLength(p.fields[at].unit); !isLength {
			continue
		}
		switch length, known := findLength(own); {
		case own == "":
			without = append(without, h)
		case known && (unit == "" || name == "x"):
			unit = length.name
		}
	}
	if given != "" || unit == "" || unit == "m" {
		return ""
	}
	for _, h := range without {
		s.warn(h.Line, h.Column, quoteShort(h.Text)+" has no unit and is taken in "+unit+", as its neighbors are; “"+h.Text+" (m)” says otherwise")
	}
	return unit
}

// resolveUnit finds the unit of a column and its scale; expected describes what the
// header should be where it cannot.
func (c *typedColumn) resolveUnit(lengths string) (expected string) {
	c.scale = scale{1, 1}
	f := c.field
	length, isLength := findLength(f.unit)
	switch {
	case f.unit == "" && c.unit == "":
		return ""
	case f.unit == "":
		return quoteShort(f.Name) + " without a unit"
	case c.unit == "" && isLength && lengths != "":
		c.unit = lengths
	case c.unit == "":
		c.unit = f.unit
	}
	if own, ok := findLength(c.unit); ok && isLength {
		c.scale = own.meters.to(length.meters)
		return ""
	}
	if c.unit == f.unit {
		return ""
	}
	if isLength {
		return quoteShort(f.Name) + " in m, cm, mm, ft or in"
	}
	return quoteShort(f.Name + " (" + f.unit + ")")
}

// check makes the checks that are possible only after the rows were read.
func (p *typedPlan) check(s *Sheet) {
	if n := p.unknown - maxListed; n > 0 {
		s.warn(s.Header[0].Line, 0, "and "+strconv.Itoa(n)+" more unknown columns, not read")
	}
	for j, h := range s.Header {
		if h.Text != "" || s.Columns[j].Want != Text {
			continue
		}
		for row, text := range s.Columns[j].Text {
			if text != "" {
				s.warn(s.Line(row), j+1, "a column without a name, not read: "+quoteShort(text))
				break
			}
		}
	}
	if len(p.columns) > 0 || len(s.Header) == 0 {
		return
	}
	p.errs = append(p.errs, p.noColumn(s))
}

// read reads a cell into the field of a row, which is unchanged where the cell is
// empty; expected describes what is allowed where it cannot be read.
func (c typedColumn) read(s *Sheet, row int, field reflect.Value) (expected string) {
	text := s.Columns[c.at].Text[row]
	if text == "" {
		return ""
	}
	t := field.Type()
	if field.Kind() == reflect.Pointer {
		t = t.Elem()
	}
	value := reflect.New(t).Elem()
	switch c.field.kind {
	case ofText:
		value.SetString(text)
	case ofBool:
		yes, known := yesOrNo[strings.ToLower(text)]
		if !known {
			return "yes or no"
		}
		value.SetBool(yes)
	case ofOwnType:
		if err := unmarshal(value, c.canonical(s, row, text)); err != nil {
			return expectation(err)
		}
	case ofWhole:
		if v, ok := c.number(s, row, text); !ok || !setInteger(value, v) {
			return "a whole number" + c.inUnit()
		}
	case ofNumber:
		v, ok := c.number(s, row, text)
		if !ok {
			return "a number" + c.inUnit()
		}
		value.SetFloat(v)
	}
	if field.Kind() == reflect.Pointer {
		value = value.Addr()
	}
	field.Set(value)
	return ""
}

var yesOrNo = map[string]bool{"yes": true, "y": true, "true": true, "1": true, "no": false, "n": false, "false": false, "0": false}

// setInteger sets a value of an integer type; it is false where the number is outside
// the type's range.
func setInteger(value reflect.Value, v float64) bool {
	switch {
	case v != math.Trunc(v):
		return false
	case value.CanUint():
		if v < 0 || v >= 1<<64 || value.OverflowUint(uint64(v)) {
			return false
		}
		value.SetUint(uint64(v))
	default:
		if v < -1<<63 || v >= 1<<63 || value.OverflowInt(int64(v)) {
			return false
		}
		value.SetInt(int64(v))
	}
	return true
}

// unmarshal has a type of its own read a text.
func unmarshal(value reflect.Value, text string) error {
	if own, ok := value.Addr().Interface().(csvUnmarshaler); ok {
		return own.UnmarshalCSV(text)
	}
	return value.Addr().Interface().(encoding.TextUnmarshaler).UnmarshalText([]byte(text))
}

// expectation says what was expected where a type of its own did not take a
// cell.
func expectation(err error) string {
	var e *Error
	if errors.As(err, &e) && e.Expected != "" {
		return e.Expected
	}
	return "another value (" + err.Error() + ")"
}

// number returns the number of a cell in the field's unit.
func (c typedColumn) number(s *Sheet, row int, text string) (v float64, ok bool) {
	if v := s.Columns[c.at].Num[row]; !math.IsNaN(v) {
		return c.scale.of(v), true
	}
	return c.ownUnit(s.Dialect, text)
}

// canonical writes a cell for a type of its own, with a decimal point and in
// the field's unit.
func (c typedColumn) canonical(s *Sheet, row int, text string) string {
	v, ok := c.number(s, row, text)
	if !ok {
		return s.Dialect.rewrite(text, c.scale)
	}
	if same, err := strconv.ParseFloat(text, 64); err == nil && same == v {
		return text // as it was typed: it may be a name such as 007
	}
	return strconv.FormatFloat(v, 'g', -1, 64)
}

// ownUnit reads a cell that has a unit of its own.
func (c typedColumn) ownUnit(d Dialect, text string) (float64, bool) {
	if c.field.unit == "" {
		return 0, false
	}
	if length, ok := findLength(c.field.unit); ok {
		meters, err := d.Length(text, c.unit)
		return scale{1, 1}.to(length.meters).of(meters), err == nil
	}
	end := len(text)
	for end > 0 && !digit(text[end-1]) {
		end--
	}
	if foldUnit(text[end:]) != foldUnit(c.field.unit) {
		return 0, false
	}
	v, err := d.Number(text[:end])
	return v, err == nil
}

func (c typedColumn) inUnit() string {
	if c.unit == "" {
		return ""
	}
	return " (" + c.unit + ")"
}
