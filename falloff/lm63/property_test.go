package lm63

import (
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"
)

// direction draws a unit vector.
func direction(t *rapid.T) r3.Vec {
	z := rapid.Float64Range(-1, 1).Draw(t, "z")
	phi := rapid.Float64Range(0, 2*math.Pi).Draw(t, "phi")
	r := math.Sqrt(1 - z*z)
	return r3.Vec{X: r * math.Cos(phi), Y: r * math.Sin(phi), Z: z}
}

// ascending draws ascending angles from lo to hi, both included.
func ascending(t *rapid.T, name string, lo, hi float64) []float64 {
	inner := rapid.SliceOfN(rapid.IntRange(1, 999), 0, 12).Draw(t, name)
	out := []float64{lo, hi}
	for _, i := range inner {
		out = append(out, lo+(hi-lo)*float64(i)/1000)
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// drawn draws a file of any type and symmetry with values from 0 to 1000.
func drawn(t *rapid.T) sample {
	type ranges struct {
		kind           Type
		v0, v1, h0, h1 float64
	}
	c := rapid.SampledFrom([]ranges{
		{TypeC, 0, 180, 0, 360}, {TypeC, 0, 90, 0, 360}, {TypeC, 90, 180, 0, 360}, {TypeC, 0, 180, 0, 180}, {TypeC, 0, 180, 90, 270},
		{TypeC, 0, 90, 0, 90}, {TypeC, 0, 180, 0, 0},
		{TypeA, -90, 90, -90, 90}, {TypeA, -90, 90, 0, 90}, {TypeA, 0, 90, 0, 90}, {TypeA, -90, 90, -180, 180}, {TypeA, -20, 30, -40, 35},
		{TypeB, -90, 90, -90, 90}, {TypeB, -90, 90, 0, 90}, {TypeB, 0, 90, 0, 90}, {TypeB, -180, 180, -90, 90}, {TypeB, -20, 30, -40, 35},
	}).Draw(t, "ranges")
	v := ascending(t, "v", c.v0, c.v1)
	h := []float64{0}
	if c.h1 > c.h0 {
		h = ascending(t, "h", c.h0, c.h1)
	}
	values := rapid.SliceOfN(rapid.IntRange(0, 1000), 7, 7).Draw(t, "values")
	values[0] = max(values[0], 1)
	s := plain(v, h, func(hh, vv float64) float64 {
		return float64(values[(slices.Index(h, hh)*len(v)+slices.Index(v, vv))%len(values)])
	})
	s.kind = c.kind
	return s
}

// Multiplier and ballast factor scale intensity, flux and peak and leave the
// shape.
func TestScaling(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawn(t)
		one := s.read(t)
		s.multiplier = rapid.Float64Range(0.01, 100).Draw(t, "multiplier")
		s.ballast = rapid.Float64Range(0.1, 2).Draw(t, "ballast factor")
		factor := s.multiplier * s.ballast
		many := s.read(t)
		d := direction(t)
		wantNear(t, "intensity", many.Intensity(d), factor*one.Intensity(d), 1e-9*factor*one.Peak().IntensityCD)
		wantNear(t, "flux", many.Flux(), factor*one.Flux(), 1e-9*factor*one.Flux())
		wantNear(t, "peak", many.Peak().IntensityCD, factor*one.Peak().IntensityCD, 1e-9*factor*one.Peak().IntensityCD)
		wantNear(t, "peak stays", r3.Norm(r3.Sub(many.Peak().Direction, one.Peak().Direction)), 0, 0)
		a, okA := one.Beam().Mean()
		b, okB := many.Beam().Mean()
		if okA != okB {
			t.Errorf("beam known %v, then %v", okA, okB)
		}
		wantNear(t, "beam", b, a, 1e-6)
	})
}

