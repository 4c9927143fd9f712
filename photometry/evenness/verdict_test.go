package evenness

import (
	"math"
	"testing"

	"evenfall/photometry"
	"evenfall/photometry/uncertainty"
)

func spreadOf(values []float64) float64 {
	low, high := math.Inf(1), math.Inf(-1)
	for _, v := range values {
		low, high = min(low, v), max(high, v)
	}
	return high - low
}

// The interval is the design's formula where every point is read once.
func TestIntervalFormula(t *testing.T) {
	observed := []float64{0.1, 0.5, 0.35, 0.9, 0.2, 0.6, 0.75, 0.15, 0.4}
	s := photometry.ReadingStops(0.03, 0.1)
	lo, hi := uncertainty.SpreadInterval(classesOf(observed, nil), uncertainty.Model{Stops: s, Nu: 0}, uncertainty.FactorsFor(9, 0))
	// s = √((r/ln 2)² + resolution²/12); q_9 from SOURCES.md.
	want := math.Sqrt(math.Pow(0.03/math.Ln2, 2) + 0.01/12)
	if math.Abs(hi-(0.8+1.95996*math.Sqrt2*want)) > 1e-6 || math.Abs(lo-(0.8-4.700411*want)) > 1e-6 {
		t.Errorf("interval %.6f to %.6f", lo, hi)
	}
}

// Fresh repeats of the two extremes alone prove a fail.
func TestRepeatsOfExtremesProveAFail(t *testing.T) {
	observed := []float64{0, 0.58, 0.2, 0.3, 0.25, 0.4, 0.35, 0.28, 0.33}
	once := classesOf(observed, nil)
	m, f := uncertainty.Model{Stops: photometry.ReadingStops(0.02, 0), Nu: 0}, uncertainty.FactorsFor(9, 0)
	if lo, hi := uncertainty.SpreadInterval(once, m, f); uncertainty.Judge(lo, hi, 0.5) != uncertainty.Unsure {
		t.Fatalf("%.3f to %.3f is not unsure", lo, hi)
	}
	repeats := []int32{6, 6, 1, 1, 1, 1, 1, 1, 1}
	if lo, hi := uncertainty.SpreadInterval(classesOf(observed, repeats), m, f); uncertainty.Judge(lo, hi, 0.5) != uncertainty.Fail {
		t.Errorf("%.3f to %.3f with repeats is not a fail", lo, hi)
	}
}

// classesOf groups a column of values; nil repeats means once each.
func classesOf(values []float64, repeats []int32) uncertainty.Classes {
	var c uncertainty.Classes
	for i, v := range values {
		k := int32(1)
		if repeats != nil {
			k = repeats[i]
		}
		c.Add(v, float64(k), 0)
	}
	return c
}
