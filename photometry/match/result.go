package match

import (
	"slices"

	"evenfall/photometry"
	"evenfall/photometry/dimmer"
	"evenfall/photometry/drift"
	"evenfall/photometry/setup"
	"evenfall/photometry/survey"
	"evenfall/photometry/uncertainty"
)

// Schema names the shape of MatchResult in JSON.
const Schema = "evenfall/match/1"

// Result is how today's light differs from another day's. It is computed
// once; screen, JSON, pictures, report and page all show this struct. Every
// difference is today less the day before: positive stops are brighter, positive
// mired warmer, positive Duv greener. Levels are in Unit. A figure that could
// not be computed is absent.
type Result struct {
	Schema    string    `json:"schema"`
	Title     string    `json:"title,omitempty"`
	Unit      string    `json:"unit"` // lx, lx.s, cd/m2 or relative
	Before    Day       `json:"before"`
	After     Day       `json:"after"`
	Tolerance Tolerance `json:"tolerance"`
	Verdict   Verdict   `json:"verdict"`

	// Pairs is how many places of both days belong together and count; where an
	// area in shot is set, those in it, and PairsInAll is how many there are on
	// the whole surface.
	Pairs      int `json:"pairs"`
	PairsInAll int `json:"pairs_in_all"`
	// PairedBy is absent where lights at marks alone were matched.
	PairedBy *Pairing `json:"paired_by,omitempty"`
	// UnpairedBefore and UnpairedAfter are the places that only one day has.
	UnpairedBefore []Place `json:"unpaired_before"`
	UnpairedAfter  []Place `json:"unpaired_after"`

	// OffsetStops is the mean of log2(today/before), by area, with its 95 %
	// interval. It is significant where the interval excludes zero.
	OffsetStops       float64     `json:"offset_stops"`
	OffsetInterval    *[2]float64 `json:"offset_interval_stops,omitempty"`
	OffsetSignificant bool        `json:"offset_significant"`

	// PatternStops is the spread, largest less smallest, of log2(today/before):
	// what no change of exposure or of all lamps together takes out. The pattern is
	// significant where the lower end of its 95 % interval is above zero. It is absent
	// where there is one pair only, its scatter where lights at marks alone were matched.
	PatternStops       *float64    `json:"pattern_stops,omitempty"`
	PatternInterval    *[2]float64 `json:"pattern_interval_stops,omitempty"`
	PatternSignificant bool        `json:"pattern_significant"`
	*PatternScatter
	// Worst is the place whose light changed most.
	Worst Point `json:"worst"`

	// OffsetMired and OffsetDuv are the mean shift of color; Color is the rest.
	OffsetMired *float64 `json:"offset_mired,omitempty"`
	OffsetDuv   *float64 `json:"offset_duv,omitempty"`
	Color       *Color   `json:"color,omitempty"`

	// Lamps is each lamp's level today in percent of the day before, by name,
	// and LampOrder their order. LampFit is what they rest on. All are empty
	// where no lamp was read alone.
	Lamps     map[string]LampLevel `json:"lamps,omitempty"`
	LampOrder []string             `json:"lamp_order,omitempty"`
	LampFit   *LampFit             `json:"lamp_fit,omitempty"`

	// Marks is how the lights at marks differ, where both days have a table of
	// them. Where there is no survey of a surface, the figures above are theirs.
	Marks *Marks `json:"marks,omitempty"`
	// Changes are the differences of the two days' tables.
	Changes []setup.Change `json:"changes"`
	// Suspects are readings of either day that look like data-entry errors; they
	// are left out.
	Suspects []Suspect `json:"suspects"`
	// Steps restore the light of the day before, in the order that works.
	Steps []photometry.Finding `json:"steps"`
	// Dials are how the lamps' own dimmers are set for the changes of their levels.
	Dials []dimmer.Change `json:"dials,omitempty"`

	Inferred []photometry.Remark  `json:"inferred"`
	Warnings []photometry.Finding `json:"warnings"`
	Cautions []photometry.Finding `json:"cautions"`

	// Points are all pairs, in the order of the day before.
	Points []Point `json:"points"`
	// More are the other surfaces of two folders, each with its own figures; those
	// of the first, one with lamps read alone where there is any, are here.
	More []*Result `json:"more,omitempty"`

	// Survey is the surface as it was read the day before; nil where lights at marks
	// alone were matched.
	Survey *survey.Survey `json:"-"`
}

// Day is one of the two days.
type Day struct {
	Title        string            `json:"title,omitempty"`
	Date         string            `json:"date,omitempty"` // as it was written
	Files        []string          `json:"files,omitempty"`
	Points       int               `json:"points"`
	ReadingCount int               `json:"readings"`
	Noise        uncertainty.Noise `json:"noise"`
	// ReadAs says how its files were read, where they are not in the plain form.
	ReadAs *photometry.ReadAs `json:"read_as,omitempty"`
	// Drift is taken out where it is significant: levels are as the light was
	// left.
	Drift *drift.Drift `json:"drift,omitempty"`
}

