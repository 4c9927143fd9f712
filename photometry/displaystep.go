package photometry

import (
	"math"
	"slices"
)

// FinestStep is the share of the darkest reading that a display's rounding has to add to
// the scatter to be counted, for that of nothing noted.
const FinestStep = 0.002

// StopStep is the step in stops of a display by what it showed: exposure values, or
// log2 N² of f-numbers; 0 where they fit none of 1/3, 1/2 (f-numbers alone) and 1/10.
// Where all are whole stops the step is not known: then the marks of the scale count for
// f-numbers, and a third for exposure values, which are whole more often than tenths.
func StopStep(shown []float64, unit Unit, marks Series) float64 {
	fit := func(perStop float64) bool {
		return !slices.ContainsFunc(shown, func(v float64) bool { return !OnStop(v, perStop) })
	}
	switch whole := fit(1); {
	case whole && marks == Halves:
		return 0.5
	case fit(3):
		return 1.0 / 3
	case fit(2) && unit == FStop:
		return 0.5
	case fit(10):
		return 0.1
	}
	return 0
}

// OnStop reports whether a value in stops is a multiple of a part of a stop, as exact or
// rounded to one decimal or two: meters show a third of a stop as .3 or .33.
func OnStop(stops, perStop float64) bool {
	near := math.Round(stops*perStop) / perStop
	for _, parts := range []float64{10, 100, 1e9} {
		if math.Abs(math.Round(near*parts)/parts-stops) < 1e-6*math.Max(1, math.Abs(stops)) {
			return true
		}
	}
	return false
}
