package setup

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/colorimetry"
	"evenfall/photometry/schema"
	"evenfall/photometry/table"
)

// LampKind is what a row of a table of lamps is.
type LampKind string

// The kinds of lamps and of what shapes their light.
const (
	Point  LampKind = "point"  // small for its distance: a spot, a bare bulb
	Disc   LampKind = "disc"   // a round face
	Panel  LampKind = "panel"  // a rectangular face
	Frame  LampKind = "frame"  // diffusion with a lamp behind it
	Bounce LampKind = "bounce" // a board that sends a lamp's light back
	Flag   LampKind = "flag"   // keeps light off
	Net    LampKind = "net"    // a flag that lets part of the light through
	File   LampKind = "file"   // a lamp with a file of measured intensities
)

var lampKinds = []LampKind{Point, Disc, Panel, Frame, Bounce, Flag, Net, File}

// pointLamps are the trade's kinds of lamps that are small for their distance.
var pointLamps = []string{"fresnel", "plano-convex", "profile", "profile spot", "spot", "spotlight", "flood", "floodlight", "open face", "open-face", "bulb"}

// UnmarshalCSV reads a cell.
func (k *LampKind) UnmarshalCSV(text string) error {
	names := make([]string, len(lampKinds))
	for i, known := range lampKinds {
		if photometry.SameName(text, string(known)) {
			*k = known
			return nil
		}
		names[i] = string(known)
	}
	if slices.ContainsFunc(pointLamps, func(name string) bool { return photometry.SameName(text, name) }) {
		*k = Point
		return nil
	}
	return &table.Error{Found: text, Expected: "a kind of lamp: " + strings.Join(names, ", ") + "; a fresnel, profile spot, flood or open face is a point, a soft source a panel or disc"}
}

// Shapes reports whether rows of this kind have no light of their own.
func (k LampKind) Shapes() bool { return k == Frame || k == Bounce || k == Flag || k == Net }

// Lamp is a row of a table of lamps with all of its columns. Lengths are in
// meters in the coordinates of the surface (x to camera right, y up, z toward
// the camera), angles in degrees, shares in percent. Pan 0 and tilt 0 look
// straight at the surface (toward −z); pan turns toward camera right, tilt
// upward.
//
// A lamp's level is one of its flux, its intensity on the axis, or the
// illuminance E that it produces at normal incidence at a distance on its axis.
type Lamp struct {
	Name         string   `csv:"name"`
	Kind         LampKind `csv:"kind"`
	X            Range    `csv:"x" unit:"m"`
	Y            Range    `csv:"y" unit:"m"`
	Z            Range    `csv:"z" unit:"m"`
	AimX         Range    `csv:"aim x" unit:"m"`
	AimY         Range    `csv:"aim y" unit:"m"`
	AimZ         Range    `csv:"aim z" unit:"m"`
	Flux         Range    `csv:"flux" unit:"lm"`
	Intensity    Range    `csv:"intensity" unit:"cd"`
	E            Range    `csv:"E" unit:"lx"`
	EFootcandles Range    `csv:"E (fc)"`
	At           Range    `csv:"at" unit:"m"`
	EAt          string   `csv:"E at"` // both in one cell: 1200 at 3
	Beam         Range    `csv:"beam" unit:"deg"`
	Width        Range    `csv:"source width" unit:"m"`
	Height       Range    `csv:"source height" unit:"m"`
	StandHeight  Range    `csv:"stand height" unit:"m"`
	Pan          Range    `csv:"pan" unit:"deg"`
	Tilt         Range    `csv:"tilt" unit:"deg"`
	Dimmer       Range    `csv:"dimmer" unit:"%"`
	CCT          Kelvins  `csv:"CCT" unit:"K"`
	Duv          *float64 `csv:"Duv"`
	Behind       string   `csv:"behind"`
	Transmission Range    `csv:"transmission" unit:"%"`
	Undiffused   Range    `csv:"undiffused" unit:"%"`
	Lobe         Range    `csv:"lobe m"`
	Spill        Range    `csv:"spill" unit:"%"` // of the light past a frame, what still goes on
	Reflectance  Range    `csv:"reflectance" unit:"%"`
	Material     string   `csv:"material"`
	Rotate       Range    `csv:"rotate" unit:"deg"`
	File         string   `csv:"file"`
	Power        *float64 `csv:"power" unit:"W"`
	SpotFlood    string   `csv:"spot or flood"` // as it was set: spot, flood, 7 of 10
	Scrims       string   `csv:"scrims"`
	Diffusion    string   `csv:"diffusion"`
	Gel          string   `csv:"gel"`
	Trim         string   `csv:"trim"` // as it was left: -1/3 stop, 4.2 on the knob
	Note         string   `csv:"note"`
}

// DiffusionNamed is the diffusion with that word where it was written without it: full
// says on a drawing what is full, "" where there is none.
func (l *Lamp) DiffusionNamed() string {
	if l.Diffusion == "" || strings.Contains(strings.ToLower(l.Diffusion), "diffusion") {
		return l.Diffusion
	}
	return "diffusion " + l.Diffusion
}

// RangeColumn is a column of a table of lamps that may be a range; schema says
// within what.
type RangeColumn struct {
	Name, Unit string
	Of         func(*Lamp) *Range
	change     change
}

