package survey

import (
	"fmt"

	"evenfall/photometry"
)

// Schema names the shape of Result in JSON.
const Schema = "evenfall/surface/1"

// Result is everything that is known of a surface after its survey was
// analyzed. It is computed once; screen, JSON, pictures, report and page all
// show this struct. Levels are in Unit. A field that could not be computed is
// absent.
type Result struct {
	Schema   string    `json:"schema"`
	Title    string    `json:"title,omitempty"`
	Unit     string    `json:"unit"` // lx, lx.s, cd/m2 or relative
	Readings int       `json:"readings"`
	Points   int       `json:"points"`
	Missing  int       `json:"missing"`
	For      string    `json:"for,omitempty"` // kind of surface
	Surface  *Box      `json:"surface,omitempty"`
	Limits   Limits    `json:"tolerance"`
	Evenness Evenness  `json:"evenness"`
	Area     *Evenness `json:"area,omitempty"`
	Trend    *Trend    `json:"trend,omitempty"`
	Drift    *Drift    `json:"drift,omitempty"`
	Causes   []Cause   `json:"causes"`
	Exposure *Exposure `json:"exposure,omitempty"`
	Inferred []string  `json:"inferred"`
	Suspects []Suspect `json:"suspects"`
	// Without is the verdict's evenness with the suspects left out.
	Without  *Without     `json:"without_suspects,omitempty"`
	Sampling *Sampling    `json:"sampling,omitempty"`
	Color    *ColorResult `json:"color,omitempty"`
	Noise    Noise        `json:"noise"`
	Verdict  Verdict      `json:"verdict"`

	Advice   []photometry.Finding `json:"advice"`
	Warnings []photometry.Finding `json:"warnings"`

	// Reference is what zero stops on a map means.
	Reference Reference `json:"reference"`
	// Levels are the levels that were judged, one a point: the survey's with a
	// significant drift taken out. Maps draw these.
	Levels []float64 `json:"-"`
	// Reading is how the files were understood, in words: kept off the JSON so
	// that the same readings give the same JSON from any kind of file.
	Reading []string `json:"-"`

	// Survey is what was judged.
	Survey *Survey `json:"-"`
	// Models are how readings scatter, for whoever judges further; nil where a
	// place gets no light.
	Models []noiseModel `json:"-"`
	// Clean is Levels with the data-entry errors among repeats left out.
	Clean []float64 `json:"-"`
}

