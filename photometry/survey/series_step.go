package survey

import (
	"math"
	"strings"

	"evenfall/photometry"
)

// findStep finds the step that the levels were written in. A meter with a display of
// tenths of a stop, or whole lux, is good to no more than that, however well it
// repeats. Where the notes give a resolution, that stands.
func (s *Series) findStep(r *rows, times float64) {
	switch {
	case s.Settings.Resolution > 0:
	case r.unit == photometry.FStop || r.unit == photometry.EV:
		s.StepStops = s.stopStep(r)
	default:
		s.StepLevel = s.levelStep(r, times)
	}
}

// stopStep is the step of f-numbers and exposure values in stops.
func (s *Series) stopStep(r *rows) float64 {
	for _, text := range r.text {
		switch {
		case strings.Contains(text, "/10"):
			return 0.1
		case strings.Contains(text, "/3"):
			return 1.0 / 3
		}
	}
	var shown []float64
	for _, v := range r.level {
		if v > 0 {
			shown = append(shown, s.stopsOf(v))
		}
	}
	return photometry.StopStep(shown, r.unit, s.Settings.Meter.Marks)
}

// stopsOf is where a level is on the scale that it was written in: an
// exposure value, or log2 N² of an f-number.
func (s *Series) stopsOf(level float64) float64 {
	m := s.Settings.Meter
	stops := math.Log2(level * m.Speed() / m.IncidentConstant())
	if s.Unit == photometry.FStop && s.Quantity == photometry.Illuminance {
		stops += math.Log2(m.ShutterS)
	}
	return stops
}

// levelStep is the last decimal that any level was written to, in the SI unit,
// where it is coarse enough to matter for the least level; 0 where it is not.
func (s *Series) levelStep(r *rows, times float64) float64 {
	scale, _ := r.unit.Scale()
	scale *= times
	step, least := 1.0, math.Inf(1)
	for i, v := range r.level {
		if !(v > 0) {
			continue
		}
		least = math.Min(least, v)
		if _, odd := r.text[int32(i)]; odd {
			continue // written in a unit of its own
		}
		for written := v / scale; step > 1e-6 && math.Abs(written/step-math.Round(written/step)) > 1e-9*written/step+1e-9; {
			step /= 10
		}
	}
	// Rounding adds step/√12.
	if step*scale/math.Sqrt(12) < photometry.FinestStep*least || math.IsInf(least, 1) {
		return 0
	}
	return step * scale
}

// describeStep says what step was found.
func (s *Series) describeStep() photometry.Remark {
	if s.StepStops > 0 {
		return photometry.Remarked("step_stops", "step", photometry.Stop(s.StepStops))
	}
	scale, _ := s.Unit.Scale()
	return photometry.Remarked("step_level", "step", photometry.Figure(round3(s.StepLevel/scale)), "unit", s.Unit)
}
