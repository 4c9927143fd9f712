package plan

import (
	"gonum.org/v1/gonum/spatial/r3"

	"evenfall/photometry"
	"evenfall/photometry/evenness"
	"evenfall/photometry/schema"
	"evenfall/photometry/survey"
)

// Schema names the form of Result in JSON.
const Schema = "evenfall/plan/1"

// Result is everything that a plan says. It is computed once; screen, JSON and
// pictures show this struct. Levels are in Unit. What was not asked for is
// absent.
type Result struct {
	Schema string `json:"schema"`
	Title  string `json:"title,omitempty"`
	Unit   string `json:"unit"` // lx or lx.s
	// ReadAs says how the table of lamps was read, where it is not in the plain form.
	ReadAs *photometry.ReadAs `json:"read_as,omitempty"`
	// Surface is the predicted surface, after the moves where something was
	// solved.
	Surface *evenness.Result `json:"surface,omitempty"`
	// Within reports whether the surface is predicted within its tolerances.
	Within *bool  `json:"within_tolerance,omitempty"`
	Marks  []Mark `json:"marks"`
	Lamps  []Lamp `json:"lamps"`

	// Before is the surface with each free cell at its present value.
	Before *evenness.Result `json:"before,omitempty"`
	// Solved are the moves, in the order of the table; Solution says how good
	// they are.
	Solved      []Move        `json:"solved"`
	Solution    *Solution     `json:"solution,omitempty"`
	Sensitivity []Sensitivity `json:"sensitivity"`

	Diffusion []Diffusion `json:"diffusion"`
	Sweep     *SweepInfo  `json:"sweep,omitempty"`
	Score     *Score      `json:"score,omitempty"`
	// Calibration is what a pair of readings said of a frame.
	Calibration *Calibration `json:"calibration,omitempty"`

	Cautions []photometry.Finding `json:"cautions"`
	Warnings []photometry.Finding `json:"warnings"`
	Inferred []photometry.Remark  `json:"inferred"`
	// Reading is how the files were understood; it stays off the JSON, so that
	// the same lamps give the same JSON from any kind of file.
	Reading []string `json:"-"`
}

// Lamp is a row of the table as it shines.
type Lamp struct {
	Name string `json:"name"`
	Kind string `json:"kind"`
	// FluxLM and IntensityCD are at full, before dimmer and scrims; of a frame or
	// bounce what it sends on from the lamps behind it as they are set.
	FluxLM      *float64 `json:"flux_lm,omitempty"`
	IntensityCD *float64 `json:"intensity_cd,omitempty"` // on the axis, from far away
	BeamDeg     *float64 `json:"beam_deg,omitempty"`     // between half intensities
	// OutputPercent is what dimmer and scrims leave.
	OutputPercent float64 `json:"output_percent"`
	// SharePercent is its part of the mean level of the surface.
	SharePercent *float64 `json:"share_percent,omitempty"`
	// Hidden says that it reaches the set through a frame only.
	Hidden  bool    `json:"behind_frame,omitempty"`
	Nominal bool    `json:"nominal,omitempty"` // figures of a nominal material
	X       float64 `json:"x_m"`
	Y       float64 `json:"y_m"`
	Z       float64 `json:"z_m"`
	// OverFloorM is its height over the floor, absent where the floor is not known.
	OverFloorM *float64 `json:"over_floor_m,omitempty"`
	// PanDeg and TiltDeg are absent for a bare bulb.
	PanDeg  *float64 `json:"pan_deg,omitempty"`
	TiltDeg *float64 `json:"tilt_deg,omitempty"`
}

// NewResult is a result without anything asked of it yet.
func NewResult(s *Scene) *Result {
	r := &Result{
		Schema: Schema, Unit: s.Quantity.Unit(), Marks: []Mark{}, Solved: []Move{}, Sensitivity: []Sensitivity{}, Diffusion: []Diffusion{},
		Cautions: []photometry.Finding{}, Warnings: append([]photometry.Finding{}, s.Warnings...), Inferred: append([]photometry.Remark{}, s.Inferred...),
	}
	if s.table != nil {
		r.ReadAs = s.table.ReadAs
		r.Title = schema.Text(schema.LampsFile, s.table.Notes, schema.Title)
		r.Reading = append(r.Reading, s.table.File+": "+s.table.Dialect.String())
	}
	return r
}

// Describe lists the fixtures of a scene. on is a predicted surface that the
// shares are of; nil leaves them out.
func (s *Scene) Describe(on *survey.Survey) []Lamp {
	var shares map[string]float64
	if on != nil {
		shares = map[string]float64{}
		for _, part := range s.meanShares(on) {
			shares[part.Lamp] = part.Percent
		}
	}
	out := []Lamp{}
	for i := range s.Fixtures {
		f := &s.Fixtures[i]
		l := Lamp{Name: f.Name, Kind: string(f.Kind), OutputPercent: 100 * f.Output, Hidden: f.Hidden, Nominal: f.nominal, X: f.At.X, Y: f.At.Y, Z: f.At.Z}
		if f.FluxLM > 0 {
			l.FluxLM, l.IntensityCD = &f.FluxLM, &f.IntensityCD
		}
		if f.BeamDeg > 0 {
			l.BeamDeg = &f.BeamDeg
		}
		if floor := s.options.FloorY; floor != nil {
			over := f.At.Y - *floor
			l.OverFloorM = &over
		}
		if f.Aimed {
			pan, tilt := panTilt(f.Aim)
			l.PanDeg, l.TiltDeg = &pan, &tilt
		}
		if shares != nil && !f.Hidden && !(f.Kind == "flag" || f.Kind == "net") {
			share := shares[f.Name]
			l.SharePercent = &share
		}
		out = append(out, l)
	}
	return out
}

// meanShares is each fixture's part of the mean level at the places of a survey.
func (s *Scene) meanShares(on *survey.Survey) []Share {
	if last := s.filled.Load(); last != nil && last.of == on {
		return s.namedShares(last.shares)
	}
	var places []r3.Vec
	for i := 0; i < on.Len(); i += sharesEvery(on) {
		places = append(places, r3Place(on, i))
	}
	return s.namedShares(s.parts(places, toCamera))
}
