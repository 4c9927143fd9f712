package lm63

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/spatial/r3"
)

// uneven is a pattern without symmetry, positive for all angles.
func uneven(h, v float64) float64 {
	return 100 * (3 + math.Sin(h*degree+0.3) + math.Cos(2*v*degree+0.7) + 0.5*math.Sin(h*degree)*math.Sin(3*v*degree))
}

// gridCases are files of all types and symmetries with a pattern that is
// smooth in none of them.
func gridCases() map[string]sample {
	c := func(v, h []float64, kind Type) sample {
		s := plain(v, h, uneven)
		s.kind = kind
		return s
	}
	odd := []float64{0, 3, 10, 11, 40, 77, 90, 120, 180}
	return map[string]sample{
		"C axial":        c(odd, []float64{0}, TypeC),
		"C quadrants":    c(odd, []float64{0, 20, 45, 90}, TypeC),
		"C mirrored y":   c(steps(0, 90, 7.5), []float64{0, 20, 45, 90, 100, 180}, TypeC),
		"C mirrored x":   c(odd, steps(90, 270, 15), TypeC),
		"C full":         c(odd, []float64{0, 20, 45, 90, 100, 180, 200, 359, 360}, TypeC),
		"C from -180":    c(odd, steps(-180, 180, 30), TypeC),
		"C open":         c(odd, steps(0, 350, 10), TypeC),
		"C upward":       c(steps(90, 180, 10), steps(0, 360, 40), TypeC),
		"C narrow":       c(steps(5, 35, 2.5), steps(0, 180, 36), TypeC),
		"A full":         c(steps(-90, 90, 15), steps(-90, 90, 10), TypeA),
		"A all round":    c(steps(-90, 90, 15), []float64{-180, -100, 0, 3, 100, 180}, TypeA),
		"A quadrants":    c(steps(0, 90, 15), steps(0, 90, 10), TypeA),
		"A mirrored x":   c([]float64{-20, -5, 0, 6, 40}, []float64{0, 3, 30}, TypeA),
		"A mirrored y":   c(steps(0, 30, 5), []float64{-20, 3, 30}, TypeA),
		"B full":         c(steps(-90, 90, 15), steps(-90, 90, 10), TypeB),
		"B all round":    c(steps(-180, 180, 15), []float64{-90, -10, 0, 3, 60, 90}, TypeB),
		"B quadrants":    c(steps(0, 90, 15), steps(0, 90, 10), TypeB),
		"B negative H":   c(steps(-40, 40, 10), steps(-90, 0, 10), TypeB),
		"B negative V":   c(steps(-40, 0, 10), steps(-90, 90, 10), TypeB),
		"B off the axis": c(steps(10, 40, 10), steps(5, 45, 10), TypeB),
	}
}

// TestFluxAgainstQuadrature integrates Intensity itself over each cell of the
// whole sphere by Gauss–Legendre of order 8 (exact for what is bilinear times a
// sine far beyond rounding), through directions in space.
func TestFluxAgainstQuadrature(t *testing.T) {
	for name, s := range gridCases() {
		d := s.read(t)
		polar, around := d.VerticalDeg, d.HorizontalDeg
		if s.kind == TypeB {
			polar, around = around, polar
		}
		lo, all := 0.0, []float64{0, 360}
		if s.kind != TypeC {
			lo, all = -90, []float64{-180, 180}
		}
		// All places where the pattern may have an edge, mirrors included.
		polar = edges(polar, lo, lo+180, func(a float64) []float64 { return []float64{a, -a} })
		around = edges(around, all[0], all[1], func(a float64) []float64 {
			return []float64{a, -a, 180 - a, 180 + a, 360 - a, a - 360, a + 360}
		})
		sum := 0.0
		for i := 1; i < len(polar); i++ {
			for j := 1; j < len(around); j++ {
				sum += quad.Fixed(func(p float64) float64 {
					weight := math.Sin((p - lo) * degree)
					return quad.Fixed(func(a float64) float64 {
						angles := Angles{HorizontalDeg: a, VerticalDeg: p}
						if s.kind == TypeB {
							angles = Angles{HorizontalDeg: p, VerticalDeg: a}
						}
						return weight * d.Intensity(s.kind.Direction(angles))
					}, around[j-1], around[j], 3, quad.Legendre{}, 0)
				}, polar[i-1], polar[i], 8, quad.Legendre{}, 0)
			}
		}
		sum *= degree * degree
		if off := d.Flux()/sum - 1; !(math.Abs(off) < 1e-10) {
			t.Errorf("%s: flux %.12g, quadrature %.12g, off by %.2g", name, d.Flux(), sum, off)
		}
	}
}

