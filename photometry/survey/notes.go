package survey

import (
	"math"
	"slices"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/schema"
	"evenfall/photometry/spatial"
	"evenfall/photometry/table"
	"evenfall/photometry/tolerance"
)

// noteSet is what the notes of all sheets and of the command line come to.
type noteSet struct {
	*schema.Values
	settings          Settings
	title, date, lamp string
	taken             photometry.Taken
	reference         schema.Reference
	area              *spatial.Box
	width, height     float64 // m, 0 for not given
	grid              schema.Grid
	lengthUnit        string
	inferred          []photometry.Remark

	onePlace bool // sheets of a workbook are of one light, not of a lamp each
	noHeader bool // of a file no header in the plain form was found
	settled  bool // what the plain form leaves open is taken as it is

	in            schema.File
	flags, sheets []*schema.Source
}

func newNoteSet(in schema.File, flags []*schema.Source) *noteSet {
	return &noteSet{in: in, flags: slices.Clone(flags), lengthUnit: "m"}
}

// take keeps a sheet until all are there.
func (n *noteSet) take(sheet *table.Sheet) { n.sheets = append(n.sheets, schema.Sheet(sheet)) }

// finish reads the notes of all sheets that were taken. Plain lengths of flags are in the
// unit that the places of what was read are in.
func (n *noteSet) finish(read ...understoodSheet) {
	for i, flag := range n.flags {
		in := *flag
		in.FileUnit = unitOfPlaces(read)
		n.flags[i] = &in
	}
	n.Values = schema.Read(n.in, n.flags, n.sheets)
	n.settings, n.inferred = SettingsOf(n.Values)
	schema.Put(n.Values, schema.Title, &n.title)
	schema.Put(n.Values, schema.Date, &n.date)
	schema.Put(n.Values, schema.Lamp, &n.lamp)
	n.taken = schema.Taken(n.Values)
	schema.Put(n.Values, schema.ReferenceAt, &n.reference)
	schema.Put(n.Values, schema.Width, &n.width)
	schema.Put(n.Values, schema.Height, &n.height)
	schema.Put(n.Values, schema.GridOf, &n.grid)
	schema.Put(n.Values, schema.LengthUnit, &n.lengthUnit)
	n.area = AreaOf(n.Values)
	file, area := n.Values.From(schema.Area)
	if unit := n.Values.SizeUnit(); unit != "" && !strings.HasPrefix(file, "--") && area != "" && !n.Values.Given(schema.LengthUnit) && !strings.Contains(area, unit) {
		n.inferred = append(n.inferred, photometry.Remarked("area_unit", "unit", unit))
	}
}

// unitOfPlaces is the unit in the head of the first column of positions, "" for none.
func unitOfPlaces(read []understoodSheet) string {
	for _, u := range read {
		for _, c := range u.layout.columns {
			if (c.role == schema.X || c.role == schema.Y) && c.unit != "" {
				return c.unit
			}
		}
	}
	return ""
}

// inFeet reports whether the size of the surface is written in feet or inches.
func (n *noteSet) inFeet() bool {
	return n.Values.SizeUnit() != "" || n.lengthUnit == "ft" || n.lengthUnit == "in"
}

// SettingsOf is what notes say of a surface and of how it was read, and what was
// assumed for it. A note that cannot be is one of the errors of the notes.
func SettingsOf(v *schema.Values) (set Settings, inferred []photometry.Remark) {
	name, _ := schema.Get(v, schema.For)
	kind, err := tolerance.Named(name)
	if err != nil {
		v.Errors = append(v.Errors, v.ErrorAt(schema.For, schema.Expected(err)))
	}
	set.Kind, set.Limits = kind, kind.Limits()
	set.Limits.Assumed = !v.Given(schema.For) && !v.Given(schema.Tolerant)
	if t, ok := schema.Get(v, schema.Tolerant); ok {
		set.Limits.Stops, set.Limits.EachSide, set.Limits.GoodStops = t.Stops, t.EachSide, nil
	}
	if t, ok := schema.Get(v, schema.ColorTolerant); ok {
		set.Limits.Mired, set.Limits.Duv = orElse(t.Mired, kind.Mired), orElse(t.Duv, kind.Duv)
	}
	if r, ok := schema.Get(v, schema.Repeatability); ok {
		set.Repeatability = &r
	}
	schema.Put(v, schema.Resolution, &set.Resolution)
	schema.Put(v, schema.MeterName, &set.MeterName)
	schema.Put(v, schema.Approved, &set.Approved)
	schema.Put(v, schema.Receptor, &set.Meter.Receptor)
	set.ReceptorNoted = v.Given(schema.Receptor)
	schema.Put(v, schema.Tape, &set.TapeChecked)
	schema.Put(v, schema.Continuous, &set.Meter.Continuous)
	schema.Put(v, schema.FStops, &set.Meter.Marks)
	schema.Put(v, schema.Constant, &set.Meter.Constant)
	set.Meter.ISO, set.Meter.ShutterS = v.ReadAt()
	schema.Put(v, schema.ISO, &set.ISO)
	schema.Put(v, schema.Shutter, &set.ShutterS)
	if rate, ok := schema.Get(v, schema.FrameRate); ok && !v.Given(schema.Shutter) {
		set.ShutterS = photometry.ShutterFromAngle(180, rate)
		inferred = append(inferred, photometry.Remarked("shutter_180", "shutter", photometry.Shutter(set.ShutterS)))
	}
	grid, _ := schema.Get(v, schema.GridOf)
	set.Edges = grid.Edges
	set.Sized = v.Given(schema.Width) && v.Given(schema.Height)
	width, _ := schema.Get(v, schema.Width)
	height, _ := schema.Get(v, schema.Height)
	set.Line = math.Min(width, height) <= math.Max(width, height)/10 && math.Max(width, height) > 0
	return set, inferred
}

// Exposure is what a level exposes for by the notes iso and shutter, else those of the
// camera of the set-up.
func (set Settings) Exposure(level photometry.Level) *photometry.CameraExposure {
	return set.Meter.Expose(level, orElse(set.ISO, set.CameraISO), orElse(set.ShutterS, set.CameraShutterS))
}

func orElse(v, other float64) float64 {
	if v > 0 {
		return v
	}
	return other
}

// InForce is the tolerance that the surface is judged by: the one given, else that
// of its kind, else the default.
func (set Settings) InForce() tolerance.Limits {
	switch {
	case set.Limits.Stops > 0:
		return set.Limits
	case set.Kind.Acceptable > 0:
		return set.Kind.Limits()
	}
	return tolerance.Any.Limits()
}

// AreaOf is the part in shot that notes give, nil for none.
func AreaOf(v *schema.Values) *spatial.Box {
	a, ok := schema.Get(v, schema.Area)
	if !ok {
		return nil
	}
	return &spatial.Box{X0: a[0], Y0: a[1], X1: a[2], Y1: a[3]}
}

// sheetNote is what a sheet's own notes say under any name of a note, "" for nothing.
func sheetNote(sheet *table.Sheet, of schema.Declared) string {
	return strings.TrimSpace(schema.Text(schema.SurveyFile, sheet.Notes, of))
}
