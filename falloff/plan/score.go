package plan

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"

	"evenfall/photometry"
	"evenfall/photometry/colorimetry"
	"evenfall/photometry/survey"
	"evenfall/photometry/tolerance"
)

// Score is how well a plan explains readings, once each lamp's level and an
// ambient light that is the same everywhere are fitted. Errors are readings over
// the fitted plan, in stops; readings that look like slips are left out and
// named.
type Score struct {
	Readings   int     `json:"readings"`
	RMSStops   float64 `json:"rms_stops"`
	WorstStops float64 `json:"worst_stops"` // with its sign: positive reads brighter than the plan
	Worst      Error   `json:"worst"`
	// ScatterStops is what one reading scatters by itself.
	ScatterStops float64 `json:"scatter_stops"`
	// Explained says that the errors are no more than such scatter can be.
	Explained bool `json:"explained"`
	// AsPlanned are the errors without fitting anything.
	AsPlanned Planned `json:"as_planned"`
	// Lamps are what each gives of its plan.
	Lamps   []LampScore `json:"lamps"`
	Ambient Estimate    `json:"ambient"`
	// AloneStops is how much brighter readings of single lamps are on the whole
	// than those of all together, as where the lamps warmed up in between; absent
	// without such readings.
	AloneStops *float64 `json:"alone_stops,omitempty"`
	// AmbientInAlone reports whether readings of single lamps hold the ambient
	// light, by the better fit; absent without such readings or where there is no
	// ambient light to tell by.
	AmbientInAlone *bool `json:"ambient_in_alone,omitempty"`
	// RMSMired and RMSDuv are the errors of color, where both have one.
	RMSMired *float64 `json:"rms_mired,omitempty"`
	RMSDuv   *float64 `json:"rms_duv,omitempty"`
	// Excluded are readings that look like data-entry errors and took no part.
	Excluded []Error              `json:"left_out"`
	Points   []Error              `json:"points"`
	Warnings []photometry.Finding `json:"warnings"`

	inferred []photometry.Remark // what the figures rest on, for Result.Inferred
	read     *survey.Survey
}

// Planned is how a plan fits before anything is fitted.
type Planned struct {
	RMSStops float64 `json:"rms_stops"`
	// OffsetStops is the mean of readings over plan.
	OffsetStops float64 `json:"offset_stops"`
	WorstStops  float64 `json:"worst_stops"`
}

// Error is a reading and what the fitted plan says of its place.
type Error struct {
	Label     string  `json:"label,omitempty"`
	X         float64 `json:"x_m"`
	Y         float64 `json:"y_m"`
	Measured  float64 `json:"measured"`
	Predicted float64 `json:"predicted"`
	Stops     float64 `json:"error_stops"`

	point int  // of the survey
	alone bool // of a single lamp, or of ambient light
}

// Estimate is a fitted figure with its 95 % interval, absent where the readings
// cannot tell it from others.
type Estimate struct {
	Value float64  `json:"value"`
	Low   *float64 `json:"low,omitempty"`
	High  *float64 `json:"high,omitempty"`
}

// LampScore is what a lamp gives, in percent of its plan, with its 95 %
// interval. Through names the frames and bounces that its light reaches the
// surface by.
type LampScore struct {
	Name    string   `json:"name"`
	Through []string `json:"through,omitempty"`
	Percent float64  `json:"percent"`
	Low     *float64 `json:"low,omitempty"` // absent where the readings cannot tell it from others
	High    *float64 `json:"high,omitempty"`
	Stops   *float64 `json:"stops,omitempty"` // absent where it gives nothing
}

// untold is how wide the interval of a lamp's level is, in percent of its plan, from
// which on a figure would say nothing.
const untold = 100

// Told reports whether the readings tell the lamp's level from the others'.
func (l LampScore) Told() bool { return l.High != nil && *l.High-*l.Low <= untold }

// scoreColor compares the colors of the fitted plan with those read.
func (f *levelFit) scoreColor(out *Score) {
	if !f.scene.colored || !f.read.HasColor() {
		return
	}
	var mired, duv []float64
	for i := range f.read.Len() {
		if math.IsNaN(f.read.U[i]) || f.equations[i].excluded {
			continue
		}
		var sum colorimetry.XYZ
		for e, lux := range f.scene.lights(r3Place(f.read, i), toCamera, nil) {
			k := slices.Index(f.lamps, e.lamp)
			if k < 0 {
				continue // it gives nothing here
			}
			sum = sum.Add(e.unit.Scale(f.scale[k] * lux))
		}
		read, err1 := colorimetry.UVPrime{U: f.read.U[i], V: f.read.V[i]}.CCT()
		fitted, err2 := sum.XY().CCT()
		if err1 == nil && err2 == nil {
			mired, duv = append(mired, read.Mired()-fitted.Mired()), append(duv, read.Duv-fitted.Duv)
		}
	}
	if len(mired) == 0 {
		return
	}
	rms := func(errs []float64) *float64 {
		v := floats.Norm(errs, 2) / math.Sqrt(float64(len(errs)))
		return &v
	}
	out.RMSMired = rms(mired)
	if f.read.DuvRead {
		out.RMSDuv = rms(duv)
	}
}

// ErrorSurvey is readings over the fitted plan as a survey of relative levels
// about 1, so that the errors can be drawn as any level is. Slips are left out,
// and so are readings of single lamps.
func (c *Score) ErrorSurvey() *survey.Survey {
	read := c.read
	out := &survey.Survey{
		Title: "Readings over plan", Date: read.Date, Quantity: photometry.Relative, Over: "the plan", Extent: read.Extent, Area: read.Area, Reference: -1,
		Predicted: true, Settings: survey.Settings{Sized: true, Limits: tolerance.Limits{Stops: 0.5, Mired: 10, Duv: 0.003}},
	}
	at := map[int]int32{}
	for _, p := range c.Points {
		if p.alone {
			continue
		}
		at[p.point] = int32(len(out.Level))
		out.X, out.Y = append(out.X, p.X), append(out.Y, p.Y)
		out.Level, out.Label = append(out.Level, math.Exp2(p.Stops)), append(out.Label, p.Label)
	}
	out.ReadingCount, out.Missing = len(out.Level), read.Len()-len(out.Level)
	out.Lattice = read.Lattice.Renumbered(at)
	return out
}
