package evenness

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/stat"

	"evenfall/photometry"
	"evenfall/photometry/entry"
	"evenfall/photometry/spatial"
	"evenfall/photometry/survey"
	"evenfall/photometry/uncertainty"
)

// Progress is how many of the planned places in shot were read.
type Progress struct {
	Read    int `json:"read"`
	Planned int `json:"planned"`
}

// ToEdge is the spread with the edge of the part in shot, computed where no place is
// read there: a figure beside the verdict, which it never changes.
type ToEdge struct {
	SpreadStops float64 `json:"spread_stops"`
	// ErrorStops is how far it may be off: 1.96·√2 times the rms error of the outermost
	// places, each computed from the others in the same way, and of the readings about
	// the trend, over √(1 − 6/n) for the terms of the trend.
	ErrorStops float64 `json:"error_stops"`
}

// FewestPlaces is how many places a file that plans none needs for a pass.
const FewestPlaces = 5

// cover holds a pass back until all planned places in shot are read, or without a
// plan five that span both directions, or one of a surface that is a line: a place
// that was not read may be the darkest. A fail may come before. s is what was read.
func (r *Result) cover(s *survey.Survey, deciding subset) {
	if s.Predicted {
		return
	}
	if s.Planned {
		inShot := func(x, y float64) bool { return math.IsNaN(x) || s.InShot(x, y) }
		p := &Progress{Read: deciding.count()}
		for _, bound := range s.Bounds {
			if inShot(bound.X, bound.Y) {
				p.Read++
			}
		}
		p.Planned = p.Read
		for i, x := range s.UnreadX {
			if inShot(x, s.UnreadY[i]) {
				p.Planned++
			}
		}
		r.Progress = p
		r.incomplete = r.Progress.Read < r.Progress.Planned
	} else {
		r.incomplete = !r.spans(deciding)
	}
	if r.incomplete {
		r.holdBack()
	}
}

// holdBack takes a pass back.
func (r *Result) holdBack() {
	r.incomplete = true
	r.Verdict.Evenness = uncertainty.WorstVerdict(r.Verdict.Evenness, uncertainty.Unsure)
	if w := r.Without; w != nil {
		w.Verdict = uncertainty.WorstVerdict(w.Verdict, uncertainty.Unsure)
	}
}

// checkQuestions leaves a surface unsettled while a question about one of the places that
// decide is open, which only a person can answer: which of several first readings counts,
// and whether a suspect is right. The interval covers all readings in conflict, so a fail
// is one with any of them.
func (r *Result) checkQuestions(deciding subset) {
	conflicts, suspects := 0, 0
	deciding.each(func(i int) {
		if r.Survey.InConflict(i) {
			conflicts++
		}
		// The order of a whole walk is no question about a reading.
		if slices.ContainsFunc(r.Suspects, func(x survey.Suspect) bool { return x.Point == i && x.Reasons[0] != entry.SerpentineAsRows }) {
			suspects++
		}
	})
	r.Questions = conflicts + suspects
	if conflicts > 0 {
		r.inConflict = true
		r.holdBack()
		if r.Verdict.Color != "" {
			r.Verdict.Color = uncertainty.WorstVerdict(r.Verdict.Color, uncertainty.Unsure)
		}
	}
	if suspects > 0 {
		r.Verdict.Evenness = uncertainty.WorstVerdict(r.Verdict.Evenness, uncertainty.Unsure)
	}
}

// spans reports whether places are enough for a pass where none are planned.
func (r *Result) spans(p subset) bool {
	return p.count() >= FewestPlaces && (r.Survey.Settings.Line || r.Survey.Placing == survey.Nowhere || spansBoth(p))
}

// domed reports whether a surface was read with a dome, which sees light that passes
// along the surface; a flat receptor and the surface do not.
func (r *Result) domed() bool {
	s := r.Survey
	return !s.Predicted && s.Settings.Meter.Receptor == photometry.DomeReceptor && s.Quantity != photometry.Luminance
}

// checkReceptor leaves a surface that was read with a dome unsettled.
func (r *Result) checkReceptor() {
	if r.domed() {
		r.Verdict.Evenness = uncertainty.Unsure
	}
}

// spansBoth reports whether places are not all in one line: their extent across it is
// at least a twentieth of that along it.
func spansBoth(p subset) bool {
	x, y := p.of(p.s.X), p.of(p.s.Y)
	xx, xy, yy := stat.Variance(x, nil), stat.Covariance(x, y, nil), stat.Variance(y, nil)
	// The smaller eigenvalue of the scatter of positions against the larger one.
	middle, half := (xx+yy)/2, math.Hypot((xx-yy)/2, xy)
	return middle-half > (middle+half)/400
}

// adviseRest says which places to read before anything else; ok is false where none
// are missing.
func (r *Result) adviseRest() (f photometry.Finding, ok bool) {
	switch {
	case !r.incomplete:
		return f, false
	case r.inConflict:
		return photometry.Found("settle_conflict"), true
	case r.Progress == nil && r.Points+len(r.Bounds) >= FewestPlaces && len(r.Bounds) > 0:
		return f, false // the places are there, their levels are not
	case r.Progress == nil:
		return photometry.Found("read_five", "least", FewestPlaces, "failed", r.Verdict.Evenness == uncertainty.Fail), true
	}
	return photometry.Found("read_rest", "places", r.Progress.Planned-r.Progress.Read), true
}

