package report

import (
	"evenfall/falloff"
	"evenfall/falloff/plan"
	"evenfall/falloff/screen"
	"evenfall/photometry"
	"evenfall/photometry/colorimetry"
	"evenfall/photometry/dimmer"
	"evenfall/photometry/evenness"
	"evenfall/photometry/ratio"
	"evenfall/photometry/setup"
	"evenfall/photometry/survey"
	"evenfall/plots"
	"evenfall/plots/steps"
)

// Schema names the form of Report in JSON.
const Schema = "evenfall/report/1"

// Report is everything that a folder says of a set-up. Every part is optional;
// what the folder does not have is absent.
type Report struct {
	Schema  string  `json:"schema"`
	Verdict Verdict `json:"verdict"`
	// Setup is what the table of keys and values says.
	Setup    *Setup    `json:"setup,omitempty"`
	Exposure *Exposure `json:"exposure,omitempty"`
	// ToDo is the one list of what to do, of the first surface that is not well;
	// ToDoOf names it.
	ToDo   *steps.List `json:"to_do,omitempty"`
	ToDoOf string      `json:"to_do_of,omitempty"`
	// Lamps are the rows of the table of lamps with every cell that is filled.
	Lamps []Lamp `json:"lamps,omitempty"`
	// Plan is the same lamps in space, held to the readings where it can be.
	Plan *plan.Result `json:"plan,omitempty"`
	// Ratios are the lights at marks compared.
	Ratios   *Ratios   `json:"ratios,omitempty"`
	Surfaces []Surface `json:"surfaces,omitempty"`
	// Dimmers are lamps over their own dimmers, Screen a screen as the camera sees it.
	Dimmers *dimmer.Result `json:"dimmers,omitempty"`
	Screen  *screen.Result `json:"screen,omitempty"`
	// Distances and Meters are series of readings along a light and checks of a
	// meter.
	Distances []Distance   `json:"distances,omitempty"`
	Meters    []MeterCheck `json:"meters,omitempty"`
	Gels      *Gels        `json:"gels,omitempty"`
	Cameras   *Cameras     `json:"cameras,omitempty"`
	Photos    []Photo      `json:"photos,omitempty"`
	Files     []File       `json:"files"`
	// BeforeFolder is the other folder that the surfaces were compared with.
	BeforeFolder *DayFolder `json:"before_folder,omitempty"`
	// Problems are files that could not be used, and why.
	Problems []Problem            `json:"problems"`
	Warnings []photometry.Finding `json:"warnings"`
	Cautions []photometry.Finding `json:"cautions"`

	options    Options
	plan       *planned
	lampsFile  string
	screenFile string
	lampRows   []setup.Lamp
	marks      *setup.Ratios
}

// Verdict is the worst of what was judged, and the line that says so.
type Verdict struct {
	// Overall is pass, fail or unsure; empty where the folder has nothing to
	// judge.
	Overall string            `json:"overall,omitempty"`
	Text    photometry.Remark `json:"text"`
	// Parts are all that was judged, the worst first.
	Parts []Part `json:"parts"`

	told int // which of them the text has
}

// Setup is what the set-up's table of keys and values says. A figure that it does
// not give is absent.
type Setup struct {
	File string `json:"file"`
	setup.Settings
}

// Exposure is what the camera is set to. Each area's f-number counts what ND and
// filters take.
type Exposure struct {
	ISO       float64 `json:"iso"`
	ShutterS  float64 `json:"shutter_s,omitempty"` // absent for flash
	LossStops float64 `json:"loss_stops,omitempty"`
	// SetFNumber is the stop that the lens is set to, from the set-up's T-stop.
	SetFNumber *float64 `json:"set_f_number,omitempty"`
	// From says where the figures come from.
	From  []string `json:"from"`
	Areas []Area   `json:"areas"`
}

// Area is a part of the picture and what would expose it as a mid gray.
type Area struct {
	Name     string  `json:"name"`
	Level    float64 `json:"level"`
	Unit     string  `json:"unit"`
	FNumber  float64 `json:"f_number"`
	Constant float64 `json:"constant"` // C, or K for a luminance
	// Computed says that the level is that after the list of what to do.
	Computed bool `json:"computed,omitempty"`
	// OverStops is the level over what SetFNumber exposes for, by the constant of the
	// first area.
	OverStops *float64 `json:"over_stops,omitempty"`

	mark      *string // whose area it is; nil for a surface
	fromFirst float64 // stops of light over the first area
	quantity  photometry.Quantity
	unitFor   func(asked photometry.Unit) photometry.Unit
}

// Lamp is a row of the table of lamps: each cell that is filled, as it stands in
// the table, by column and unit (“x (m)”).
type Lamp struct {
	Name      string            `json:"name"`
	Kind      string            `json:"kind"`
	AsWritten map[string]string `json:"as_written"`
}

