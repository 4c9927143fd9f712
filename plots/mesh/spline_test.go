package mesh

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"
)

// somePoints draws points that are not on one line, at least 2 % of the whole
// apart.
func somePoints(t *rapid.T) (x, y []float64) {
	n := rapid.IntRange(4, 40).Draw(t, "n")
	scale := math.Pow(10, rapid.Float64Range(-3, 3).Draw(t, "scale"))
	for len(x) < n {
		px, py := rapid.Float64Range(-1, 1).Draw(t, "x"), rapid.Float64Range(-0.6, 0.6).Draw(t, "y")
		near := false
		for i := range x {
			near = near || math.Hypot(x[i]-px, y[i]-py) < 0.02
		}
		if near {
			px, py = -1+2*float64(len(x))/float64(n), math.Mod(0.618034*float64(len(x)), 1)-0.5
		}
		x, y = append(x, px), append(y, py)
	}
	for i := range x {
		x[i], y[i] = 3*scale+scale*x[i], -scale+scale*y[i]
	}
	if a := Area(Hull(x, y, nil)); a < 0.01*scale*scale {
		t.Skip("nearly on one line")
	}
	return x, y
}

func TestSplineMeetsItsPoints(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x, y := somePoints(t)
		z := rapid.SliceOfN(rapid.Float64Range(-5, 5), len(x), len(x)).Draw(t, "z")
		s, err := NewSpline(x, y, z)
		if err != nil {
			t.Fatal(err)
		}
		for i := range x {
			if got := s.At(x[i], y[i]); math.Abs(got-z[i]) > 1e-6 {
				t.Fatalf("%v at point %d, want %v", got, i, z[i])
			}
		}
	})
}

func TestSplineOfPlane(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x, y := somePoints(t)
		a, b, c := rapid.Float64Range(-3, 3).Draw(t, "a"), rapid.Float64Range(-3, 3).Draw(t, "b"), rapid.Float64Range(-3, 3).Draw(t, "c")
		x0, y0, x1, y1 := x[0], y[0], x[0], y[0]
		for i := range x {
			x0, x1, y0, y1 = min(x0, x[i]), max(x1, x[i]), min(y0, y[i]), max(y1, y[i])
		}
		size := max(x1-x0, y1-y0)
		plane := func(px, py float64) float64 { return a + b*(px-x0)/size + c*(py-y0)/size }
		z := make([]float64, len(x))
		for i := range z {
			z[i] = plane(x[i], y[i])
		}
		s, err := NewSpline(x, y, z)
		if err != nil {
			t.Fatal(err)
		}
		fx, fy := rapid.Float64Range(-0.5, 1.5).Draw(t, "fx"), rapid.Float64Range(-0.5, 1.5).Draw(t, "fy")
		px, py := x0+fx*size, y0+fy*size
		if got, want := s.At(px, py), plane(px, py); math.Abs(got-want) > 1e-6 {
			t.Fatalf("%v at (%v, %v), want %v", got, px, py, want)
		}
	})
}

// Turning the points turns the surface: the bending energy knows no direction.
func TestSplineTurns(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x, y := somePoints(t)
		z := rapid.SliceOfN(rapid.Float64Range(-5, 5), len(x), len(x)).Draw(t, "z")
		sin, cos := math.Sincos(rapid.Float64Range(0, 6.28).Draw(t, "angle"))
		rx, ry := make([]float64, len(x)), make([]float64, len(y))
		for i := range x {
			rx[i], ry[i] = cos*x[i]-sin*y[i], sin*x[i]+cos*y[i]
		}
		s, err1 := NewSpline(x, y, z)
		r, err2 := NewSpline(rx, ry, z)
		if err1 != nil || err2 != nil {
			t.Fatal(err1, err2)
		}
		px, py := (x[0]+x[1]+x[2])/3, (y[0]+y[1]+y[2])/3
		if a, b := s.At(px, py), r.At(cos*px-sin*py, sin*px+cos*py); math.Abs(a-b) > 1e-5 {
			t.Fatalf("%v straight, %v turned", a, b)
		}
	})
}

func TestSplineDuplicates(t *testing.T) {
	x := []float64{0, 1, 0, 1, 0.5, 0.5, 0.5}
	y := []float64{0, 0, 1, 1, 0.5, 0.5, 0.5 + 1e-9}
	s, err := NewSpline(x, y, []float64{0, 0, 0, 0, 1, 2, 3})
	if err != nil {
		t.Fatal(err)
	}
	if got := s.At(0.5, 0.5); math.Abs(got-2) > 1e-9 {
		t.Errorf("three readings of 1, 2 and 3 on one place give %v", got)
	}
}

func TestSplineNeedsArea(t *testing.T) {
	for name, p := range map[string][2][]float64{
		"none":       {{}, {}},
		"two":        {{0, 1}, {0, 1}},
		"one line":   {{0, 1, 2, 3}, {0, 2, 4, 6}},
		"one place":  {{1, 1, 1}, {2, 2, 2}},
		"two places": {{1, 1, 2}, {2, 2, 3}},
	} {
		if _, err := NewSpline(p[0], p[1], make([]float64, len(p[0]))); !errors.Is(err, ErrCollinear) {
			t.Errorf("%s: %v", name, err)
		}
	}
}
