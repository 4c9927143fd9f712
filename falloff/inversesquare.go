package falloff

import "math"

// inverseSquareTolerance is the 1 % of the five-times rule.
const inverseSquareTolerance = 0.01

// inverseSquare says from where on the inverse square holds, with the interval
// that the shape's own interval gives. A point's upper end is that of the disc
// that could still hide in the readings.
func (a *answers) inverseSquare() {
	a.InverseSquareFromM = a.law.InverseSquareFrom(inverseSquareTolerance)
	iv := a.best.inverseSquareInterval()
	if a.best.shape == point {
		for _, f := range a.fits {
			if f.shape == disc && f.ambient == a.best.ambient {
				iv = iv.hull(f.inverseSquareInterval().Hi)
			}
		}
	}
	a.InverseSquareFromIntervalM = &iv
	if v, ok := a.law.AmbientFrom(inverseSquareTolerance); ok {
		a.AmbientFromM = ptr(v)
	}
}

func (f *fit) inverseSquareInterval() Interval {
	if f.shape == point {
		return Interval{}
	}
	at := func(v float64) float64 {
		v = f.value(f.s, 1, v)
		switch {
		case math.IsInf(v, 0):
			return math.Inf(1)
		case f.shape == offset:
			return Law{OffsetM: v}.InverseSquareFrom(inverseSquareTolerance)
		default:
			return Law{SourceRadiusM: v}.InverseSquareFrom(inverseSquareTolerance)
		}
	}
	lo, hi := at(f.intervals[1].Lo), at(f.intervals[1].Hi)
	iv := Interval{Lo: math.Min(lo, hi), Hi: math.Max(lo, hi)}
	iv = iv.hull(f.law().InverseSquareFrom(inverseSquareTolerance))
	if f.addsNothing(1) {
		iv.Lo = 0
	}
	return iv
}

// addsNothing says whether the interval of parameter k contains the value at
// which it does nothing.
func (f *fit) addsNothing(k int) bool {
	zero, ok := f.zero(f.s, k)
	if !ok {
		return false
	}
	iv := f.intervals[k]
	slack := 1e-9 * math.Max(1, math.Abs(zero))
	return iv.Lo <= zero+slack && iv.Hi >= zero-slack
}
