package setup

import (
	"errors"
	"io"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/ratio"
	"evenfall/photometry/schema"
	"evenfall/photometry/table"
)

// Ratio is a row of a table of lights at marks: one reading of one light, or of
// several together. Exactly one of the level columns is filled; a cell of any of
// them may have a unit of its own.
type Ratio struct {
	Mark string    `csv:"mark"`
	Role RatioRole `csv:"role"`
	LevelCells
	Lamp     string     `csv:"lamp"`
	Receptor ReceptorOf `csv:"receptor"`
	Aim      string     `csv:"aim"`
	CCT      Kelvins    `csv:"CCT" unit:"K"`
	Mired    *float64   `csv:"mired"`
	Duv      *float64   `csv:"Duv"`
	CC       string     `csv:"CC"`
	Distance *float64   `csv:"distance" unit:"m"`
	ToScreen *float64   `csv:"to screen" unit:"m"`
	X        *float64   `csv:"x" unit:"m"`
	Y        *float64   `csv:"y" unit:"m"`
	Note     string     `csv:"note"`
	Status   string     `csv:"status"`
}

// LevelCells are the columns of levels in a table whose rows have one level each.
type LevelCells struct {
	Level     LevelText `csv:"level"`
	Lux       LevelText `csv:"E (lx)"`
	Kilolux   LevelText `csv:"E (klx)"`
	FC        LevelText `csv:"E (fc)"`
	EV        LevelText `csv:"EV"`
	F         LevelText `csv:"f"`
	Luminance LevelText `csv:"L (cd/m²)"`
	Exposure  LevelText `csv:"H (lx·s)"`
	Relative  LevelText `csv:"relative"`
	Percent   LevelText `csv:"relative (%)"`
}

// levelColumn is a column of levels with the unit of its bare numbers.
type levelColumn struct {
	name string
	unit photometry.Unit
	// times is what bare numbers are multiplied by.
	times float64
	of    func(LevelCells) LevelText
}

var levelColumns = []levelColumn{
	{"level", photometry.NoUnit, 1, func(r LevelCells) LevelText { return r.Level }},
	{"E (lx)", photometry.LX, 1, func(r LevelCells) LevelText { return r.Lux }},
	{"E (klx)", photometry.LX, 1000, func(r LevelCells) LevelText { return r.Kilolux }},
	{"E (fc)", photometry.FC, 1, func(r LevelCells) LevelText { return r.FC }},
	{"EV", photometry.EV, 1, func(r LevelCells) LevelText { return r.EV }},
	{"f", photometry.FStop, 1, func(r LevelCells) LevelText { return r.F }},
	{"L (cd/m²)", photometry.CDM2, 1, func(r LevelCells) LevelText { return r.Luminance }},
	{"H (lx·s)", photometry.LXS, 1, func(r LevelCells) LevelText { return r.Exposure }},
	{"relative (%)", photometry.Percent, 1, func(r LevelCells) LevelText { return r.Percent }},
	{"relative", photometry.Plain, 1, func(r LevelCells) LevelText { return r.Relative }},
}

// scale is what the number of a level is multiplied by: 1 where the level names its unit.
func (c levelColumn) scale(text string) float64 {
	if namesUnit(text) {
		return 1
	}
	return c.times
}

// filled are the columns in which a row has a level.
func (r LevelCells) filled() (columns []levelColumn) {
	for _, c := range levelColumns {
		if c.of(r) != "" {
			columns = append(columns, c)
		}
	}
	return columns
}

// Ratios is the content of a table of lights at marks, ready to be compared.
type Ratios struct {
	Origin
	Input ratio.Input
	Marks map[string]MarkPlace // where marks stand before a screen, by photometry.NameKey

	meter meterRead
}

// MarkPlace is where a mark stands before a screen.
type MarkPlace struct {
	ToScreenM float64
	X, Y      *float64 // m; nil before the screen's middle
}

// UnitFor is the unit to show illuminance in: the one asked for, or without one
// (NoUnit) footcandles where all of the table's illuminances are written so, and
// lux elsewhere.
func (r *Ratios) UnitFor(asked photometry.Unit) photometry.Unit {
	switch {
	case asked != photometry.NoUnit:
		return asked
	case r.meter.units[photometry.FC] && !r.meter.units[photometry.LX]:
		return photometry.FC
	}
	return photometry.LX
}

// Meter is the meter that the readings were taken with, for bare numbers of a unit.
func (r *Ratios) Meter() photometry.Meter { return r.meter.Meter }

// FormatLevel prints a level as the table is written where all of it is written in one
// unit: footcandles, exposure values or f-numbers as such, else in lux.
func (r *Ratios) FormatLevel(l photometry.Level) string {
	m := r.meter.Meter
	for unit := range r.meter.units {
		m.Unit = unit
	}
	if len(r.meter.units) != 1 || l.Value == 0 {
		m.Unit = r.UnitFor(photometry.NoUnit)
	}
	return m.Format(l)
}

