package uncertainty

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// The quantiles of scatter and rounding together against draws of them, and where one
// of the two vanishes against closed forms: of two uniform variables the triangular
// distribution, of a normal pair √2·z.
func TestRoundedQuantiles(t *testing.T) {
	const runs = 100_000
	random := rand.New(rand.NewPCG(7, 8))
	draw := func(s, h float64) float64 { return s*random.NormFloat64() + h*(2*random.Float64()-1) }
	for _, s := range []float64{0.05, 0.3, 1, 3} {
		pairs, ranges := make([]float64, runs), make([]float64, runs/5)
		for i := range pairs {
			pairs[i] = draw(s, 1) - draw(s, 1)
		}
		for i := range ranges {
			low, high := math.Inf(1), math.Inf(-1)
			for range 9 {
				x := draw(s, 1)
				low, high = min(low, x), max(high, x)
			}
			ranges[i] = high - low
		}
		for what, c := range map[string]struct {
			drawn []float64
			got   float64
		}{"pair": {pairs, pairQuantile(s*math.Sqrt2, 1, 1)}, "range of nine": {ranges, roundedRangeQuantile(s, 9)}} {
			slices.Sort(c.drawn)
			if want := c.drawn[len(c.drawn)*39/40]; math.Abs(c.got/want-1) > 0.025 {
				t.Errorf("scatter %g, %s: %.4f, of draws %.4f", s, what, c.got, want)
			}
		}
	}
	if got, want := pairQuantile(0, 1, 1), 2*(1-math.Sqrt(0.05)); math.Abs(got-want) > 1e-3 {
		t.Errorf("rounding alone: %v, want %v", got, want)
	}
	if got := pairQuantile(1, 1e-6, 1e-6); math.Abs(got-z975) > 1e-3 {
		t.Errorf("scatter alone: %v", got)
	}
}

// Readings of a place that all round the same way do not get better by their number;
// those that scatter by more than half a step do.
func TestRoundingOfMeans(t *testing.T) {
	for _, c := range []struct{ normal, k, want float64 }{{0.05, 16, 0.1}, {0.11, 16, 0.025}, {0.3, 4, 0.05}} {
		m := Model{Stops: math.Hypot(c.normal, 0.1/math.Sqrt(3)), Half: 0.1}
		if got := m.half(c.k); math.Abs(got-c.want) > 1e-12 {
			t.Errorf("scatter %g, %g readings: rounding moves the mean by %g, want %g", c.normal, c.k, got, c.want)
		}
	}
}
