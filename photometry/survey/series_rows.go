package survey

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/schema"
	"evenfall/photometry/table"
)

// gather fills the series from its sheet.
func (s *Series) gather(l layout, notes *noteSet, options ReadOptions, c *collector) {
	sheet := s.sheet
	if sheet.Rows == 0 {
		c.add(s.Fault("a header and no rows", "a row a reading"))
		return
	}
	r := gather(sheet, l, notes, c)
	s.columns = r.columns
	s.Title, s.Date, s.Settings = notes.title, notes.date, notes.settings
	if s.Title == "" {
		s.Title = notes.lamp
	}
	if !r.hasLevel {
		e := s.Fault("no column of levels", "a level column such as E (lx), E (fc), EV, f, H (lx·s) or relative")
		e.Err = errIncomplete
		c.add(e)
		return
	}
	s.Quantity, s.Unit = r.quantity, r.unit
	s.Settings.Meter.Unit = r.unit
	distance, angle, density := nans(r.n), nans(r.n), nans(r.n)
	times := 1.0
	for i := range l.columns {
		col := &l.columns[i]
		data := &sheet.Columns[col.index]
		switch col.role {
		case schema.Distance:
			distance = r.distances(col, data, notes, c, s)
		case schema.Angle:
			angle = r.angles(data, c)
		case schema.Density:
			density = r.densities(col, data, c)
		case schema.AnyLevel:
			times = col.times
		}
	}
	spot := func(i int) string {
		return spotName(textAt(r.label, i), textAt(r.lamp, i), distance[i], angle[i], density[i])
	}
	own, left := r.obeyStatus(spot)
	s.Warnings, s.ParseLog = append(s.Warnings, own...), append(s.ParseLog, left...)
	first := map[string]int{} // the reading that a conflict is about
	s.findStep(r, times)
	copied, told := copiedLines([]*rows{r}, 2)
	s.Warnings = append(s.Warnings, told...)
	lamps := 0
	for i, level := range r.level {
		row := SeriesReading{Line: r.line(i), X: valueAt(r.x, i), Y: valueAt(r.y, i),
			DistanceM: distance[i], AngleDeg: angle[i], Density: density[i], Level: level,
			Label: textAt(r.label, i), Lamp: textAt(r.lamp, i), Note: textAt(r.note, i)}
		if copied[0][row.Line] {
			continue
		}
		if options.Lamp != "" && !strings.EqualFold(row.Lamp, options.Lamp) {
			continue
		}
		lamps++
		if math.IsNaN(level) {
			s.Missing++
			continue
		}
		if r.status[int32(i)] == schema.Conflicting {
			if k, known := first[spot(i)]; known {
				s.Readings[k].orElse(level)
				continue
			}
			first[spot(i)] = len(s.Readings)
		}
		s.Readings = append(s.Readings, row)
	}
	switch {
	case lamps == 0 && options.Lamp != "":
		c.add(s.Fault("readings of the lamps "+strings.Join(distinct(r.lamp), ", "), "the lamp "+quote(options.Lamp)))
	case len(s.Readings) == 0 && len(c.errors) == 0:
		c.add(s.Fault("no row with a level", "a level a row"))
	}
}

// spotName is where a reading of a series was taken, for people.
func spotName(label, lamp string, distance, angle, density float64) string {
	var parts []string
	for _, text := range []string{label, lamp} {
		if text != "" {
			parts = append(parts, text)
		}
	}
	for _, figure := range []struct {
		v            float64
		before, unit string
	}{{distance, "", " m"}, {angle, "", "°"}, {density, "ND ", ""}} {
		if !math.IsNaN(figure.v) {
			parts = append(parts, figure.before+photometry.FormatFigure(figure.v)+figure.unit)
		}
	}
	return strings.Join(parts, ", ")
}

func textAt(column []string, i int) string {
	if column == nil {
		return ""
	}
	return column[i]
}

// distances takes a column of distances. Cells may carry units of their own;
// where some do, in another unit than a bare number would be taken for, bare
// numbers are refused: nobody knows what they mean.
func (r *rows) distances(col *column, data *table.Column, notes *noteSet, c *collector, s *Series) []float64 {
	unit := cmp.Or(col.unit, notes.lengthUnit)
	s.LengthUnit = unit
	var other *table.Cell // the first cell in another unit
	feet := col.unit == "" && len(data.Odd) == len(data.Num)
	for _, odd := range data.Odd {
		feet = feet && table.InFeet(odd.Cell.Text)
		if v, err := r.sheet.Dialect.Length(odd.Cell.Text, unit); other == nil && err == nil && math.Abs(v) <= schema.FarthestM && r.inOtherUnit(odd.Cell.Text, v, unit) {
			other = &odd.Cell
		}
	}
	if feet { // each cell says so
		s.LengthUnit = "ft"
	}
	for i, v := range data.Num {
		if !math.IsNaN(v) && other != nil && col.unit == "" && !notes.Given(schema.LengthUnit) {
			c.add(r.sheet.Error(r.sheet.Cell(i, col.index), fmt.Sprintf(
				"a distance with its unit, since line %d has one (%s) and the header has none", other.Line, other.Text)))
		}
	}
	if other != nil {
		s.ParseLog = append(s.ParseLog, ofFile(r.sheet.File, photometry.Found("distances_in_units", "cell", other.Text, "line", other.Line)))
	}
	meters := table.Column{Num: slices.Clone(data.Num), Odd: data.Odd} // the sheet keeps what was typed, for messages
	return r.lengths(col, &meters, notes, "distance", "1.5, 1.5 m, 5 ft or 4' 6\"", c)
}

// inOtherUnit reports whether a length that was read as v meters carries another
// unit than the usual one.
func (r *rows) inOtherUnit(text string, v float64, usual string) bool {
	bare := strings.TrimRight(text, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ. ")
	number, err := r.sheet.Dialect.Length(bare, usual)
	return err != nil || number != v
}

// angles takes a column of angles in degrees.
func (r *rows) angles(data *table.Column, c *collector) []float64 {
	r.readOdd(data, c, "an angle in degrees such as 30 or -30", func(text string) (float64, bool) {
		for _, unit := range []string{"°", "degrees", "deg"} {
			if cut, ok := strings.CutSuffix(text, unit); ok {
				text = strings.TrimSpace(cut)
				break
			}
		}
		v, err := r.sheet.Dialect.Number(text)
		return v, err == nil && !math.IsInf(v, 0)
	})
	return data.Num
}

// densities takes a column of neutral filters: densities (0.6, ND 0.6), or with
// their unit stops (2 stops) and factors (4x). A column ND (stops) is in stops.
func (r *rows) densities(col *column, data *table.Column, c *collector) []float64 {
	perStop := 1 / photometry.DensityStops(1)
	expected := "a density such as 0.6 (0.3 a stop), or with its unit 2 stops or 4x"
	scale := 1.0
	if col.unit == "stops" {
		scale, expected = perStop, "a number of stops such as 2"
	}
	for i, v := range data.Num {
		if math.IsNaN(v) {
			continue
		}
		if scale == 1 && v > schema.DensestND {
			c.add(r.sheet.Error(r.sheet.Cell(i, col.index), expected))
			continue
		}
		data.Num[i] = v * scale
	}
	r.readOdd(data, c, expected, func(text string) (float64, bool) {
		stops, ok := schema.ParseDensity(text, r.sheet.Dialect.Number)
		return stops * perStop, ok
	})
	return data.Num
}
