package falloff

import (
	"encoding/json"
	"fmt"
	"maps"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"evenfall/photometry"
)

// ladder returns n readings of law from near to far, evenly spaced in stops,
// with a relative scatter.
func ladder(law Law, near, far float64, n int, scatter float64, rng *rand.Rand) []Reading {
	out := make([]Reading, n)
	for i := range out {
		d := near * math.Pow(far/near, float64(i)/float64(n-1))
		out[i] = Reading{DistanceM: d, Level: law.Level(d)}
		if scatter > 0 {
			out[i].Level *= 1 + scatter*rng.NormFloat64()
		}
	}
	return out
}

// trueLaws are what a practitioner meets: a lamp of 1000 cd; the same seen
// through a lens from 0.3 m behind; a source 1 m across; and each in a room
// that gives 5 lx.
var trueLaws = map[string]Law{
	"point":          {Intensity: 1000},
	"offset":         {Intensity: 1000, OffsetM: 0.3},
	"disc":           {Intensity: 1000, SourceRadiusM: 0.5},
	"point ambient":  {Intensity: 1000, Ambient: 5},
	"offset ambient": {Intensity: 1000, OffsetM: 0.3, Ambient: 5},
	"disc ambient":   {Intensity: 1000, SourceRadiusM: 0.5, Ambient: 5},
}

