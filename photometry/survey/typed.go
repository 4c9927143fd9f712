package survey

import (
	"cmp"
	"errors"
	"math"
	"slices"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/schema"
	"evenfall/photometry/sheet"
	"evenfall/photometry/table"
)

// sayPlacing adds how places are known to how a sheet was read.
func (s *Survey) sayPlacing() {
	switch {
	case s.ReadAs == nil:
	case s.Placing == InGrid:
		s.ReadAs.Assumed = append(s.ReadAs.Assumed, photometry.Remarked("sheet.in_grid"))
	case s.Placing == Nowhere:
		s.ReadAs.Assumed = append(s.ReadAs.Assumed, photometry.Remarked("sheet.nowhere"))
	}
}

// errLeftOpen is the error of a table in the plain form that can be meant in two ways.
var errLeftOpen = errors.New("survey: the table leaves open what it means")

// inEitherForm reads files in the plain form, or else as people type sheets.
func inEitherForm[T any](inputs []Input, newNotes func() *noteSet, read func(fileReader, []Input, *noteSet) (T, error)) (out T, err error) {
	inputs = slices.Clone(inputs)
	for i, in := range inputs {
		if inputs[i].Reader, err = sheet.Rewindable(in.Reader, in.Name); err != nil {
			return out, err
		}
	}
	notes := newNotes()
	if out, err = read(readFile, inputs, notes); err == nil || !mayBeTyped(err, notes.noHeader) || notes.in == schema.SeriesFile && errors.Is(err, errUnit) {
		return out, err
	}
	typed, typedErr := read(readTyped, rewound(inputs), newNotes())
	var q *sheet.Question
	switch {
	case typedErr == nil:
		return typed, nil
	case errors.Is(err, errLeftOpen) && !errors.As(typedErr, &q) && notes.in == schema.SeriesFile:
		notes = newNotes()
		notes.settled = true
		return read(readFile, rewound(inputs), notes)
	case errors.As(typedErr, &q) && q.Code == "cell" && !notes.onePlace:
		return out, err
	}
	return out, tellingOf(err, typedErr, notes.noHeader)
}

// rewound are inputs at their start again.
func rewound(inputs []Input) []Input {
	for _, in := range inputs {
		sheet.Rewind(in.Reader)
	}
	return inputs
}

// errIncomplete and errUnit are behind errors of a table in the plain form: no places or
// no levels were found in it, and a header with a unit that its column cannot have.
var (
	errIncomplete = errors.New("survey: no places or no levels")
	errUnit       = errors.New("survey: an unknown unit")
)

// mayBeTyped reports whether a file that is not in the plain form may be a sheet as people
// type it: its header was not found, a cell cannot be read, or there are no places.
func mayBeTyped(err error, noHeader bool) bool {
	return noHeader || errors.Is(err, errLeftOpen) || errors.Is(err, errIncomplete) || ofCells(err)
}

// ofCells reports whether any of the errors is at a cell.
func ofCells(err error) bool {
	var cells table.Errors
	return errors.As(err, &cells) && slices.ContainsFunc(cells, func(e *table.Error) bool { return e.Column > 0 })
}

// tellingOf is the error to show where a file could be read neither in the plain form nor
// as people type a sheet: a question that only a person can answer, or that it is too long
// to be typed, else what is wrong with the plain form, or without its header that there is
// no table.
func tellingOf(plain, typed error, noHeader bool) error {
	var q *sheet.Question
	asked := errors.As(typed, &q)
	switch {
	case (noHeader || errors.Is(plain, errIncomplete)) && ofCells(typed):
		return typed
	case errors.Is(typed, table.ErrTooLong) && !ofCells(plain):
		return typed
	case errors.Is(plain, errLeftOpen), errors.Is(typed, sheet.ErrNoLevels), errors.Is(typed, sheet.ErrSplit), noHeader && (asked || strings.Contains(plain.Error(), headerExpected)):
		return typed
	case asked && (slices.Contains([]string{"summary", "decimal", "length"}, q.Code) || q.Note == schema.SheetOf.Name), asked && errors.Is(plain, errIncomplete):
		return typed
	}
	return plain
}

