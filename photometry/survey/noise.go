package survey

import (
	"math"

	"evenfall/photometry"
	"evenfall/photometry/uncertainty"
)

// Noise decides what scatter the readings have: stated in the notes, else
// estimated from repeats (sum of squares in stops² with nu degrees of freedom),
// else assumed.
func (s *Survey) Noise(squares float64, nu int) (models []uncertainty.Model, told uncertainty.Noise) {
	res := s.Settings.Resolution
	told.ResolutionStops = res
	switch {
	case s.Predicted:
		told.Source = "predicted"
		return []uncertainty.Model{{}}, told
	case s.Settings.Repeatability != nil:
		r := *s.Settings.Repeatability
		told.Source, told.RepeatabilityPercent, told.Stops = "stated", 100*r, photometry.ReadingStops(r, res)
		return []uncertainty.Model{{Stops: told.Stops}}, told
	case nu > 0:
		r := math.Sqrt(squares/float64(nu)) * math.Ln2
		told.Source, told.RepeatabilityPercent, told.Stops = "repeats", 100*r, photometry.ReadingStops(r, res)
		told.DegreesOfFreedom = nu
		models = []uncertainty.Model{{Stops: told.Stops, Nu: nu}}
		if nu < uncertainty.FewRepeats {
			// So few repeats may agree by luck: the wider of the two decides.
			assumed := uncertainty.Model{Stops: photometry.ReadingStops(uncertainty.AssumedRepeatability, res)}
			models = append(models, assumed)
			told.Stops = max(told.Stops, assumed.Stops)
		}
		return models, told
	}
	told.Source, told.RepeatabilityPercent = "assumed", 100*uncertainty.AssumedRepeatability
	told.Stops = photometry.ReadingStops(uncertainty.AssumedRepeatability, res)
	return []uncertainty.Model{{Stops: told.Stops}}, told
}
