package falloff

import (
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
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
	ModelPoint:         {Intensity: 1000},
	ModelOffset:        {Intensity: 1000, OffsetM: 0.3},
	ModelDisc:          {Intensity: 1000, SourceRadiusM: 0.5},
	ModelPointAmbient:  {Intensity: 1000, Ambient: 5},
	ModelOffsetAmbient: {Intensity: 1000, OffsetM: 0.3, Ambient: 5},
	ModelDiscAmbient:   {Intensity: 1000, SourceRadiusM: 0.5, Ambient: 5},
}

func parameters(l Law) map[string]float64 {
	return map[string]float64{
		ParamIntensity: l.Intensity, ParamOffset: l.OffsetM,
		ParamRadius: l.SourceRadiusM, ParamAmbient: l.Ambient,
	}
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
// that follow from it in closed form.
func TestFitDistanceExact(t *testing.T) {
	laws := map[string]Law{"origin ahead": {Intensity: 800, OffsetM: -0.2}}
	for name, l := range trueLaws {
		laws[name] = l
	}
	for name, l := range laws {
		t.Run(name, func(t *testing.T) {
			d := fitOrFail(t, ladder(l, 0.5, 8, 9, 0, nil), Options{MarkM: 2, WantedLevel: 150})
			want := name
			if name == "origin ahead" {
				want = ModelOffset
			}
			if d.BestModel != want {
				t.Fatalf("best model %s, made by %s", d.BestModel, want)
			}
			if !d.Settled {
				t.Errorf("unsettled: %v", d.Warnings)
			}
			for p, v := range d.Models[0].Parameters {
				within(t, p, v, parameters(l)[p], 1e-6)
				if !d.Models[0].Intervals[p].Contains(v) {
					t.Errorf("%s: %g is outside its own interval %v", p, v, d.Models[0].Intervals[p])
				}
			}
			within(t, "mark level", d.MarkLevel, l.Level(2), 1e-6)
			within(t, "lost", d.Lost.Stops, math.Log2(l.Level(2)/l.Level(8)), 1e-6)
			within(t, "lost by inverse square", d.Lost.InverseSquareStops, 4, 1e-12)
			within(t, "wanted", l.Level(*d.Wanted.DistanceM), 150, 1e-6)
			within(t, "near end", l.Level(d.Depth.NearM), l.Level(2)*math.Exp2(1.0/3), 1e-6)
			within(t, "far end", l.Level(*d.Depth.FarM), l.Level(2)*math.Exp2(-1.0/3), 1e-6)
			for _, p := range d.Points {
				if math.Abs(p.ResidualStops) > 1e-6 {
					t.Errorf("residual %g at %g m", p.ResidualStops, p.DistanceM)
				}
				square := math.Log2(p.Level * p.DistanceM * p.DistanceM / (d.MarkLevel * 4))
				if math.Abs(p.InverseSquareStops-square) > 1e-9 {
					t.Errorf("inverse square at %g m: %g, want %g", p.DistanceM, p.InverseSquareStops, square)
				}
				// The local exponent against a difference quotient of the law.
				h := 1e-5
				slope := math.Log(l.Level(p.DistanceM*(1+h))/l.Level(p.DistanceM*(1-h))) / math.Log((1+h)/(1-h))
				within(t, "local exponent", p.LocalExponent, slope, 1e-5)
			}
		})
	}
}

// The five-times rule comes out of a fit, and the definition of
// inverse_square_from_m holds on both sides of it.
func TestInverseSquareFrom(t *testing.T) {
	d := fitOrFail(t, ladder(trueLaws[ModelDisc], 0.5, 8, 8, 0, nil), Options{})
	within(t, "inverse square from", d.InverseSquareFromM, 5*2*0.5, 1e-6)
	if d := fitOrFail(t, ladder(trueLaws[ModelPoint], 0.5, 8, 8, 0, nil), Options{}); d.InverseSquareFromM != 0 {
		t.Errorf("a point keeps the inverse square from %g m", d.InverseSquareFromM)
	}
	rapid.Check(t, func(t *rapid.T) {
		l := Law{Intensity: 1, OffsetM: rapid.Float64Range(-1, 1).Draw(t, "offset"), SourceRadiusM: rapid.Float64Range(0, 2).Draw(t, "radius")}
		off := func(d float64) float64 { return math.Abs(1/(d*d)/l.Direct(d) - 1) }
		from := l.InverseSquareFrom(0.01)
		if from == 0 {
			return
		}
		if v := off(from); math.Abs(v-0.01) > 1e-9 {
			t.Errorf("%v: %g off at %g m", l, v, from)
		}
		for k := 1; k < 50; k++ {
			if v := off(from * (1 + float64(k)/7)); v > 0.01+1e-12 {
				t.Errorf("%v: %g off beyond %g m", l, v, from)
			}
		}
	})
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

// The fit and a profile interval against nested golden sections of the same χ²,
// which know nothing of gradients.
func TestFitAgainstGoldenSection(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 9))
	readings := ladder(trueLaws[ModelDiscAmbient], 0.5, 8, 9, 0.02, rng)
	d := fitOrFail(t, readings, Options{Repeatability: 0.02})
	var m Model
	for _, m = range d.Models {
		if m.Name == ModelDiscAmbient {
			break
		}
	}
	chi2 := func(law Law) float64 {
		var sum float64
		for _, r := range readings {
			e := math.Log(r.Level/law.Level(r.DistanceM)) / 0.02
			sum += e * e
		}
		return sum
	}
	var intensity, radius float64
	held := func(ambient float64) float64 {
		least, r := golden(func(radius float64) float64 {
			f, i := golden(func(i float64) float64 {
				return chi2(Law{Intensity: i, SourceRadiusM: radius, Ambient: ambient})
			}, 500, 2000)
			intensity = i
			return f
		}, 0.2, 1)
		radius = r
		return least
	}
	least, ambient := golden(held, 2, 8)
	within(t, "χ²", m.ChiSquare, least, 1e-6)
	within(t, "intensity", m.Parameters[ParamIntensity], intensity, 1e-4)
	within(t, "radius", m.Parameters[ParamRadius], radius, 1e-4)
	within(t, "ambient", m.Parameters[ParamAmbient], ambient, 1e-3)
	for _, end := range []float64{m.Intervals[ParamAmbient].Lo, m.Intervals[ParamAmbient].Hi} {
		// 3.8415 is the 95 % point of χ² with one degree of freedom (any table).
		within(t, fmt.Sprintf("rise of χ² at the end %g of the ambient's interval", end), held(end)-least, 3.8415, 2e-3)
	}
}