// leastToEdge is by how much the spread has to grow toward the edge to be told, stops.
const leastToEdge = 0.1

// computeToEdge computes the spread with the edge of the part in shot, where that is
// not read: corners and edge middles and what is between them, each from the nearest
// place by the run of the trend. It is nil where that changes less than a tenth of a
// stop, where the edge is farther off than the places are apart, or where they are
// fewer than three for each term of the trend, whose run is then mostly guessed.
func (r *Result) computeToEdge(trusted subset, excluded []bool) *ToEdge {
	s := r.Survey
	frame := s.Extent
	if s.Area != nil {
		frame = *s.Area
	}
	if r.Trend == nil || trusted.count() < 3*spatial.Quadratic || r.Points > everyPlace || !(frame.Width() > 0 && frame.Height() > 0) {
		return nil
	}
	levels := trusted.of(r.Clean)
	low, high := math.Log2(floats.Min(levels)), math.Log2(floats.Max(levels))
	read := high - low
	reach := 1.5 * r.Places.Spacing()
	for x, y := range frame.Around(8) {
		if i := r.Places.Closest(x, y, reach); i >= 0 {
			if v, ok := r.carried(x, y, math.Hypot(s.X[i]-x, s.Y[i]-y), excluded, -1); ok {
				low, high = min(low, v), max(high, v)
			}
		}
	}
	if high-low-read <= leastToEdge {
		return nil
	}
	// The trend's own freedom hides a part of the errors.
	fitted := math.Sqrt(float64(r.Points) / float64(max(1, r.Points-spatial.Quadratic)))
	return &ToEdge{SpreadStops: high - low, ErrorStops: uncertainty.Factor(0) * math.Sqrt2 * math.Hypot(r.edgeError(excluded), r.Trend.Scatter(r.Places, r.Clean)) * fitted}
}

// EdgeOfComputed is ToEdge of a surface that was computed from readings, which
// JudgeComputed leaves out; excluded are as there. It is nil where a place gets no light.
func (r *Result) EdgeOfComputed(excluded []bool) *ToEdge {
	if r.Evenness.Min <= 0 {
		return nil
	}
	c := *r
	c.Clean = r.Survey.Level
	c.Trend = r.Places.Fit(c.Clean, excluded, spatial.Quadratic)
	s := r.Survey
	all := subset{s: s, level: c.Clean, weights: r.Weights}
	return c.computeToEdge(all.where(func(i int) bool {
		return (excluded == nil || !excluded[i]) && (s.Area == nil || s.Area.Contains(s.X[i], s.Y[i]))
	}), excluded)
}

// carried is log2 of the level at a point by the places at the least distance from it,
// but for suspects and one more, and the run of the trend from there.
func (r *Result) carried(x, y, distance float64, excluded []bool, but int32) (log2 float64, ok bool) {
	s, sum, n := r.Survey, 0.0, 0.0
	for i := range r.Places.Within(x, y, distance) {
		if i != but && (excluded == nil || !excluded[i]) && math.Hypot(s.X[i]-x, s.Y[i]-y) <= distance*(1+1e-9) {
			sum, n = sum+math.Log2(r.Clean[i])-r.Trend.Log2At(s.X[i], s.Y[i]), n+1
		}
	}
	return sum/n + r.Trend.Log2At(x, y), n > 0
}

// edgeError is the rms error in stops of the outermost places, each computed from its
// nearest neighbor.
func (r *Result) edgeError(excluded []bool) float64 {
	box, sum, n := r.Places.Box, 0.0, 0.0
	inner := box.Grow(-0.05*box.Width(), -0.05*box.Height())
	for i := range r.Points {
		x, y := r.Survey.X[i], r.Survey.Y[i]
		if inner.Contains(x, y) || excluded != nil && excluded[i] {
			continue
		}
		for _, j := range r.Places.Nearest(i, 1) {
			v, ok := r.carried(x, y, math.Hypot(r.Survey.X[j]-x, r.Survey.Y[j]-y), excluded, int32(i))
			if off := v - math.Log2(r.Clean[i]); ok {
				sum, n = sum+off*off, n+1
			}
		}
	}
	return math.Sqrt(sum / max(1, n))
}

// adviseRange says which places to read again, since the meter was at an end of its range
// there, where a fail is not certain yet.
func (r *Result) adviseRange() {
	if r.Verdict.Evenness == uncertainty.Fail {
		return
	}
	places := map[bool][]string{} // by whether they are over the range
	for _, b := range r.Bounds {
		if b.Label != "" && r.Survey.InShot(b.X, b.Y) {
			places[b.Over] = append(places[b.Over], b.Label)
		}
	}
	if over := places[true]; len(over) > 0 {
		r.add(photometry.Found("read_over", "places", over))
	}
	if under := places[false]; len(under) > 0 {
		r.add(photometry.Found("read_under", "places", under))
	}
}
