package evenness

import "math"

// Helpful is a place not yet read where a reading would help most.
type Helpful struct {
	Index int     // among the places asked about
	Stops float64 // how far its level is predicted to be from the nearest read one, a size
	Near  string  // the name of that one
}

// MostHelpful finds among places that were not read, in meters, the one where a
// reading would say most: where the trend predicts the largest difference in
// stops to the nearest place that was read. There the map rests on the boldest
// step, so it is where readings should be closer; a place that the trend puts
// level with its neighbor would most likely only repeat it. ok is false without
// a trend, or where no difference reaches a quarter of the tolerance: then any
// order does.
func (r *Result) MostHelpful(x, y []float64) (h Helpful, ok bool) {
	s := r.Survey
	if r.Trend == nil || s.Len() == 0 || len(x) == 0 {
		return h, false
	}
	least := r.Limits.Stops / 4
	if r.Limits.EachSide {
		least *= 2
	}
	box := r.Places.Box
	// A parabola runs away beyond the readings: no farther than half a box.
	reach := box.Grow(box.Width()/2, box.Height()/2)
	h.Stops = least
	for i := range x {
		if !reach.Contains(x[i], y[i]) {
			continue
		}
		near, best := -1, math.Inf(1)
		for j := range s.X {
			if d := math.Hypot(s.X[j]-x[i], s.Y[j]-y[i]); d < best {
				near, best = j, d
			}
		}
		// The trend at both places, so that one suspect reading does not draw
		// all others to itself.
		if off := math.Abs(r.Trend.Log2At(x[i], y[i]) - r.Trend.Log2At(s.X[near], s.Y[near])); off > h.Stops*(1+1e-9) {
			h, ok = Helpful{i, off, s.Name(near)}, true
		}
	}
	return h, ok
}