// A short series near a disc cannot tell the disc from an offset. It says so,
// it names a reading, and with that reading it is settled and right.
func TestNextReadingSettles(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 1))
	unsettled, right := 0, 0
	for range 60 {
		l := Law{Intensity: 1000, OffsetM: 0.3}
		readings := ladder(l, 1, 3, 6, 0.01, rng)
		o := Options{Repeatability: 0.01}
		d := fitOrFail(t, readings, o)
		if d.Settled || d.Next == nil {
			continue
		}
		unsettled++
		if !code(d.Warnings, "rival_model") || !code(d.Advice, "read_again") {
			t.Errorf("unsettled without saying why or what to read: %v %v", d.Warnings, d.Advice)
		}
		for range d.Next.Readings {
			m := d.Next.DistanceM
			readings = append(readings, Reading{DistanceM: m, Level: l.Level(m) * (1 + 0.01*rng.NormFloat64())})
		}
		if e := fitOrFail(t, readings, o); e.Settled && e.BestModel == ModelOffset {
			right++
		}
	}
	t.Logf("unsettled %d of 60; with the reading asked for, %d settled and right", unsettled, right)
	if unsettled < 10 || right < unsettled*3/4 {
		t.Errorf("unsettled %d of 60, right after the next reading %d", unsettled, right)
	}
}

