package survey

import (
	"cmp"
	"math"
	"slices"
	"strconv"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/schema"
	"evenfall/photometry/table"
)

// rows are the readings of one sheet in columns, as read; nil columns are
// absent. Lengths are in meters, levels in SI units with NaN for an empty
// cell.
type rows struct {
	sheet    *table.Sheet
	typed    bool     // found in a sheet as people typed it, where places may be missing
	spots    []string // of its rows by rows and columns, A1; nil where labels say so or nothing does
	n        int
	grid     bool
	x, y     []float64
	label    []string
	level    []float64
	minutes  []float64
	lamp     []string
	role     []string
	note     []string
	colors   colorColumns
	quantity photometry.Quantity
	unit     photometry.Unit
	hasLevel bool
	feet     bool                        // positions are in feet or inches
	text     map[int32]string            // odd level cells, by row
	bounds   map[int32]bound             // levels known only to one side, by row; level has NaN there
	status   map[int32]schema.Status     // what was answered, by row; nil where nothing was
	ownWords []string                    // of the column status, which answer nothing
	columns  map[*schema.Column]int      // index in the sheet; a grid's rows run over columns
	places   int                         // grid: its columns of cells
	parts    []*rows                     // merged colors: the sheets laid over each other
	sources  map[*schema.Column][]source // merged colors: where each figure stands in parts
	kept     []int32                     // original rows where some were filtered out; nil for all
}

// source is a row of one of several sheets.
type source struct{ part, row int32 }

// line and cell are where row i is, for messages.
func (r *rows) line(i int) int {
	i = r.inSheet(i)
	if r.grid {
		return r.sheet.Line(i / r.places)
	}
	return r.sheet.Line(i)
}

// inSheet is the row before some were filtered out.
func (r *rows) inSheet(i int) int {
	if r.kept != nil {
		return int(r.kept[i])
	}
	return i
}

func (r *rows) cell(i int, of *schema.Column, text string) table.Cell {
	c := table.Cell{Text: text, Line: r.line(i)}
	if r.grid {
		c.Column = i%r.places + 2
	} else if at, ok := r.columns[of]; ok {
		c.Column = at + 1
		if there := r.sheet.Cell(r.inSheet(i), at); there.Column > 0 { // elsewhere in a sheet as typed
			c.Line, c.Column = there.Line, there.Column
		}
	}
	return c
}

// fault is an error of a sheet as a whole, placed at its header.
func (r *rows) fault(found, expected string) *table.Error {
	return r.sheet.Fault(found, expected)
}

// incomplete is a fault of a sheet in which places or levels were not found.
func (r *rows) incomplete(found, expected string) *table.Error {
	e := r.fault(found, expected)
	e.Err = errIncomplete
	return e
}

// collector gathers the errors of one file so that all come together.
type collector struct{ errors table.Errors }

func (c *collector) add(e *table.Error) { c.errors = append(c.errors, e) }

// take keeps the errors of a table and gives back any other.
func (c *collector) take(err error) error {
	switch e := err.(type) {
	case nil:
	case table.Errors:
		c.errors = append(c.errors, e...)
	case *table.Error:
		c.errors = append(c.errors, e)
	default:
		return err
	}
	return nil
}

// addParse adds an error of parsing a cell, keeping what was expected.
func (c *collector) addParse(sheet *table.Sheet, cell table.Cell, err error) {
	c.add(sheet.Error(cell, schema.Expected(err)))
}

// gather turns a sheet into rows.
func gather(sheet *table.Sheet, l layout, notes *noteSet, c *collector) *rows {
	r := &rows{sheet: sheet, n: sheet.Rows, columns: map[*schema.Column]int{}, text: map[int32]string{}, bounds: map[int32]bound{}}
	meter := notes.settings.Meter
	meter.Number = sheet.Dialect.Number
	if l.grid {
		r.gatherGrid(l, notes, meter, c)
		return r
	}
	for i := range l.columns {
		r.columns[l.columns[i].role] = l.columns[i].index
	}
	r.readStatus() // before levels become SI units in place
	for i := range l.columns {
		col := &l.columns[i]
		data := &sheet.Columns[col.index]
		switch col.role {
		case schema.Label:
			r.label = data.Text
		case schema.LampOf:
			r.lamp = data.Text
		case schema.Role:
			r.role = data.Text
		case schema.Comment:
			r.note = data.Text
		case schema.X:
			r.x = r.lengths(col, data, notes, "position", "1.2 or 4 ft", c)
		case schema.Y:
			r.y = r.lengths(col, data, notes, "position", "1.2 or 4 ft", c)
		case schema.Time:
			r.minutes = r.times(col, data, c)
		case schema.AnyLevel:
			r.hasLevel = true
			r.unit = col.level
			r.level = r.levels(data, col, meter, c)
		case schema.CC:
			r.colors.cc = data.Text
		default:
			if col.role.IsColor() {
				*r.colors.number(col.role) = r.numbers(col.role, data, c)
			}
		}
	}
	return r
}