// RangeColumns are the columns that may be a range, in the order of the table,
// each with its unit.
var RangeColumns = []RangeColumn{
	{"x", "m", func(l *Lamp) *Range { return &l.X }, change{}},
	{"y", "m", func(l *Lamp) *Range { return &l.Y }, change{}},
	{"z", "m", func(l *Lamp) *Range { return &l.Z }, change{}},
	{"aim x", "m", func(l *Lamp) *Range { return &l.AimX }, change{}},
	{"aim y", "m", func(l *Lamp) *Range { return &l.AimY }, change{}},
	{"aim z", "m", func(l *Lamp) *Range { return &l.AimZ }, change{}},
	{"flux", "lm", func(l *Lamp) *Range { return &l.Flux }, change{code: ChangeLevel}},
	{"intensity", "cd", func(l *Lamp) *Range { return &l.Intensity }, change{code: ChangeLevel}},
	{"E", "lx", func(l *Lamp) *Range { return &l.E }, change{code: ChangeLevel}},
	{"E (fc)", "fc", func(l *Lamp) *Range { return &l.EFootcandles }, change{code: ChangeLevel, what: "E"}},
	{"at", "m", func(l *Lamp) *Range { return &l.At }, change{code: ChangeLevel}},
	{"beam", "deg", func(l *Lamp) *Range { return &l.Beam }, change{code: ChangeBeam, least: leastAngle}},
	{"source width", "m", func(l *Lamp) *Range { return &l.Width }, change{code: ChangeSize, least: leastMove}},
	{"source height", "m", func(l *Lamp) *Range { return &l.Height }, change{code: ChangeSize, least: leastMove}},
	{"stand height", "m", func(l *Lamp) *Range { return &l.StandHeight }, change{}},
	{"pan", "deg", func(l *Lamp) *Range { return &l.Pan }, change{}},
	{"tilt", "deg", func(l *Lamp) *Range { return &l.Tilt }, change{}},
	{"dimmer", "%", func(l *Lamp) *Range { return &l.Dimmer }, change{code: ChangeDimmer}},
	{"transmission", "%", func(l *Lamp) *Range { return &l.Transmission }, change{code: ChangeTransmission}},
	{"undiffused", "%", func(l *Lamp) *Range { return &l.Undiffused }, change{code: ChangeTransmission, what: "undiffused share"}},
	{"lobe m", "", func(l *Lamp) *Range { return &l.Lobe }, change{code: ChangeTransmission}},
	{"spill", "%", func(l *Lamp) *Range { return &l.Spill }, change{code: ChangeTransmission}},
	{"reflectance", "%", func(l *Lamp) *Range { return &l.Reflectance }, change{code: ChangeTransmission}},
	{"rotate", "deg", func(l *Lamp) *Range { return &l.Rotate }, change{code: ChangeAim, least: leastAngle}},
}

// Lamps is the content of a table of lamps. Errors that need geometry are found by
// whoever reckons with the rows, at a cell by Error.
type Lamps struct {
	Origin
	Rows []Lamp

	typed *table.Typed[Lamp]
}

// Error makes an error at a cell of row i (counted from 0), found by the csv name
// of its column. Lamps that were made in a program have no cells: the error then
// names the row and column in words.
func (l *Lamps) Error(i int, column, expected string) *table.Error {
	if l.typed == nil {
		name := ""
		if i < len(l.Rows) {
			name = l.Rows[i].Name
		}
		return &table.Error{File: l.File, Found: fmt.Sprintf("lamp %q: %s", name, column), InWords: true, Expected: expected}
	}
	return l.typed.Error(i, column, expected)
}

// Source is the table as a source of notes.
func (l *Lamps) Source() *schema.Source {
	s := &schema.Source{File: l.File, Notes: l.Notes, Dialect: l.Dialect}
	if l.typed != nil {
		s.Sheet = l.typed.Name
	}
	return s
}

// ReadLamps reads a table of lamps and checks each cell for itself. The error is
// table.Errors, or one *table.Error where the table has no lamps at all.
func ReadLamps(r io.Reader, file string) (*Lamps, error) { return Flags(nil).Lamps(r, file) }

// Lamps is ReadLamps with notes of a command line, which answer questions.
func (flags Flags) Lamps(r io.Reader, file string) (*Lamps, error) {
	return read(r, file, kindOf{schema.LampsFile, "lamp", []string{"name", "kind"}}, flags, newLamps)
}

func newLamps(t *rows[Lamp]) (*Lamps, error) {
	out := &Lamps{Origin: t.origin(), typed: t.Typed}
	seen := map[string]int{}
	for i, row := range t.Rows {
		out.Rows = append(out.Rows, row.Value)
		key := strings.ToLower(row.Value.Name)
		switch {
		case key == "":
			t.fail(i, "name", "the lamp's name")
		case seen[key] > 0:
			t.fail(i, "name", fmt.Sprintf("each name once; it is on line %d already", seen[key]))
		default:
			seen[key] = row.Line
		}
		t.checkLamp(i, row.Value)
	}
	if err := t.errs.ErrOrNil(); err != nil {
		return nil, err
	}
	return out, nil
}

func (r *rows[T]) checkLamp(row int, l Lamp) {
	if l.Kind == "" {
		r.fail(row, "kind", "a kind of lamp, such as point, disc, panel or frame")
	}
	for _, c := range RangeColumns {
		is := schema.ColumnNamed(schema.LampsFile, c.Name)
		if v := c.Of(&l); v.Set && !(is.Hold(v.Low) && is.Hold(v.High)) {
			r.fail(row, c.Name, is.Expected)
		}
	}
	if l.Duv != nil && l.CCT == 0 {
		r.fail(row, "CCT", "the color temperature that the Duv belongs to")
	}
	if l.CCT != 0 {
		light := colorimetry.CCT{Kelvin: float64(l.CCT)}
		if l.Duv != nil {
			light.Duv = *l.Duv
		}
		if light.Check() != nil {
			r.fail(row, "Duv", duvExpected)
		}
	}
	r.within(row, schema.ColumnNamed(schema.LampsFile, "power"), l.Power)
}