// The same readings twice as bright or twice as far give the same answers,
// scaled.
func TestScaling(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		seed := rapid.Uint64().Draw(t, "seed")
		name := rapid.SampledFrom(models).Draw(t, "model").name
		readings := ladder(trueLaws[name], 0.5, 8, 8, 0.02, rand.New(rand.NewPCG(seed, 1)))
		level := math.Exp2(rapid.Float64Range(-12, 12).Draw(t, "levels"))
		length := math.Exp2(rapid.Float64Range(-6, 6).Draw(t, "lengths"))
		scaled := make([]Reading, len(readings))
		for i, r := range readings {
			scaled[i] = Reading{DistanceM: r.DistanceM * length, Level: r.Level * level}
		}
		a, err := FitDistance(readings, Options{Unit: UnitRelative, MarkM: 2})
		if err != nil {
			t.Fatal(err)
		}
		b, err := FitDistance(scaled, Options{Unit: UnitRelative, MarkM: 2 * length})
		if err != nil {
			t.Fatal(err)
		}
		if a.BestModel != b.BestModel || a.Settled != b.Settled {
			t.Fatalf("%s settled %v, scaled %s settled %v", a.BestModel, a.Settled, b.BestModel, b.Settled)
		}
		near := func(what string, got, want float64) {
			if math.Abs(got-want) > 1e-5*math.Abs(want)+1e-9 {
				t.Errorf("%s: scaled %g, want %g", what, got, want)
			}
		}
		factor := map[string]float64{ParamIntensity: level * length * length, ParamOffset: length, ParamRadius: length, ParamAmbient: level}
		for p, v := range a.Models[0].Parameters {
			near(p, b.Models[0].Parameters[p]/factor[p], v)
		}
		near("score", b.Models[0].Score, a.Models[0].Score)
		near("exponent", b.Exponent, a.Exponent)
		near("near end", b.Depth.NearM/length, a.Depth.NearM)
		near("lost", b.Lost.Stops, a.Lost.Stops)
		if a.IntensityCD != nil || b.IntensityCD != nil {
			t.Error("a relative series has candelas")
		}
	})
}

// Angles are honored: the direct part falls with the cosine, the ambient does
// not. A series tilted at will gives the law that a facing one gives.
func TestIncidence(t *testing.T) {
	l := trueLaws[ModelPointAmbient]
	readings := ladder(l, 0.5, 8, 8, 0, nil)
	for i := range readings {
		readings[i].IncidenceDeg = []float64{0, 30, -45, 60}[i%4]
		readings[i].Level = l.LevelTilted(readings[i].DistanceM, readings[i].IncidenceDeg)
	}
	d := fitOrFail(t, readings, Options{})
	if d.BestModel != ModelPointAmbient {
		t.Fatalf("best model %s", d.BestModel)
	}
	within(t, "intensity", *d.IntensityCD, 1000, 1e-6)
	within(t, "ambient", *d.Ambient, 5, 1e-6)
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

// One slip among good readings is found and named, and changes no figure by
// itself; an honest series has no suspects.
func TestSuspects(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 8))
	for name, c := range map[string]struct {
		change func(*Reading)
		code   string
	}{
		"footcandles":  {func(r *Reading) { r.Level *= 0.3048 * 0.3048 }, "lux_fc_swap"},
		"feet":         {func(r *Reading) { r.DistanceM /= 0.3048 }, "lux_fc_swap"},
		"decimal slip": {func(r *Reading) { r.Level *= 10.2 }, "decimal_slip"},
		"shadow":       {func(r *Reading) { r.Level *= 0.6 }, "outlier"},
	} {
		readings := ladder(trueLaws[ModelPoint], 0.7, 6, 8, 0.01, rng)
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
	d := fitOrFail(t, ladder(trueLaws[ModelDiscAmbient], 0.5, 8, 8, 0.02, rand.New(rand.NewPCG(1, 1))), Options{MarkM: 2, WantedLevel: 100})
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
	for _, f := range []string{"schema", "unit", "best_model", "settled", "models", "exponent", "intensity_cd", "source_radius_m", "ambient", "inverse_square_from_m", "depth", "points", "lost", "wanted"} {
		if _, ok := fields[f]; !ok {
			t.Errorf("no field %s", f)
		}
	}
	if _, ok := fields["offset_m"]; ok {
		t.Error("a disc has an offset")
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
	l := trueLaws[ModelDisc]
	const runs = 300
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
		if k < runs*88/100 {
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
	readings := ladder(trueLaws[ModelDiscAmbient], 0.5, 8, 12, 0.02, rand.New(rand.NewPCG(1, 1)))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := FitDistance(readings, Options{}); err != nil {
			b.Fatal(err)
		}
	}
}
