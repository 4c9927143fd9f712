package mesh

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// The lines of a cone are circles, closed and as long as they should be.
func TestIsolinesOfCone(t *testing.T) {
	m := meshOf(EvenlySpaced(-2, 2, 81), EvenlySpaced(-2, 2, 81), func(x, y float64) float64 { return math.Hypot(x, y) })
	for _, radius := range []float64{0.5, 1.03, 1.8} {
		lines := m.Isolines(radius)
		if len(lines) != 1 {
			t.Fatalf("%d lines at %v, want 1", len(lines), radius)
		}
		line, length := lines[0], 0.0
		if line[0] != line[len(line)-1] {
			t.Errorf("the circle of %v is open", radius)
		}
		for i, p := range line {
			if r := math.Hypot(p.X, p.Y); math.Abs(r-radius) > 2e-3 {
				t.Fatalf("a point of the circle of %v lies at %v", radius, r)
			}
			if i > 0 {
				length += math.Hypot(p.X-line[i-1].X, p.Y-line[i-1].Y)
			}
		}
		if want := 2 * math.Pi * radius; math.Abs(length-want) > 0.005*want {
			t.Errorf("the circle of %v is %v long, want %v", radius, length, want)
		}
	}
	// Circles that leave the mesh end at its border.
	for _, line := range m.Isolines(2.3) {
		for _, p := range []Point{line[0], line[len(line)-1]} {
			if math.Abs(math.Abs(p.X)-2) > 1e-9 && math.Abs(math.Abs(p.Y)-2) > 1e-9 {
				t.Errorf("a line ends at %v, inside", p)
			}
		}
	}
}

func TestIsolinesOfPlane(t *testing.T) {
	m := meshOf(EvenlySpaced(0, 4, 5), EvenlySpaced(0, 3, 4), func(x, y float64) float64 { return x })
	lines := m.Isolines(1.25)
	if len(lines) != 1 || len(lines[0]) != 4 {
		t.Fatalf("lines %v", lines)
	}
	for _, p := range lines[0] {
		if math.Abs(p.X-1.25) > 1e-12 {
			t.Errorf("%v is off the line", p)
		}
	}
	if lines := m.Isolines(9); len(lines) != 0 {
		t.Errorf("lines beyond the values: %v", lines)
	}
}

// Both saddles join what lies on the middle's side.
func TestIsolinesOfSaddle(t *testing.T) {
	for name, z := range map[string][]float64{"high": {1, 0, 0, 1}, "low": {0, 1, 1, 0}} {
		m := &Mesh{Xs: []float64{0, 1}, Ys: []float64{0, 1}, Z: z}
		for _, level := range []float64{0.4, 0.6} {
			lines := m.Isolines(level)
			if len(lines) != 2 {
				t.Fatalf("%s at %v: %d lines", name, level, len(lines))
			}
			for _, line := range lines {
				if len(line) != 2 {
					t.Errorf("%s at %v: line %v", name, level, line)
				}
				// Each cuts off one corner, so its middle is off the center.
				if x, y := (line[0].X+line[1].X)/2, (line[0].Y+line[1].Y)/2; math.Hypot(x-0.5, y-0.5) < 0.2 {
					t.Errorf("%s at %v: a line through the middle", name, level)
				}
			}
		}
	}
}

func TestIsolinesSkipHoles(t *testing.T) {
	m := meshOf(EvenlySpaced(0, 4, 5), EvenlySpaced(0, 4, 5), func(x, y float64) float64 {
		if x == 2 && y == 2 {
			return math.NaN()
		}
		return y
	})
	lines := m.Isolines(1.5)
	if len(lines) != 2 {
		t.Fatalf("%d lines, want one on each side of the hole", len(lines))
	}
	for _, line := range lines {
		for _, p := range line {
			if p.X > 1 && p.X < 3 || p.X != p.X {
				t.Errorf("%v next to the hole", p)
			}
		}
	}
}

// The rings about a part of a plane have its area: outer ones count, holes are taken
// off, and what is above a value and what is below it make up the whole.
func TestRingsEnclose(t *testing.T) {
	signed := func(rings [][]Crossing) (sum float64) {
		for _, ring := range rings {
			for i, p := range ring {
				q := ring[(i+1)%len(ring)]
				sum += (p.X*q.Y - q.X*p.Y) / 2
			}
		}
		return sum
	}
	m := meshOf(EvenlySpaced(-2, 2, 161), EvenlySpaced(-2, 2, 161), func(x, y float64) float64 { return -math.Hypot(x, y) })
	disc, outside := signed(m.Rings(-1.5)), signed(m.Negated().Rings(1.5))
	if want := math.Pi * 1.5 * 1.5; math.Abs(disc-want) > 0.01 || math.Abs(outside-(16-want)) > 0.01 {
		t.Errorf("the disc has %v and the rest %v, want %v and %v", disc, outside, want, 16-want)
	}
	rapid.Check(t, func(t *rapid.T) {
		m := New(EvenlySpaced(0, 5, 6), EvenlySpaced(0, 4, 5))
		for k := range m.Z {
			m.Z[k] = rapid.Float64Range(-1, 1).Draw(t, "z")
		}
		value := rapid.Float64Range(-1.1, 1.1).Draw(t, "value") + math.Pi*1e-8 // no node has it exactly
		if whole := signed(m.Rings(value)) + signed(m.Negated().Rings(-value)); math.Abs(whole-20) > 1e-6 {
			t.Fatalf("both parts have %v of 20", whole)
		}
	})
}
