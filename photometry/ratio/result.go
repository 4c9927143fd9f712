package ratio

import (
	"evenfall/photometry"
	"evenfall/photometry/dimmer"
)

// Schema names the shape of Result.
const Schema = "evenfall/ratio/1"

// Result is the lights at all marks compared with each other and with what
// was wanted.
type Result struct {
	Schema string `json:"schema"`
	Title  string `json:"title,omitempty"`
	Date   string `json:"date,omitempty"`
	photometry.Taken
	For string `json:"for,omitempty"`
	// Unit is that of the levels of all marks, absent where they differ; each
	// mark has its own.
	Unit string `json:"unit,omitempty"`
	// ReadAs says how the table was read, where it is not in the plain form.
	ReadAs   *photometry.ReadAs `json:"read_as,omitempty"`
	Readings int                `json:"readings"`
	// Notes are what people wrote beside readings.
	Notes          []photometry.PlaceNote `json:"notes,omitempty"`
	Marks          []Mark                 `json:"marks"`
	Target         *Target                `json:"target,omitempty"`
	AreaTargets    []AreaTarget           `json:"area_targets,omitempty"`
	KeyOverMarks   *KeyOverMarks          `json:"key_over_marks,omitempty"`
	ToleranceStops float64                `json:"tolerance_stops"` // on each side
	Noise          Noise                  `json:"noise"`
	Flicker        []Flicker              `json:"flicker"`
	// Dials are how the dimmers of the lamps are set for the targets.
	Dials []dimmer.Change `json:"dials,omitempty"`
	// Verdict is pass, fail or unsure; absent without a target.
	Verdict  string               `json:"verdict,omitempty"`
	Advice   []photometry.Finding `json:"advice"`
	Warnings []photometry.Finding `json:"warnings"`
	Cautions []photometry.Finding `json:"cautions"`
	Inferred []photometry.Remark  `json:"inferred"`
}

// Noise is how far one reading scatters and where that is known from.
type Noise struct {
	Source               string  `json:"source"` // stated, repeats or assumed
	RepeatabilityPercent float64 `json:"repeatability_percent"`
	Stops                float64 `json:"stops"` // standard deviation of one reading
	DegreesOfFreedom     int     `json:"degrees_of_freedom,omitempty"`
}

// Mark is the lights at one mark. Levels are in its unit. Stops of a light
// are against the key, positive where it is the brighter; what is read by
// reflection is compared by the exposure it asks for.
type Mark struct {
	Label string `json:"label"`
	Unit  string `json:"unit"`

	Key     *float64 `json:"key,omitempty"`
	KeyFrom string   `json:"key_from,omitempty"` // read, lamps or difference
	// KeyAtMost takes the place of Key where a key by difference may be none.
	KeyAtMost       *float64 `json:"key_at_most,omitempty"`
	Fill            *float64 `json:"fill,omitempty"`
	FillFrom        string   `json:"fill_from,omitempty"` // read or lamps
	KeyPlusFill     *float64 `json:"key_plus_fill,omitempty"`
	KeyPlusFillFrom string   `json:"key_plus_fill_from,omitempty"` // read, lamps or sum

	// What flash is written as: incident f-numbers at the camera's speed; the key's
	// is of KeyAtMost where that is told.
	KeyFNumber         *float64 `json:"key_f_number,omitempty"`
	FillFNumber        *float64 `json:"fill_f_number,omitempty"`
	KeyPlusFillFNumber *float64 `json:"key_plus_fill_f_number,omitempty"`

	KeyToFill                  *float64    `json:"key_to_fill,omitempty"`    // key alone : fill alone
	LightingRatio              *float64    `json:"lighting_ratio,omitempty"` // (key plus fill) : fill
	KeyToFillStops             *float64    `json:"key_to_fill_stops,omitempty"`
	KeyToFillIntervalStops     *Interval   `json:"key_to_fill_interval_stops,omitempty"`
	LightingRatioStops         *float64    `json:"lighting_ratio_stops,omitempty"`
	LightingRatioIntervalStops *Interval   `json:"lighting_ratio_interval_stops,omitempty"`
	BackStops                  *float64    `json:"back_stops,omitempty"`
	HairStops                  *float64    `json:"hair_stops,omitempty"`
	KickerStops                *float64    `json:"kicker_stops,omitempty"`
	BackgroundStops            *float64    `json:"background_stops,omitempty"`
	ScreenStops                *float64    `json:"screen_stops,omitempty"`
	PracticalStops             *float64    `json:"practical_stops,omitempty"`
	AmbientStops               *float64    `json:"ambient_stops,omitempty"`
	SpillStops                 *float64    `json:"spill_stops,omitempty"`
	AdditivityStops            *float64    `json:"additivity_stops,omitempty"` // of key plus fill
	AdditivityIntervalStops    *Interval   `json:"additivity_interval_stops,omitempty"`
	Sums                       []Sum       `json:"sums,omitempty"`
	FlashPercent               *float64    `json:"flash_percent,omitempty"`
	AmbientPercent             *float64    `json:"ambient_percent,omitempty"`
	ShutterLonger              *FlashShare `json:"shutter_longer,omitempty"`  // by a stop
	ShutterShorter             *FlashShare `json:"shutter_shorter,omitempty"` // by a stop

	Exposure *Exposure            `json:"exposure,omitempty"`
	Areas    []Area               `json:"areas"`
	Colors   []Color              `json:"colors,omitempty"`
	Judged   []Judged             `json:"judged,omitempty"`
	ToTarget []Change             `json:"to_target"`
	Verdict  string               `json:"verdict,omitempty"`
	Warnings []photometry.Finding `json:"warnings"`
}

