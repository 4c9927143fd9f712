package falloff

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"evenfall/testdata"
)

func mustRectangle(t testing.TB, center, normal, up r3.Vec, w, h, l float64) Polygon {
	t.Helper()
	p, err := Rectangle(center, normal, up, w, h, l)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func vec(a [3]float64) r3.Vec { return r3.Vec{X: a[0], Y: a[1], Z: a[2]} }

// The figures of testdata.Sources, which were found by two routes other than
// this code.
func TestSourceFigures(t *testing.T) {
	for _, f := range testdata.Sources() {
		var s Source
		switch f.Shape {
		case "disc":
			s = Disc{Normal: r3.Vec{Z: 1}, RadiusM: f.RadiusM, Luminance: f.Luminance}
		case "rectangle":
			s = mustRectangle(t, r3.Vec{}, r3.Vec{Z: 1}, r3.Vec{Y: 1}, f.WidthM, f.HeightM, f.Luminance)
		default:
			t.Fatalf("shape %q", f.Shape)
		}
		within(t, f.Name, s.Illuminance(vec(f.At), vec(f.Normal)), f.Expected, f.RelativeTolerance)
	}
}

// Published view factors from finite patches: the mean of our E/(πL) over the
// patch, by Gauss–Legendre quadrature.
func TestViewFactors(t *testing.T) {
	for _, f := range testdata.ViewFactors() {
		up, front := r3.Vec{Y: 1}, r3.Vec{Z: 1}
		var s Source = Disc{Normal: front, RadiusM: f.RadiusM, Luminance: 1 / math.Pi}
		if f.Shape == "rectangle" {
			s = mustRectangle(t, r3.Vec{Y: f.HeightM / 2}, front, up, f.WidthM, f.HeightM, 1/math.Pi)
		}
		var got float64
		mean := func(g func(float64) float64, lo, hi float64) float64 {
			return quad.Fixed(g, lo, hi, 200, nil, 0) / (hi - lo)
		}
		half := f.PatchWidthM / 2
		switch f.Patch {
		case "disc":
			r := f.PatchRadiusM
			got = quad.Fixed(func(x float64) float64 {
				return 2 * x / (r * r) * s.Illuminance(r3.Vec{X: x, Z: f.DistanceM}, r3.Vec{Z: -1})
			}, 0, r, 100, nil, 0)
		case "strip":
			got = mean(func(x float64) float64 {
				return s.Illuminance(r3.Vec{X: x, Z: f.DistanceM}, r3.Vec{Z: -1})
			}, -half, half)
		case "perpendicular strip":
			got = mean(func(x float64) float64 {
				return s.Illuminance(r3.Vec{X: x, Z: f.DistanceM}, up)
			}, -half, half)
		default:
			t.Fatalf("patch %q", f.Patch)
		}
		t.Logf("%-52s %.5f", f.Name, got)
		if math.Abs(got-f.Expected) > f.Tolerance {
			t.Errorf("%s: got %.6f, published %g", f.Name, got, f.Expected)
		}
	}
}

// Handbook closed forms for a small receiver, against both sources: Howell's
// catalog B-12 to B-14 for discs; BR 187 (Building Research Establishment) for
// a rectangle whose corner is opposite the receiver.
func TestHandbookForms(t *testing.T) {
	for _, r := range []float64{0.05, 0.5, 2} {
		for _, h := range []float64{0.01, 0.3, 4} {
			for _, a := range []float64{0.02, 0.6, 7} {
				d := Disc{Normal: r3.Vec{Z: 1}, RadiusM: r, Luminance: 1 / math.Pi}
				at := r3.Vec{X: a, Z: h}
				hh, rr := h/a, r/a
				z := 1 + hh*hh + rr*rr
				root := math.Sqrt(z*z - 4*rr*rr)
				what := fmt.Sprintf("disc R=%g h=%g a=%g", r, h, a)
				// The printed forms lose digits to cancellation for small far discs.
				loose := 1e-9 + 1e-14/(rr*rr*hh*hh)
				within(t, what+" parallel", d.Illuminance(at, r3.Vec{Z: -1}), (1-(z-2*rr*rr)/root)/2, loose)
				if a > r {
					within(t, what+" perpendicular", d.Illuminance(at, r3.Vec{X: -1}), hh/2*(z/root-1), loose)
				}
				within(t, what+" axis", d.Illuminance(r3.Vec{Z: h}, r3.Vec{Z: -1}), r*r/(r*r+h*h), 1e-14)

				w, hgt := 2*r, a
				q := mustRectangle(t, r3.Vec{X: w / 2, Y: hgt / 2}, r3.Vec{Z: 1}, r3.Vec{Y: 1}, w, hgt, 1/math.Pi)
				x, y := w/h, hgt/h
				sx, sy := math.Sqrt(1+x*x), math.Sqrt(1+y*y)
				within(t, what+" rectangle parallel", q.Illuminance(r3.Vec{Z: h}, r3.Vec{Z: -1}),
					(x/sx*math.Atan(y/sx)+y/sy*math.Atan(x/sy))/(2*math.Pi), 1e-12)
				within(t, what+" rectangle perpendicular", q.Illuminance(r3.Vec{Z: h}, r3.Vec{Y: 1}),
					(math.Atan(x)-math.Atan(x/sy)/sy)/(2*math.Pi), 1e-11+1e-15/(y*y))
			}
		}
	}
}

// Any place, any tilt, horizon included, against the area integral
// ∫ L·cos θ·cos θ′/r² dA taken with gonum's quadrature.
func TestSourcesAgainstQuadrature(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 2))
	random := func() r3.Vec {
		return r3.Vec{X: rng.NormFloat64(), Y: rng.NormFloat64(), Z: rng.NormFloat64()}
	}
	element := func(p, w, at, n r3.Vec) float64 {
		ray := r3.Sub(p, at)
		c, cc := r3.Dot(n, ray), -r3.Dot(w, ray)
		if c <= 0 || cc <= 0 {
			return 0
		}
		d2 := r3.Norm2(ray)
		return c * cc / (d2 * d2)
	}
	for i := range 40 {
		w, _ := unit(random())
		u := across(w)
		v := r3.Cross(w, u)
		c, n := random(), random()
		n, _ = unit(n)
		// Out of the source's own plane, where the integrand is all spike.
		at := r3.Add(r3.Add(c, r3.Scale(0.5+2*rng.Float64(), w)), r3.Add(r3.Scale(2*rng.NormFloat64(), u), r3.Scale(2*rng.NormFloat64(), v)))
		radius := 0.2 + rng.Float64()
		disc := Disc{Center: c, Normal: w, RadiusM: radius, Luminance: 3}
		// The horizon makes a kink in the integrand; many points stand for it.
		want := 3 * quad.Fixed(func(r float64) float64 {
			return r * quad.Fixed(func(phi float64) float64 {
				s, co := math.Sincos(phi)
				p := r3.Add(c, r3.Add(r3.Scale(r*co, u), r3.Scale(r*s, v)))
				return element(p, w, at, n)
			}, 0, 2*math.Pi, 300, nil, 0)
		}, 0, radius, 300, nil, 0)
		got := disc.Illuminance(at, n)
		if math.Abs(got-want) > 2e-5*math.Pi*disc.Luminance*radius*radius {
			t.Errorf("disc %d: got %.9g, quadrature %.9g", i, got, want)
		}
		wd, ht := 0.3+rng.Float64(), 0.3+rng.Float64()
		// v×w = u, so the width runs along u.
		rect := mustRectangle(t, c, w, v, wd, ht, 3)
		want = 3 * quad.Fixed(func(x float64) float64 {
			return quad.Fixed(func(y float64) float64 {
				return element(r3.Add(c, r3.Add(r3.Scale(x, u), r3.Scale(y, v))), w, at, n)
			}, -ht/2, ht/2, 300, nil, 0)
		}, -wd/2, wd/2, 300, nil, 0)
		got = rect.Illuminance(at, n)
		if math.Abs(got-want) > 2e-5*3*wd*ht {
			t.Errorf("rectangle %d: got %.9g, quadrature %.9g", i, got, want)
		}
	}
}

