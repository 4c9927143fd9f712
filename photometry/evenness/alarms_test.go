package evenness

import (
	"math"
	"math/rand/v2"
	"testing"

	"evenfall/photometry/spatial"
	"evenfall/photometry/survey"
)

// lamp is a bare lamp in front of a surface: the inverse-square and cosine laws.
type bareLamp struct{ x, y, z, candela float64 }

func (l bareLamp) at(x, y float64) float64 {
	d2 := (x-l.x)*(x-l.x) + (y-l.y)*(y-l.y) + l.z*l.z
	return l.candela * l.z / (d2 * math.Sqrt(d2))
}

// Surfaces as lamps make them, without any error, are rarely suspected: at most
// one in twenty even close to a lamp or with a shaded corner, far fewer else.
func TestFalseAlarms(t *testing.T) {
	const runs = 200
	random := rand.New(rand.NewPCG(21, 22))
	uniform := func(low, high float64) float64 { return low + (high-low)*random.Float64() }
	for name, c := range map[string]struct {
		light   func() func(x, y float64) float64
		allowed float64
	}{
		"two lamps": {func() func(x, y float64) float64 {
			a, b := bareLamp{uniform(-2, 0), uniform(1, 3), uniform(2, 4), 9000}, bareLamp{uniform(4, 6), uniform(1, 3), uniform(2, 4), 9000}
			return func(x, y float64) float64 { return a.at(x, y) + b.at(x, y) }
		}, 0.01},
		"one far lamp": {func() func(x, y float64) float64 {
			a := bareLamp{uniform(0, 4), uniform(1, 3), uniform(3, 6), 20000}
			return a.at
		}, 0.01},
		"one lamp close beside": {func() func(x, y float64) float64 {
			a := bareLamp{uniform(-1, -0.2), uniform(0, 2), uniform(0.5, 1.5), 3000}
			return a.at
		}, 0.05},
		"a shaded corner": {func() func(x, y float64) float64 {
			return func(x, y float64) float64 {
				if x+y < 1.5 {
					return 600
				}
				return 1000
			}
		}, 0.05},
	} {
		alarms, snakes := 0, 0
		for range runs {
			level := c.light()
			s := &survey.Survey{Reference: -1}
			for r := range 5 {
				for col := range 9 {
					x, y := spatial.GridPosition(col, r, 9, 5, 4, 2, false)
					v := level(x, y) * (1 + 0.02*random.NormFloat64())
					s.X, s.Y = append(s.X, x), append(s.Y, y)
					s.Level = append(s.Level, math.Round(v))
				}
			}
			s.Lattice = spatial.FindLattice(s.X, s.Y)
			s.Lattice.Fill(s.X, s.Y)
			s.Extent, s.Settings.Sized = spatial.Box{X0: 0, Y0: 0, X1: 4, Y1: 2}, true
			got, err := Judge(s)
			if err != nil {
				t.Fatal(err)
			}
			for _, suspect := range got.Suspects {
				if suspect.Reasons[0] == survey.SerpentineAsRows {
					snakes++
				}
			}
			if len(got.Suspects) > 0 {
				alarms++
			}
		}
		t.Logf("%s: %d of %d suspected, %d as snakes", name, alarms, runs, snakes)
		if float64(alarms) > c.allowed*runs {
			t.Errorf("%s: %d of %d surfaces are suspected without a slip, at most %.0f", name, alarms, runs, c.allowed*runs)
		}
	}
}
