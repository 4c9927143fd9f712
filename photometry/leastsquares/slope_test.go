package leastsquares

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// The median slope is that of all pairs one by one, and the median of others that
// of the others one by one.
func TestMedianSlopeAgainstAllPairs(t *testing.T) {
	median := func(values []float64) float64 {
		slices.Sort(values)
		n := len(values)
		return (values[(n-1)/2] + values[n/2]) / 2
	}
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(3, 40).Draw(t, "readings")
		x, y := make([]float64, n), make([]float64, n)
		for i := range x {
			x[i] = float64(rapid.IntRange(0, 30).Draw(t, "minute"))
			y[i] = float64(rapid.IntRange(-20, 20).Draw(t, "level")) / 7
		}
		var slopes []float64
		for i := range x {
			for j := range i {
				if x[i] != x[j] {
					slopes = append(slopes, (y[i]-y[j])/(x[i]-x[j]))
				}
			}
			others := append(slices.Clone(y[:i]), y[i+1:]...)
			if got, want := MediansOfOthers(y)[i], median(others); math.Abs(got-want) > 1e-12 {
				t.Fatalf("median without %d of %v: %v, want %v", i, y, got, want)
			}
		}
		want := 0.0
		if len(slopes) > 0 {
			want = median(slopes)
		}
		if got := MedianSlope(x, y); math.Abs(got-want) > 1e-12 {
			t.Fatalf("median slope of %v, %v: %v, of all pairs %v", x, y, got, want)
		}
	})
}
