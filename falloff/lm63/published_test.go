package lm63

import (
	"math"
	"testing"

	"evenfall/testdata"

	"gonum.org/v1/gonum/spatial/r3"
)

var typesByLetter = map[string]Type{"A": TypeA, "B": TypeB, "C": TypeC}

// Source: testdata, mark P2.
func TestDirections(t *testing.T) {
	for _, f := range testdata.LuminaireDirections() {
		kind := typesByLetter[f.Type]
		d := kind.Direction(Angles{f.HorizontalDeg, f.VerticalDeg})
		for i, got := range []float64{d.X, d.Y, d.Z} {
			wantNear(t, f.Type+" "+string("xyz"[i]), got, f.Direction[i], f.Tolerance)
		}
		// Back, with the figures as printed and at any length.
		a := kind.AnglesOf(r3.Vec{X: 7 * f.Direction[0], Y: 7 * f.Direction[1], Z: 7 * f.Direction[2]})
		wantNear(t, f.Type+" H", a.HorizontalDeg, f.HorizontalDeg, 1e-4)
		wantNear(t, f.Type+" V", a.VerticalDeg, f.VerticalDeg, 1e-4)
		if kind.String() != f.Type {
			t.Errorf("type %s is called %s", f.Type, kind)
		}
	}
}

// One candela within a zone, none elsewhere. Source: testdata, mark P1.
func TestZoneConstants(t *testing.T) {
	for _, z := range testdata.ZoneConstants() {
		one := func(_, _ float64) float64 { return 1 }
		for _, step := range []float64{10, 1} {
			d := plain(steps(z.FromDeg, z.ToDeg, step), []float64{0}, one).read(t)
			wantNear(t, "zone", d.Flux(), z.Lumens, z.Tolerance)
			wantNear(t, "formula", d.Flux(), 2*math.Pi*(math.Cos(z.FromDeg*degree)-math.Cos(z.ToDeg*degree)), 1e-12)
		}
	}
}

// A source even in all directions, in all types and symmetries. Source:
// testdata, mark P3.
func TestIsotropic(t *testing.T) {
	const cd = 1000 / (4 * math.Pi)
	wantNear(t, "1000 lm", cd, testdata.IsotropicCandelaPerKilolm, 5e-4)
	even := func(_, _ float64) float64 { return cd }
	for _, c := range []struct {
		kind       Type
		vertical   []float64
		horizontal []float64
		want       Symmetry
	}{
		{TypeC, steps(0, 180, 10), []float64{0}, Axial},
		{TypeC, steps(0, 180, 10), steps(0, 90, 15), Quadrants},
		{TypeC, steps(0, 180, 10), steps(0, 180, 15), MirroredY},
		{TypeC, steps(0, 180, 10), steps(90, 270, 15), MirroredX},
		{TypeC, []float64{0, 7, 20, 90, 180}, steps(0, 360, 15), Full},
		{TypeC, steps(0, 180, 10), []float64{0, 100, 150, 360}, Full},
		{TypeA, steps(-90, 90, 10), steps(-180, 180, 15), Full},
		{TypeA, steps(0, 90, 10), steps(0, 180, 15), Quadrants},
		{TypeB, steps(-180, 180, 10), steps(-90, 90, 15), Full},
		{TypeB, steps(0, 180, 10), steps(-90, 90, 15), MirroredY},
		{TypeB, steps(-180, 180, 10), steps(0, 90, 15), MirroredX},
	} {
		s := plain(c.vertical, c.horizontal, even)
		s.kind = c.kind
		d := s.read(t)
		if d.Symmetry != c.want || d.Type != c.kind {
			t.Errorf("type %s symmetry %s, want %s %s", d.Type, d.Symmetry, c.kind, c.want)
		}
		wantNear(t, "flux", d.Flux(), 1000, 1e-9)
		wantNear(t, "peak", d.Peak().IntensityCD, testdata.IsotropicCandelaPerKilolm, 5e-4)
		for _, v := range []r3.Vec{{X: 1}, {Y: 1}, {Z: 1}, {X: -1}, {Y: -1}, {Z: -1}, {X: 1, Y: 2, Z: 3}, {X: -3, Y: 0.1, Z: -2}} {
			wantNear(t, "intensity", d.Intensity(v), testdata.IsotropicCandelaPerKilolm, 5e-4)
		}
		for _, w := range []Width{d.Beam(), d.Field()} {
			wantNear(t, "width in x", *w.XDeg, 360, 0)
			wantNear(t, "width in y", *w.YDeg, 360, 0)
		}
		wantWarnings(t, d)
	}
}

