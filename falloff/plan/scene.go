package plan

import (
	"fmt"
	"slices"
	"strings"
	"sync/atomic"

	"gonum.org/v1/gonum/spatial/r3"

	"evenfall/photometry"
	"evenfall/photometry/colorimetry"
	"evenfall/photometry/schema"
	"evenfall/photometry/setup"
	"evenfall/photometry/spatial"
	"evenfall/photometry/table"
)

// Options are what a scene needs beside its rows.
type Options struct {
	// Surface is the surface that the lamps stand in front of; nil where only
	// marks matter.
	Surface *spatial.Box
	// FloorY is where the floor is, in meters above the surface's lower edge (as
	// a rule 0 or less); nil where it is not known, and then the surface is taken
	// to stand on the floor.
	FloorY *float64
	// Distribution reads the file of intensities of a lamp of kind file. Nil
	// makes such a lamp an error.
	Distribution func(file string) (Distribution, error)
}

// Distribution is what a file of intensities says about a lamp.
type Distribution struct {
	Intensity Intensity
	FluxLM    float64
	BeamDeg   float64 // 0 where it has none
	// OpeningM are the width and height of its luminous opening in meters, as the
	// fixture is seen from the front; 0 for a point. Its depth does not count.
	OpeningM [2]float64
	Round    bool // the opening is a circle or an ellipse
	// Notes are what a person should know about the file.
	Notes []string
}

// Scene is lamps and what shapes their light, ready to predict.
type Scene struct {
	Quantity photometry.Quantity
	Fixtures []Fixture
	// Inferred are assumptions that the prediction rests on, Warnings what came
	// up on the way.
	Inferred []photometry.Remark
	Warnings []photometry.Finding

	table     *setup.Lamps
	rows      []setup.Lamp
	byName    map[string]int // of rows, in lower case
	options   Options
	made      [][]emitter // by fixture, hidden ones too
	emitters  []emitter
	occluders []*occluder
	effort    *effort
	filled    *atomic.Pointer[filled] // of the survey predicted last
	colored   bool                    // every light has a color
}

// Fixture is one row of the table in space.
type Fixture struct {
	Name string
	Kind setup.LampKind
	// At is where it stands and Aim the direction in which its front looks, a
	// unit vector; Aimed is false for a bare bulb, which looks nowhere.
	At, Aim r3.Vec
	Aimed   bool
	// Corners are those of a rectangular face, or of the square around a disc.
	Corners []r3.Vec
	BeamDeg float64 // between half intensities; 0 for none
	// Hidden says that its light reaches the set through a frame only: nothing of
	// what passes beside that goes on.
	Hidden bool
	// Lit is the indices of the fixtures that light a frame or a bounce.
	Lit []int
	// FluxLM and IntensityCD are what it gives at full, of a frame or bounce
	// what it sends on; Output is the share of that which dimmer and scrims
	// leave, 0 to 1.
	FluxLM, IntensityCD float64
	Output              float64

	pose     pose
	w, h     float64
	through  float64 // share that passes a frame, net or flag
	straight float64 // share of that which goes straight on
	spill    float64 // share of what passes beside a frame that goes on
	lobe     float64
	reflect  float64
	nominal  bool
	opening  float64 // largest dimension of the luminous opening of a file
	source   light   // of a lamp
	color    colorimetry.XY
	hasColor bool
	sheets   []*sheet // of a frame or bounce, one for each lamp that lights it
}

// emitter is one source of light of one color that reaches the set.
type emitter struct {
	light
	around  ball            // about its outline
	fixture int             // that it leaves
	lamp    int             // that it started at
	unit    colorimetry.XYZ // color for a level of 1
	own     []*occluder     // in its way always: the frame that it goes straight through
	skip    []int           // fixtures whose occluders are not in its way
}

// problem is something wrong with a row.
type problem struct {
	row              int
	column, expected string
}

// NewScene builds a scene from a table of lamps, each free cell at its present
// value. The error is table.Errors, all that is wrong.
func NewScene(lamps *setup.Lamps, o Options) (*Scene, error) {
	quantity := photometry.Illuminance
	notes := schema.Read(schema.LampsFile, []*schema.Source{lamps.Source()})
	if continuous, ok := schema.Get(notes, schema.Continuous); ok && !continuous {
		quantity = photometry.LuminousExposure
	}
	s, problems := build(lamps.Rows, o, quantity)
	if len(problems) > 0 {
		var errs table.Errors
		for _, p := range problems {
			errs = append(errs, lamps.Error(p.row, p.column, p.expected))
		}
		return nil, errs.ErrOrNil()
	}
	s.table = lamps
	s.warnOfSpill()
	s.warnNearFile()
	s.warnPastFrames()
	if err := s.TooMuch(); err != nil {
		return nil, err
	}
	s.Warnings = append(s.Warnings, table.Findings(lamps.Warnings)...)
	return s, nil
}

