package causes_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"evenfall/falloff"
	"evenfall/photometry/causes"
	"evenfall/photometry/spatial"
)

// Faults that no model has get no confident wrong cause: none, or one that says what
// is there, or one with rivals.
func TestOutsideModels(t *testing.T) {
	slats := func(s *scene, r random) func(x, y float64) float64 {
		width, soft := s.w*r.in(0.1, 0.2), r.in(0.3, 0.8)
		return func(x, _ float64) float64 {
			return s.level(x, 0.5*s.h) * math.Exp2(-soft*math.Round(math.Mod(x/width, 1)))
		}
	}
	windows := func(s *scene, r random) func(x, y float64) float64 {
		for _, side := range []float64{-1, 1} {
			at := r3.Vec{X: s.w * (0.5 + side*(0.5+r.in(0.1, 0.3))), Y: s.h * r.in(0.3, 0.7), Z: r.in(0.7, 1.2)}
			s.extra = append(s.extra, must(falloff.Rectangle(at, r3.Vec{X: -side}, r3.Vec{Y: 1}, r.in(0.8, 1.6), r.in(1, 2), 1)))
		}
		s.scaleExtra(r.in(0.5, 1.2))
		return s.level
	}
	// A cloth that bulges toward the camera between two poles: each place faces another
	// way, by the cosine law.
	curvedCloth := func(s *scene, r random) func(x, y float64) float64 {
		turn := r.in(0.5, 1)
		return func(x, y float64) float64 {
			phi := turn * 2 * (x/s.w - 0.5)
			at, facing := r3.Vec{X: x, Y: y, Z: 0.1 * s.w * math.Cos(phi)}, r3.Vec{X: math.Sin(phi), Z: math.Cos(phi)}
			sum := 0.0
			for _, l := range s.key {
				sum += l.lit.Illuminance(at, facing)
			}
			return sum
		}
	}
	for _, c := range []struct {
		name   string
		level  func(*scene, random) func(x, y float64) float64
		honest []string // what may be named alone
	}{
		{"slatted shadow", slats, []string{causes.DarkSpot, causes.Shadow, causes.HotSpot, causes.OneReading}},
		{"two windows", windows, []string{causes.OtherLight, causes.EdgesBright, causes.HotSpot}},
		{"curved cloth", curvedCloth, []string{causes.EdgesBright, causes.MiddleBright}},
	} {
		wrong, named := 0, 0
		const tries = 6
		for k := range tries {
			r := random{rand.New(rand.NewPCG(5, uint64(k)))}
			s := r.evenPair()
			s.prepare()
			level := c.level(s, r)
			at := r.walk(s, 9, 5)
			for i := range at.X {
				at.Stops[i] = math.Log2(level(at.X[i], at.Y[i])) + 0.02*r.NormFloat64()
			}
			x := causes.Find(at)
			if len(x.Causes) == 0 {
				continue
			}
			named++
			if first := x.Causes[0]; len(first.Rivals) == 0 && !slices.Contains(c.honest, first.Code) {
				wrong++
				t.Logf("%s: %v, %.2f stop", c.name, first.Name, first.Stops)
			}
		}
		t.Logf("%s: %d of %d named, %d wrong and alone", c.name, named, tries, wrong)
		if wrong > 0 {
			t.Errorf("%s: %d of %d confident and wrong", c.name, wrong, tries)
		}
	}
}

// Readings that say little support little.
func TestLittleToGoBy(t *testing.T) {
	grid := func(columns, rows int, stops func(x, y float64) float64) causes.Surface {
		s := causes.Surface{Scatter: 0.03, Extent: spatial.Box{X1: 4, Y1: 2}}
		for i := range columns * rows {
			x, y := 4*(float64(i%columns)+0.5)/float64(columns), 2*(float64(i/columns)+0.5)/float64(rows)
			s.X, s.Y, s.Stops, s.Order = append(s.X, x), append(s.Y, y), append(s.Stops, stops(x, y)), append(s.Order, float64(i))
		}
		return s
	}
	slope := func(x, _ float64) float64 { return 0.3 * x }
	for name, s := range map[string]causes.Surface{
		"none":            {},
		"two readings":    grid(2, 1, slope),
		"three readings":  grid(3, 1, slope),
		"four readings":   grid(2, 2, slope),
		"all on a line":   grid(9, 1, slope),
		"on a slant line": slanted(grid(9, 1, slope)),
		"all equal":       grid(9, 5, func(_, _ float64) float64 { return 10 }),
	} {
		if x := causes.Find(s); len(x.Causes) > 0 {
			t.Errorf("%s: %v", name, x.Causes[0].Name)
		}
	}
}

// A reading in any place, of any size, in any number makes no panic and no figure that
// is not a number.
func FuzzFind(f *testing.F) {
	f.Add(uint64(1), uint8(9), 1.0, 0.02)
	f.Add(uint64(2), uint8(45), 1e6, 0.0)
	f.Add(uint64(3), uint8(255), 1e-6, 3.0)
	f.Fuzz(func(t *testing.T, seed uint64, n uint8, size, scatter float64) {
		if !(size > 1e-9 && size < 1e9 && scatter >= 0 && scatter < 10) {
			t.Skip()
		}
		r := random{rand.New(rand.NewPCG(seed, 1))}
		s := causes.Surface{Scatter: scatter, Tolerance: 0.5}
		for i := range int(n) {
			x, y := size*r.in(0, 1), size*r.in(0, 1)
			if seed%3 == 0 {
				x, y = math.Round(3*x/size)*size, math.Round(3*y/size)*size
			}
			s.X, s.Y, s.Order = append(s.X, x), append(s.Y, y), append(s.Order, float64(i)/255)
			s.Stops = append(s.Stops, 10+math.Exp2(r.in(-6, 4))*r.NormFloat64())
		}
		for _, c := range causes.Find(s).Causes {
			if math.IsNaN(c.Stops) || math.IsNaN(c.Weight) || c.Place >= len(s.X) || c.Change != nil && (math.IsNaN(c.Change.Spread) || c.Change.Interval[0] > c.Change.Interval[1]) {
				t.Errorf("%+v", c)
			}
		}
	})
}

// slanted puts places on a line that is neither level nor upright.
func slanted(s causes.Surface) causes.Surface {
	for i := range s.X {
		s.Y[i] = s.X[i] / 3
	}
	return s
}
