package mesh

import (
	"math"
	"math/rand"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// The hull contains every point, turns left everywhere, and has only points
// as corners.
func TestHull(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 60).Draw(t, "n")
		x, y := make([]float64, n), make([]float64, n)
		lattice := rapid.Bool().Draw(t, "lattice")
		for i := range x {
			if lattice {
				x[i], y[i] = float64(rapid.IntRange(0, 5).Draw(t, "x")), float64(rapid.IntRange(0, 3).Draw(t, "y"))
			} else {
				// Places as they are typed, to the millimeter.
				x[i], y[i] = float64(rapid.IntRange(-9000, 9000).Draw(t, "x"))/1000, float64(rapid.IntRange(-9000, 9000).Draw(t, "y"))/1000
			}
		}
		h := Hull(x, y, nil)
		for _, p := range h {
			found := false
			for i := range x {
				found = found || (p == Point{x[i], y[i]})
			}
			if !found {
				t.Fatalf("corner %v is no point", p)
			}
		}
		if len(h) < 3 {
			// All on one line between the two ends.
			a, b := h[0], h[len(h)-1]
			for i := range x {
				if d := signedArea2(a, b, Point{x[i], y[i]}); math.Abs(d) > 1e-9 {
					t.Fatalf("(%v, %v) is off the line of %v", x[i], y[i], h)
				}
			}
			return
		}
		for i := range h {
			a, b, c := h[i], h[(i+1)%len(h)], h[(i+2)%len(h)]
			if signedArea2(a, b, c) <= 0 {
				t.Fatalf("no left turn at %v of %v", b, h)
			}
			for k := range x {
				if signedArea2(a, b, Point{x[k], y[k]}) < -1e-9 {
					t.Fatalf("(%v, %v) lies outside %v", x[k], y[k], h)
				}
			}
		}
	})
}

func TestHullOfSquare(t *testing.T) {
	x, y := []float64{0, 2, 2, 0, 1, 1, 1}, []float64{0, 0, 2, 2, 0, 1, 2}
	want := []Point{{0, 0}, {2, 0}, {2, 2}, {0, 2}}
	if got := Hull(x, y, nil); !slices.Equal(got, want) {
		t.Errorf("%v, want %v", got, want)
	}
	if got := Area(want); got != 4 {
		t.Errorf("area %v, want 4", got)
	}
	// Without the right side.
	want = []Point{{0, 0}, {1, 0}, {1, 2}, {0, 2}}
	if got := Hull(x, y, func(i int) bool { return x[i] < 2 }); !slices.Equal(got, want) {
		t.Errorf("%v, want %v", got, want)
	}
}

func BenchmarkHullMillion(b *testing.B) {
	rng := rand.New(rand.NewSource(1))
	x, y := make([]float64, 1_000_000), make([]float64, 1_000_000)
	for i := range x {
		x[i], y[i] = rng.Float64(), rng.Float64()
	}
	b.ReportAllocs()
	for b.Loop() {
		Hull(x, y, nil)
	}
}
