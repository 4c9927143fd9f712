package evenness

import (
	"math"

	"evenfall/photometry"
	"evenfall/photometry/survey"
	"evenfall/photometry/uncertainty"
)

// advise turns causes into one change each.
func advise(causes []finding) []photometry.Finding {
	var out []photometry.Finding
	for _, c := range causes {
		if f, ok := c.advice(); ok {
			out = append(out, f)
		}
	}
	return out
}

// advice is the change against a cause, where there is one.
func (c finding) advice() (photometry.Finding, bool) {
	size := photometry.Stop(c.stops)
	switch c.Code {
	case CauseSideBright:
		side, other := "left", "right"
		if c.right {
			side, other = other, side
		}
		return photometry.Found("lower_side", "loss", size, "side", side, "other", other), true
	case CauseTopBright:
		return photometry.Found("level_height", "loss", size, "end", "top"), true
	case CauseBottomBright:
		return photometry.Found("level_height", "loss", size, "end", "bottom"), true
	case CauseMiddleBright:
		return photometry.Found("spread_beams", "loss", size), true
	case CauseEdgesBright:
		return photometry.Found("move_back", "gain", size), true
	case CauseHotSpot:
		return photometry.Found("shade_spot", "loss", size), true
	case CauseDarkSpot:
		return photometry.Found("clear_shadow", "under", size), true
	case CauseDrift:
		return photometry.Found("let_settle"), true
	}
	return photometry.Finding{}, false
}

// settle says which readings would turn unsure into a verdict. lo and hi bound
// the spread (or the deviation) and observed lies between.
func settle(s *survey.Survey, e Statistics, observed, tolerance float64, m uncertainty.Model, n int) photometry.Finding {
	f := uncertainty.FactorsFor(n, m.Nu)
	close := photometry.Found("at_the_limit")
	if m.Stops <= 0 || observed == tolerance {
		return close
	}
	if observed < tolerance {
		k := uncertainty.RepeatsFor(f.Z*math.Sqrt2*m.Stops, tolerance-observed)
		if k > uncertainty.MostRepeats {
			return close
		}
		return photometry.Found("repeat_all", "times", photometry.Times(k))
	}
	k := uncertainty.RepeatsFor(f.Q*m.Stops, observed-tolerance)
	if k > uncertainty.MostRepeats {
		return close
	}
	return photometry.Found("repeat_extremes", "brightest", e.Brightest.Point(), "darkest", e.Darkest.Point(), "times", photometry.Times(k-1))
}

// repeatsUpFront says how many readings a place a tolerance needs before even
// a perfectly even surface could pass, where one is not enough.
func repeatsUpFront(tolerance, noiseStops float64, n int) (photometry.Finding, bool) {
	if noiseStops <= 0 || n < 2 {
		return photometry.Finding{}, false
	}
	f := uncertainty.FactorsFor(n, 0)
	k := int(math.Ceil(math.Pow((uncertainty.MeanRange(n)+f.Z*math.Sqrt2)*noiseStops/tolerance, 2) - 1e-9))
	if k < 2 {
		return photometry.Finding{}, false
	}
	return photometry.Found("needs_repeats", "scatter", photometry.Stop(noiseStops), "tolerance", photometry.Stop(tolerance), "readings", k, "places", n), true
}
