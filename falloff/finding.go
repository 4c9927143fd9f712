package falloff

import (
	"encoding/json"
	"fmt"
	"math"
	"strconv"
	"strings"

	"evenfall/photometry"
)

// Finding is one thing that a result has to say; see photometry.Finding.
type Finding = photometry.Finding

// Interval is a 95 % confidence interval. An end that the readings leave open
// is infinite; JSON writes the two ends as an array, an open end as null.
type Interval struct {
	Lo, Hi float64
}

// Contains says whether v is inside, ends included.
func (i Interval) Contains(v float64) bool { return v >= i.Lo && v <= i.Hi }

// hull returns the least interval over i and v.
func (i Interval) hull(v float64) Interval {
	return Interval{Lo: math.Min(i.Lo, v), Hi: math.Max(i.Hi, v)}
}

// MarshalJSON writes [lo, hi] with null for an open end.
func (i Interval) MarshalJSON() ([]byte, error) {
	ends := [2]*float64{}
	for k, v := range [2]float64{i.Lo, i.Hi} {
		if !math.IsInf(v, 0) && !math.IsNaN(v) {
			ends[k] = &v
		}
	}
	return json.Marshal(ends)
}

// UnmarshalJSON reads what MarshalJSON writes.
func (i *Interval) UnmarshalJSON(b []byte) error {
	var ends [2]*float64
	if err := json.Unmarshal(b, &ends); err != nil {
		return err
	}
	i.Lo, i.Hi = math.Inf(-1), math.Inf(1)
	if ends[0] != nil {
		i.Lo = *ends[0]
	}
	if ends[1] != nil {
		i.Hi = *ends[1]
	}
	return nil
}

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

// err returns e as an error, nil where there is no fault.
func (e InputErrors) err() error {
	if len(e) == 0 {
		return nil
	}
	return e
}

// digits writes v for a person with three significant digits and no exponent
// where the figure is of everyday size.
func digits(v float64) string {
	if a := math.Abs(v); a >= 1000 && a < 1e7 {
		return strconv.FormatFloat(v, 'f', 0, 64)
	}
	return strconv.FormatFloat(v, 'g', 3, 64)
}

// ptr returns a pointer to v, nil where v is not finite.
func ptr(v float64) *float64 {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return nil
	}
	return &v
}