// readTyped reads a file as package sheet finds the tables in it.
func readTyped(in Input, notes *noteSet) (read []understoodSheet, _ []table.Warning, told []photometry.Remark, err error) {
	var flags []table.Note
	for _, source := range notes.flags {
		flags = append(flags, source.Notes...)
	}
	lamps := notes.in == schema.SurveyFile && !notes.onePlace
	tables, err := sheet.ReadSort(notes.in, lamps, in.Reader, in.Name, flags)
	if err != nil {
		return nil, nil, nil, err
	}
	for _, t := range tables {
		l, err := understand(notes.in, t.Header)
		if err != nil {
			return nil, nil, nil, placed(err, in.Name)
		}
		wants := l.wants(notes.in, t.Header)
		for _, c := range l.columns { // what a series has no use for has to make sense as well
			wants[c.index] = cmp.Or(wants[c.index], want(schema.SurveyFile, c.role))
		}
		t.Fill(wants)
		notes.take(t.Sheet)
		told = append(told, readAs(t.Sheet, notes.in, l.unused)...)
		read = append(read, understoodSheet{sheet: t.Sheet, layout: l, typed: t})
	}
	return read, nil, told, nil
}

// leavesOpen reports whether a table in the plain form can be meant in two ways: lengths
// without a unit of 30 m or more, 1, 2, 3 down the side of a grid, readings of several
// days, lamps alone beside all of them, or tenths beside f-numbers; and whether an answer leaves out some of it.
func (u understoodSheet) leavesOpen(notes *noteSet) bool {
	if notes.in == schema.SeriesFile {
		return !notes.settled && u.seriesOpen(notes)
	}
	said := func(n schema.Declared) bool { return u.said(notes, n) }
	if said(schema.LeaveOut) || slices.ContainsFunc(u.layout.unused, isOfDays) || slices.ContainsFunc(u.sheet.Header, func(c table.Cell) bool { return sheet.IsTenths(c.Text) }) || u.layout.alone {
		return true
	}
	if u.layout.grid {
		return !said(schema.LengthUnit) && (!said(schema.RowsFrom) && u.countsDown() || extentOf(u.heads()) >= sheet.FarApart)
	}
	if said(schema.LengthUnit) {
		return false
	}
	for _, c := range u.layout.columns {
		if (c.role == schema.X || c.role == schema.Y) && c.unit == "" && extentOf(u.sheet.Columns[c.index].Num) >= sheet.FarApart {
			return true
		}
	}
	return false
}

// said reports whether the sheet or the command line has a note.
func (u understoodSheet) said(notes *noteSet, n schema.Declared) bool {
	return schema.Text(schema.SurveyFile, u.sheet.Notes, n) != "" || slices.ContainsFunc(notes.flags, func(s *schema.Source) bool {
		return schema.Text(schema.SurveyFile, s.Notes, n) != ""
	})
}

// readAs is how the sheet was read, nil in the plain form.
func (u understoodSheet) readAs() *sheet.ReadAs {
	if u.typed == nil {
		return nil
	}
	return &u.typed.ReadAs
}

// isOfDays reports whether the name of a column is that of days.
func isOfDays(name string) bool {
	return schema.HasWord(name, schema.DateWord)
}

// ofLamps reports whether a sheet names the lamps of its readings.
func (u understoodSheet) ofLamps() bool {
	return schema.Text(schema.SurveyFile, u.sheet.Notes, schema.Lamp) != "" || slices.ContainsFunc(u.layout.columns, func(c column) bool { return c.role == schema.LampOf })
}

// countsDown reports whether the rows of a grid are headed 1, 2, 3 from the top.
func (u understoodSheet) countsDown() bool {
	heads := u.sheet.Columns[0].Text
	for row, text := range heads {
		if strings.TrimSpace(text) != trimFloat(float64(row+1)) {
			return false
		}
	}
	return len(heads) > 1
}

// heads are the heads of a grid's columns that are numbers without a unit.
func (u understoodSheet) heads() (heads []float64) {
	for _, c := range u.sheet.Header[1:] {
		if v, err := u.sheet.Dialect.Number(c.Text); err == nil {
			heads = append(heads, v)
		}
	}
	return heads
}

// extentOf is how far the numbers of a column are apart.
func extentOf(column []float64) float64 {
	low, high := math.Inf(1), math.Inf(-1)
	for _, v := range column {
		if !math.IsNaN(v) {
			low, high = min(low, v), max(high, v)
		}
	}
	return high - low
}

// addReadAs takes in how one more table was read, nil for one in the plain form.
func (s *Survey) addReadAs(t *sheet.Table) {
	switch {
	case t == nil:
	case s.ReadAs == nil:
		as := t.ReadAs
		s.ReadAs = &as
	default:
		s.ReadAs.Columns = append(s.ReadAs.Columns, t.ReadAs.Columns...)
		s.ReadAs.LeftOut = append(s.ReadAs.LeftOut, t.ReadAs.LeftOut...)
		s.ReadAs.Assumed = append(s.ReadAs.Assumed, t.ReadAs.Assumed...)
	}
}
