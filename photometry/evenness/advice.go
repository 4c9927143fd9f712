package evenness

import (
	"fmt"
	"math"

	"evenfall/photometry"
	"evenfall/photometry/survey"
	"evenfall/photometry/uncertainty"
)

// advise turns causes into one change each, in set units: stops first, then
// the scrim, the dimmer and the distance that make them. It says nothing of
// changes on a surface that passes with room to spare.
func advise(causes []finding) []photometry.Finding {
	var out []photometry.Finding
	for _, c := range causes {
		switch c.Code {
		case CauseSideBright:
			side, other := "left", "right"
			if c.right {
				side, other = other, side
			}
			out = append(out, photometry.Finding{Code: "lower_side", Text: fmt.Sprintf(
				"Take %s off camera %s: %s. With one lamp only, aim it toward camera %s instead.",
				photometry.FormatStops(c.stops), side, lossInSetUnits(c.stops), other)})
		case CauseTopBright, CauseBottomBright:
			end, way := "top", "lower"
			if c.Code == CauseBottomBright {
				end, way = "bottom", "raise"
			}
			out = append(out, photometry.Finding{Code: "level_height", Text: fmt.Sprintf(
				"Even out %s from top to bottom: %s the lamps, or shade the %s with half scrims.",
				photometry.FormatStops(c.stops), way, end)})
		case CauseMiddleBright:
			out = append(out, photometry.Finding{Code: "spread_beams", Text: fmt.Sprintf(
				"Lower the middle by %s: aim each lamp at the far edge, flood it, or move it out and back.",
				photometry.FormatStops(c.stops))})
		case CauseEdgesBright:
			out = append(out, photometry.Finding{Code: "move_back", Text: fmt.Sprintf(
				"Raise the middle by %s: move the side lamps farther from the surface, or aim them nearer to the middle.",
				photometry.FormatStops(c.stops))})
		case CauseHotSpot:
			out = append(out, photometry.Finding{Code: "shade_spot", Text: fmt.Sprintf(
				"Net or flag what hits the patch by %s (%s); shade the lamps one by one to find which.",
				photometry.FormatStops(c.stops), scrimWords(c.stops))})
		case CauseDarkSpot:
			out = append(out, photometry.Finding{Code: "clear_shadow", Text: fmt.Sprintf(
				"Find what shades the patch (%s down): a stand, flag, fold or cable; else bring a beam nearer to it.",
				photometry.FormatStops(c.stops))})
		case CauseDrift:
			out = append(out, photometry.Finding{Code: "let_settle", Text: "Let the lamps warm up and the supply settle, then read the reference again before trusting small differences."})
		}
	}
	return out
}

// lossInSetUnits is a loss in stops as the scrim, dimmer setting or distance
// that makes it.
func lossInSetUnits(stops float64) string {
	text := fmt.Sprintf("%.0f %% of its output, or %.2f times its distance", photometry.DimmerPercent(-stops), photometry.DistanceFactor(-stops))
	if words := scrimWords(stops); words != "" {
		return words + ", " + text
	}
	return text
}

// scrimWords names the nearest scrims, with what they leave over where that
// matters.
func scrimWords(stops float64) string {
	name, got := photometry.Scrims(stops)
	switch {
	case name == "":
		return "less than a single scrim"
	case math.Abs(got-stops) <= 0.125:
		return name
	}
	return "nearest is " + name + " (" + photometry.FormatStops(got) + ")"
}

// AdviceReadCloser is the code of the advice to read places closer together,
// whose lengths stand in Result.Sampling.
const AdviceReadCloser = "read_closer"

// settle says which readings would turn unsure into a verdict. lo and hi bound
// the spread (or the deviation) and observed lies between.
func settle(s *survey.Survey, e Statistics, observed, tolerance float64, m uncertainty.Model, n int) photometry.Finding {
	f := uncertainty.FactorsFor(n, m.Nu)
	close := photometry.Finding{Code: "at_the_limit", Text: "The surface sits at the limit of the tolerance: more readings would hardly settle it. Make it a little evener instead."}
	if m.Stops <= 0 || observed == tolerance {
		return close
	}
	if observed < tolerance {
		k := uncertainty.RepeatsFor(f.Z*math.Sqrt2*m.Stops, tolerance-observed)
		if k > uncertainty.MostRepeats {
			return close
		}
		return photometry.Finding{Code: "repeat_all", Text: fmt.Sprintf(
			"Read every place %s and give all the readings: their means should prove the pass.", photometry.FormatTimes(k))}
	}
	k := uncertainty.RepeatsFor(f.Q*m.Stops, observed-tolerance)
	if k > uncertainty.MostRepeats {
		return close
	}
	return photometry.Finding{Code: "repeat_extremes", Text: fmt.Sprintf(
		"Read only %s and %s again, %s each: if the difference stays, it is a fail.", e.Brightest.Name(), e.Darkest.Name(), photometry.FormatTimes(k-1))}
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
	return photometry.Finding{Code: "needs_repeats", Text: fmt.Sprintf(
		"With readings good to %.2f stop, a tolerance of %.2f stop needs about %d readings at each of %d places to prove a pass.",
		noiseStops, tolerance, k, n)}, true
}