// A regular polygon tends to the disc of the same radius, with an error that
// falls as the square of its corners; a small far rectangle tends to the point
// of intensity L·A.
func TestSourcesTendToEachOther(t *testing.T) {
	disc := Disc{Normal: r3.Vec{Z: 1}, RadiusM: 0.5, Luminance: 1}
	var last float64
	for i, corners := range []int{100, 1000, 10000} {
		var c []r3.Vec
		for k := range corners {
			s, co := math.Sincos(2 * math.Pi * float64(k) / float64(corners))
			c = append(c, r3.Vec{X: 0.5 * co, Y: 0.5 * s})
		}
		p, err := NewPolygon(c, 1)
		if err != nil {
			t.Fatal(err)
		}
		var worst float64
		for _, n := range []r3.Vec{{Z: -1}, {X: 1}, {X: -1, Z: -0.2}, {X: -1, Y: 0.4, Z: 0.3}, {X: 1, Y: -2, Z: 0.1}} {
			for _, at := range []r3.Vec{{Z: 1}, {X: 0.3, Y: 0.1, Z: 0.4}, {X: 2, Y: -1, Z: 0.1}} {
				worst = math.Max(worst, math.Abs(p.Illuminance(at, n)-disc.Illuminance(at, n)))
			}
		}
		if i > 0 && worst > last/80 {
			t.Errorf("%d corners: off by %.3g, at a tenth of the corners %.3g", corners, worst, last)
		}
		last = worst
	}
	if last > 1e-7 {
		t.Errorf("10000 corners are still %.3g off the disc", last)
	}

	at, n := r3.Vec{X: 30, Y: -40, Z: 100}, r3.Vec{X: -0.2, Y: 0.1, Z: -1}
	for _, size := range []float64{1, 0.1, 1e-3, 1e-6} {
		r := mustRectangle(t, r3.Vec{}, r3.Vec{Z: 1}, r3.Vec{Y: 1}, 2*size, size, 7)
		point := Beam{Axis: r3.Vec{Z: 1}, PeakIntensity: r.Intensity(), Exponent: 1}
		within(t, fmt.Sprintf("rectangle of %g m", size), r.Illuminance(at, n), point.Illuminance(at, n), size*size*1e-3+1e-9)
	}
}

