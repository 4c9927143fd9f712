package falloff

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"evenfall/photometry"
)

// Figure is one of the figures that make up a reading.
type Figure string

// The figures of a reading.
const (
	DistanceFigure Figure = "distance"
	LevelFigure    Figure = "level"
	AngleFigure    Figure = "angle"
	DensityFigure  Figure = "density"
)

// InputError is a reading that cannot be used. Index counts from 0 in the order
// given, so that a caller can name the line; it is −1 where the fault is of the
// series as a whole. Of is the figure at fault, empty where it is the reading or
// the series.
type InputError struct {
	Index    int
	Of       Figure
	Found    string
	Expected string
}

func (e *InputError) Error() string {
	where := "the series"
	if e.Index >= 0 {
		where = "reading " + strconv.Itoa(e.Index+1)
	}
	return fmt.Sprintf("%s: found %s, expected %s", where, e.Found, e.Expected)
}

// quotes reports whether the fault is the figure alone, so that the cell of a
// file can stand for its description.
func (e *InputError) quotes() bool {
	return e.Of != "" && !strings.Contains(e.Found, "dome")
}

// InputErrors are all the faults of a series together.
type InputErrors []*InputError

func (e InputErrors) Error() string {
	lines := make([]string, len(e))
	for i, f := range e {
		lines[i] = f.Error()
	}
	return strings.Join(lines, "\n")
}

// Unwrap gives errors.As and errors.Is the single faults.
func (e InputErrors) Unwrap() []error {
	out := make([]error, len(e))
	for i, f := range e {
		out[i] = f
	}
	return out
}

// add notes that the figure of of reading i was found where something else is
// expected.
func (e *InputErrors) add(i int, of Figure, found, expected string) {
	*e = append(*e, &InputError{Index: i, Of: of, Found: found, Expected: expected})
}

// err returns e as an error, nil where there is no fault.
func (e InputErrors) err() error {
	if len(e) == 0 {
		return nil
	}
	return e
}

// seriesFault is a fault of the series as a whole.
func seriesFault(found, expected string) error {
	return &InputError{Index: -1, Found: found, Expected: expected}
}

// distance checks the distance of reading i.
func (e *InputErrors) distance(i int, m float64) {
	switch {
	case !photometry.Finite(m):
		e.add(i, DistanceFigure, "a distance that is no number", "a distance in meters")
	case m <= 0:
		e.add(i, DistanceFigure, fmt.Sprintf("a distance of %g m", m), "more than 0 m from the source")
	case m < 1e-4 || m > 1e6:
		e.add(i, DistanceFigure, fmt.Sprintf("a distance of %g m", m), "0.1 mm to 1000 km")
	}
}

// level checks the level of reading i. The limits are far beyond any meter; they
// keep squares and ratios finite.
func (e *InputErrors) level(i int, level float64) {
	switch {
	case !photometry.Finite(level):
		e.add(i, LevelFigure, "a level that is no number", "a level")
	case level <= 0:
		e.add(i, LevelFigure, fmt.Sprintf("a level of %g", level), "a level above zero")
	case level < 1e-12 || level > 1e12:
		e.add(i, LevelFigure, fmt.Sprintf("a level of %g", level), "1e-12 to 1e12")
	}
}

// angle checks the angle of reading i and returns whether it will do; expected is
// what to ask for at a right angle and beyond.
func (e *InputErrors) angle(i int, deg float64, expected string) bool {
	before := len(*e)
	switch {
	case !photometry.Finite(deg):
		e.add(i, AngleFigure, "an angle that is no number", "an angle in degrees")
	case math.Abs(deg) >= 90:
		e.add(i, AngleFigure, fmt.Sprintf("an angle of %g°", deg), expected)
	}
	return len(*e) == before
}

// domeReason says what a dome does to a tilted reading: it reads (1 + cos)/2
// where a flat receptor reads cos.
func domeReason(angleDeg float64) string {
	dome, flat := photometry.DomeFactor(angleDeg), photometry.CosineFactor(angleDeg)
	return fmt.Sprintf("a dome reads about (1 + cos)/2; at %.3g° %.2f of the light head-on, a flat receptor %.2f, %.2f stop less",
		math.Abs(angleDeg), dome, flat, photometry.Stops(dome, flat))
}