// edges returns the sorted images of angles within lo to hi, with both.
func edges(angles []float64, lo, hi float64, images func(float64) []float64) []float64 {
	set := map[float64]bool{lo: true, hi: true}
	for _, a := range angles {
		for _, b := range images(a) {
			if b > lo && b < hi {
				set[b] = true
			}
		}
	}
	out := make([]float64, 0, len(set))
	for a := range set {
		out = append(out, a)
	}
	for i := range out { // few enough for the plainest sort
		for j := range i {
			if out[i] < out[j] {
				out[i], out[j] = out[j], out[i]
			}
		}
	}
	return out
}

// TestBilinear compares with the formula, written out on the file's own values.
func TestBilinear(t *testing.T) {
	for name, s := range gridCases() {
		d := s.read(t)
		v, h := s.vertical, s.horizontal
		for i := 1; i < len(v); i++ {
			a := Angles{VerticalDeg: v[i-1] + 0.3*(v[i]-v[i-1])}
			if len(h) == 1 {
				want := 0.7*uneven(h[0], v[i-1]) + 0.3*uneven(h[0], v[i])
				for _, c := range []float64{0, 77, 301} {
					a.HorizontalDeg = c
					wantNear(t, name, d.Intensity(s.kind.Direction(a)), want, 1e-9)
				}
				continue
			}
			for j := 1; j < len(h); j++ {
				a.HorizontalDeg = h[j-1] + 0.6*(h[j]-h[j-1])
				want := 0.4*(0.7*uneven(h[j-1], v[i-1])+0.3*uneven(h[j-1], v[i])) +
					0.6*(0.7*uneven(h[j], v[i-1])+0.3*uneven(h[j], v[i]))
				wantNear(t, name, d.Intensity(s.kind.Direction(a)), want, 1e-9)
				wantNear(t, name+" by angles", d.IntensityAt(a), want, 1e-9)
			}
		}
		// Grid points, where not at a pole.
		for _, hh := range h {
			for _, vv := range v {
				if pole := s.kind == TypeC && math.Mod(vv, 180) == 0 || s.kind == TypeA && math.Abs(vv) == 90 || s.kind == TypeB && math.Abs(hh) == 90; pole || hh == 360 || hh == -180 || vv == -180 {
					continue
				}
				wantNear(t, name+" at a point", d.Intensity(s.kind.Direction(Angles{hh, vv})), uneven(hh, vv), 1e-6)
			}
		}
	}
}

// Outside the angles of the file there is no light, on the last angle there is.
func TestOutside(t *testing.T) {
	down := plain(steps(0, 90, 10), []float64{0}, func(_, _ float64) float64 { return 50 }).read(t)
	wantNear(t, "on the last angle", down.Intensity(r3.Vec{X: 1}), 50, 0)
	wantNear(t, "computed to be on the last angle", down.Intensity(TypeC.Direction(Angles{123, 90})), 50, 0)
	wantNear(t, "beyond", down.Intensity(r3.Vec{X: 1, Z: -1e-6}), 0, 0)
	s := plain(steps(-20, 20, 10), steps(-30, 30, 10), func(_, _ float64) float64 { return 50 })
	s.kind = TypeB
	spot := s.read(t)
	wantNear(t, "inside", spot.Intensity(r3.Vec{Z: 1}), 50, 0)
	wantNear(t, "behind", spot.Intensity(r3.Vec{Z: -1}), 0, 0)
	wantNear(t, "beside", spot.Intensity(r3.Vec{X: 1}), 0, 0)
	for _, v := range []r3.Vec{{}, {X: math.NaN()}, {Z: math.NaN(), X: 1}, {Z: math.Inf(1)}, {X: math.Inf(-1), Z: math.NaN()}} {
		wantNear(t, "no direction", down.Intensity(v), 0, 0)
		wantNear(t, "no direction", spot.Intensity(v), 0, 0)
	}
	for _, size := range []float64{1e-300, 1e-120, 1, 1e120, 1e300} {
		wantNear(t, "any length", spot.Intensity(r3.Vec{X: 0.1 * size, Z: size}), 50, 0)
		wantNear(t, "any length", down.Intensity(r3.Vec{X: 0.1 * size, Z: -size}), 0, 0)
	}
	wantNear(t, "angles that are none", down.IntensityAt(Angles{math.NaN(), math.NaN()}), 0, 0)
	wantNear(t, "past the pole", down.IntensityAt(Angles{0, -45}), 50, 0)
}