// The five-times rule: at five diameters the inverse square is 1 % off a disc.
func TestFiveTimesRule(t *testing.T) {
	d := Disc{Normal: r3.Vec{Z: 1}, RadiusM: 0.5, Luminance: 1}
	at := 5 * 2 * d.RadiusM
	e := d.Illuminance(r3.Vec{Z: at}, r3.Vec{Z: -1})
	within(t, "inverse square over disc at five diameters", d.Intensity()/(at*at)/e, 1.01, 1e-12)
}

// Beam exponents and peaks from their definitions: half intensity at half the
// beam, and the flux from integrating the intensity.
func TestBeam(t *testing.T) {
	for _, c := range testdata.Beams() {
		b, err := NewBeam(r3.Vec{}, r3.Vec{Z: 2}, 1000, c.BeamDeg)
		if err != nil {
			t.Fatal(err)
		}
		within(t, "exponent", b.Exponent, c.Exponent, c.RelativeTolerance)
		within(t, "peak per klm", b.PeakIntensity, c.CandelaPerKilolm, c.RelativeTolerance)
		within(t, "beam from exponent", BeamDeg(b.Exponent), c.BeamDeg, 1e-12)
		within(t, "flux", b.Flux(), 1000, 1e-12)
		// Facing receivers on the unit sphere show the intensity itself.
		intensity := func(gamma float64) float64 {
			s, co := math.Sincos(gamma)
			at := r3.Vec{X: s, Z: co}
			return b.Illuminance(at, r3.Scale(-1, at))
		}
		within(t, "half intensity", intensity(c.BeamDeg/2*math.Pi/180), b.PeakIntensity/2, 1e-12)
		flux := quad.Fixed(func(g float64) float64 {
			return 2 * math.Pi * intensity(g) * math.Sin(g)
		}, 0, math.Pi/2, 200, nil, 0)
		within(t, "flux by integration", flux, 1000, 1e-9)
		within(t, "inverse square", b.Illuminance(r3.Vec{Z: 3}, r3.Vec{Z: -1}), b.PeakIntensity/9, 1e-14)
		within(t, "cosine", b.Illuminance(r3.Vec{Z: 1}, r3.Vec{X: math.Sqrt(3), Z: -1}), b.PeakIntensity/2, 1e-12)
	}
	for _, bad := range []float64{0, -1, 180, 200, math.NaN(), math.Inf(1)} {
		if _, err := BeamExponent(bad); err == nil {
			t.Errorf("beam of %g° is taken", bad)
		}
	}
	if m, _ := BeamExponent(0.001); math.Abs(BeamDeg(m)/0.001-1) > 1e-6 {
		t.Errorf("a beam of 0.001° comes back as %g", BeamDeg(m))
	}
}