// PatternScatter is the rms of log2(today/before) about the offset, and what the
// scatter of the readings alone would leave of spread and rms.
type PatternScatter struct {
	PatternRMSStops        float64 `json:"pattern_rms_stops"`
	PatternNoiseFloorStops float64 `json:"pattern_noise_floor_stops"`
	PatternNoiseRMSStops   float64 `json:"pattern_noise_rms_stops"`
}

// Tolerance is how much today's light may differ. It comes from the
// tolerance of the surface: its total spread in stops is allowed for the pattern,
// half of it either way for the offset, and its color tolerance for the color of
// any place.
type Tolerance struct {
	OffsetStops  float64 `json:"offset_stops"` // either way
	PatternStops float64 `json:"pattern_stops"`
	Mired        float64 `json:"mired"` // either way, at any place
	Duv          float64 `json:"duv"`
	// Source is where that is from.
	Source photometry.Remark `json:"source"`
}

// Verdict is pass, fail or unsure for each part and for the whole. Wrong
// passes and wrong fails of a part are each at most 2.5 %.
type Verdict struct {
	Offset  string `json:"offset"`
	Pattern string `json:"pattern"`
	Color   string `json:"color,omitempty"` // absent where a day has no color
	Overall string `json:"overall"`
	// All is the worst of all surfaces of two folders, absent where there is one.
	All string `json:"all_surfaces,omitempty"`
}

// unsettle takes back a pass: it is open which of some readings count.
func (v *Verdict) unsettle() {
	for _, part := range []*string{&v.Offset, &v.Pattern, &v.Overall} {
		*part = uncertainty.WorstVerdict(*part, uncertainty.Unsure)
	}
}

// Worst is the verdict of all surfaces.
func (v Verdict) Worst() string {
	if v.All != "" {
		return v.All
	}
	return v.Overall
}

// Pairing is how places were brought together.
type Pairing struct {
	Label        int     `json:"label"`    // pairs by the same label
	Position     int     `json:"position"` // pairs by position
	WithinM      float64 `json:"within_m"` // how far apart two places of a pair may be
	MaxDistanceM float64 `json:"max_distance_m"`
}

// Place is a place that only one day has.
type Place struct {
	Label string  `json:"label,omitempty"`
	X     float64 `json:"x_m"`
	Y     float64 `json:"y_m"`
}

// Position is where a place lies on the surface.
type Position struct {
	X float64 `json:"x_m"`
	Y float64 `json:"y_m"`
}

// Point is one place of both days. The position is that of the day before; a light
// at a mark has none.
type Point struct {
	Label string `json:"label,omitempty"`
	*Position
	DistanceM float64 `json:"distance_m,omitempty"` // between the two places of the pair
	Before    float64 `json:"before_level"`
	After     float64 `json:"after_level"`
	Stops     float64 `json:"stops"`         // log2(after/before)
	Pattern   float64 `json:"pattern_stops"` // the same less the offset
	// MiredShift and DuvShift are absent where a day has no color there.
	MiredShift *float64 `json:"mired_shift,omitempty"`
	DuvShift   *float64 `json:"duv_shift,omitempty"`
	Excluded   bool     `json:"left_out,omitempty"`    // a suspect of either day
	OutOfShot  bool     `json:"out_of_shot,omitempty"` // beside the area in shot

	before, after int // points of the surveys
}

// place is where it is, for a sentence.
func (p Point) place() photometry.Point { return photometry.Point{Label: p.Label, X: p.X, Y: p.Y} }

// Color is how color changed.
type Color struct {
	Points int `json:"points"` // pairs with a color on both days
	// OffsetMiredInterval and OffsetDuvInterval are the 95 % intervals of the mean
	// shifts, by how colors scatter about the pattern or in repeats.
	OffsetMiredInterval *[2]float64 `json:"offset_mired_interval,omitempty"`
	OffsetDuvInterval   *[2]float64 `json:"offset_duv_interval,omitempty"`
	OffsetSignificant   bool        `json:"offset_significant"`
	// Pattern figures are the largest less the smallest shift; absent for one place.
	PatternMired *float64 `json:"pattern_mired,omitempty"`
	PatternDuv   *float64 `json:"pattern_duv,omitempty"`
	// Noise figures are the standard deviation of a shift at one place, from
	// repeats of color; absent without repeats.
	NoiseMired *float64 `json:"noise_mired,omitempty"`
	NoiseDuv   *float64 `json:"noise_duv,omitempty"`
	// WorstMired and WorstDuv are the places whose shifts are largest.
	WorstMired   Point  `json:"worst_mired"`
	WorstDuv     *Point `json:"worst_duv,omitempty"`
	VerdictMired string `json:"verdict_mired"`
	VerdictDuv   string `json:"verdict_duv,omitempty"`
}