// meterRead is the meter of a table and the units that its levels are written in.
type meterRead struct {
	photometry.Meter
	units map[photometry.Unit]bool
}

// RatioOptions are what is known beside a table of lights at marks.
type RatioOptions struct {
	Flags []*schema.Source // count before the file's notes
	Setup *Settings        // counts where neither says anything; nil for none
}

// Read reads a table of lights at marks and checks that what is at one mark
// can be compared. The error is table.Errors, or one *table.Error where the table
// has no rows at all.
//
// How the camera is set is said by Flags first. What f-numbers and EV were read at is
// the file's own business: without the notes meter iso and meter shutter, its iso and
// shutter come first.
func (o RatioOptions) Read(r io.Reader, file string) (*Ratios, error) {
	return read(r, file, kindOf{schema.RatioFile, "reading", []string{"role"}}, o.Flags, o.ratios)
}

func (o RatioOptions) ratios(t *rows[Ratio]) (*Ratios, error) {
	out := &Ratios{Origin: t.origin()}
	n, notes := newRatioNotes(t, o)
	t.add(notes.Errors)
	out.Warnings = append(out.Warnings, notes.Warnings...)
	if err := t.noLevels(); err != nil {
		return nil, err
	}
	var readings []ratio.Reading
	var at []int // their rows
	aside := t.notCounted()
	for i, row := range t.Rows {
		status := t.status(i, &aside)
		if status == schema.LeftOut {
			continue
		}
		reading, ok := t.ratio(i, row.Value, n)
		if v := row.Value; v.ToScreen != nil {
			if out.Marks == nil {
				out.Marks = map[string]MarkPlace{}
			}
			out.Marks[photometry.NameKey(reading.Mark)] = MarkPlace{*v.ToScreen, v.X, v.Y}
		}
		if row.Value.planned() {
			aside.unread = append(aside.unread, strings.TrimSpace(reading.Mark+" "+string(reading.Role)))
			continue
		}
		reading.Line, reading.Conflicting = row.Line, status == schema.Conflicting
		if ok {
			readings = append(readings, reading)
			at = append(at, i)
		}
	}
	out.Input.Warnings = append(out.Input.Warnings, aside.findings()...)
	n.assumeISO()
	n.displayStep()
	n.input.Warnings = out.Input.Warnings
	out.Input = n.input
	out.meter = meterRead{n.meter, n.units}
	out.Input.Readings, out.Input.ReadAs = readings, t.readAs
	out.Input.Inferred = append(out.Input.Inferred, n.sources()...)
	t.check(out.Input.Check(), at)
	if err := t.errs.ErrOrNil(); err != nil {
		return nil, err
	}
	return out, nil
}

// planned reports whether a row names a light that is still to be read: it has neither a
// level nor a color.
func (r Ratio) planned() bool {
	return r.LevelCells == LevelCells{} && r.CCT == 0 && r.Mired == nil && r.Duv == nil && r.CC == ""
}

// ratio reads a row; false where something of it was wrong.
func (r *rows[T]) ratio(i int, row Ratio, n *ratioNotes) (ratio.Reading, bool) {
	before := len(r.errs)
	out := ratio.Reading{Note: row.Note, Mark: row.Mark, Role: ratio.Role(row.Role), Lamp: row.Lamp, Aim: row.Aim, Receptor: n.meter.Receptor, ReceptorNoted: n.receptorNoted || row.Receptor.Set}
	if photometry.SameName(out.Lamp, "all") {
		out.Lamp = ""
	}
	switch {
	case out.Mark != "":
	case r.Has("mark"):
		r.fail(i, "mark", "the mark's name on each line")
	default:
		out.Mark = n.mark
	}
	if out.Role == "" {
		r.fail(i, "role", "a role: "+schema.RoleNames())
	}
	if row.Receptor.Set {
		out.Receptor = row.Receptor.Receptor
	}
	if d := row.ToScreen; d != nil && !(*d > 0 && *d <= schema.FarthestM) {
		r.fail(i, "to screen", "a distance of more than 0 in meters: the subject is before the screen")
	}
	if r.within(i, schema.Distance, row.Distance); row.Distance != nil {
		out.DistanceM = *row.Distance
	}
	r.within(i, schema.X, row.X)
	r.within(i, schema.Y, row.Y)
	if out.Lamp != "" && out.Role.IsSum() {
		r.fail(i, "lamp", "no lamp beside a sum of roles, since all their lamps are on")
	}
	light, ok := r.color(i, LampColor{CCT: row.CCT, Mired: row.Mired, Duv: row.Duv, CC: row.CC})
	if ok {
		out.CCTK = &light.Kelvin
		if row.Duv != nil || row.CC != "" {
			out.Duv = &light.Duv
		}
	}
	r.level(i, row, n, &out)
	return out, len(r.errs) == before
}

