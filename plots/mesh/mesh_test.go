package mesh

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"evenfall/photometry/spatial"
)

// meshOf samples a function.
func meshOf(xs, ys []float64, f func(x, y float64) float64) *Mesh {
	m := New(xs, ys)
	for j, y := range ys {
		for i, x := range xs {
			v := f(x, y)
			m.Z[j*len(xs)+i] = v
			m.Holes = m.Holes || v != v
		}
	}
	return m
}

// Bilinear values of a plane are the plane's.
func TestSamplePlane(t *testing.T) {
	m := meshOf([]float64{0, 0.5, 2, 3}, []float64{-1, 0, 4}, func(x, y float64) float64 { return 2*x - 3*y + 1 })
	rapid.Check(t, func(t *rapid.T) {
		x, y := rapid.Float64Range(0, 3).Draw(t, "x"), rapid.Float64Range(-1, 4).Draw(t, "y")
		got, ok := m.Sample(x, y)
		if want := 2*x - 3*y + 1; !ok || math.Abs(got-want) > 1e-9 {
			t.Fatalf("%v at (%v, %v), want %v", got, x, y, want)
		}
	})
}

func TestFillBetween(t *testing.T) {
	nan := math.NaN()
	m := &Mesh{Xs: EvenlySpaced(0, 4, 5), Ys: EvenlySpaced(0, 2, 3), Holes: true, Z: []float64{
		1, nan, 3, nan, nan,
		nan, 5, nan, 7, 1,
		1, 2, nan, nan, nan,
	}}
	if n := m.FillSingleGaps(); n != 3 {
		t.Errorf("%d filled, want 3", n)
	}
	want := []float64{
		1, 2, 3, nan, nan, // between 1 and 3
		1, 5, 6, 7, 1, // above and below 1; between 5 and 7
		1, 2, nan, nan, nan,
	}
	// The third of the top row has neighbors on one side only.
	for k, v := range want {
		if got := m.Z[k]; got != v && !(got != got && v != v) {
			t.Errorf("place %d is %v, want %v", k, got, v)
		}
	}
	if !m.Holes {
		t.Error("gaps remain, which is not said")
	}
}

func TestReaching(t *testing.T) {
	m := meshOf(BinCenters(0, 4, 2), BinCenters(0, 2, 2), func(x, y float64) float64 { return x + 10*y })
	r := m.ExtendedTo(spatial.Box{X1: 4, Y1: 2})
	if len(r.Xs) != 4 || len(r.Ys) != 4 || r.Xs[0] != 0 || r.Xs[3] != 4 {
		t.Fatalf("lines %v and %v", r.Xs, r.Ys)
	}
	if v, _ := r.Sample(0, 0); v != 1+10*0.5 {
		t.Errorf("%v in the corner, want the nearest bin's 6", v)
	}
}

// Means keep a constant, and a plane inside.
func TestSoftened(t *testing.T) {
	m := meshOf(EvenlySpaced(0, 4, 5), EvenlySpaced(0, 3, 4), func(x, y float64) float64 { return 2*x + y })
	s := m.Smoothed()
	for j := 1; j < 3; j++ {
		for i := 1; i < 4; i++ {
			if k := j*5 + i; math.Abs(s.Z[k]-m.Z[k]) > 1e-12 {
				t.Errorf("%v at %d, want %v", s.Z[k], k, m.Z[k])
			}
		}
	}
}