func fitOrFail(t testing.TB, readings []Reading, o Options) *Distance {
	t.Helper()
	d, err := FitDistance(readings, o)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func code(findings []Finding, code string) bool {
	for _, f := range findings {
		if f.Code == code {
			return true
		}
	}
	return false
}

// Readings without scatter give back the law that made them, and the answers
// that follow from it in closed form. The penalty on the offset alone moves the
// law, by no more than a good meter could see.
func TestFitDistanceExact(t *testing.T) {
	laws := map[string]Law{"origin ahead": {Intensity: 800, OffsetM: -0.2}}
	for name, l := range trueLaws {
		laws[name] = l
	}
	for name, l := range laws {
		t.Run(name, func(t *testing.T) {
			d := fitOrFail(t, ladder(l, 0.5, 8, 9, 0, nil), Options{MarkM: 2, WantedLevel: 150, Repeatability: 0.0005})
			for what, c := range map[string]struct {
				got, want, within float64
				iv                Interval
			}{
				"intensity": {*d.IntensityCD, l.Intensity, 1e-3 * l.Intensity, d.Intervals.Intensity()},
				"radius":    {d.SourceRadiusM, l.SourceRadiusM, 1e-2, d.Intervals.SourceRadiusM},
				"offset":    {d.OffsetM, l.OffsetM, 1e-3, d.Intervals.OffsetM},
				"ambient":   {d.Ambient, l.Ambient, 1e-2, d.Intervals.Ambient},
			} {
				if math.Abs(c.got-c.want) > c.within || !(c.iv.Lo <= c.want && c.want <= c.iv.Hi && c.iv.Contains(c.got)) {
					t.Errorf("%s: %g, interval %v, want %g", what, c.got, c.iv, c.want)
				}
			}
			if !d.Settles.Intensity || !d.Settles.Depth || !d.Settles.Ambient || d.Scatter != nil {
				t.Errorf("%+v: %v", d.Settles, d.Warnings)
			}
			within(t, "mark level", d.MarkLevel, l.Level(2), 1e-4)
			within(t, "lost", d.Lost.Stops, math.Log2(l.Level(2)/l.Level(8)), 1e-3)
			within(t, "lost by inverse square", d.Lost.InverseSquareStops, 4, 1e-12)
			within(t, "wanted", l.Level(*d.Wanted.DistanceM), 150, 1e-3)
			within(t, "near end", l.Level(d.Depth.NearM), l.Level(2)*math.Exp2(1.0/3), 1e-3)
			within(t, "far end", l.Level(*d.Depth.FarM), l.Level(2)*math.Exp2(-1.0/3), 1e-3)
			if !d.Wanted.IntervalM.Contains(*d.Wanted.DistanceM) {
				t.Errorf("wanted %+v", d.Wanted)
			}
			best := d.Law()
			for _, p := range d.Points {
				if math.Abs(p.ResidualStops) > 1e-3 {
					t.Errorf("residual %g at %g m", p.ResidualStops, p.DistanceM)
				}
				square := math.Log2(p.Level * p.DistanceM * p.DistanceM / (d.MarkLevel * 4))
				if math.Abs(p.InverseSquareStops-square) > 1e-9 {
					t.Errorf("inverse square at %g m: %g, want %g", p.DistanceM, p.InverseSquareStops, square)
				}
				// The local exponent against a difference quotient of the law.
				h := 1e-5
				slope := math.Log(best.Level(p.DistanceM*(1+h))/best.Level(p.DistanceM*(1-h))) / math.Log((1+h)/(1-h))
				within(t, "local exponent", p.LocalExponent, slope, 1e-5)
			}
		})
	}
}

// The five-times rule comes out of a fit, and the definition of
// inverse_square_from_m holds on both sides of it.
func TestInverseSquareFrom(t *testing.T) {
	d := fitOrFail(t, ladder(trueLaws["disc"], 0.5, 8, 8, 0, nil), Options{})
	within(t, "inverse square from", d.InverseSquareFromM, 5*2*0.5, 1e-4)
	if d := fitOrFail(t, ladder(trueLaws["point"], 0.5, 8, 8, 0, nil), Options{}); d.InverseSquareFromM != 0 {
		t.Errorf("a point follows the inverse square from %g m on", d.InverseSquareFromM)
	}
	l := Law{Intensity: 1, SourceRadiusM: 0.7}
	for at, want := range map[float64]float64{0.5: 4 * 0.01, 1: 0.01, 2: 0.01 / 4} {
		m := at * l.InverseSquareFrom(0.01)
		within(t, "off the inverse square", 1/(m*m)/l.Direct(m)-1, want, 1e-12)
	}
}

// The law of a disc is the exact source, and its inverse is its inverse.
func TestLaw(t *testing.T) {
	source := Disc{Normal: r3.Vec{Z: 1}, RadiusM: 0.7, Luminance: 300}
	l := Law{Intensity: source.Intensity(), SourceRadiusM: 0.7}
	for _, d := range []float64{0.1, 1, 5} {
		within(t, "disc", l.Level(d), source.Illuminance(r3.Vec{Z: d}, r3.Vec{Z: -1}), 1e-13)
		tilted := source.Illuminance(r3.Vec{Z: d}, r3.Vec{X: math.Sin(0.1), Z: -math.Cos(0.1)})
		within(t, "tilted disc", l.LevelTilted(d, 0.1*180/math.Pi), tilted, 1e-12)
	}
	l.OffsetM, l.Ambient = 0.2, 3
	for _, d := range []float64{0.1, 1, 5} {
		got, ok := l.DistanceAt(l.Level(d))
		if !ok {
			t.Fatalf("no distance for the level at %g m", d)
		}
		within(t, "distance", got, d, 1e-9)
	}
	for _, level := range []float64{0, 2, 3, 1e9, math.NaN()} {
		if d, ok := l.DistanceAt(level); ok {
			t.Errorf("level %g stands at %g m", level, d)
		}
	}
	from, ok := l.AmbientFrom(0.01)
	if !ok {
		t.Fatal("no distance at which ambient is 1 %")
	}
	within(t, "ambient", l.Ambient/l.Direct(from), 0.01, 1e-9)
}

// golden returns the least of f between lo and hi by golden section, and where.
func golden(f func(float64) float64, lo, hi float64) (least, at float64) {
	const ratio = 0.6180339887498949
	x1, x2 := hi-ratio*(hi-lo), lo+ratio*(hi-lo)
	f1, f2 := f(x1), f(x2)
	for range 45 {
		if f1 < f2 {
			hi, x2, f2 = x2, x1, f1
			x1 = hi - ratio*(hi-lo)
			f1 = f(x1)
		} else {
			lo, x1, f1 = x1, x2, f2
			x2 = lo + ratio*(hi-lo)
			f2 = f(x2)
		}
	}
	return f1, x1
}

// The fit and the ends of an interval against nested golden sections of the same
// χ², which know nothing of gradients and rays.
func TestFitAgainstGoldenSection(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 9))
	readings := ladder(trueLaws["disc ambient"], 0.5, 8, 9, 0.02, rng)
	d := fitOrFail(t, readings, Options{Repeatability: 0.02})
	chi2 := func(law Law) float64 {
		// The prior is −2 ln of a Cauchy density of half width 10 cm.
		sum := 2 * math.Log(1+math.Pow(law.OffsetM/0.1, 2))
		for _, r := range readings {
			e := math.Log(r.Level/law.Level(r.DistanceM)) / 0.02
			sum += e * e
		}
		return sum
	}
	// intensity is in closed form: the mean of what the readings make of it.
	solved := func(l Law) Law {
		l.Intensity = 1
		a := l.Ambient / 1000
		l.Ambient = a
		var sum float64
		for _, r := range readings {
			sum += math.Log(r.Level / l.Level(r.DistanceM))
		}
		l.Intensity = math.Exp(sum / float64(len(readings)))
		l.Ambient = a * l.Intensity
		return l
	}
	var at Law
	held := func(radius float64) float64 {
		least, _ := golden(func(offset float64) float64 {
			f, _ := golden(func(ambient float64) float64 {
				l := solved(Law{SourceRadiusM: radius, OffsetM: offset, Ambient: ambient})
				at = l
				return chi2(l)
			}, 0, 10)
			return f
		}, -0.2, 0.2)
		return least
	}
	least, radius := golden(held, 0.2, 0.8)
	held(radius)
	within(t, "χ²", d.region.best.chi2, least, 1e-5)
	within(t, "intensity", *d.IntensityCD, at.Intensity, 1e-3)
	within(t, "radius", d.SourceRadiusM, radius, 1e-2)
	within(t, "ambient", d.Ambient, at.Ambient, 1e-2)
	for _, end := range []float64{d.Intervals.SourceRadiusM.Lo, d.Intervals.SourceRadiusM.Hi} {
		// 6.635 is the 99 % point of χ² with one degree of freedom (any table); the
		// rays come within 3 % of the ends, which is 6 % of χ².
		within(t, fmt.Sprintf("rise of χ² at the end %g of the radius's interval", end), held(end)-least, 6.635, 0.06)
	}
}

