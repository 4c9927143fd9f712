package plots

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"evenfall/photometry/spatial"
)

// meshOf samples a function.
func meshOf(xs, ys []float64, f func(x, y float64) float64) *mesh {
	m := newMesh(xs, ys)
	for j, y := range ys {
		for i, x := range xs {
			v := f(x, y)
			m.z[j*len(xs)+i] = v
			m.holes = m.holes || v != v
		}
	}
	return m
}

// Bilinear values of a plane are the plane's.
func TestSamplePlane(t *testing.T) {
	m := meshOf([]float64{0, 0.5, 2, 3}, []float64{-1, 0, 4}, func(x, y float64) float64 { return 2*x - 3*y + 1 })
	rapid.Check(t, func(t *rapid.T) {
		x, y := rapid.Float64Range(0, 3).Draw(t, "x"), rapid.Float64Range(-1, 4).Draw(t, "y")
		got, ok := m.sample(x, y)
		if want := 2*x - 3*y + 1; !ok || math.Abs(got-want) > 1e-9 {
			t.Fatalf("%v at (%v, %v), want %v", got, x, y, want)
		}
	})
}

func TestFillBetween(t *testing.T) {
	nan := math.NaN()
	m := &mesh{xs: evenlySpaced(0, 4, 5), ys: evenlySpaced(0, 2, 3), holes: true, z: []float64{
		1, nan, 3, nan, nan,
		nan, 5, nan, 7, 1,
		1, 2, nan, nan, nan,
	}}
	if n := m.fillSingleGaps(); n != 3 {
		t.Errorf("%d filled, want 3", n)
	}
	want := []float64{
		1, 2, 3, nan, nan, // between 1 and 3
		1, 5, 6, 7, 1, // above and below 1; between 5 and 7
		1, 2, nan, nan, nan,
	}
	// The third of the top row has neighbors on one side only.
	for k, v := range want {
		if got := m.z[k]; got != v && !(got != got && v != v) {
			t.Errorf("place %d is %v, want %v", k, got, v)
		}
	}
	if !m.holes {
		t.Error("gaps remain, which is not said")
	}
}

func TestReaching(t *testing.T) {
	m := meshOf(binCenters(0, 4, 2), binCenters(0, 2, 2), func(x, y float64) float64 { return x + 10*y })
	r := m.extendedTo(spatial.Box{X1: 4, Y1: 2})
	if len(r.xs) != 4 || len(r.ys) != 4 || r.xs[0] != 0 || r.xs[3] != 4 {
		t.Fatalf("lines %v and %v", r.xs, r.ys)
	}
	if v, _ := r.sample(0, 0); v != 1+10*0.5 {
		t.Errorf("%v in the corner, want the nearest bin's 6", v)
	}
}

// Means keep a constant, and a plane inside.
func TestSoftened(t *testing.T) {
	m := meshOf(evenlySpaced(0, 4, 5), evenlySpaced(0, 3, 4), func(x, y float64) float64 { return 2*x + y })
	s := m.smoothed()
	for j := 1; j < 3; j++ {
		for i := 1; i < 4; i++ {
			if k := j*5 + i; math.Abs(s.z[k]-m.z[k]) > 1e-12 {
				t.Errorf("%v at %d, want %v", s.z[k], k, m.z[k])
			}
		}
	}
}
