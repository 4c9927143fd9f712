package lm63

import (
	"math"
	"testing"
)

// Piecewise linear patterns whose edges follow by the rule of three.
func TestWidth(t *testing.T) {
	tent := func(_, v float64) float64 { return math.Max(0, 100*(1-v/40)) }
	spot := plain(steps(0, 90, 10), []float64{0}, tent).read(t)
	wantNear(t, "beam of a tent", *spot.Beam().XDeg, 40, 1e-9)
	wantNear(t, "field of a tent", *spot.Field().YDeg, 72, 1e-9)
	wantNear(t, "three quarters", *spot.Width(0.75).XDeg, 20, 1e-9)
	wantNear(t, "the peak alone", *spot.Width(1).XDeg, 0, 1e-6)

	// Wider across x than across y, in all types.
	oval := func(x, y float64) float64 {
		return math.Max(0, 100*(1-math.Abs(x)/40-math.Abs(y)/20))
	}
	for _, kind := range []Type{TypeA, TypeB} {
		for _, angles := range [][2][]float64{
			{steps(-90, 90, 5), steps(-90, 90, 5)}, {steps(0, 90, 5), steps(0, 90, 5)}, {steps(-90, 90, 5), steps(0, 90, 5)},
		} {
			s := plain(angles[0], angles[1], oval)
			s.kind = kind
			d := s.read(t)
			wantNear(t, "x", *d.Beam().XDeg, 40, 1e-9)
			wantNear(t, "y", *d.Beam().YDeg, 20, 1e-9)
			wantNear(t, "field x", *d.Field().XDeg, 72, 1e-9)
		}
	}
	s := plain(steps(0, 90, 5), steps(0, 90, 90), func(h, v float64) float64 { return oval(v*(90-h)/90, v*h/90) })
	wantNear(t, "x of type C", *s.read(t).Beam().XDeg, 40, 1e-9)
	wantNear(t, "y of type C", *s.read(t).Beam().YDeg, 20, 1e-9)

	// Two lobes: the width is over both, the dip does not end it.
	bat := plain(steps(0, 90, 5), []float64{0}, func(_, v float64) float64 { return math.Max(0, 100-4*math.Abs(v-50)) }).read(t)
	wantNear(t, "two lobes", *bat.Beam().XDeg, 2*(50+12.5), 1e-9)

	// Light straight back fills the back only.
	up := plain(steps(90, 180, 10), []float64{0}, func(_, v float64) float64 { return math.Max(0, 100*(1-(180-v)/40)) }).read(t)
	wantNear(t, "backward", *up.Beam().XDeg, 40, 1e-9)

	// A jump at the end of the angles is an edge.
	cut := plain(steps(0, 35, 5), []float64{0}, func(_, _ float64) float64 { return 100 }).read(t)
	wantNear(t, "cut", *cut.Beam().YDeg, 70, 1e-6)

	// One-sided: light only toward +x.
	side := plain(steps(0, 90, 10), steps(0, 360, 30), func(h, v float64) float64 {
		if h != 0 && h != 360 {
			return 0
		}
		return math.Max(0, 100-10*math.Abs(v-40))
	}).read(t)
	wantNear(t, "one side", *side.Beam().XDeg, 10, 1e-9)
	if w := side.Beam(); w.YDeg != nil {
		t.Errorf("dark plane has a width of %v", *w.YDeg)
	}
	if m, ok := side.Beam().Mean(); !ok || math.Abs(m-10) > 1e-9 {
		t.Errorf("mean %v %v, want the one known, 10", m, ok)
	}
	if _, ok := (Width{}).Mean(); ok {
		t.Error("mean of nothing")
	}
	if p := side.Peak(); p.Angles != (Angles{0, 40}) || p.IntensityCD != 100 {
		t.Errorf("peak %+v", p)
	}
	for _, share := range []float64{0, -1, 1.5, math.NaN()} {
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("share %v did not panic", share)
				}
			}()
			spot.Width(share)
		}()
	}
}