// readOdd reads the cells of a column that are no plain numbers into it; one that cannot be
// read is an error.
func (r *rows) readOdd(data *table.Column, c *collector, expected string, read func(text string) (float64, bool)) {
	for _, odd := range data.Odd {
		v, ok := read(odd.Cell.Text)
		if !ok {
			c.add(r.sheet.Error(odd.Cell, expected))
			continue
		}
		data.Num[odd.Row] = v
	}
}

// numbers takes a column of a part of a color.
func (r *rows) numbers(of *schema.Column, data *table.Column, c *collector) []float64 {
	r.readOdd(data, c, expectedNumber(of), func(text string) (float64, bool) { return oddColor(of, text, r.sheet.Dialect.Number) })
	return data.Num
}

func expectedNumber(of *schema.Column) string {
	switch of {
	case schema.CCT:
		return "a color temperature such as 5600 or 5600 K"
	case schema.Mired:
		return "a number of mired such as 178"
	case schema.Duv:
		return "a Duv such as +0.003"
	}
	return "a number"
}

// oddColor reads a color cell that carries its unit: 5600 K, 178 mired.
func oddColor(of *schema.Column, text string, number func(string) (float64, error)) (float64, bool) {
	for _, unit := range map[*schema.Column][]string{schema.CCT: {"K", "k"}, schema.Mired: {"mired", "mireds", "MK⁻¹"}, schema.Duv: {"Duv", "duv"}}[of] {
		if cut, ok := strings.CutSuffix(text, unit); ok {
			v, err := number(strings.TrimSpace(cut))
			return v, err == nil
		}
	}
	return 0, false
}

// lengths takes a column of lengths in the header's unit, or the one of the notes; what is
// a word for them and example one for a message.
func (r *rows) lengths(col *column, data *table.Column, notes *noteSet, what, example string, c *collector) []float64 {
	unit := cmp.Or(col.unit, notes.lengthUnit)
	over, under, _ := table.LengthRatio(unit)
	r.feet = r.feet || unit == "ft" || unit == "in"
	for i, v := range data.Num {
		meters := v * over / under
		if math.Abs(meters) > schema.FarthestM {
			c.add(r.sheet.Error(r.sheet.Cell(i, col.index), "a "+what+" within 10 km"))
		}
		data.Num[i] = meters
	}
	r.readOdd(data, c, "a "+what+" such as "+example, func(text string) (float64, bool) {
		v, err := r.sheet.Dialect.Length(text, unit)
		ok := err == nil && math.Abs(v) <= schema.FarthestM
		r.feet = r.feet || ok && table.InFeet(text)
		return v, ok
	})
	return data.Num
}

// times takes a column of times of day, of dates with times, or of plain
// numbers with the unit in the header.
func (r *rows) times(col *column, data *table.Column, c *collector) []float64 {
	perUnit := map[string]float64{"min": 1, "s": 1.0 / 60, "h": 60}
	minutes := nans(len(data.Text))
	last, dayOffset := math.NaN(), 0.0
	for i, text := range data.Text {
		if text == "" {
			continue
		}
		if t, style, ok := table.ParseClock(text); ok {
			v := float64(t.UnixMilli()) / 60e3
			// A walk past midnight goes on the next day.
			if style == table.TimeOfDay && v+dayOffset < last-12*60 {
				dayOffset += 24 * 60
			}
			minutes[i] = v + dayOffset
			last = minutes[i]
			continue
		}
		if factor, ok := perUnit[col.unit]; ok {
			if v, err := r.sheet.Dialect.Number(text); err == nil && !math.IsInf(v, 0) {
				minutes[i] = v * factor
				continue
			}
		}
		c.add(r.sheet.Error(r.cell(i, schema.Time, text), "a time such as 10:05, 10:05:30 or 2026-03-04 10:05 (plain numbers need a unit in the header, time (min))"))
	}
	return minutes
}

