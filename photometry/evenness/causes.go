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

// Causes that readings can have.
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

// spot is a patch that is off the smooth run.
type spot struct {
	peak    int // point
	stops   float64
	members []int
}

// explanation is what causes are looked for in.
type explanation struct {
	*Result
	excluded []bool // suspects, which explain nothing; nil for none
	trend    *spatial.Trend
	spread   float64 // stops, without the suspects
	scatter  float64 // of a reading about the trend
}

// findCauses looks for what explains the unevenness, the largest first. A claim
// needs three of its own standard errors and a fair share of the spread; a patch
// needs readings that support each other; and where the time of the walk runs
// along with a slope and no reference readings separate them, the slope is not
// claimed.
func (r *Result) findCauses(excluded []bool) []finding {
	if r.Trend == nil {
		return nil
	}
	spots := r.spots(excluded)
	x := explanation{Result: r, excluded: excluded, trend: r.trendWithout(excluded, spots), spread: spreadWithout(r.Clean, excluded)}
	x.scatter = math.Max(x.trend.Scatter(r.Places, r.Clean), r.Noise.Stops)
	warned := len(r.Warnings)
	found := slices.Concat(x.slopes(), x.curvature(), x.patches(spots), x.drift())
	if len(found) == 0 && len(r.Warnings) == warned && r.Noise.Stops > 0 && r.Evenness.SpreadInterval != nil && r.Evenness.SpreadInterval[0] == 0 {
		found = append(found, finding{Cause: Cause{photometry.Found(CauseNoise),
			photometry.Remarked("evidence_scatter", "spread", photometry.Stop(x.spread), "readings", r.Points, "scatter", photometry.Stop(r.Noise.Stops))}})
	}
	slices.SortStableFunc(found, func(a, b finding) int { return cmp.Compare(b.stops, a.stops) })
	for _, f := range found {
		r.Causes = append(r.Causes, f.Cause)
	}
	return found
}

// trendWithout is the trend of the points outside of patches.
func (r *Result) trendWithout(excluded []bool, spots []spot) *spatial.Trend {
	if len(spots) == 0 {
		return r.Trend
	}
	skip := slices.Clone(excluded)
	if skip == nil {
		skip = make([]bool, r.Points)
	}
	for _, p := range spots {
		for _, i := range p.members {
			skip[i] = true
		}
	}
	if refit := r.Places.Trend(r.Clean, skip); refit != nil {
		return refit
	}
	return r.Trend
}

// claimed reports whether a size in stops is worth naming, with a standard error of
// so many scatters of a reading over the root of their number.
func (x *explanation) claimed(size, scatters float64) bool {
	standardError := scatters * x.scatter / math.Sqrt(float64(x.Points))
	size = math.Abs(size)
	return x.Points >= 5 && size > 3*standardError && size >= 0.25*x.spread && size <= 1.5*x.spread && size >= math.Max(0.08, 0.2*x.Limits.Stops)
}

// slopes are those across and up the surface. Over the whole box a slope's
// standard error is √12/√n scatters for evenly placed readings.
func (x *explanation) slopes() []finding {
	var found []finding
	box := x.trend.Extent()
	for _, axis := range []struct {
		tilt       *float64
		length     float64
		coordinate []float64
		way        string
		finding    func(change float64) finding
	}{
		{x.trend.TiltX, box.Width(), x.Survey.X, "left to right", x.sideFinding},
		{x.trend.TiltY, box.Height(), x.Survey.Y, "top to bottom", heightFinding},
	} {
		if axis.tilt == nil || !x.claimed(*axis.tilt*axis.length, math.Sqrt(12)) {
			continue
		}
		if d := x.Drift; walkedAlong(x.Survey, axis.coordinate) && (d == nil || !d.Corrected && d.Readings < 3) {
			x.warn("slope_or_drift", "way", axis.way)
			continue
		}
		found = append(found, axis.finding(*axis.tilt*axis.length))
	}
	return found
}

// curvature is a middle brighter or darker than the edges. For even readings its
// standard error is about 2.4 scatters/√n. Below nine readings it would be a mere
// curve through the corners.
func (x *explanation) curvature() []finding {
	if c := x.trend.Curvature; c != nil && x.Points >= 9 && x.claimed(*c, 2.4) {
		return []finding{curvatureFinding(*c)}
	}
	return nil
}

// patches are the spots that make a good part of the spread.
func (x *explanation) patches(spots []spot) []finding {
	var found []finding
	for _, p := range spots {
		if math.Abs(p.stops) >= 0.25*x.spread {
			found = append(found, spotFinding(x.Survey, p))
		}
	}
	return found
}

// drift is a change of the light that is larger than scatter.
func (x *explanation) drift() []finding {
	d := x.Drift
	if d == nil || !d.Significant || math.Abs(d.TotalStops) < math.Max(0.05, x.Noise.Stops) {
		return nil
	}
	return []finding{{stops: math.Abs(d.TotalStops), Cause: Cause{photometry.Found(CauseDrift, "change", photometry.Stop(d.TotalStops)),
		photometry.Remarked("evidence_drift", "readings", d.Readings, "rate", photometry.Stop(d.StopsPerMinute))}}}
}

// walkedAlong reports whether the times of the readings run along a coordinate,
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

func (x *explanation) sideFinding(across float64) finding {
	bright, dark := "right", "left"
	if across < 0 {
		bright, dark = dark, bright
	}
	size := math.Abs(across)
	return finding{stops: size, right: across > 0, Cause: Cause{photometry.Found(CauseSideBright, "bright", bright, "dark", dark, "size", photometry.Stop(size)),
		photometry.Remarked("evidence_across", "slope", photometry.StopPerMeter(across/x.Places.Box.Width()))}}
}

func heightFinding(up float64) finding {
	size := photometry.Stop(math.Abs(up))
	what := photometry.Found(CauseTopBright, "size", size)
	if up < 0 {
		what = photometry.Found(CauseBottomBright, "size", size)
	}
	return finding{stops: math.Abs(up), Cause: Cause{what, photometry.Remarked("evidence_up", "rise", photometry.Stop(up))}}
}

func curvatureFinding(curvature float64) finding {
	size := photometry.Stop(math.Abs(curvature))
	what := photometry.Found(CauseMiddleBright, "size", size)
	if curvature < 0 {
		what = photometry.Found(CauseEdgesBright, "size", size)
	}
	return finding{stops: math.Abs(curvature), Cause: Cause{what, photometry.Remarked("evidence_bow", "bow", photometry.Stop(curvature))}}
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