// A random walk that stays within the region knows of no axes and rays, and finds
// no more than they do, for few readings too.
func TestRegionAgainstRandomWalk(t *testing.T) {
	for k, name := range slices.Sorted(maps.Keys(trueLaws)) {
		for _, n := range []int{3, 5, 9} {
			rng, l := rand.New(rand.NewPCG(uint64(k), uint64(n))), trueLaws[name]
			d := fitOrFail(t, ladder(l, 0.5, 8, n, 0.02, rng), Options{MarkM: 2, Repeatability: 0.02})
			r := d.region
			walk := *r
			at, size := r.best.shape, 1.0
			lower, upper := r.s.bounds()
			for range 30000 {
				u := func() float64 { return size * rng.NormFloat64() }
				p := r.s.solve(shape{at.o + 0.1*u(), at.q + 0.1*u()*math.Max(at.q, 1e-3), at.a + 0.1*u()*math.Max(at.a, 1e-3)}.within(lower, upper), r.tape)
				if p.chi2 <= r.limit {
					walk.points = append(walk.points, p)
					at, size = p.shape, math.Min(10, 1.05*size)
				} else {
					size = math.Max(1e-3, 0.98*size)
				}
			}
			rays, both := r.conclude(2, 1.0/3), walk.conclude(2, 1.0/3)
			for what, iv := range map[string][2]Interval{
				"intensity": {rays.intensity, both.intensity}, "radius": {rays.radius, both.radius}, "offset": {rays.offset, both.offset},
				"ambient": {rays.ambient, both.ambient}, "near": {rays.near, both.near}, "far": {rays.far, both.far},
			} {
				if iv[0].width() < 0.85*iv[1].width() {
					t.Errorf("%s, %d readings: %s %v, on a random walk %v", name, n, what, iv[0], iv[1])
				}
			}
		}
	}
}

