package evenness

import (
	"evenfall/photometry"
	"evenfall/photometry/causes"
	"evenfall/photometry/drift"
	"evenfall/photometry/sheet"
	"evenfall/photometry/spatial"
	"evenfall/photometry/survey"
	"evenfall/photometry/tolerance"
	"evenfall/photometry/uncertainty"
)

// Schema names the shape of Result in JSON.
const Schema = "evenfall/surface/1"

// Result is everything that is known of a surface after its survey was
// analyzed. It is computed once; screen, JSON, pictures, report and page all
// present this struct. Levels are in Unit. A field that could not be computed is
// absent.
type Result struct {
	Schema string `json:"schema"`
	Title  string `json:"title,omitempty"`
	photometry.Taken
	Unit         string                     `json:"unit"` // lx, lx.s, cd/m2 or relative
	ReadingCount int                        `json:"readings"`
	Points       int                        `json:"points"`
	Missing      int                        `json:"missing"`
	For          string                     `json:"for,omitempty"` // kind of surface
	Surface      *spatial.Box               `json:"surface,omitempty"`
	Limits       tolerance.Limits           `json:"tolerance"`
	Evenness     Statistics                 `json:"evenness"`
	Area         *Statistics                `json:"area,omitempty"`
	Trend        *spatial.Trend             `json:"trend,omitempty"`
	Drift        *drift.Drift               `json:"drift,omitempty"`
	Causes       []Cause                    `json:"causes"`
	Exposure     *photometry.CameraExposure `json:"exposure,omitempty"`
	Inferred     []photometry.Remark        `json:"inferred"`
	Suspects     []survey.Suspect           `json:"suspects"`
	// Questions are the places that decide with a reading that a person has to answer for:
	// a suspect, or first readings in conflict. While there are any, nothing passes.
	Questions int `json:"questions,omitempty"`
	// Without is the verdict's evenness with the suspects left out.
	Without  *Without          `json:"without_suspects,omitempty"`
	Progress *Progress         `json:"progress,omitempty"` // where the file plans its places
	ToEdge   *ToEdge           `json:"to_edge,omitempty"`
	Sampling *Sampling         `json:"sampling,omitempty"`
	Color    *ColorResult      `json:"color,omitempty"`
	Noise    uncertainty.Noise `json:"noise"`
	Verdict  Verdict           `json:"verdict"`

	Advice   []Advice             `json:"advice"`
	Warnings []photometry.Finding `json:"warnings"`

	// ReadAs says how a sheet was read that is not in the plain form.
	ReadAs *sheet.ReadAs `json:"read_as,omitempty"`
	// Bounds are readings known only to one side. With any the surface may fail, and
	// never pass.
	Bounds []survey.Bound `json:"bounds,omitempty"`
	// InDoubt are readings that were marked as doubtful; each counts as good to 5 %.
	InDoubt []survey.Doubt `json:"in_doubt,omitempty"`

	// Notes are what people wrote beside readings.
	Notes []photometry.PlaceNote `json:"notes,omitempty"`

	// Reference is what zero stops on a map means.
	Reference Reference `json:"reference"`
	// Levels are the levels that were judged, one a point: the survey's with a
	// significant drift taken out. Maps draw these.
	Levels []float64 `json:"-"`
	// LeftOut are the places of a difference of two days that it leaves out, since a
	// reading of either day is suspect. Maps draw them struck.
	LeftOut []photometry.Point `json:"-"`
	// ParseLog is how the files were understood: kept off the JSON so that the same
	// readings give the same JSON from any kind of file.
	ParseLog []photometry.Remark `json:"-"`

	// Survey is what was judged, Places are its points, and Weights the area in shot that
	// each represents, nil where all are equal.
	Survey  *survey.Survey  `json:"-"`
	Places  *spatial.Places `json:"-"`
	Weights []float64       `json:"-"`
	// Models are how readings scatter, for whoever judges further; nil where a
	// place gets no light.
	Models     []uncertainty.Model `json:"-"`
	incomplete bool                // too little was read for a pass
	inConflict bool                // it is open which reading of a place counts
	fewColors  bool                // the color of too few places was read for a pass
	explained  []causes.Cause      // the causes of the level

	// Clean is Levels with the data-entry errors among repeats left out.
	Clean []float64 `json:"-"`
}

// Statistics is the statistics of level over a set of points. Ratios are of
// levels; stops are log2 of a ratio.
type Statistics struct {
	Points         int         `json:"points"`
	Min            float64     `json:"min"`
	Max            float64     `json:"max"`
	Mean           float64     `json:"mean"` // by area
	Median         float64     `json:"median"`
	MinOverMean    float64     `json:"min_over_mean"` // U_o, EN 12464-1
	MinOverMax     float64     `json:"min_over_max"`  // diversity
	SpreadStops    float64     `json:"spread_stops"`
	SpreadInterval *[2]float64 `json:"spread_interval_stops,omitempty"`
	// SpreadAtLeast stands in place of the interval where readings are known only to one side.
	SpreadAtLeast     *float64    `json:"spread_at_least_stops,omitempty"`
	NoiseFloorStops   float64     `json:"noise_floor_stops,omitempty"` // spread that an even surface would have
	AboveMeanStops    float64     `json:"above_mean_stops"`
	BelowMeanStops    float64     `json:"below_mean_stops"`
	CVPercent         float64     `json:"cv_percent"`
	WithinPercent     float64     `json:"within_percent"`                  // of area, inside the tolerance
	AboveRefStops     *float64    `json:"above_reference_stops,omitempty"` // for a ± tolerance
	BelowRefStops     *float64    `json:"below_reference_stops,omitempty"`
	DeviationInterval *[2]float64 `json:"deviation_interval_stops,omitempty"`
	Brightest         Place       `json:"brightest"`
	Darkest           Place       `json:"darkest"`
}