// Surface is the newest survey of a surface, with the day before it.
type Surface struct {
	Title  string           `json:"title"`
	Date   string           `json:"date,omitempty"`
	Files  []string         `json:"files"`
	Result *evenness.Result `json:"result"`
	// Readings are all readings, one a place and then those taken again.
	Readings []Reading     `json:"readings"`
	Alone    []LampReading `json:"lamps_alone,omitempty"`
	// Before is the survey that the newest is compared with.
	Before *Comparison `json:"before,omitempty"`
	// Older are further days, the newer first.
	Older []Day `json:"older,omitempty"`

	contents [][]byte // of Files
	previous *Surface // the day before, of this folder
}

// PlaceReading is what was read at a place. Level is in the unit of its result.
type PlaceReading struct {
	Label string   `json:"label,omitempty"`
	X     float64  `json:"x_m"`
	Y     float64  `json:"y_m"`
	Level float64  `json:"level"`
	CCT   *float64 `json:"cct_k,omitempty"`
	Duv   *float64 `json:"duv,omitempty"`
}

// Reading is one reading of all lamps together.
type Reading struct {
	PlaceReading
	Time string `json:"time,omitempty"`
	// Readings is how many stand behind the level; absent for one.
	Readings int `json:"readings,omitempty"`
	// Again says that it is one of several at its place.
	Again bool `json:"again,omitempty"`
}

// LampReading is a reading of one lamp alone.
type LampReading struct {
	Lamp string `json:"lamp"`
	PlaceReading
}

// Day is a survey of another day in short.
type Day struct {
	Date        string   `json:"date,omitempty"`
	Files       []string `json:"files"`
	Verdict     string   `json:"verdict"`
	Mean        float64  `json:"mean"`
	Unit        string   `json:"unit"`
	SpreadStops float64  `json:"spread_stops"`
}

// Ratios are the lights at marks, with the readings that they rest on.
type Ratios struct {
	File     string        `json:"file"`
	Result   *ratio.Result `json:"result"`
	Readings []MarkReading `json:"readings"`

	unitFor func(asked photometry.Unit) photometry.Unit
}

// MarkReading is a reading of one light, or of several together, at a mark.
type MarkReading struct {
	Mark     string  `json:"mark,omitempty"`
	Role     string  `json:"role"`
	Lamp     string  `json:"lamp,omitempty"`
	Level    float64 `json:"level"`
	Unit     string  `json:"unit"`
	Receptor string  `json:"receptor"`
	// Assumed says that nobody noted the receptor: it is taken to be flat.
	Assumed   bool     `json:"receptor_assumed,omitempty"`
	Aim       string   `json:"aim,omitempty"`
	CCT       *float64 `json:"cct_k,omitempty"`
	Duv       *float64 `json:"duv,omitempty"`
	DistanceM float64  `json:"distance_m,omitempty"`
	Note      string   `json:"note,omitempty"`

	quantity photometry.Quantity
}

// ScreenFile is the table that Screen is of, "" without one.
func (r *Report) ScreenFile() string { return r.screenFile }

// Distance is a fitted series of readings along a light.
type Distance struct {
	File   string            `json:"file"`
	Result *falloff.Distance `json:"result"`

	series *survey.Series
}

// MeterCheck is a check of a meter.
type MeterCheck struct {
	File   string         `json:"file"`
	Result *falloff.Meter `json:"result"`

	series *survey.Series
}

// Gels is the bag of gels.
type Gels struct {
	File string            `json:"file"`
	Gels []colorimetry.Gel `json:"gels"`
}

// Cameras are how the cameras differ from the meter.
type Cameras struct {
	File    string                     `json:"file"`
	Offsets []colorimetry.CameraOffset `json:"offsets"`
}

// Photo is a photo of the set.
type Photo struct {
	File  string `json:"file"`
	Bytes int64  `json:"bytes"`
	// NotShown says why the page does not show it; empty where it does.
	NotShown string `json:"not_shown,omitempty"`

	kind    string // media type
	content []byte
}

// File is a file of the folder.
type File struct {
	Name   string `json:"name"`
	Bytes  int64  `json:"bytes"`
	SHA256 string `json:"sha256"`
}

// DayFolder is the folder of another day, outside of the report's own, as it was when
// the report was made.
type DayFolder struct {
	// Folder is where it is from the report's own folder, so that both can be moved.
	Folder string `json:"folder"`
	// Files are its tables.
	Files []File `json:"files"`
}

// Problem is a file that could not be used, and why.
type Problem struct {
	File string `json:"file"`
	Text string `json:"text"`
}

// planned is a plan as its pictures need it.
type planned struct {
	scene *plan.Scene
	views plots.SetOptions
}
