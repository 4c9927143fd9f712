package survey

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"

	"evenfall/photometry"
	"evenfall/photometry/drift"
	"evenfall/photometry/spatial"
	"evenfall/photometry/uncertainty"
)

// Cleaned are the levels of a survey with what can be taken out of them, and what
// is known of how they scatter.
type Cleaned struct {
	// Level is one entry a point, a significant drift taken out; Clean the same
	// without the repeats that look like data-entry errors, Suspects.
	Level, Clean []float64
	Suspects     []Suspect
	Drift        *drift.Drift // nil without two readings of the reference at two times
	// Models are how single readings scatter, the widest of which counts; Noise
	// says where that is from.
	Models   []uncertainty.Model
	Noise    uncertainty.Noise
	Warnings []photometry.Finding

	squares float64 // of repeats about their means, stops²
	nu      int     // their degrees of freedom
}

// Clean takes a significant drift and the data-entry errors among repeats out of
// the levels. The survey is not changed.
func (s *Survey) Clean(places *spatial.Places) *Cleaned {
	bad, suspects, warnings := s.suspectRepeats(places)
	c := s.cleaned(bad)
	if d := c.Drift; d != nil && d.Significant && math.Abs(d.TotalStops) > repeatsApart/2 { // the light's change is why they disagree
		warnings = slices.DeleteFunc(warnings, func(f photometry.Finding) bool { return f.Values["place"] == s.Point(s.Reference) })
	}
	c.Suspects, c.Warnings = suspects, append(warnings, c.Warnings...)
	return c
}

// cleaned is Clean with the repeats marked that are left out, by index in Again;
// nil leaves out none.
func (s *Survey) cleaned(bad []bool) *Cleaned {
	c := &Cleaned{}
	d := s.drift(bad)
	level, untimed := s.corrected(d)
	c.Drift, c.Level, c.Clean = d, level, s.withoutSuspects(level, bad)
	c.squares, c.nu = s.repeatScatter(d, bad)
	if d.Taken() {
		c.squares, c.nu = c.squares+d.Squares, c.nu+d.Freedom
	}
	c.Models, c.Noise = s.noise(c.squares, c.nu)
	if d != nil {
		models := s.underChanges(d, d, c.Models)
		if bad != nil {
			if d2 := s.drift(s.lone(bad)); d2.Readings > d.Readings {
				models = append(models, s.underChanges(d2, d, c.Models)...)
			}
		}
		c.Models = models
		if d.Outside > 0 {
			c.warn("outside_drift", "readings", d.Outside)
		}
	}
	c.Models = s.withConflicts(c.Models)
	if untimed > 0 {
		c.warn("untimed", "places", untimed)
	}
	if c.Noise.Source == "assumed" && c.nu > 0 {
		c.warn("repeats_agree")
	}
	if c.Noise.Source == "stated" && c.nu >= uncertainty.FewRepeats && c.Noise.Stops > 0 {
		if seen := math.Sqrt(c.squares / float64(c.nu)); seen > 2*c.Noise.Stops {
			c.warn("repeats_scatter", "seen", photometry.Percentage(100*seen*math.Ln2), "stated", photometry.Percentage(c.Noise.RepeatabilityPercent))
		}
	}
	return c
}

func (c *Cleaned) warn(key string, values ...any) {
	c.Warnings = append(c.Warnings, photometry.Found(key, values...))
}

// Noise is how single readings scatter by all of their repeats as they are.
func (s *Survey) Noise() ([]uncertainty.Model, uncertainty.Noise) {
	return s.noise(s.repeatScatter(nil, nil))
}

// noise is what scatter the readings have, by repeats with a sum of squares in stops² and
// nu degrees of freedom.
func (s *Survey) noise(squares float64, nu int) ([]uncertainty.Model, uncertainty.Noise) {
	if s.Predicted {
		return []uncertainty.Model{{}}, uncertainty.Noise{Source: "predicted", ResolutionStops: s.Settings.Resolution}
	}
	return uncertainty.Settle(s.Settings.Repeatability, squares, nu, s.Settings.Resolution)
}

// driftError is what a light that changed adds to the difference of two levels, in stops,
// as a standard deviation: what bounds it otherwise counts as one in full.
func (c *Cleaned) driftError() (stops float64) {
	for _, m := range c.Models {
		reach := 0.0
		if m.Shift != nil {
			reach = floats.Max(m.Shift) - floats.Min(m.Shift)
		}
		if m.Slack != nil {
			reach += 2 * floats.Max(m.Slack)
		}
		stops = max(stops, math.Hypot(m.Drift, reach))
	}
	return stops
}