// One smooth pattern in space, written in each of the three types, is the same
// light. Bilinear interpolation is off by at most h²/8·|f″| for each angle; the
// pattern's second derivatives along a great circle are at most 40·peak, and
// along the circles about a pole less.
func TestTypesAgree(t *testing.T) {
	pattern := func(d r3.Vec) float64 {
		// An oblique spot over a broad base.
		axis := r3.Unit(r3.Vec{X: 0.2, Y: -0.1, Z: 1})
		return 1000*math.Exp(20*(r3.Dot(axis, d)-1)) + 50*(1+d.Y)
	}
	const step, peak = 1.0, 1100
	made := map[Type]*Distribution{}
	for kind, angles := range map[Type][2][]float64{
		TypeA: {steps(-90, 90, step), steps(-180, 180, step)},
		TypeB: {steps(-180, 180, step), steps(-90, 90, step)},
		TypeC: {steps(0, 180, step), steps(0, 360, step)},
	} {
		s := plain(angles[0], angles[1], func(h, v float64) float64 { return pattern(kind.Direction(Angles{h, v})) })
		s.kind = kind
		made[kind] = s.read(t)
	}
	tolerance := 2 * 40 * peak * (step * degree) * (step * degree) / 8
	for x := -1.0; x <= 1; x += 0.13 {
		for y := -1.0; y <= 1; y += 0.17 {
			for z := -1.0; z <= 1; z += 0.19 {
				d := r3.Unit(r3.Vec{X: x, Y: y, Z: z})
				for kind, m := range made {
					wantNear(t, "type "+kind.String(), m.Intensity(d), pattern(d), tolerance)
				}
			}
		}
	}
	// ∫ exp(κ(cos θ − 1)) dΩ = 2π(1 − e^(−2κ))/κ and ∫ 50(1 + y) dΩ = 200π.
	want := 1000*2*math.Pi*(1-math.Exp(-40))/20 + 200*math.Pi
	for kind, m := range made {
		wantNear(t, "flux of type "+kind.String(), m.Flux()/want, 1, 5e-4)
		wantNear(t, "peak of type "+kind.String(), m.Peak().IntensityCD, made[TypeC].Peak().IntensityCD, tolerance)
		for _, pair := range [][2]*float64{{m.Beam().XDeg, made[TypeC].Beam().XDeg}, {m.Beam().YDeg, made[TypeC].Beam().YDeg}} {
			wantNear(t, "beam of type "+kind.String(), *pair[0], *pair[1], 0.05)
		}
	}
}

// A symmetric file gives the same light as the full file that it abbreviates.
func TestSymmetryIsMirrored(t *testing.T) {
	type pair struct {
		kind     Type
		half     [2][]float64
		full     [2][]float64
		mx, my   bool
		symmetry Symmetry
	}
	for _, p := range []pair{
		{TypeC, [2][]float64{steps(0, 90, 10), steps(0, 90, 15)}, [2][]float64{steps(0, 90, 10), steps(0, 360, 15)}, true, true, Quadrants},
		{TypeC, [2][]float64{steps(0, 180, 10), steps(0, 180, 15)}, [2][]float64{steps(0, 180, 10), steps(0, 360, 15)}, false, true, MirroredY},
		{TypeC, [2][]float64{steps(0, 180, 10), steps(90, 270, 15)}, [2][]float64{steps(0, 180, 10), steps(0, 360, 15)}, true, false, MirroredX},
		{TypeA, [2][]float64{steps(0, 90, 10), steps(0, 90, 15)}, [2][]float64{steps(-90, 90, 10), steps(-90, 90, 15)}, true, true, Quadrants},
		{TypeA, [2][]float64{steps(-90, 90, 10), steps(0, 90, 15)}, [2][]float64{steps(-90, 90, 10), steps(-90, 90, 15)}, true, false, MirroredX},
		{TypeB, [2][]float64{steps(0, 90, 10), steps(-90, 90, 15)}, [2][]float64{steps(-90, 90, 10), steps(-90, 90, 15)}, false, true, MirroredY},
		{TypeB, [2][]float64{steps(-90, 90, 10), steps(-90, 0, 15)}, [2][]float64{steps(-90, 90, 10), steps(-90, 90, 15)}, true, false, MirroredX},
	} {
		pattern := func(h, v float64) float64 {
			d := p.kind.Direction(Angles{h, v})
			if p.mx {
				d.X = math.Abs(d.X)
			}
			if p.my {
				d.Y = math.Abs(d.Y)
			}
			return 100 + 30*d.X - 20*d.Y + 40*d.X*d.Y + 10*d.Z
		}
		a, b := plain(p.half[0], p.half[1], pattern), plain(p.full[0], p.full[1], pattern)
		a.kind, b.kind = p.kind, p.kind
		half, full := a.read(t), b.read(t)
		if half.Symmetry != p.symmetry || full.Symmetry != Full {
			t.Errorf("type %s: symmetry %s and %s, want %s and full", p.kind, half.Symmetry, full.Symmetry, p.symmetry)
		}
		wantNear(t, "flux", half.Flux()/full.Flux(), 1, 1e-12)
		for _, d := range []r3.Vec{{X: 1, Y: 2, Z: 3}, {X: -1, Y: 2, Z: 3}, {X: 1, Y: -2, Z: 0.4}, {X: -3, Y: -2, Z: 0.5}, {X: -0.01, Y: 0, Z: 1}, {X: 0, Y: -1, Z: 0.1}, {X: -2, Y: -1, Z: -1}} {
			wantNear(t, "intensity", half.Intensity(d), full.Intensity(d), 1e-9)
		}
	}
}