// LampLevel is what one lamp gives today.
type LampLevel struct {
	// Percent of the day before with its 95 % interval; the interval is one-sided
	// where it begins at zero. Absent where the readings do not give it.
	Percent *float64 `json:"percent,omitempty"`
	Low     *float64 `json:"low,omitempty"`
	High    *float64 `json:"high,omitempty"`
	Stops   *float64 `json:"stops,omitempty"` // log2 of it; absent at zero
	// Changed: by 3 % at least, and by more than scatter makes of any of all lamps in
	// 5 of 100 surveys.
	Changed bool `json:"changed"`
	// SharePercent is the lamp's part of the light the day before, on the mean.
	SharePercent float64 `json:"share_percent"`
	// Ambiguous says why there is no percentage. With are the lamps that it cannot
	// be separated from, and the group figures what all of them give together.
	Ambiguous    *photometry.Remark `json:"untold,omitempty"`
	With         []string           `json:"together_with,omitempty"`
	GroupPercent *float64           `json:"group_percent,omitempty"`
	GroupLow     *float64           `json:"group_low,omitempty"`
	GroupHigh    *float64           `json:"group_high,omitempty"`
	// Color is how its color changed, where the readings support it over any
	// other lamp's.
	Color *LampShift `json:"color,omitempty"`
	// Moved is set where its light lies otherwise on the surface than the day
	// before.
	Moved *LampMove `json:"moved,omitempty"`
	// Check is where to meter the lamp alone, and what it should read there.
	Check *LampCheck `json:"check,omitempty"`
}

// LampShift is a change of one lamp's color, with 95 % intervals. Needs is the
// pair of filters that takes it back, Gel the same in gels.
type LampShift struct {
	MiredShift    float64     `json:"mired_shift"`
	MiredInterval *[2]float64 `json:"mired_interval,omitempty"`
	DuvShift      float64     `json:"duv_shift"`
	DuvInterval   *[2]float64 `json:"duv_interval,omitempty"`
	CCTBefore     float64     `json:"cct_before_k"`
	DuvBefore     float64     `json:"duv_before"`
	CCT           float64     `json:"cct_k"`
	Duv           float64     `json:"duv"`
	NeedsMired    *float64    `json:"needs_mired,omitempty"` // absent where no filter does
	NeedsCC       *float64    `json:"needs_cc,omitempty"`
	NeedsCCColor  string      `json:"needs_cc_color,omitempty"`
	Gel           string      `json:"gel,omitempty"`
}

// LampMove is how the pattern of a lamp changed: how much brighter it became
// toward camera right and toward the top, across the box of the places.
type LampMove struct {
	RightStops float64 `json:"right_stops"`
	UpStops    float64 `json:"up_stops"`
}

// LampCheck is one lamp at one place: with the others off it read Level the day
// before; Today is what it gives there now.
type LampCheck struct {
	Label string   `json:"label,omitempty"`
	X     float64  `json:"x_m"`
	Y     float64  `json:"y_m"`
	Level float64  `json:"level"`
	Today *float64 `json:"today_level,omitempty"`
	// Read is whether the lamp was read alone there, not only computed.
	Read bool `json:"read"`
}

// LampFit is what the lamps' levels rest on.
type LampFit struct {
	Maps              string   `json:"maps"` // full or shares
	Places            int      `json:"places"`
	ShareErrorPercent *float64 `json:"share_error_percent,omitempty"`
	// ResidualStops is the rms of today's levels about the fit, NoiseStops what
	// the scatter of the readings would leave; Explained where the one is no more
	// than the other allows, in 97.5 of 100 cases.
	ResidualStops float64 `json:"residual_stops"`
	NoiseStops    float64 `json:"noise_stops"`
	Explained     bool    `json:"explained"`
	// Ambient is light that was not there the day before, even over the surface;
	// absent where the readings do not show any.
	Ambient *AddedLight `json:"ambient,omitempty"`
}

// AddedLight is a level with its 95 % interval.
type AddedLight struct {
	Level float64 `json:"level"`
	Low   float64 `json:"low"`
	High  float64 `json:"high"`
}

// Suspect is a reading of one of the days that looks like a data-entry error.
type Suspect struct {
	Day string `json:"day"` // before or after
	survey.Suspect
}

// The two days of a MatchSuspect.
const (
	DayBefore = "before"
	DayAfter  = "after"
)

func (r *Result) warn(key string, values ...any) {
	r.Warnings = append(r.Warnings, photometry.Found(key, values...))
}

// warned reports whether there is a warning of a code.
func (r *Result) warned(code string) bool {
	return slices.ContainsFunc(r.Warnings, func(w photometry.Finding) bool { return w.Code == code })
}

// infer says what was assumed, once.
func (r *Result) infer(key string, values ...any) {
	remark := photometry.Remarked(key, values...)
	if !slices.ContainsFunc(r.Inferred, func(x photometry.Remark) bool { return x.Same(remark.Finding) }) {
		r.Inferred = append(r.Inferred, remark)
	}
}

func (r *Result) step(key string, values ...any) {
	r.Steps = append(r.Steps, photometry.Found(key, values...))
}