// A non-convex source that the horizon cuts into two islands, against the two
// rectangles it is made of.
func TestPolygonInTwoIslands(t *testing.T) {
	// A U: two prongs 1 m wide and 3 m high, 2 m apart, on a bar 1 m high.
	u, err := NewPolygon([]r3.Vec{{}, {X: 4}, {X: 4, Y: 4}, {X: 3, Y: 4}, {X: 3, Y: 1}, {X: 1, Y: 1}, {X: 1, Y: 4}, {Y: 4}}, 2)
	if err != nil {
		t.Fatal(err)
	}
	left := mustRectangle(t, r3.Vec{X: 0.5, Y: 2.5}, r3.Vec{Z: 1}, r3.Vec{Y: 1}, 1, 3, 2)
	right := mustRectangle(t, r3.Vec{X: 3.5, Y: 2.5}, r3.Vec{Z: 1}, r3.Vec{Y: 1}, 1, 3, 2)
	for _, at := range []r3.Vec{{X: 2, Y: 2, Z: 1}, {X: -1, Y: 1.5, Z: 0.3}, {X: 2, Y: 3, Z: 2}} {
		// Looking up: all that is lower than the receiver is below its horizon.
		n := r3.Vec{Y: 1}
		within(t, "U", u.Illuminance(at, n), left.Illuminance(at, n)+right.Illuminance(at, n), 1e-12)
	}
	within(t, "area", u.Intensity()/u.Luminance(), 10, 1e-15)
	bar := mustRectangle(t, r3.Vec{X: 2, Y: 0.5}, r3.Vec{Z: 1}, r3.Vec{Y: 1}, 4, 1, 2)
	at, n := r3.Vec{X: 1, Y: 2, Z: 3}, r3.Vec{X: 0.1, Y: -0.2, Z: -1}
	within(t, "U facing", u.Illuminance(at, n), left.Illuminance(at, n)+right.Illuminance(at, n)+bar.Illuminance(at, n), 1e-12)
}

func TestPolygonErrors(t *testing.T) {
	up := r3.Vec{Y: 1}
	for name, make := range map[string]func() (Polygon, error){
		"two corners": func() (Polygon, error) { return NewPolygon([]r3.Vec{{}, {X: 1}}, 1) },
		"on a line":   func() (Polygon, error) { return NewPolygon([]r3.Vec{{}, {X: 1}, {X: 2}}, 1) },
		"not flat":    func() (Polygon, error) { return NewPolygon([]r3.Vec{{}, {X: 1}, {X: 1, Y: 1, Z: 0.1}, {Y: 1}}, 1) },
		"not finite":  func() (Polygon, error) { return NewPolygon([]r3.Vec{{}, {X: math.NaN()}, {Y: 1}}, 1) },
		"no width":    func() (Polygon, error) { return Rectangle(r3.Vec{}, r3.Vec{Z: 1}, up, 0, 1, 1) },
		"no normal":   func() (Polygon, error) { return Rectangle(r3.Vec{}, r3.Vec{}, up, 1, 1, 1) },
		"up is front": func() (Polygon, error) { return Rectangle(r3.Vec{}, up, up, 1, 1, 1) },
	} {
		if _, err := make(); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
	if e := (Polygon{}).Illuminance(r3.Vec{Z: 1}, r3.Vec{Z: -1}); e != 0 {
		t.Errorf("the empty polygon gives %g", e)
	}
}

// Places where the formulas have no value, or nearly: never NaN, never
// negative, never more than a half space of the same luminance, π·L.
func TestSourcesAtTheEdges(t *testing.T) {
	values := []float64{0, 1, -1, 0.5, -0.5, 0.5 + 1e-16, 1e-300, -1e-300, 1e-12, -1e-12, 1e8}
	rapid.Check(t, func(t *rapid.T) {
		coordinate := rapid.OneOf(rapid.SampledFrom(values), rapid.Float64Range(-2, 2))
		draw := func(name string) r3.Vec {
			return r3.Vec{X: coordinate.Draw(t, name+".X"), Y: coordinate.Draw(t, name+".Y"), Z: coordinate.Draw(t, name+".Z")}
		}
		at, n := draw("at"), draw("normal")
		disc := Disc{Normal: r3.Vec{Z: 1}, RadiusM: 0.5, Luminance: 1}
		rect, err := Rectangle(r3.Vec{}, r3.Vec{Z: 1}, r3.Vec{Y: 1}, 1, 1, 1)
		if err != nil {
			t.Fatal(err)
		}
		for _, s := range []Source{disc, rect} {
			e := s.Illuminance(at, n)
			if math.IsNaN(e) || e < 0 || e > math.Pi*(1+1e-12) {
				t.Errorf("%T at %v normal %v: %g", s, at, n, e)
			}
			if at.Z <= 0 && e != 0 {
				t.Errorf("%T at %v lights what is behind it: %g", s, at, e)
			}
		}
		b := Beam{Axis: r3.Vec{Z: 1}, PeakIntensity: 1, Exponent: rapid.SampledFrom([]float64{0, 1, 4.8, 500}).Draw(t, "m")}
		if e := b.Illuminance(at, n); math.IsNaN(e) || math.IsInf(e, 0) || e < 0 {
			t.Errorf("beam at %v normal %v: %g", at, n, e)
		}
	})
}

// The two halves of a cut source add up to the whole, and turning the scene
// changes nothing.
func TestSourcesAddAndTurn(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := func(name string) float64 { return rapid.Float64Range(-2, 2).Draw(t, name) }
		at := r3.Vec{X: f("x"), Y: f("y"), Z: 0.1 + math.Abs(f("z"))}
		n, ok := unit(r3.Vec{X: f("nx"), Y: f("ny"), Z: f("nz")})
		if !ok {
			t.Skip("no normal")
		}
		z, y := r3.Vec{Z: 1}, r3.Vec{Y: 1}
		whole, _ := Rectangle(r3.Vec{}, z, y, 1.2, 0.8, 1)
		a, _ := Rectangle(r3.Vec{X: -0.3}, z, y, 0.6, 0.8, 1)
		b, _ := Rectangle(r3.Vec{X: 0.3}, z, y, 0.6, 0.8, 1)
		e := whole.Illuminance(at, n)
		if sum := a.Illuminance(at, n) + b.Illuminance(at, n); math.Abs(e-sum) > 1e-12 {
			t.Errorf("whole %g, halves %g", e, sum)
		}
		turn := r3.NewRotation(rapid.Float64Range(0, 6).Draw(t, "turn"), r3.Vec{X: 1, Y: 2, Z: -0.5})
		shift := r3.Vec{X: 3, Y: -1, Z: 0.5}
		turned, err := Rectangle(shift, turn.Rotate(z), turn.Rotate(y), 1.2, 0.8, 1)
		if err != nil {
			t.Fatal(err)
		}
		at2, n2 := r3.Add(shift, turn.Rotate(at)), turn.Rotate(n)
		if e2 := turned.Illuminance(at2, n2); math.Abs(e-e2) > 1e-12 {
			t.Errorf("rectangle: %g, turned %g", e, e2)
		}
		d1 := Disc{Normal: z, RadiusM: 0.7, Luminance: 1}
		d2 := Disc{Center: shift, Normal: turn.Rotate(z), RadiusM: 0.7, Luminance: 1}
		if e1, e2 := d1.Illuminance(at, n), d2.Illuminance(at2, n2); math.Abs(e1-e2) > 1e-12 {
			t.Errorf("disc: %g, turned %g", e1, e2)
		}
	})
}