// Evenness is the statistics of level over a set of points. Ratios are of
// levels; stops are log2 of a ratio.
type Evenness struct {
	Points            int         `json:"points"`
	Min               float64     `json:"min"`
	Max               float64     `json:"max"`
	Mean              float64     `json:"mean"` // by area
	Median            float64     `json:"median"`
	MinOverMean       float64     `json:"min_over_mean"` // U_o, EN 12464-1
	MinOverMax        float64     `json:"min_over_max"`  // diversity
	SpreadStops       float64     `json:"spread_stops"`
	SpreadInterval    *[2]float64 `json:"spread_interval_stops,omitempty"`
	NoiseFloorStops   float64     `json:"noise_floor_stops"` // spread that an even surface would show
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

// Place is a point on the surface with its level.
type Place struct {
	Label string  `json:"label,omitempty"`
	X     float64 `json:"x_m"`
	Y     float64 `json:"y_m"`
	Level float64 `json:"level"`
}

// Name is the label of the place, or its position where it has none.
func (p Place) Name() string {
	if p.Label != "" {
		return p.Label
	}
	return fmt.Sprintf("(%s, %s)", photometry.FormatFigure(p.X), photometry.FormatFigure(p.Y))
}

// Limits is what the surface is judged by.
type Limits struct {
	Stops     float64  `json:"stops"`                // total spread, or each side where EachSide
	EachSide  bool     `json:"each_side"`            // a ± tolerance about the reference
	GoodStops *float64 `json:"good_stops,omitempty"` // a note, never the verdict
	Mired     float64  `json:"mired"`
	Duv       float64  `json:"duv"`
}

// Reference is the level that zero stops stands for on maps and in a ±
// tolerance: that of the reference point, or the mean by area.
type Reference struct {
	Label string  `json:"label,omitempty"` // empty for the mean
	Level float64 `json:"level"`
	// Words say what it is where it is neither a point nor the mean.
	Words string `json:"-"`
}

// Trend is a smooth surface through the logarithm of the levels, fitted so
// that single readings cannot pull it: log2 E on 1, x, y, x², xy, y². Slopes
// are at the middle of the box of readings; positive is brighter toward +x and
// +y. What the places read cannot determine is absent.
type Trend struct {
	TiltX    *float64 `json:"tilt_x_stops_per_m,omitempty"`
	TiltY    *float64 `json:"tilt_y_stops_per_m,omitempty"`
	Bow      *float64 `json:"bow_stops,omitempty"` // middle less the mean of the four edge middles
	Steepest float64  `json:"steepest_stops_per_m"`
	Residual float64  `json:"residual_stops"` // rms of the readings about it

	coefficients [cubic]float64 // in the box's own coordinates, -1 to 1
	box          Box
	center       float64
	terms        []int // those that the places could determine
	finer        bool  // third-degree terms are in use
}

// Drift is how the light changed while the readings were taken, from repeat
// readings of the reference.
type Drift struct {
	StopsPerMinute float64 `json:"stops_per_minute"`
	TotalStops     float64 `json:"total_stops"` // over the time of the survey
	Readings       int     `json:"reference_readings"`
	Significant    bool    `json:"significant"`
	Corrected      bool    `json:"corrected"`

	// ErrorStops is the standard deviation of TotalStops.
	ErrorStops float64 `json:"-"`
	// Outside counts readings too far from those of the reference to be corrected.
	Outside int `json:"-"`

	errorSlope float64 // standard deviation of StopsPerMinute
	begin, end float64 // minutes: the first and the last reading of the reference
	slack      float64 // minutes: how far beyond them the line is trusted
}

// Cause is a likely reason for the unevenness that the readings support over
// its look-alikes, with the figures that speak for it.
type Cause struct {
	Code     string `json:"code"`
	Text     string `json:"text"`
	Evidence string `json:"evidence"`
}

// Exposure is what a camera would be set to for the mean level.
type Exposure struct {
	FNumber  *float64 `json:"f_number,omitempty"`
	EV100    *float64 `json:"ev100,omitempty"`
	ISO      float64  `json:"iso,omitempty"`
	ShutterS float64  `json:"shutter_s,omitempty"`
	Constant float64  `json:"constant"` // C, or K for a luminance
}

// Suspect is a reading that looks like a slip of the pen, with every reason
// that fits and what the reading would have been.
type Suspect struct {
	Label       string   `json:"label"`
	Line        int      `json:"line"`
	Found       string   `json:"found"`
	Reasons     []string `json:"reasons"`
	Suggestions []string `json:"suggestions"`

	Point int `json:"-"` // index in the survey
	// Expected is the level that the readings around, or the others at the place,
	// let one expect, in the SI unit of the survey.
	Expected float64 `json:"-"`

	repeat bool // one of several readings at its place
}

// Without is what a surface would be without its suspects. It never replaces
// the verdict: where it would change it, the verdict is unsure.
type Without struct {
	SpreadStops float64 `json:"spread_stops"`
	Verdict     string  `json:"verdict"`
}

// Sampling tells whether the places read are close enough together.
type Sampling struct {
	SpacingM        float64 `json:"spacing_m"`
	AdvisedSpacingM float64 `json:"advised_spacing_m"` // EN 12464-1
	Enough          bool    `json:"enough"`
	EdgesRead       bool    `json:"edges_read"`
}

// Noise is how far single readings scatter, and where that figure comes from.
type Noise struct {
	RepeatabilityPercent float64 `json:"repeatability_percent"`
	DegreesOfFreedom     int     `json:"degrees_of_freedom,omitempty"` // of repeats
	Source               string  `json:"source"`                       // stated, repeats or assumed
	ResolutionStops      float64 `json:"resolution_stops"`
	Stops                float64 `json:"stops"` // standard deviation of one reading
}

// Verdict is pass, fail or unsure for each part and for the whole.
type Verdict struct {
	Evenness string `json:"evenness"`
	Color    string `json:"color,omitempty"`
	Overall  string `json:"overall"`
}

// The three verdicts. Pass and Fail are each wrong at most 2.5 % of the time.
const (
	Pass   = "pass"
	Fail   = "fail"
	Unsure = "unsure"
)

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
	MiredInterval *[2]float64 `json:"mired_interval,omitempty"` // of the largest shift, from repeats
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
// and in Duv. A part that does not stand out of the scatter is absent.
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
