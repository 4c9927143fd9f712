package plots

import (
	"math"
	"math/rand"
	"strings"
	"testing"

	"evenfall/plots/mesh"
)

// fieldOf is the level field of readings of a function.
func fieldOf(t *testing.T, x, y []float64, f func(x, y float64) float64) (*field, *mapValues, Scale) {
	t.Helper()
	level := make([]float64, len(x))
	for i := range x {
		level[i] = 1000 * math.Exp2(f(x[i], y[i]))
	}
	s := scattered(x, y, level)
	r := resultOf(s)
	r.Reference.Level = 1000
	c, err := newMapValues(r, Level)
	if err != nil {
		t.Fatal(err)
	}
	scale := c.scale()
	made, _ := newField(c, scale)
	return made, c, scale
}

// A field of stops that lie on a plane is the plane, by spline as by bins.
func TestFieldOfPlane(t *testing.T) {
	plane := func(x, y float64) float64 { return 0.2*x - 0.1*y }
	rng := rand.New(rand.NewSource(2))
	for _, n := range []int{12, 300, 40000} {
		x, y := make([]float64, n), make([]float64, n)
		for i := range x {
			x[i], y[i] = 4*rng.Float64(), 2*rng.Float64()
		}
		f, _, _ := fieldOf(t, x, y, plane)
		if f == nil {
			t.Fatalf("no field of %d readings", n)
		}
		tolerance := 1e-6
		if n > maxSplinePoints {
			tolerance = 0.01 // half a bin of the slope
		}
		for range 200 {
			px, py := 1+2*rng.Float64(), 0.5+rng.Float64()
			if !mesh.Inside(f.outline, px, py) {
				continue
			}
			got, ok := f.mesh.Sample(px, py)
			if want := plane(px, py); !ok || math.Abs(got-want) > tolerance {
				t.Fatalf("%d readings: %v at (%v, %v), want %v", n, got, px, py, want)
			}
		}
	}
}

// A bin's value is the logarithm of the mean level, not the mean of logarithms.
func TestBinsAverageLight(t *testing.T) {
	var x, y []float64
	for i := range 20 {
		for j := range 30 {
			x, y = append(x, float64(i)), append(y, float64(j))
		}
	}
	// Bright and dark alternate, so that every bin has both in equal numbers.
	f, _, _ := fieldOf(t, x, y, func(x, y float64) float64 { return 2 * math.Mod(y, 2) })
	if f == nil || len(f.mesh.Xs) > 15 {
		t.Fatal("the readings were not binned")
	}
	low, high := math.Log2(1), math.Log2(4)
	mean := math.Log2((1 + 4) / 2.0)
	v, ok := f.mesh.Sample(9.5, 14.5)
	if !ok || math.Abs(v-mean) > 0.35 || math.Abs(v-(low+high)/2) < 0.1 {
		t.Errorf("a bin of 1000 lx and 4000 lx alike is %.2f stop, want about %.2f", v, mean)
	}
}

func TestFieldNeedsArea(t *testing.T) {
	for name, p := range map[string][2][]float64{
		"one":        {{1}, {1}},
		"two":        {{1, 2}, {1, 3}},
		"a row":      {{1, 2, 3, 4}, {1, 1, 1, 1}},
		"a diagonal": {{1, 2, 3, 4}, {2, 4, 6, 8}},
		"nearly":     {{1, 2, 3, 4}, {1, 1.0001, 1, 1.0001}},
		"one place":  {{1, 1, 1}, {1, 1, 1}},
	} {
		level := make([]float64, len(p[0]))
		for i := range level {
			level[i] = 500 + 10*float64(i)
		}
		s := scattered(p[0], p[1], level)
		c, err := newMapValues(resultOf(s), Level)
		if err != nil {
			t.Fatal(err)
		}
		f, why := newField(c, c.scale())
		if f != nil || !strings.Contains(why, "no field") {
			t.Errorf("%s: field %v, %q", name, f != nil, why)
		}
	}
}

// A suspect is left out of the field and of the outline.
func TestFieldLeavesSuspectsOut(t *testing.T) {
	s, r := scene()
	c, err := newMapValues(r, Level)
	if err != nil {
		t.Fatal(err)
	}
	f, _ := newField(c, c.scale())
	entryError := at(s, "C4")
	got, _ := f.mesh.Sample(s.X[entryError], s.Y[entryError])
	left, right := at(s, "C3"), at(s, "C5")
	a, _ := c.at(left)
	b, _ := c.at(right)
	if want := (a + b) / 2; math.Abs(got-want) > 0.15 {
		t.Errorf("%.2f stop at the suspect, want about its neighbors' %.2f", got, want)
	}
}

// A lattice of many readings keeps each as it is.
func TestLatticeFieldKeepsReadings(t *testing.T) {
	s := lattice(40, 25, 8, 5, func(x, y float64) float64 { return 900 - 30*(x-4)*(x-4) })
	r := resultOf(s)
	c, err := newMapValues(r, Level)
	if err != nil {
		t.Fatal(err)
	}
	f, _ := newField(c, c.scale())
	for i := range s.X {
		got, ok := f.mesh.Sample(s.X[i], s.Y[i])
		if want := math.Log2(s.Level[i] / r.Reference.Level); !ok || math.Abs(got-want) > 1e-9 {
			t.Fatalf("%v at %s, want %v", got, s.LabelOf(i), want)
		}
	}
}

// Places that were not read in a lattice stay empty, or are filled from both
// sides, which the text says.
func TestLatticeFieldHoles(t *testing.T) {
	s := lattice(40, 25, 8, 5, func(x, y float64) float64 { return 900 })
	gone := map[int]bool{at(s, "M20"): true} // one alone
	for _, a := range []string{"C5", "C6", "D5", "D6"} {
		gone[at(s, a)] = true // a block, whose middle has no neighbor
	}
	keep := 0
	for i := range s.X {
		if gone[i] {
			s.Lattice.Index[i] = -1
			continue
		}
		s.Lattice.Index[i] = int32(keep)
		s.X[keep], s.Y[keep], s.Level[keep] = s.X[i], s.Y[i], s.Level[i]
		keep++
	}
	s.X, s.Y, s.Level = s.X[:keep], s.Y[:keep], s.Level[:keep]
	c, err := newMapValues(resultOf(s), Level)
	if err != nil {
		t.Fatal(err)
	}
	f, _ := newField(c, c.scale())
	if !strings.Contains(f.how, "filled from their neighbors (1)") || !strings.Contains(f.how, "left empty") {
		t.Errorf("the text says %q", f.how)
	}
	l := s.Lattice
	if _, ok := f.mesh.Sample(l.Xs[19], l.Ys[25-13]); !ok {
		t.Error("the place alone was not filled")
	}
	if _, ok := f.mesh.Sample(l.Xs[4], l.Ys[25-3]); ok {
		t.Error("the block was filled")
	}
}