// Cosine-power beams. Source: testdata, mark B1 (m and peak per 1000 lm of a
// beam angle), and Φ = 2π·I0/(m+1). Linear interpolation is off by a share that
// falls with the square of the step.
func TestCosineBeams(t *testing.T) {
	for _, f := range testdata.Beams() {
		off := map[float64]float64{}
		for _, step := range []float64{2.5, 1, 0.25} {
			for _, planes := range [][]float64{{0}, steps(0, 90, 22.5), steps(0, 360, 30)} {
				d := plain(steps(0, 90, step), planes, power(f.CandelaPerKilolm, f.Exponent)).read(t)
				off[step] = math.Abs(d.Flux()/1000 - 1)
				wantNear(t, "beam", *d.Beam().XDeg, f.BeamDeg, 0.02*step*step)
				wantNear(t, "beam", *d.Beam().YDeg, f.BeamDeg, 0.02*step*step)
				// cosᵐ(field/2) = 1/10, by the same formula with ln 10 for ln 2.
				field := 2 * math.Acos(math.Pow(0.1, 1/f.Exponent)) * degrees
				wantNear(t, "field", *d.Field().XDeg, field, 0.025*step*step)
				wantNear(t, "peak", d.Peak().IntensityCD, f.CandelaPerKilolm, 1e-9)
				wantNear(t, "peak along the aim", d.Peak().Direction.Z, 1, 0)
				mean, ok := d.Beam().Mean()
				wantNear(t, "mean", mean, f.BeamDeg, 0.02*step*step)
				if !ok {
					t.Error("no mean")
				}
			}
		}
		wantNear(t, "flux at 0.25°", off[0.25], 0, 5e-5)
		wantNear(t, "flux at 1°", off[1], 0, 8e-4)
		// Second order: a step 4 times finer is 16 times better.
		wantNear(t, "order", off[1]/off[0.25], 16, 0.2)
	}
}

// The zonal-sum method of the IES Lighting Handbook: mid-zone intensity, mean of
// the planes, times 2π(cos θ1 − cos θ2).
func TestFluxAgainstZonalSum(t *testing.T) {
	shapes := map[string]func(h, v float64) float64{
		"cos":       power(300, 1),
		"60° beam":  power(900, 4.818842),
		"batwing":   func(_, v float64) float64 { return math.Max(0, math.Sin(2*v*degree)) * 400 },
		"two-sided": func(h, v float64) float64 { return 200 * (1 + math.Cos(2*h*degree)*math.Sin(v*degree)) },
		"up and down": func(h, v float64) float64 {
			return 100 + 50*math.Cos(v*degree) + 20*math.Cos(h*degree)*math.Sin(v*degree)
		},
	}
	for name, f := range shapes {
		const step = 2.5
		d := plain(steps(0, 180, step), steps(0, 360, 22.5), f).read(t)
		sum := 0.0
		for lo := 0.0; lo < 180; lo += 2 * step {
			mid := 0.0
			for c := 0.0; c < 360; c += 22.5 {
				mid += f(c, lo+step) / 16
			}
			sum += mid * 2 * math.Pi * (math.Cos(lo*degree) - math.Cos((lo+2*step)*degree))
		}
		if off := d.Flux()/sum - 1; math.Abs(off) > 0.005 {
			t.Errorf("%s: flux %.5g lm, zonal sum %.5g lm, off by %.2g", name, d.Flux(), sum, off)
		}
	}
}