// The same readings twice as bright give the same answers, scaled.
func TestScaling(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		seed := rapid.Uint64().Draw(t, "seed")
		name := rapid.SampledFrom(slices.Sorted(maps.Keys(trueLaws))).Draw(t, "law")
		readings := ladder(trueLaws[name], 0.5, 8, 8, 0.02, rand.New(rand.NewPCG(seed, 1)))
		level := math.Exp2(rapid.Float64Range(-12, 12).Draw(t, "levels"))
		scaled := slices.Clone(readings)
		for i := range scaled {
			scaled[i].Level *= level
		}
		a, err := FitDistance(readings, Options{Unit: UnitRelative, MarkM: 2})
		if err != nil {
			t.Fatal(err)
		}
		b, err := FitDistance(scaled, Options{Unit: UnitRelative, MarkM: 2})
		if err != nil {
			t.Fatal(err)
		}
		if a.Settles != b.Settles {
			t.Fatalf("settles %+v, scaled %+v", a.Settles, b.Settles)
		}
		near := func(what string, got, want float64) {
			if math.Abs(got-want) > 1e-4*math.Abs(want)+1e-4 {
				t.Errorf("%s: scaled %g, want %g", what, got, want)
			}
		}
		near("intensity", *b.RelativeIntensity/level, *a.RelativeIntensity)
		near("radius", b.SourceRadiusM, a.SourceRadiusM)
		near("offset", b.OffsetM, a.OffsetM)
		near("ambient", b.Ambient/level, a.Ambient)
		near("ambient at most", b.Intervals.Ambient.Hi/level, a.Intervals.Ambient.Hi)
		near("exponent", b.Exponent, a.Exponent)
		near("near end", b.Depth.NearM, a.Depth.NearM)
		near("lost", b.Lost.Stops, a.Lost.Stops)
		if a.IntensityCD != nil || b.IntensityCD != nil {
			t.Error("a relative series has candelas")
		}
	})
}

// Angles are honored: the direct part falls with the cosine, the ambient does
// not. A series tilted at will gives the law that a facing one gives.
func TestIncidence(t *testing.T) {
	l := trueLaws["point ambient"]
	readings := ladder(l, 0.5, 8, 8, 0, nil)
	for i := range readings {
		readings[i].IncidenceDeg = []float64{0, 30, -45, 60}[i%4]
		readings[i].Level = l.LevelTilted(readings[i].DistanceM, readings[i].IncidenceDeg)
	}
	d := fitOrFail(t, readings, Options{})
	within(t, "intensity", *d.IntensityCD, 1000, 1e-5)
	within(t, "ambient", d.Ambient, 5, 1e-4)
	if d.Points[3].Reading != 4 || d.Points[3].IncidenceDeg != 60 {
		t.Errorf("point %+v", d.Points[3])
	}
	// The same readings without their angles fit nothing.
	for i := range readings {
		readings[i].IncidenceDeg = 0
	}
	if d := fitOrFail(t, readings, Options{}); d.Settled || !code(d.Warnings, "no_model_fits") {
		t.Errorf("readings tilted without saying so are settled: %v", d.Warnings)
	}
}

// One entry error among good readings is found and named, and changes no figure by
// itself; an honest series has no suspects.
func TestSuspects(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 8))
	for name, c := range map[string]struct {
		change func(*Reading)
		code   string
	}{
		"footcandles":   {func(r *Reading) { r.Level *= 0.3048 * 0.3048 }, "lux_fc_swap"},
		"feet":          {func(r *Reading) { r.DistanceM /= 0.3048 }, "lux_fc_swap"},
		"decimal point": {func(r *Reading) { r.Level *= 10 }, "decimal_slip"},
		"shadow":        {func(r *Reading) { r.Level *= 0.6 }, "outlier"},
	} {
		readings := ladder(trueLaws["point"], 0.7, 6, 8, 0.01, rng)
		c.change(&readings[4])
		d := fitOrFail(t, readings, Options{Repeatability: 0.02})
		if d.Settled || !code(d.Warnings, c.code) {
			t.Errorf("%s: settled %v, %v", name, d.Settled, d.Warnings)
		}
		for _, w := range d.Warnings {
			if w.Code == c.code && !w.Values["reading"].(Finding).Same(photometry.Found("by_number", "number", 5)) {
				t.Errorf("%s: %v", name, w.Values)
			}
		}
	}
}

