package evenness

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat"

	"evenfall/photometry"
	"evenfall/photometry/spatial"
	"evenfall/photometry/survey"
)

// Causes that readings can show.
const (
	CauseSideBright   = "side_bright"   // one side over the other
	CauseTopBright    = "top_bright"    // top over bottom
	CauseBottomBright = "bottom_bright" // bottom over top
	CauseMiddleBright = "middle_bright" // falls off to the edges
	CauseEdgesBright  = "edges_bright"  // falls off to the middle
	CauseHotSpot      = "hot_spot"      // a bright patch over the smooth run
	CauseDarkSpot     = "dark_spot"     // a dark patch
	CauseDrift        = "drift"         // the light changed meanwhile
	CauseNoise        = "meter_scatter" // no more than the meter's own scatter
	CauseWarmerSide   = "warmer_side"   // color temperature runs steadily
	CauseGreenerSide  = "greener_side"  // green and magenta run steadily
	CauseLampColor    = "lamp_color"    // one lamp's color, fading with its share
)

// finding is a cause with what advice needs of it.
type finding struct {
	Cause
	stops float64 // size, positive
	right bool    // side_bright: the right side is the brighter
	spot  spot
}

// spot is a patch that stands off the smooth run.
type spot struct {
	peak    int // point
	stops   float64
	members []int
}

// causes looks for what explains the unevenness. A claim needs three of its
// own standard errors and a fair share of the spread; a patch needs readings
// that support each other; and where the time of the walk runs along with a
// slope and no reference readings tell them apart, the slope is not claimed.
// trend is fitted without the suspects, which left marks and which explain
// nothing; even says that the spread's
// interval reaches down to zero.
func causes(s *survey.Survey, places *spatial.Places, level []float64, left []bool, trend *spatial.Trend, drift *survey.Drift, noiseStops float64, limits survey.Limits, even bool) (found []finding, untold []photometry.Finding) {
	if trend == nil {
		return nil, nil
	}
	spots := spots(s, places, level, left, trend, noiseStops)
	clear := append([]bool(nil), left...)
	if clear == nil {
		clear = make([]bool, s.Len())
	}
	for _, p := range spots {
		for _, i := range p.members {
			clear[i] = true
		}
	}
	if len(spots) > 0 {
		if refit := places.Trend(level, clear); refit != nil {
			trend = refit
		}
	}
	spread := spreadWithout(level, left)
	scatter := math.Max(trend.Scatter(places, level), noiseStops)
	claim := func(size, errorStops float64) bool {
		return s.Len() >= 5 && size > 3*errorStops && size >= 0.25*spread && size <= 1.5*spread && size >= math.Max(0.08, 0.2*limits.Stops)
	}
	root := math.Sqrt(float64(s.Len()))

	if trend.TiltX != nil {
		across := *trend.TiltX * trend.Extent().Width()
		// A slope's standard error over the whole box is √12/√n scatters for
		// evenly placed readings.
		if claim(math.Abs(across), math.Sqrt(12)*scatter/root) {
			if walkedAlong(s, s.X) && (drift == nil || !drift.Corrected && drift.Readings < 3) {
				untold = append(untold, walkFinding("left to right"))
			} else {
				found = append(found, sideFinding(places, across))
			}
		}
	}
	if trend.TiltY != nil {
		up := *trend.TiltY * trend.Extent().Height()
		if claim(math.Abs(up), math.Sqrt(12)*scatter/root) {
			if walkedAlong(s, s.Y) && (drift == nil || !drift.Corrected && drift.Readings < 3) {
				untold = append(untold, walkFinding("top to bottom"))
			} else {
				found = append(found, heightFinding(up))
			}
		}
	}
	if trend.Bow != nil && canBow(s, trend) {
		bow := *trend.Bow
		// For even readings the bow's standard error is about 2.4 scatters/√n.
		if claim(math.Abs(bow), 2.4*scatter/root) {
			found = append(found, bowFinding(bow))
		}
	}
	for _, p := range spots {
		if math.Abs(p.stops) >= 0.25*spread {
			found = append(found, spotFinding(s, p))
		}
	}
	if drift != nil && drift.Significant && math.Abs(drift.TotalStops) >= math.Max(0.05, noiseStops) {
		found = append(found, finding{stops: math.Abs(drift.TotalStops), Cause: Cause{photometry.Found(CauseDrift, "change", photometry.Stop(drift.TotalStops)),
			photometry.Remarked("evidence_drift", "readings", drift.Readings, "rate", photometry.Stop(drift.StopsPerMinute))}})
	}
	if len(found) == 0 && len(untold) == 0 && noiseStops > 0 && even {
		found = append(found, finding{Cause: Cause{photometry.Found(CauseNoise),
			photometry.Remarked("evidence_scatter", "spread", photometry.Stop(spread), "readings", s.Len(), "scatter", photometry.Stop(noiseStops))}})
	}
	slices.SortStableFunc(found, func(a, b finding) int { return cmp.Compare(b.stops, a.stops) })
	return found, untold
}

