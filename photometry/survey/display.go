package survey

import (
	"math"
	"slices"

	"evenfall/photometry"
)

// findStep finds the step of the display that the levels were read from, where no
// note gives one, as Settings.Resolution in stops. Of f-numbers and exposure values
// it is the coarsest of 1, 1/2, 1/3 and 1/10 stop that all of them fit; of all else
// the largest of 1, 2 or 5 times a power of ten that divides all of them as they
// were written, in stops at the darkest. Where it adds less than a fifth of a percent
// to the scatter, or a tenth of a repeatability that is noted, it does not matter and is
// not counted.
func (b *builder) findStep(s *Survey) {
	if s.Settings.Resolution > 0 || s.Predicted {
		return
	}
	written, least := s.asWritten()
	if len(written) < 2 {
		return
	}
	unit := s.Settings.Meter.Unit
	if unit == photometry.FStop || unit == photometry.EV {
		for _, perStop := range []float64{1, 2, 3, 10} {
			if !slices.ContainsFunc(written, func(v float64) bool { return !photometry.OnStop(v, perStop) }) {
				s.Settings.Resolution = 1 / perStop
				s.infer("step_stops", "step", photometry.Stop(1/perStop))
				return
			}
		}
		return
	}
	finest := photometry.FinestStep * least
	if noted := s.Settings.Repeatability; noted != nil {
		finest = min(finest, *noted/10*least)
	}
	for step := 10 * powerBelow(least); step/math.Sqrt(12) >= finest; step = nextStep(step) {
		if allFit(written, step, 1e-9) {
			s.Settings.Resolution = math.Log2((least + step/2) / (least - step/2))
			s.infer("step_level", "step", photometry.Figure(step), "unit", unit)
			return
		}
	}
}

// asWritten are the levels as they were written, and the least of them: f-numbers and
// exposure values in stops. Cells with a unit of their own are left out.
func (s *Survey) asWritten() (written []float64, least float64) {
	least = math.Inf(1)
	unit := s.Settings.Meter.Unit
	add := func(level float64) {
		if !(level > 0) {
			return
		}
		v := s.Settings.Meter.Written(level)
		if unit == photometry.FStop {
			v = 2 * math.Log2(v)
		}
		written, least = append(written, v), min(least, v)
	}
	for _, r := range s.Replicates {
		add(r.Level)
	}
	for i, v := range s.Level {
		_, odd := s.found[int32(i)]
		if single := s.Repeats == nil || s.Repeats[i] == 1; single && (!odd || unit == photometry.FStop || unit == photometry.EV) {
			add(v)
		}
	}
	return written, least
}

// allFit reports whether all values are multiples of a step, to within so much of it.
func allFit(values []float64, step, tolerance float64) bool {
	for _, v := range values {
		if n := v / step; math.Abs(n-math.Round(n)) > tolerance*math.Max(1, math.Abs(n)) {
			return false
		}
	}
	return true
}

// powerBelow is the largest power of ten that is at most v.
func powerBelow(v float64) float64 { return math.Pow(10, math.Floor(math.Log10(v)+1e-9)) }

// nextStep is the next finer step of 1, 0.5, 0.2, 0.1 times a power of ten.
func nextStep(step float64) float64 {
	power := powerBelow(step)
	switch math.Round(step / power) {
	case 5:
		return 2 * power
	case 2:
		return power
	}
	return power / 2
}