// levels takes a column of levels; cells may carry a unit of their own.
func (r *rows) levels(data *table.Column, col *column, meter photometry.Meter, c *collector) []float64 {
	meter.Unit = r.unit
	r.quantity = meter.Quantity(r.unit)
	r.fillLevels(data, 0, 1, data.Num, col.times, meter, c)
	return data.Num
}

// fillLevels turns numbers as written into levels, in place of a strided part
// of out, and reads odd cells.
func (r *rows) fillLevels(data *table.Column, start, stride int, out []float64, times float64, meter photometry.Meter, c *collector) {
	factor, proportional := r.unit.Scale()
	for i, v := range data.Num {
		at := start + i*stride
		if proportional {
			out[at] = v * (factor * times)
		} else if out[at] = v; !math.IsNaN(v) {
			out[at] = r.levelOf(v, at, meter, c)
		}
	}
	for _, odd := range data.Odd {
		at := start + odd.Row*stride
		text, mark := splitMark(odd.Cell.Text)
		if text == "" {
			r.takeBound(at, mark, math.NaN())
			continue
		}
		level, unit, err := meter.ParseLevel(text)
		switch {
		case err != nil:
			c.addParse(r.sheet, odd.Cell, err)
			continue
		case level.Quantity != r.quantity:
			c.add(r.sheet.Error(odd.Cell, "levels of "+r.quantity.String()+" like the rest of the column"))
			continue
		}
		if unit == r.unit && times != 1 && !ownUnit(meter, text) {
			level.Value *= times
		}
		if mark == overMark || mark == underMark {
			r.takeBound(at, mark, level.Value)
			continue
		}
		out[at], r.text[int32(at)] = level.Value, odd.Cell.Text
		if mark == doubtMark {
			r.text[int32(at)] = doubtMark + text
		}
	}
}

// levelOf is the level of an f-number or exposure value in row i; as it was written
// where there is none.
func (r *rows) levelOf(v float64, i int, meter photometry.Meter, c *collector) float64 {
	level, err := meter.Level(v, r.unit)
	switch {
	case err != nil:
		c.addParse(r.sheet, r.cell(i, schema.AnyLevel, trimFloat(v)), err)
		return v
	case r.unit == photometry.FStop && v <= 0:
		c.add(r.sheet.Error(r.cell(i, schema.AnyLevel, trimFloat(v)), "an f-number above zero"))
		return v
	}
	return level.Value
}

// ownUnit reports whether a level's text carries a unit.
func ownUnit(meter photometry.Meter, text string) bool {
	with := func(unit photometry.Unit) photometry.Unit {
		meter.Unit = unit
		_, read, _ := meter.ParseLevel(text)
		return read
	}
	return with(photometry.LX) == with(photometry.FC)
}

// checkLevels refuses levels that no light has.
func (r *rows) checkLevels(allowZero bool, c *collector) {
	for i, v := range r.level {
		switch {
		case v >= schema.FaintestLevel && v <= schema.StrongestLevel, math.IsNaN(v):
		case v == 0 && allowZero:
		case v == 0: // below what the meter can show
			r.level[i] = math.NaN()
			r.takeBound(i, underMark, math.NaN())
		default:
			text, odd := r.text[int32(i)]
			if !odd {
				written := v
				if scale, ok := r.unit.Scale(); ok {
					written /= scale
				}
				text = strconv.FormatFloat(written, 'g', 6, 64)
			}
			expected := "a level above zero; leave the cell empty where nothing was read"
			switch {
			case v < 0 && allowZero:
				expected = "a level of 0 or more; leave the cell empty where nothing was read"
			case v > 0:
				expected = "a level that a meter can show, from a billionth to a billion"
			}
			c.add(r.sheet.Error(r.cell(i, schema.AnyLevel, text), expected))
		}
	}
}

func nans(n int) []float64 {
	return slices.Repeat([]float64{math.NaN()}, n)
}

// trimFloat prints a number as typed.
func trimFloat(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }
