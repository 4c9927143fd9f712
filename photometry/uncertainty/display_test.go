package uncertainty

import (
	"math"
	"math/rand/v2"
	"testing"
)

// Readings as a display rounds them, at every phase of the level against its steps: a
// true difference a hair above the bound of those shown alike is shown so in 2.5 % of
// pairs; the range of nine of one level is below its bound in 97.5 %. Where one of scatter
// and rounding vanishes, closed forms: of a uniform variable, of a normal pair √2·z.
func TestRoundedQuantiles(t *testing.T) {
	const runs = 100_000
	random := rand.New(rand.NewPCG(7, 8))
	for _, s := range []float64{0.02, 0.1, 0.3, 1} {
		bound, alike, beyond := pairQuantile(s*math.Sqrt2, 1), 0, 0
		nine := roundedRangeQuantile(s, 9)
		for range runs {
			x, low, high := random.Float64(), math.Inf(1), math.Inf(-1)
			if math.Round(x+bound+s*random.NormFloat64())-math.Round(x+s*random.NormFloat64()) <= 0 {
				alike++
			}
			for range 9 {
				v := s * random.NormFloat64()
				low, high = min(low, v), max(high, v)
			}
			if high-low+x > nine {
				beyond++
			}
		}
		for what, n := range map[string]int{"pairs": alike, "ranges": beyond} {
			if share := float64(n) / runs; math.Abs(share-0.025) > 0.002 {
				t.Errorf("scatter %g: %.2f %% of %s are beyond the bound", s, 100*share, what)
			}
		}
	}
	if got := pairQuantile(0, 2); math.Abs(got-1.95) > 1e-3 {
		t.Errorf("rounding alone: %v, want 1.95", got)
	}
	if got := pairQuantile(1, 1e-6); math.Abs(got-z975) > 1e-3 {
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
