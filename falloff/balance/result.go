package balance

import (
	"evenfall/photometry"
	"evenfall/photometry/dimmer"
	"evenfall/photometry/evenness"
	"evenfall/photometry/survey"
	"evenfall/photometry/tolerance"
	"evenfall/photometry/uncertainty"
)

// Schema names the shape of Result in JSON.
const Schema = "evenfall/balance/1"

// Result is what trims make of a surface. Levels are in Unit, spreads
// and gaps in stops.
type Result struct {
	Schema string           `json:"schema"`
	Title  string           `json:"title,omitempty"`
	Unit   string           `json:"unit"` // lx, lx.s, cd/m2 or relative
	For    string           `json:"for,omitempty"`
	Limits tolerance.Limits `json:"tolerance"`
	// ReadAs says how the files were read, where they are not in the plain form.
	ReadAs *photometry.ReadAs `json:"read_as,omitempty"`
	// Maps is full where each lamp was read everywhere, and shares where its
	// share of all light was interpolated from some places.
	Maps   string   `json:"maps"`
	Places int      `json:"places"` // that the trims were chosen for
	Lamps  []string `json:"lamps"`  // in the order in which they were read
	// Trims are by lamp, fixed ones too.
	Trims map[string]Trim `json:"trims"`
	// Dials are how the lamps' own dimmers are set for their trims.
	Dials     []dimmer.Change `json:"dials,omitempty"`
	StepStops float64         `json:"step_stops,omitempty"` // of trims in steps
	// Verdict is pass where the surface passes as it is, else that of After.
	Verdict string `json:"verdict"`
	Before  State  `json:"before"`
	After   State  `json:"after"`
	// Optimal says that no trims do better, which a bound of the linear program
	// proves; Gap is how far the spread after lies above that bound, in stops.
	Optimal    bool    `json:"optimal"`
	Gap        float64 `json:"gap"`
	BoundStops float64 `json:"bound_stops"`
	// LightStops is the change of the mean level by the trims.
	LightStops *float64 `json:"light_stops,omitempty"`
	// ScrimsStops is the spread with each trim replaced by the nearest scrims.
	ScrimsStops *float64 `json:"spread_with_scrims_stops,omitempty"`
	MinLevel    *float64 `json:"min_level,omitempty"`     // asked for
	Ambient     *float64 `json:"ambient_level,omitempty"` // mean of what no lamp that was read makes
	// Kept is the answer that keeps at least half of the least level as read,
	// where the most even trims give up more of it.
	Kept *Kept `json:"with_half_the_light,omitempty"`
	// Shares is how well the lamps' shares are known where they were not read
	// everywhere.
	Shares *ShareError `json:"shares,omitempty"`
	// AdditivityStops is how far all lamps together lie above the sum of the
	// lamps alone, where both were read.
	AdditivityStops *float64          `json:"additivity_stops,omitempty"`
	Noise           uncertainty.Noise `json:"noise"`
	// Notes are what people wrote beside readings.
	Notes    []photometry.PlaceNote `json:"notes,omitempty"`
	Suspects []LampSuspect          `json:"suspects"`
	Inferred []photometry.Remark    `json:"inferred"`
	Advice   []photometry.Finding   `json:"advice"`
	Warnings []photometry.Finding   `json:"warnings"`
	Cautions []photometry.Finding   `json:"cautions"`

	// BeforeMap and AfterMap are the two surfaces, for maps.
	BeforeMap, AfterMap *evenness.Result    `json:"-"`
	ParseLog            []photometry.Remark `json:"-"` // how the files were understood

	from *balancing
}

// Trim is what one lamp is brought to.
type Trim struct {
	Percent float64  `json:"percent"`         // of its level as read, 0 to 100
	Stops   *float64 `json:"stops,omitempty"` // log2 of that, 0 or less; absent for a lamp that is off
	Fixed   bool     `json:"fixed,omitempty"`
	// Scrim names the wire scrims nearest to the trim, where some come near;
	// ScrimStops is their loss.
	Scrim      string  `json:"scrim,omitempty"`
	ScrimStops float64 `json:"scrim_stops,omitempty"`
	// TenthOffStops is the spread where this lamp alone ends up a tenth of a
	// stop off its trim, the worse way.
	TenthOffStops *float64 `json:"spread_if_tenth_off_stops,omitempty"`
	CCT           *float64 `json:"cct_k,omitempty"`       // as read
	CCTAfter      *float64 `json:"cct_after_k,omitempty"` // of a tungsten lamp dimmed so
	MiredShift    *float64 `json:"mired_shift,omitempty"` // of the same, positive warms
}

// Evenness has the fields of evenness.Statistics.
type Evenness evenness.Statistics

// State is the surface before or after. Figures are of the part that
// decides (the area in shot, where one is set) and exclude suspect readings.
type State struct {
	Evenness
	Verdict evenness.Verdict `json:"verdict"`
	// WithSuspects is the spread with the suspect readings in.
	WithSuspects *float64 `json:"spread_with_doubtful_stops,omitempty"`
	// Whole is the whole surface where an area decides.
	Whole *evenness.Statistics `json:"whole,omitempty"`
	Color *Color               `json:"color,omitempty"`
}

// Color is how color runs over the surface by the colors of the lamps,
// against the reference place or all light mixed. Sizes, without a sign.
type Color struct {
	CCT           *float64 `json:"cct_k,omitempty"`
	Duv           *float64 `json:"duv,omitempty"`
	MaxMiredShift *float64 `json:"max_mired_shift,omitempty"`
	MaxDuvShift   *float64 `json:"max_duv_shift,omitempty"`
}

// ShareError is how well the lamps' shares of the light are known.
type ShareError struct {
	Places int `json:"places"` // at which lamps were read alone
	Terms  int `json:"terms"`  // of the polynomial that carries each lamp
	// ErrorPercent is the rms error of a lamp's share, in percent of all light,
	// at places left out of the fit; absent where none could be left out.
	ErrorPercent *float64 `json:"error_percent,omitempty"`
	// LevelErrorStops is the largest standard deviation that it adds to the
	// level of a place that decides, after trimming.
	LevelErrorStops float64 `json:"level_error_stops"`
}

// LampSuspect is a suspect reading of one lamp, or of all lamps together where
// Lamp is empty.
type LampSuspect struct {
	Lamp string `json:"lamp,omitempty"`
	survey.Suspect
}

// Kept is an answer that keeps some light.
type Kept struct {
	MinLevel    float64         `json:"min_level"`
	SpreadStops float64         `json:"spread_stops"`
	Trims       map[string]Trim `json:"trims"`
}