func TestJSON(t *testing.T) {
	d := fitOrFail(t, ladder(trueLaws["disc ambient"], 0.5, 8, 8, 0.02, rand.New(rand.NewPCG(1, 1))), Options{MarkM: 2, WantedLevel: 100})
	b, err := json.Marshal(d)
	if err != nil {
		t.Fatal(err)
	}
	var back Distance
	if err := json.Unmarshal(b, &back); err != nil {
		t.Fatal(err)
	}
	again, err := json.Marshal(&back)
	if err != nil {
		t.Fatal(err)
	}
	if string(again) != string(b) {
		t.Errorf("JSON changes on the way:\n%s\n%s", b, again)
	}
	within(t, "law from JSON", back.Law().Level(3), d.Law().Level(3), 1e-12)
	var fields map[string]any
	if err := json.Unmarshal(b, &fields); err != nil {
		t.Fatal(err)
	}
	for _, f := range []string{"schema", "unit", "settled", "settles", "parameters", "intervals", "rms_stops", "exponent", "intensity_cd", "source_radius_m", "ambient", "inverse_square_from_m", "depth", "points", "lost", "wanted"} {
		if _, ok := fields[f]; !ok {
			t.Errorf("no field %s", f)
		}
	}
	open := Interval{Lo: 1, Hi: math.Inf(1)}
	if b, _ := json.Marshal(open); string(b) != "[1,null]" {
		t.Errorf("open interval: %s", b)
	}
}

// The band holds the curve, and is as wide as the curve is uncertain: over many
// series it holds the true law about as often as it says.
func TestCurve(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 6))
	l := trueLaws["disc"]
	const runs = 40
	inside := [5]int{}
	for range runs {
		d := fitOrFail(t, ladder(l, 0.5, 8, 8, 0.02, rng), Options{})
		for i, p := range d.Curve(0.4, 10, 5) {
			if !(p.Band.Lo <= p.Level && p.Level <= p.Band.Hi) {
				t.Fatalf("curve %+v", p)
			}
			if p.Band.Contains(l.Level(p.DistanceM)) {
				inside[i]++
			}
		}
	}
	t.Logf("the band holds the true law in %v of %d", inside, runs)
	for _, k := range inside {
		if k < runs*85/100 {
			t.Errorf("the band holds the true law in %d of %d only", k, runs)
		}
	}
	defer func() {
		if recover() == nil {
			t.Error("Curve takes distances backward")
		}
	}()
	fitOrFail(t, ladder(l, 0.5, 8, 8, 0.02, rng), Options{}).Curve(2, 1, 5)
}

// Whatever finite readings come, there is an answer or an error, and no NaN.
func FuzzFitDistance(f *testing.F) {
	f.Add(1.0, 100.0, 2.0, 25.0, 4.0, 6.0, 8.0, 2.0, 16.0, 1.0, 0.0)
	f.Add(1.0, 1.0, 2.0, 2.0, 3.0, 3.0, 4.0, 4.0, 5.0, 5.0, 0.0)
	f.Add(1e-3, 1e9, 1e3, 1e-9, 1.0, 1.0, 1.0, 1.0, 2.0, 1.0, 45.0)
	f.Add(1.0, 5.0, 1.0, 5.0, 2.0, 5.0, 2.0, 5.0, 3.0, 5.0, 0.0)
	f.Fuzz(func(t *testing.T, d1, e1, d2, e2, d3, e3, d4, e4, d5, e5, angle float64) {
		readings := []Reading{{DistanceM: d1, Level: e1, IncidenceDeg: angle}, {DistanceM: d2, Level: e2}, {DistanceM: d3, Level: e3, IncidenceDeg: -angle, Repeats: 2}, {DistanceM: d4, Level: e4}, {DistanceM: d5, Level: e5}}
		d, err := FitDistance(readings, Options{MarkM: 2, WantedLevel: 3})
		if err != nil {
			return
		}
		if _, err := json.Marshal(d); err != nil {
			t.Fatalf("%v: %v", readings, err)
		}
	})
}

func BenchmarkFit12(b *testing.B) {
	readings := ladder(trueLaws["disc ambient"], 0.5, 8, 12, 0.02, rand.New(rand.NewPCG(1, 1)))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := FitDistance(readings, Options{}); err != nil {
			b.Fatal(err)
		}
	}
}
