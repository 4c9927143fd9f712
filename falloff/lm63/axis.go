package lm63

import "math"

// axis is one set of ascending angles in degrees, at least two.
type axis struct {
	deg []float64
	// perStep is 1/step where the angles are evenly spaced, else zero.
	perStep float64
}

func newAxis(deg []float64) axis {
	a := axis{deg: deg}
	last := len(deg) - 1
	if last < 1 {
		return a
	}
	step := (deg[last] - deg[0]) / float64(last)
	for i := range last {
		if math.Abs(deg[i+1]-deg[i]-step) > 1e-9*step {
			return a
		}
	}
	a.perStep = 1 / step
	return a
}

// slack is how far beyond its ends an axis still answers, in degrees, so that a
// direction computed to lie on the last angle is on it.
const slack = 1e-9

// locate returns the interval that holds v and how far into it v lies, from 0
// to 1; ok is false outside the axis and for NaN.
func (a *axis) locate(v float64) (i int, part float64, ok bool) {
	last := len(a.deg) - 1
	if !(v >= a.deg[0]-slack && v <= a.deg[last]+slack) {
		return 0, 0, false
	}
	if a.perStep > 0 {
		i = min(max(int((v-a.deg[0])*a.perStep), 0), last-1)
		// Rounding may have put it one interval off.
		if i > 0 && v < a.deg[i] {
			i--
		} else if i < last-1 && v >= a.deg[i+1] {
			i++
		}
	} else {
		lo, hi := 0, last
		for hi-lo > 1 {
			if mid := int(uint(lo+hi) / 2); v < a.deg[mid] {
				hi = mid
			} else {
				lo = mid
			}
		}
		i = lo
	}
	part = (v - a.deg[i]) / (a.deg[i+1] - a.deg[i])
	return i, min(max(part, 0), 1), true
}

// widest returns the largest interval.
func (a *axis) widest() float64 {
	w := 0.0
	for i := 1; i < len(a.deg); i++ {
		w = math.Max(w, a.deg[i]-a.deg[i-1])
	}
	return w
}