// Intensities lie between 0 and the peak, which is met at its direction.
func TestBounds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawn(t)
		d := s.read(t)
		p := d.Peak()
		for range 20 {
			if i := d.Intensity(direction(t)); !(i >= 0 && i <= p.IntensityCD*(1+1e-12)) {
				t.Fatalf("intensity %v, peak %v", i, p.IntensityCD)
			}
		}
		wantNear(t, "at the peak", d.IntensityAt(p.Angles), p.IntensityCD, 1e-9*p.IntensityCD)
		if most := 4 * math.Pi * p.IntensityCD; !(d.Flux() >= 0 && d.Flux() <= most*(1+1e-12)) {
			t.Fatalf("flux %v, peak %v", d.Flux(), p.IntensityCD)
		}
		// A lower share is never narrower.
		before := 0.0
		for _, share := range []float64{1, 0.5, 0.1, 0.01} {
			w := d.Width(share)
			if w.XDeg == nil {
				continue
			}
			if *w.XDeg < before-1e-6 || *w.XDeg > 360 {
				t.Fatalf("width at %v is %v, was %v", share, *w.XDeg, before)
			}
			before = *w.XDeg
		}
	})
}

// Turning all planes of a full file of type C by an angle turns the light about
// the aim by it.
func TestRotation(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := plain(ascending(t, "v", 0, 180), steps(0, 360, 15), nil)
		values := rapid.SliceOfN(rapid.IntRange(1, 1000), 24*len(s.vertical), 24*len(s.vertical)).Draw(t, "values")
		value := func(turn int) func(h, v float64) float64 {
			return func(h, v float64) float64 {
				plane := (int(math.Round(h/15)) - turn + 48) % 24
				return float64(values[plane*len(s.vertical)+slices.Index(s.vertical, v)])
			}
		}
		turn := rapid.IntRange(0, 23).Draw(t, "turn")
		s.candela = value(0)
		straight := s.read(t)
		s.candela = value(turn)
		turned := s.read(t)
		wantNear(t, "flux", turned.Flux(), straight.Flux(), 1e-9*straight.Flux())
		d := direction(t)
		about := r3.NewRotation(float64(turn)*15*degree, r3.Vec{Z: 1})
		// Near the poles the planes meet and a tiny turn is a large one.
		if math.Abs(d.Z) < 0.999 {
			wantNear(t, "intensity", turned.Intensity(about.Rotate(d)), straight.Intensity(d), 1e-6)
		}
	})
}

// An axially symmetric file is the same all round, and the same as a full file
// with equal planes.
func TestAxial(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := ascending(t, "v", 0, 180)
		values := rapid.SliceOfN(rapid.IntRange(1, 1000), len(v), len(v)).Draw(t, "values")
		f := func(_, vv float64) float64 { return float64(values[slices.Index(v, vv)]) }
		one, all := plain(v, []float64{0}, f).read(t), plain(v, ascending(t, "h", 0, 360), f).read(t)
		wantNear(t, "flux", all.Flux(), one.Flux(), 1e-9*one.Flux())
		d := direction(t)
		wantNear(t, "intensity", all.Intensity(d), one.Intensity(d), 1e-9)
		about := r3.NewRotation(rapid.Float64Range(0, 7).Draw(t, "turn"), r3.Vec{Z: 1})
		wantNear(t, "turned", one.Intensity(about.Rotate(d)), one.Intensity(d), 1e-6)
	})
}

// Angles there and back are the same direction.
func TestAnglesRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		kind := rapid.SampledFrom([]Type{TypeA, TypeB, TypeC}).Draw(t, "type")
		d := direction(t)
		back := kind.Direction(kind.AnglesOf(d))
		wantNear(t, "direction", r3.Norm(r3.Sub(back, d)), 0, 1e-12)
	})
}

func TestUnknownType(t *testing.T) {
	if Type(9).String() != "unknown" {
		t.Error("an unknown type has a name")
	}
	for _, f := range []func(){func() { Type(9).Direction(Angles{}) }, func() { Type(9).AnglesOf(r3.Vec{Z: 1}) }} {
		func() {
			defer func() {
				if recover() == nil {
					t.Error("an unknown type did not panic")
				}
			}()
			f()
		}()
	}
}