func TestSourcesDoNotAllocate(t *testing.T) {
	rect := mustRectangle(t, r3.Vec{}, r3.Vec{Z: 1}, r3.Vec{Y: 1}, 1.2, 0.8, 1)
	disc := Disc{Normal: r3.Vec{Z: 1}, RadiusM: 0.5, Luminance: 1}
	at, n := r3.Vec{X: 0.3, Z: 1}, r3.Vec{X: 1, Z: -0.2}
	var sum float64
	if got := testing.AllocsPerRun(100, func() { sum += rect.Illuminance(at, n) + disc.Illuminance(at, n) }); got != 0 {
		t.Errorf("%g allocations", got)
	}
}

func BenchmarkPolygon(b *testing.B) {
	rect := mustRectangle(b, r3.Vec{}, r3.Vec{Z: 1}, r3.Vec{Y: 1}, 1.2, 0.8, 1)
	benchmarkSource(b, rect)
}

func BenchmarkDisc(b *testing.B) {
	benchmarkSource(b, Disc{Normal: r3.Vec{Z: 1}, RadiusM: 0.5, Luminance: 1})
}

// Four receivers in turn: facing, off axis, tilted, cut by the horizon.
func benchmarkSource(b *testing.B, s Source) {
	at := [4]r3.Vec{{Z: 1}, {X: 0.7, Y: 0.2, Z: 0.6}, {X: 0.3, Z: 2}, {Y: 0.1, Z: 0.8}}
	n := [4]r3.Vec{{Z: -1}, {Z: -1}, {X: 0.5, Z: -1}, {X: 1, Z: -0.1}}
	b.ReportAllocs()
	var sum float64
	for i := range b.N {
		sum += s.Illuminance(at[i&3], n[i&3])
	}
	if math.IsNaN(sum) {
		b.Fatal("NaN")
	}
}
