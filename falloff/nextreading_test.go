package falloff

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

// The reading or check that is asked for settles what it is said to in most series.
func TestNextReadingSettles(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 1))
	frame := mustRectangle(t, r3.Vec{}, r3.Vec{Z: 1}, r3.Vec{Y: 1}, 1.2, 0.8, 1000/(1.2*0.8))
	lights := []func(m float64) float64{
		func(m float64) float64 { return 1000 / (m*m + 0.25) }, // a disc 1 m across
		func(m float64) float64 { return frame.Illuminance(r3.Vec{Z: m}, r3.Vec{Z: -1}) },
	}
	const runs, ambient = 10, 5
	o := Options{MarkM: 2, Repeatability: 0.02}
	asked, settled, actions := 0, 0, map[string]int{}
	for _, light := range lights {
		for _, offset := range []float64{0, 0.1} {
			read := func(m float64) Reading {
				return Reading{DistanceM: m, Level: (light(m+offset) + ambient) * math.Exp(0.02*rng.NormFloat64())}
			}
			for range runs {
				var readings []Reading
				for _, m := range []float64{0.6, 1, 1.6, 2.6, 4.3, 7.2} {
					readings = append(readings, read(m))
				}
				d := fitOrFail(t, readings, o)
				next := d.Next
				if d.Settled || d.Scatter != nil {
					if next != nil {
						t.Fatalf("settled %v, asks for %+v", d.Settled, next)
					}
					continue
				}
				if next == nil || !code(d.Warnings, "unsettled") || len(d.Advice) == 0 {
					t.Fatalf("%+v: %v, %v", d.Settles, d.Warnings, d.Advice)
				}
				actions[next.Action]++
				if !next.Settles.all() {
					continue
				}
				asked++
				then := o
				if next.Action == ActionTape {
					then.TapeChecked = true
					for i := range readings {
						readings[i].DistanceM += offset
					}
				} else {
					readings = append(readings, read(*next.DistanceM))
				}
				if fitOrFail(t, readings, then).Settled {
					settled++
				}
			}
		}
	}
	t.Logf("asked for %v; of %d that were to settle everything %d did", actions, asked, settled)
	if asked < runs || settled < asked*3/4 {
		t.Errorf("of %d only %d settle", asked, settled)
	}
}