// Place is a point on the surface with its level; its position is NaN, and absent in
// JSON, where it is not known in meters.
type Place struct {
	Label string  `json:"label,omitempty"`
	X     float64 `json:"x_m"`
	Y     float64 `json:"y_m"`
	Level float64 `json:"level"`
}

// Point is the place by its label and its position.
func (p Place) Point() photometry.Point { return photometry.Point{Label: p.Label, X: p.X, Y: p.Y} }

// Reference is the level that is zero stops on maps and in a ±
// tolerance: that of the reference point, or the mean by area.
type Reference struct {
	Label string  `json:"label,omitempty"` // empty for the mean
	Level float64 `json:"level"`
	// Words say what it is where it is neither a point nor the mean.
	Words string `json:"-"`
}

// Without is what a surface would be without its suspects. It never replaces
// the verdict: where it would change it, the verdict is unsure.
type Without struct {
	SpreadStops float64 `json:"spread_stops"`
	Verdict     string  `json:"verdict"`
	Brightest   Place   `json:"brightest"`
	Darkest     Place   `json:"darkest"`

	statistics Statistics
}

// Decisive is what a person is shown of the level: that of the part in shot where one is
// set, and without suspects where they are left out, as on every picture.
func (r *Result) Decisive() Statistics {
	switch {
	case r.Without != nil:
		return r.Without.statistics
	case r.Area != nil:
		return *r.Area
	}
	return r.Evenness
}

// WithSuspects is the spread of the same part in stops with its suspects; ok is false where
// none of them decides it.
func (r *Result) WithSuspects() (stops float64, ok bool) {
	stops = r.Evenness.SpreadStops
	if r.Area != nil {
		stops = r.Area.SpreadStops
	}
	return stops, r.Without != nil && r.Without.SpreadStops != stops
}

// Sampling reports whether the places read are close enough together.
type Sampling struct {
	SpacingM        float64 `json:"spacing_m"`
	AdvisedSpacingM float64 `json:"advised_spacing_m"` // EN 12464-1
	Enough          bool    `json:"enough"`
	EdgesRead       bool    `json:"edges_read"`
}

// Verdict is pass, fail or unsure for each part and for the whole.
type Verdict struct {
	Evenness string `json:"evenness"`
	Color    string `json:"color,omitempty"`
	Overall  string `json:"overall"`
}

// ColorResult is how color runs over the surface (or the area in shot, where
// one is set), each figure against the reference point's color, or without one
// against the color of all light mixed. Maxima are sizes, without a sign.
type ColorResult struct {
	Reference     ColorPlace  `json:"reference"`
	Points        int         `json:"points"`
	MaxMiredShift *float64    `json:"max_mired_shift,omitempty"`
	MaxDuvShift   *float64    `json:"max_duv_shift,omitempty"`
	MaxDeltaUV    float64     `json:"max_delta_u_v_prime"`
	Steps         float64     `json:"steps"`                    // of 0.0011 in u', v'
	Worst         ColorPlace  `json:"worst"`                    // farthest in u', v'
	MiredInterval *[2]float64 `json:"mired_interval,omitempty"` // of the largest shift; none where computed
	DuvInterval   *[2]float64 `json:"duv_interval,omitempty"`
	VerdictMired  string      `json:"verdict_mired,omitempty"`
	VerdictDuv    string      `json:"verdict_duv,omitempty"`
	// Run is the direction in which color changes, where it does so steadily.
	Run    *ColorRun `json:"run,omitempty"`
	Shifts *Shifts   `json:"-"` // of each point, for maps
}

// ColorPlace is a place with its color; shifts are its color less the
// reference's, positive mired warmer and positive Duv greener.
type ColorPlace struct {
	Label      string   `json:"label,omitempty"`
	X          *float64 `json:"x_m,omitempty"`
	Y          *float64 `json:"y_m,omitempty"`
	CCT        *float64 `json:"cct_k,omitempty"`
	Duv        *float64 `json:"duv,omitempty"`
	MiredShift *float64 `json:"mired_shift,omitempty"`
	DuvShift   *float64 `json:"duv_shift,omitempty"`
	DeltaUV    *float64 `json:"delta_u_v_prime,omitempty"`
}

// ColorRun is how color changes from the left to the right and from the bottom
// to the top edge of the readings by a plane through their shifts, in mired
// and in Duv. A part that does not exceed the scatter is absent.
type ColorRun struct {
	MiredRight *float64 `json:"mired_to_right,omitempty"`
	MiredUp    *float64 `json:"mired_to_top,omitempty"`
	DuvRight   *float64 `json:"duv_to_right,omitempty"`
	DuvUp      *float64 `json:"duv_to_top,omitempty"`
}

// Shifts are columns beside a Survey's points: each point less the reference,
// NaN where a point has no color. Positive mired is warmer, positive Duv
// greener.
type Shifts struct {
	Mired, Duv []float64
}