// level reads the one level of a row.
func (r *rows[T]) level(i int, row Ratio, n *ratioNotes, out *ratio.Reading) {
	if row.planned() {
		return
	}
	meter := out.Role.LightMeter(n.meter)
	meter.Receptor = out.Receptor
	level, unit, ok := r.oneLevel(i, row.LevelCells, meter, missingForContinuous(n.hasISO, n.meter.ShutterS))
	if ok {
		n.note(unit, meter.Continuous)
		out.Level = level
		meter.Unit = unit
		c := row.LevelCells.filled()[0]
		text := string(c.of(row.LevelCells))
		n.shown = append(n.shown, shown{meter, level, text, c.scale(text), out.Role})
	}
}

// oneLevel reads the one level of a row with a meter; missing says what an f-number of
// continuous light needs, "" where nothing. It is false where there is no level.
func (r *rows[T]) oneLevel(i int, cells LevelCells, meter photometry.Meter, missing string) (level photometry.Level, unit photometry.Unit, ok bool) {
	filled := cells.filled()
	if len(filled) == 0 {
		if columns := r.levelColumns(); len(columns) > 0 {
			r.fail(i, columns[0].name, "a level; 0 where a light gives none")
		}
		return level, unit, false
	}
	c := filled[0]
	text := string(c.of(cells))
	meter.Unit = c.unit
	if c.name == "level" && !namesUnit(text) {
		r.fail(i, c.name, "a level with its unit, such as 1250 lx, 116 fc, f/5.6 or 320 cd/m²")
		return level, unit, false
	}
	level, unit, err := meter.ParseLevel(text)
	if missing != "" && unit == photometry.FStop && meter.Continuous {
		r.fail(i, c.name, missing)
		return level, unit, false
	}
	if err != nil {
		r.fail(i, c.name, schema.Expected(err))
		return level, unit, false
	}
	level.Value *= c.scale(text)
	if !schema.IsMeasurable(level.Value) {
		r.fail(i, c.name, "a level that a meter can show")
	}
	if len(filled) > 1 {
		r.fail(i, filled[1].name, "one level a line; column "+c.name+" has one already")
	}
	return level, unit, true
}

// levelColumns are the columns of levels that the table has.
func (r *rows[T]) levelColumns() (columns []levelColumn) {
	for _, c := range levelColumns {
		if r.Has(c.name) {
			columns = append(columns, c)
		}
	}
	return columns
}

// noLevels is the error of a table without a column of levels, nil where there is one or
// something else is wrong.
func (r *rows[T]) noLevels() error {
	if len(r.levelColumns()) > 0 || len(r.errs) > 0 {
		return nil
	}
	return r.fault("no column of levels", "one: E (lx), E (fc), EV, f, L (cd/m²), relative, or level with a unit in each cell")
}

// namesUnit reports whether a level is more than a number.
func namesUnit(text string) bool {
	_, err := table.ParseNumber(text)
	return err != nil
}

// check puts what is wrong with an input at the cells of its readings, whose rows are at.
func (r *rows[T]) check(err error, at []int) {
	var wrong photometry.InputErrors
	if !errors.As(err, &wrong) {
		return
	}
	for _, e := range wrong {
		if e.Index < 0 {
			continue
		}
		row, column := at[e.Index], string(e.Field)
		if e.Field == photometry.LevelField {
			column = r.filledLevel(row)
		}
		r.fail(row, column, e.Expected)
	}
}

// filledLevel is the column of levels in which a row has one.
func (r *rows[T]) filledLevel(row int) (column string) {
	for _, c := range levelColumns {
		if r.Cell(row, c.name).Text != "" {
			column = c.name
		}
	}
	return column
}

// RatioRole is a role or a sum of roles.
type RatioRole ratio.Role

// UnmarshalCSV reads a cell.
func (r *RatioRole) UnmarshalCSV(text string) error {
	role, err := schema.ParseRole(text)
	*r = RatioRole(role)
	return err
}

// LevelText is a level as it was typed, its numbers with a decimal point.
type LevelText string

// UnmarshalCSV reads a cell.
func (l *LevelText) UnmarshalCSV(text string) error { *l = LevelText(text); return nil }

// ReceptorOf is the receptor of a reading, where it was said.
type ReceptorOf struct {
	Receptor photometry.Receptor
	Set      bool
}

// UnmarshalCSV reads a cell.
func (r *ReceptorOf) UnmarshalCSV(text string) error {
	receptor, err := photometry.ParseReceptor(text)
	if err != nil {
		return &table.Error{Found: text, Expected: "flat or dome"}
	}
	*r = ReceptorOf{receptor, true}
	return nil
}
