package survey

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"

	"evenfall/photometry"
	"evenfall/photometry/schema"
	"evenfall/photometry/sheet"
	"evenfall/photometry/table"
)

// Series is readings of a light along a distance, an angle or a ladder of
// filters, in the order of the file. Figures are as read: whether a distance of
// zero or a level of zero makes sense is for whoever uses them.
type Series struct {
	Title    string
	Date     string // of the notes, as it was written
	Quantity photometry.Quantity
	// Unit is what the column of levels is written in.
	Unit     photometry.Unit
	Readings []SeriesReading
	// LengthUnit is what the column of distances is written in, m where neither
	// header nor note says.
	LengthUnit string
	// Missing counts rows without a level, which are left out.
	Missing  int
	Settings Settings
	// StepStops and StepLevel are the steps that the levels were written in, as
	// far as they show: stops for f-numbers and exposure values, the SI unit of
	// Quantity for all else. Zero where no step is seen, or where the notes give a
	// resolution.
	StepStops, StepLevel float64

	// ReadAs says how a sheet was read that is not in the plain form, else nil.
	ReadAs *sheet.ReadAs
	// Inferred are assumptions that the figures rest on, ParseLog how the file was
	// understood, and Warnings what came up on the way.
	Inferred, ParseLog []photometry.Remark
	Warnings           []photometry.Finding

	sheet   *table.Sheet
	columns map[*schema.Column]int
}

// SeriesReading is one row of a series; figures that the row does not have are
// NaN.
type SeriesReading struct {
	Line              int
	Label, Lamp, Note string
	X, Y              float64 // m, of a survey's places
	DistanceM         float64
	AngleDeg          float64
	Density           float64 // of a neutral filter, 0.3 a stop
	Level             float64 // SI unit of the series' quantity
	// OpenStops is by how much the level may be off either way, since several readings
	// claim to be the first one there and it is amid them.
	OpenStops float64
}

// orElse lets the level be another one as well.
func (r *SeriesReading) orElse(level float64) {
	low, high := math.Min(level, r.Level*math.Exp2(-r.OpenStops)), math.Max(level, r.Level*math.Exp2(r.OpenStops))
	r.Level = math.Sqrt(low * high)
	if low > 0 {
		r.OpenStops = math.Max(photometry.Stops(high, low)/2, 1e-9) // equal ones are open too
	}
}

// Has reports whether the file has a column of the sort; AnyLevel is any of levels.
func (s *Series) Has(of *schema.Column) bool {
	_, ok := s.columns[of]
	return ok
}

// Error is a fault of reading i, at its cell in a column, nil for the reading as a whole.
// found describes it in words; empty quotes the cell.
func (s *Series) Error(i int, of *schema.Column, found, expected string) *table.Error {
	cell := table.Cell{Line: s.Readings[i].Line}
	if at, ok := s.columns[of]; ok {
		if there := s.sheet.Cell(s.row(i), at); there.Line > 0 {
			cell = there
		}
	}
	e := s.sheet.Error(cell, expected)
	if found != "" || cell.Column == 0 {
		e.Found, e.InWords = cmp.Or(found, "nothing"), true
	}
	return e
}

// Fault is a fault of the series as a whole, placed at its header.
func (s *Series) Fault(found, expected string) *table.Error {
	return s.sheet.Fault(found, expected)
}

// row is the row of the sheet that reading i comes from.
func (s *Series) row(i int) int {
	for row := range s.sheet.Rows {
		if s.sheet.Line(row) == s.Readings[i].Line {
			return row
		}
	}
	panic("survey: a reading without a row")
}

// Lamps are the lamps named in the series, in order.
func (s *Series) Lamps() []string {
	names := make([]string, len(s.Readings))
	for i, r := range s.Readings {
		names[i] = r.Lamp
	}
	return distinct(names)
}

// ParseMark reads a mark in meters that was given beside the file. A plain number is in
// the unit asked for; with "" in feet or inches where the distances are, which a warning
// says, else in meters: 2 beside centimeters is meters to everybody.
func (s *Series) ParseMark(text, asked string) (float64, error) {
	unit := cmp.Or(asked, "m")
	if _, err := table.ParseNumber(text); err == nil && asked == "" && (s.LengthUnit == "ft" || s.LengthUnit == "in") {
		unit = s.LengthUnit
		s.Warnings = append(s.Warnings, photometry.Found("mark_unit", "mark", text, "unit", unit))
	}
	return schema.ParseLength(text, unit)
}

// UnitFor is the unit to show illuminance in, as Survey.UnitFor.
func (s *Series) UnitFor(asked photometry.Unit) photometry.Unit { return asked.Or(s.Unit) }

// FormatLevel prints a computed level of the series for people: an f-number
// where f-numbers were read, else the level in lux or footcandles as UnitFor
// has it, with three digits.
func (s *Series) FormatLevel(level float64, unit photometry.Unit) string {
	unit = s.UnitFor(unit)
	scale := 1.0
	if unit == photometry.FC && (s.Quantity == photometry.Illuminance || s.Quantity == photometry.LuminousExposure) {
		scale = photometry.LuxPerFootcandle
	}
	if n, ok := s.FNumber(level); ok && s.Unit == photometry.FStop {
		return photometry.FormatFNumber(n)
	}
	return photometry.FormatLevel(photometry.Level{Value: scale * round3(level/scale), Quantity: s.Quantity}, unit)
}

// FormatReading is FormatLevel for a level that was read: from 1000 up it keeps
// all of its digits.
func (s *Series) FormatReading(level float64, unit photometry.Unit) string {
	if _, ok := s.FNumber(level); ok && s.Unit == photometry.FStop {
		return s.FormatLevel(level, unit)
	}
	return photometry.FormatLevel(photometry.Level{Value: level, Quantity: s.Quantity}, s.UnitFor(unit))
}

// FNumber is the f-number that a level exposes for: that of a flash, or of
// continuous light where the notes give an ISO speed and a shutter.
func (s *Series) FNumber(level float64) (float64, bool) {
	m := s.Settings.Meter
	switch {
	case !(level > 0):
		return 0, false
	case s.Quantity == photometry.LuminousExposure:
		return photometry.FlashFNumber(level, m.Speed(), m.IncidentConstant()), true
	case s.Quantity == photometry.Illuminance && s.Settings.ISO > 0 && s.Settings.ShutterS > 0:
		return photometry.Exposure{ISO: s.Settings.ISO, ShutterS: s.Settings.ShutterS}.FNumber(level, m.IncidentConstant()), true
	}
	return 0, false
}

// ParseLevel reads a level wanted of the series, such as 800 lx, 75 fc or f/8,
// in its quantity. An f-number on a series of continuous light needs the notes
// iso and shutter.
func (s *Series) ParseLevel(text string) (float64, error) {
	m := s.Settings.Meter
	m.Unit = s.Unit
	m.Number = table.ParseNumber
	if s.Quantity == photometry.Illuminance {
		m.Continuous, m.ISO, m.ShutterS = true, s.Settings.ISO, s.Settings.ShutterS
	}
	level, unit, err := m.ParseLevel(text)
	switch {
	case unit == photometry.FStop && m.Continuous && !(m.ShutterS > 0 && m.ISO > 0):
		return 0, &photometry.SyntaxError{Found: text, Expected: "the ISO speed and the shutter with it (notes or --iso and --shutter), since the light is continuous"}
	case err != nil:
		return 0, err
	case !schema.IsMeasurable(level.Value):
		return 0, &photometry.SyntaxError{Found: text, Expected: "a level that a meter can show"}
	case level.Quantity != s.Quantity:
		return 0, &photometry.SyntaxError{Found: text, Expected: levelExamples[s.Quantity] + ", " + s.Quantity.String() + " as in the series"}
	case !(level.Value > 0):
		return 0, &photometry.SyntaxError{Found: text, Expected: "a level above zero"}
	}
	return level.Value, nil
}

// levelExamples are levels of each quantity.
var levelExamples = map[photometry.Quantity]string{
	photometry.Illuminance: "a level such as 800 lx or 75 fc", photometry.LuminousExposure: "a level such as f/8 or 160 lx·s",
	photometry.Luminance: "a level such as 320 cd/m²", photometry.Relative: "a plain number such as 0.5",
}

// round3 rounds to three significant digits.
func round3(v float64) float64 {
	if v == 0 || math.IsInf(v, 0) || math.IsNaN(v) {
		return v
	}
	unit := math.Pow(10, math.Floor(math.Log10(math.Abs(v)))-2)
	return math.Round(v/unit) * unit
}

// ReadSeries reads a series from one file, a row a reading. Columns that a
// series has no use for are left alone. A file that is not in the plain form is read as
// package sheet finds the table in it. Errors are table.Errors, all that were found, or a
// *sheet.Question.
func ReadSeries(in Input, options ReadOptions) (*Series, error) {
	newNotes := func() *noteSet { return newNoteSet(schema.SeriesFile, options.Flags) }
	return inEitherForm([]Input{in}, newNotes, func(read fileReader, inputs []Input, notes *noteSet) (*Series, error) {
		found, warnings, _, err := read(inputs[0], notes)
		c := &collector{}
		if err := c.take(err); err != nil {
			return nil, err
		}
		switch {
		case len(found) == 0 && len(c.errors) > 0:
			return nil, c.errors.ErrOrNil()
		case len(found) == 0:
			return nil, fmt.Errorf("%s: found no readings, expected a table of distances or angles and levels", in.Name)
		}
		notes.finish()
		s := &Series{sheet: found[0].sheet, ReadAs: found[0].readAs()}
		s.gather(found[0].layout, notes, options, c)
		if c.errors = append(c.errors, notes.Errors...); len(c.errors) > 0 {
			return nil, c.errors.ErrOrNil()
		}
		s.describe(found[0].layout, notes, warnings)
		return s, nil
	})
}

// seriesOpen reports whether a series in the plain form can be meant in two ways: bare
// distances of 30 or more, a level that is none of its own, a row without what the series
// runs along, or columns without a known name where nothing says along what it runs.
func (u understoodSheet) seriesOpen(notes *noteSet) bool {
	if u.said(notes, schema.LeaveOut) {
		return true
	}
	if u.sheet.Rows == 0 {
		return false
	}
	along, last := false, false // a column that the series runs along, and one that its last row has
	for _, c := range u.layout.columns {
		data := &u.sheet.Columns[c.index]
		switch c.role {
		case schema.Distance:
			if c.unit == "" && !u.said(notes, schema.LengthUnit) && slices.ContainsFunc(data.Num, func(v float64) bool { return v >= sheet.FarApart }) {
				return true
			}
			along, last = true, last || u.sheet.Cell(u.sheet.Rows-1, c.index).Text != ""
		case schema.Angle, schema.Density:
			along, last = true, last || u.sheet.Cell(u.sheet.Rows-1, c.index).Text != ""
		case schema.AnyLevel:
			if slices.ContainsFunc(data.Odd, func(o table.Odd) bool { _, mark := splitMark(o.Cell.Text); return mark != "" }) {
				return true
			}
		case schema.Label, schema.LampOf:
			if slices.ContainsFunc(data.Text, sheet.IsSummary) {
				return true
			}
		}
	}
	return !along && len(u.layout.unknown) > 0 || along && !last
}

// seriesHeader is the fault of a header that is none of a series.
func seriesHeader(header []table.Cell, err error) error {
	const expected = "a header such as distance (m), E (lx), or angle (deg), E (lx), and a row a reading"
	var e *table.Error
	switch {
	case err == nil:
		return &table.Error{Line: header[0].Line, Column: header[0].Column, Found: "a grid", InWords: true, Expected: expected}
	case errors.As(err, &e) && e.Expected == headerExpected:
		e.Expected = expected
	}
	return err
}

// describe adds what a person should know about how the file was understood.
func (s *Series) describe(l layout, notes *noteSet, warnings []table.Warning) {
	b := builder{notes: notes, warnings: append(warnings, notes.Warnings...)}
	b.reading = readAs(s.sheet, schema.SeriesFile, l.unused)
	told := Survey{Settings: s.Settings, Inferred: s.Inferred, ParseLog: s.ParseLog, Warnings: s.Warnings}
	told.Settings.Meter.Unit = s.Unit
	if s.StepStops > 0 {
		told.Settings.Resolution = s.StepStops
	}
	b.describe(&told)
	s.Inferred, s.ParseLog, s.Warnings = told.Inferred, told.ParseLog, told.Warnings
	if s.StepStops > 0 || s.StepLevel > 0 {
		s.Inferred = append(s.Inferred, s.describeStep())
	}
	if s.Missing > 0 {
		s.ParseLog = append(s.ParseLog, ofFile(s.sheet.File, photometry.Found("rows_without_level", "rows", s.Missing)))
	}
}
