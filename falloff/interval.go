package falloff

import (
	"encoding/json"
	"math"

	"evenfall/photometry"
)

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

// width is how long the interval is; zero for two ends at the same infinity.
func (i Interval) width() float64 {
	if i.Lo == i.Hi {
		return 0
	}
	return i.Hi - i.Lo
}

// widened moves both ends out by a share of themselves.
func (i Interval) widened(share float64) Interval {
	return Interval{i.Lo * (1 - share), i.Hi * (1 + share)}
}

// MarshalJSON writes [lo, hi] with null for an open end.
func (i Interval) MarshalJSON() ([]byte, error) {
	return json.Marshal([2]*float64{ptr(i.Lo), ptr(i.Hi)})
}

// ptr returns a pointer to v, nil where v is not finite.
func ptr(v float64) *float64 {
	if !photometry.Finite(v) {
		return nil
	}
	return &v
}