// Sum is a reading of several lights together against those alone.
type Sum struct {
	Role            Role      `json:"role"`
	Level           float64   `json:"level"`
	Alone           *float64  `json:"alone,omitempty"` // their sum, where all were read
	AdditivityStops *float64  `json:"additivity_stops,omitempty"`
	IntervalStops   *Interval `json:"interval_stops,omitempty"`
	OK              *bool     `json:"ok,omitempty"`
}

// Exposure is what to expose at for a mark.
type Exposure struct {
	Of              Role     `json:"of"` // what the exposure is for
	Level           float64  `json:"level"`
	Constant        float64  `json:"constant"` // C of ISO 2720, or K
	EV100           *float64 `json:"ev100,omitempty"`
	ISO             *float64 `json:"iso,omitempty"`
	ShutterS        *float64 `json:"shutter_s,omitempty"`
	FramesPerSecond *float64 `json:"frames_per_second,omitempty"`
	ShutterAngleDeg *float64 `json:"shutter_angle_deg,omitempty"`
	LossStops       float64  `json:"loss_stops"` // ND and filters
	// FNumber is the exposure, which a lens marked in T-stops is set to as it
	// stands: then TStop says the same, and LensFNumber is what such a lens's
	// f-numbers would show, N·√τ.
	FNumber       *float64 `json:"f_number,omitempty"`
	FNumberMarked *float64 `json:"f_number_marked,omitempty"`
	TStop         *float64 `json:"t_stop,omitempty"`
	LensFNumber   *float64 `json:"lens_f_number,omitempty"`
	// SetStop is the stop that the lens is set to, and how much over (positive)
	// or under it exposes this mark.
	SetStop   *float64 `json:"set_stop,omitempty"`
	SetInT    bool     `json:"set_stop_is_t,omitempty"`
	OverStops *float64 `json:"over_stops,omitempty"`
}

// Area is one light or place in stops from the exposure of its mark.
type Area struct {
	Role     Role     `json:"role"`
	Lamp     string   `json:"lamp,omitempty"`
	Level    float64  `json:"level"`
	Unit     string   `json:"unit"`
	Receptor string   `json:"receptor,omitempty"` // flat or dome, of incident light
	Readings int      `json:"readings"`
	FNumber  *float64 `json:"f_number,omitempty"` // that would expose for it
	Stops    *float64 `json:"stops,omitempty"`
	// OpenStops is by how much Level may be off either way since it is open which of
	// several first readings counts.
	OpenStops float64 `json:"-"`
}

// Color is the color of a light at a mark.
type Color struct {
	Role      Role     `json:"role"`
	Lamp      string   `json:"lamp,omitempty"`
	Kelvin    float64  `json:"cct_k"`
	Duv       *float64 `json:"duv,omitempty"`
	FromMired *float64 `json:"from_key_mired,omitempty"` // positive is warmer than the key
}

// FlashShare is how flash and continuous light share the exposure at a shutter.
type FlashShare struct {
	ShutterS       float64 `json:"shutter_s"`
	FlashPercent   float64 `json:"flash_percent"`
	AmbientPercent float64 `json:"ambient_percent"`
	ExposureStops  float64 `json:"exposure_stops"` // change of the whole
}

// Judged is one figure against its target.
type Judged struct {
	Of          string  `json:"of"` // key_to_fill, lighting_ratio or a role
	TargetStops float64 `json:"target_stops"`
	// AtMost says that the target is a limit, as that of spill.
	AtMost        bool      `json:"at_most,omitempty"`
	FoundStops    *float64  `json:"found_stops,omitempty"`
	IntervalStops *Interval `json:"interval_stops,omitempty"`
	Verdict       string    `json:"verdict"`
	// Suspect says that the verdict waits for a reading that does not add up.
	Suspect bool `json:"doubtful,omitempty"`
}

// Change is one change that reaches a target; each alone does.
type Change struct {
	Of     string `json:"of"`     // the target it reaches
	Change Role   `json:"change"` // the light to change
	// Stops is the change, positive for more light.
	Stops float64 `json:"stops"`
	From  float64 `json:"from_level"`
	To    float64 `json:"to_level"`
	// Scrims are the wire scrims nearest to a loss and what they take.
	Scrims      string  `json:"scrims,omitempty"`
	ScrimsStops float64 `json:"scrims_stops,omitempty"`
	// DistanceFactor is what to multiply the lamp's distance by, for one small
	// for it; the new distance where the old one is known.
	DistanceFactor float64  `json:"distance_factor"`
	ToDistanceM    *float64 `json:"to_distance_m,omitempty"`
	DimmerPercent  float64  `json:"dimmer_percent"` // of the present output; over 100 is more
	// ExposureStops is what it does to the light on key plus fill.
	ExposureStops *float64          `json:"exposure_stops,omitempty"`
	Text          photometry.Remark `json:"text"`
}

// RoleStops is a light of a mark in stops from its key.
type RoleStops struct {
	Role  Role
	Stops float64
}

// FromKey are the mark's other lights in stops from its key, those that were read.
func (m Mark) FromKey() (out []RoleStops) {
	for _, l := range m.fromKey() {
		if *l.stops != nil {
			out = append(out, RoleStops{l.role, **l.stops})
		}
	}
	return out
}

// fromKey are the fields of the lights that are given so, in the order in which
// people name them.
func (m *Mark) fromKey() []stopsOf {
	return []stopsOf{{BackRole, &m.BackStops}, {HairRole, &m.HairStops}, {KickerRole, &m.KickerStops}, {BackgroundRole, &m.BackgroundStops},
		{ScreenRole, &m.ScreenStops}, {PracticalRole, &m.PracticalStops}, {AmbientRole, &m.AmbientStops}, {SpillRole, &m.SpillStops}}
}

type stopsOf struct {
	role  Role
	stops **float64
}
