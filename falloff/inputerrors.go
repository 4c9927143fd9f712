package falloff

import (
	"fmt"
	"math"
	"strings"

	"evenfall/photometry"
)

// Figure is one of the figures that make up a reading.
type Figure = photometry.InputField

// The figures of a reading.
const (
	DistanceFigure Figure = "distance"
	LevelFigure           = photometry.LevelField
	AngleFigure    Figure = "angle"
	DensityFigure  Figure = "density"
)

// InputError is a reading that cannot be used, or with Index −1 a series, InputErrors all
// the faults of a series together.
type (
	InputError  = photometry.InputError
	InputErrors = photometry.InputErrors
)

// quotes reports whether the fault is the figure alone, so that the cell of a
// file can stand for its description.
func quotes(e *InputError) bool { return e.Field != "" && !strings.Contains(e.Found, "dome") }

// seriesFault is a fault of the series as a whole.
func seriesFault(found, expected string) error {
	return &InputError{Index: -1, Found: found, Expected: expected}
}

// faults are collected as readings are checked.
type faults struct{ InputErrors }

// add notes that a figure of reading i was found where something else is expected.
func (e *faults) add(i int, of Figure, found, expected string) {
	e.InputErrors = append(e.InputErrors, &InputError{Index: i, Field: of, Found: found, Expected: expected})
}

// limits are those of a figure above zero. They are far beyond any meter and keep squares
// and ratios finite.
type limits struct {
	of                      Figure
	unit                    string
	least, most             float64
	number, positive, usual string // what is expected in their place
}

var (
	distanceLimits = limits{DistanceFigure, " m", 1e-4, 1e6, "a distance in meters", "more than 0 m from the source", "0.1 mm to 1000 km"}
	levelLimits    = limits{LevelFigure, "", 1e-12, 1e12, "a level", "a level above zero", "1e-12 to 1e12"}
)

// check checks a figure of reading i.
func (e *faults) check(i int, v float64, l limits) {
	if v >= l.least && v <= l.most {
		return
	}
	found, expected := fmt.Sprintf("a %s of %g%s", l.of, v, l.unit), l.usual
	switch {
	case !photometry.Finite(v):
		found, expected = fmt.Sprintf("a %s that is no number", l.of), l.number
	case v <= 0:
		expected = l.positive
	}
	e.add(i, l.of, found, expected)
}

// angle checks the angle of reading i and returns whether it will do; expected is
// what to ask for at a right angle and beyond.
func (e *faults) angle(i int, deg float64, expected string) bool {
	switch {
	case !photometry.Finite(deg):
		e.add(i, AngleFigure, "an angle that is no number", "an angle in degrees")
	case math.Abs(deg) >= 90:
		e.add(i, AngleFigure, fmt.Sprintf("an angle of %g°", deg), expected)
	default:
		return true
	}
	return false
}

// domeReason says what a dome does to a tilted reading: it reads (1 + cos)/2
// where a flat receptor reads cos.
func domeReason(angleDeg float64) string {
	dome, flat := photometry.DomeFactor(angleDeg), photometry.CosineFactor(angleDeg)
	return fmt.Sprintf("a dome reads about (1 + cos)/2; at %.3g° %.2f of the light head-on, a flat receptor %.2f, %.2f stop less",
		math.Abs(angleDeg), dome, flat, photometry.Stops(dome, flat))
}