// canBow tells whether three or more rows or columns stand behind a bow, so
// that the fit is not a mere curve through the corners.
func canBow(s *survey.Survey, t *spatial.Trend) bool { return t.Bow != nil && s.Len() >= 9 }

// walkedAlong tells whether the times of the readings run along a coordinate,
// so that a slope and a drift look alike.
func walkedAlong(s *survey.Survey, coordinate []float64) bool {
	if s.Minutes == nil {
		return false
	}
	var t, c []float64
	for i, m := range s.Minutes {
		if !math.IsNaN(m) {
			t, c = append(t, m), append(c, coordinate[i])
		}
	}
	if len(t) < 4 {
		return false
	}
	r := stat.Correlation(t, c, nil)
	return r*r > 0.8
}

func walkFinding(way string) photometry.Finding {
	return photometry.Found("slope_or_drift", "way", way)
}

func sideFinding(places *spatial.Places, across float64) finding {
	bright, dark := "right", "left"
	if across < 0 {
		bright, dark = dark, bright
	}
	size := math.Abs(across)
	return finding{stops: size, right: across > 0, Cause: Cause{photometry.Found(CauseSideBright, "bright", bright, "dark", dark, "size", photometry.Stop(size)),
		photometry.Remarked("evidence_across", "slope", photometry.StopPerMeter(across/places.Box.Width()))}}
}

func heightFinding(up float64) finding {
	size := photometry.Stop(math.Abs(up))
	what := photometry.Found(CauseTopBright, "size", size)
	if up < 0 {
		what = photometry.Found(CauseBottomBright, "size", size)
	}
	return finding{stops: math.Abs(up), Cause: Cause{what, photometry.Remarked("evidence_up", "rise", photometry.Stop(up))}}
}

func bowFinding(bow float64) finding {
	size := photometry.Stop(math.Abs(bow))
	what := photometry.Found(CauseMiddleBright, "size", size)
	if bow < 0 {
		what = photometry.Found(CauseEdgesBright, "size", size)
	}
	return finding{stops: math.Abs(bow), Cause: Cause{what, photometry.Remarked("evidence_bow", "bow", photometry.Stop(bow))}}
}

func spotFinding(s *survey.Survey, p spot) finding {
	size := photometry.Stop(math.Abs(p.stops))
	what := photometry.Found(CauseHotSpot, "place", s.Point(p.peak), "size", size)
	if p.stops < 0 {
		what = photometry.Found(CauseDarkSpot, "place", s.Point(p.peak), "size", size)
	}
	places := make([]photometry.Point, len(p.members))
	for k, i := range p.members {
		places[k] = s.Point(i)
	}
	return finding{stops: math.Abs(p.stops), spot: p, Cause: Cause{what, photometry.Remarked("evidence_spot", "places", places)}}
}

func spreadWithout(level []float64, left []bool) float64 {
	low, high := math.Inf(1), math.Inf(-1)
	for i, v := range level {
		if left == nil || !left[i] {
			low, high = min(low, v), max(high, v)
		}
	}
	return photometry.Stops(high, low)
}