// Rows are the rows of the table, one a fixture and in the same order, each free cell
// with its present value.
func (s *Scene) Rows() []setup.Lamp { return slices.Clone(s.rows) }

// builder makes a scene of rows and collects what is wrong.
type builder struct {
	*Scene
	problems []problem
	// kept says which fixtures stand as they did in an earlier scene; nil for
	// none.
	kept []bool
}

func (b *builder) fail(row int, column, expected string) {
	for _, p := range b.problems {
		if p.row == row && p.column == column {
			return
		}
	}
	b.problems = append(b.problems, problem{row, column, expected})
}

// failed reports whether something is wrong with a row already.
func (b *builder) failed(row int) bool {
	return slices.ContainsFunc(b.problems, func(p problem) bool { return p.row == row })
}

func build(rows []setup.Lamp, o Options, quantity photometry.Quantity) (*Scene, []problem) {
	b := &builder{Scene: &Scene{rows: rows, options: o, Quantity: quantity, colored: true, effort: &effort{}}}
	b.Fixtures = make([]Fixture, len(rows))
	b.made = make([][]emitter, len(rows))
	b.kept = make([]bool, len(rows))
	b.byName = make(map[string]int, len(rows))
	for i := range rows {
		b.byName[strings.ToLower(rows[i].Name)] = i
	}
	return b.build()
}

// rebuild is a scene of which only some rows differ from this one's. What they
// do not touch is not computed again.
func (s *Scene) rebuild(rows []setup.Lamp, changed []bool) (*Scene, []problem) {
	b := &builder{Scene: &Scene{rows: rows, options: s.options, Quantity: s.Quantity, table: s.table, byName: s.byName, colored: true, effort: &effort{before: s.effort}}}
	b.Fixtures = slices.Clone(s.Fixtures)
	b.made = slices.Clone(s.made)
	b.kept = make([]bool, len(rows))
	touched := s.touched(changed)
	for i := range rows {
		if b.kept[i] = !touched[i]; touched[i] {
			b.Fixtures[i], b.made[i] = Fixture{}, nil
		}
	}
	return b.build()
}

// touched adds to changed rows those whose light they pass on or shade. A lamp
// that others shade keeps its own light, so it is not touched.
func (s *Scene) touched(changed []bool) []bool {
	out := slices.Clone(changed)
	shades := false
	for i, c := range changed {
		shades = shades || c && s.rows[i].Kind.Shapes()
	}
	for again := true; again; {
		again = false
		for i := range s.Fixtures {
			if out[i] || len(s.Fixtures[i].Lit) == 0 {
				continue
			}
			if shades || slices.ContainsFunc(s.Fixtures[i].Lit, func(k int) bool { return out[k] }) {
				out[i], again = true, true
			}
		}
	}
	return out
}

func (b *builder) build() (*Scene, []problem) {
	b.filled = &atomic.Pointer[filled]{}
	shapers := 0
	for i := range b.rows {
		if b.rows[i].Kind.Shapes() {
			if shapers++; shapers == schema.MostShapers+1 {
				b.fail(i, "kind", fmt.Sprintf("no more than %d frames, boards, flags and nets", schema.MostShapers))
				return b.Scene, b.problems
			}
		}
		if !b.kept[i] {
			b.place(i)
		}
	}
	b.shape()
	b.connect()
	if len(b.problems) == 0 {
		b.limitPassedOn()
	}
	if len(b.problems) == 0 {
		b.obstruct()
		b.shine()
	}
	return b.Scene, b.problems
}

// free reports whether any of the cells leaves a choice.
func free(cells ...setup.Range) bool {
	return slices.ContainsFunc(cells, func(r setup.Range) bool { return r.Free() })
}

func (b *builder) assume(key string, namesAndValues ...any) {
	remark := photometry.Remarked(key, namesAndValues...)
	if !slices.ContainsFunc(b.Inferred, func(r photometry.Remark) bool { return r.Same(remark.Finding) }) {
		b.Inferred = append(b.Inferred, remark)
	}
}

func (s *Scene) warn(key string, namesAndValues ...any) {
	s.Warnings = append(s.Warnings, photometry.Found(key, namesAndValues...))
}
