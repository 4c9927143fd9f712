package ratio_test

import (
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"evenfall/photometry"
	"evenfall/photometry/ratio"
	"evenfall/testdata"
)

// The published figures of ratios, filters on the lens and flicker; SOURCES.md
// names each source.
func TestPublishedFigures(t *testing.T) {
	analyzed := func(key, fill float64) ratio.Mark {
		return analyze(t, lights("m", "key", key, "fill", fill)).Marks[0]
	}
	functions := map[string]func(x []float64) float64{
		"key to fill":          func(x []float64) float64 { return *analyzed(x[0], x[1]).KeyToFill },
		"key to fill in stops": func(x []float64) float64 { return *analyzed(x[0], 1).KeyToFillStops },
		"flash key to fill": func(x []float64) float64 {
			m := photometry.Meter{Unit: photometry.FStop}
			key, _ := m.Level(x[0], photometry.FStop)
			fill, _ := m.Level(x[1], photometry.FStop)
			in := lights("m", "key", 1, "fill", 1)
			in.Readings[0].Level, in.Readings[1].Level = key, fill
			return *analyze(t, in).Marks[0].KeyToFill
		},
		"lighting ratio": func(x []float64) float64 { return *analyzed(math.Exp2(x[0]), 1).LightingRatio },
		"density":        func(x []float64) float64 { return photometry.DensityStops(x[0]) },
		"filter factor": func(x []float64) float64 {
			return ratio.Camera{FilterFactor: x[0]}.Exposure().LossStops
		},
		"flicker-safe angle": func(x []float64) float64 {
			return *ratio.SafeShutters(x[0], x[1])[int(x[2])-1].AngleDeg
		},
		"flicker-safe denominator": func(x []float64) float64 { return 1 / ratio.SafeShutters(x[0], 0)[int(x[1])-1].ShutterS },
		"frame rate in step": func(x []float64) float64 {
			if ratio.InStep(x[0], x[1]) {
				return 1
			}
			return 0
		},
	}
	for _, f := range testdata.RatioFigures() {
		if got := functions[f.Quantity](f.Args); !(math.Abs(got-f.Want) <= f.Tolerance) {
			t.Errorf("%s of %v: %.10g, want %.10g", f.Quantity, f.Args, got, f.Want)
		}
	}
}

// lights is an input of illuminances in lx at one mark.
func lights(mark string, rolesAndLevels ...any) ratio.Input {
	var in ratio.Input
	for i := 0; i < len(rolesAndLevels); i += 2 {
		level, ok := rolesAndLevels[i+1].(float64)
		if !ok {
			level = float64(rolesAndLevels[i+1].(int))
		}
		in.Readings = append(in.Readings, ratio.Reading{Mark: mark, Role: ratio.Role(rolesAndLevels[i].(string)),
			Level: photometry.Level{Value: level, Quantity: photometry.Illuminance}})
	}
	return in
}

func analyze(t testing.TB, in ratio.Input) *ratio.Result {
	t.Helper()
	r, err := ratio.Analyze(in)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// has reports whether a finding of a key is among others, with some of its values.
func has(all []photometry.Finding, key string, namesAndValues ...any) bool {
	return slices.ContainsFunc(all, func(f photometry.Finding) bool {
		for i := 0; i < len(namesAndValues); i += 2 {
			if f.Values[namesAndValues[i].(string)] != namesAndValues[i+1] {
				return false
			}
		}
		return f.Key == key
	})
}

// lux is an illuminance.
func lux(v float64) photometry.Level {
	return photometry.Level{Value: v, Quantity: photometry.Illuminance}
}

func near(t *testing.T, what string, got *float64, want, within float64) {
	t.Helper()
	if got == nil || !(math.Abs(*got-want) <= within) {
		text := "absent"
		if got != nil {
			text = fmt.Sprint(*got)
		}
		t.Errorf("%s is %s, want %g", what, text, want)
	}
}

// A sum that does not add says by how much and which light explains it.
func TestSumsThatDoNotAdd(t *testing.T) {
	for _, c := range []struct {
		name  string
		cause photometry.Finding
		in    ratio.Input
		stops float64
	}{
		{"another light on", photometry.Found("sum.light_on", "role", "back", "level", lux(150)), lights("m", "key", 400, "fill", 100, "back", 150, "key+fill", 650), math.Log2(650. / 500)},
		{"a light off", photometry.Found("sum.light_off", "light", "fill", "level", lux(100)), lights("m", "key", 400, "fill", 100, "key+fill", 401), math.Log2(401. / 500)},
		{"ambient twice", photometry.Found("sum.ambient_in_each", "level", lux(60)), lights("m", "key", 400, "fill", 160, "ambient", 60, "key+fill", 500), math.Log2(500. / 560)},
		{"nothing known, more", photometry.Found("sum.too_much"), lights("m", "key", 400, "fill", 100, "key+fill", 700), math.Log2(1.4)},
		{"nothing known, less", photometry.Found("sum.too_little"), lights("m", "key", 400, "fill", 100, "key+fill", 250), -1},
	} {
		m := analyze(t, c.in).Marks[0]
		near(t, c.name+": additivity", m.AdditivityStops, c.stops, 1e-12)
		if len(m.Warnings) != 1 || m.Warnings[0].Key != "sum_off" || !c.cause.Same(m.Warnings[0].Values["cause"].(photometry.Finding)) {
			t.Errorf("%s: %v", c.name, m.Warnings)
		}
	}
	// Within what readings scatter nothing is said.
	m := analyze(t, lights("m", "key", 400, "fill", 100, "key+fill", 510)).Marks[0]
	if has(m.Warnings, "sum_off") || m.AdditivityStops == nil {
		t.Errorf("%v", m.Warnings)
	}
	// A sum whose parts were not all read says nothing of them.
	m = analyze(t, lights("m", "key", 400, "fill", 100, "key+fill+back", 900)).Marks[0]
	if len(m.Sums) != 1 || m.Sums[0].Alone != nil || m.AdditivityStops != nil {
		t.Errorf("%+v", m.Sums)
	}
}

// What was not read is not made up.
func TestMissingLights(t *testing.T) {
	in := lights("m", "key", 400, "key+fill", 500)
	in.Target = &ratio.Target{Ratio: 4, Stops: 2, Convention: ratio.KeyToFillConvention}
	r := analyze(t, in)
	m := r.Marks[0]
	if m.KeyToFill != nil || m.LightingRatio != nil || m.Fill != nil || r.Verdict != "unsure" || !has(m.Warnings, "rough.fill_missing") || !has(r.Advice, "read_first") {
		t.Errorf("%+v, %v", m, r.Advice)
	}
	m = analyze(t, lights("m", "fill", 100, "key+fill", 500)).Marks[0]
	near(t, "key by difference", m.Key, 400, 1e-12)
	near(t, "key to fill", m.KeyToFill, 4, 1e-12)
	if m.KeyFrom != "difference" || m.AdditivityStops != nil || !has(m.Warnings, "key_by_difference") {
		t.Errorf("%+v", m)
	}
	m = analyze(t, lights("m", "fill", 100, "key+fill", 90)).Marks[0]
	if m.Key != nil || !has(m.Warnings, "none_left.key_missing") {
		t.Errorf("%+v", m)
	}
	m = analyze(t, lights("m", "back", 100)).Marks[0]
	if m.BackStops != nil || m.Exposure != nil || !has(m.Warnings, "no_key") {
		t.Errorf("%+v", m)
	}
	m = analyze(t, lights("m", "key", 100, "fill", 0, "spill", 0)).Marks[0]
	if m.KeyToFill != nil || m.SpillStops != nil || !has(m.Warnings, "zero", "role", "fill") {
		t.Errorf("%+v", m)
	}
}

// A key smaller than the fill is told and not swapped.
func TestKeyBelowFill(t *testing.T) {
	m := analyze(t, lights("m", "key", 100, "fill", 400)).Marks[0]
	near(t, "key to fill", m.KeyToFillStops, -2, 1e-12)
	near(t, "key", m.Key, 100, 0)
	if !has(m.Warnings, "key_below_fill", "under", photometry.Stop(2)) {
		t.Errorf("%v", m.Warnings)
	}
}

// Repeats are averaged; lamps of a role add, unless the role was read whole.
func TestRepeatsAndLamps(t *testing.T) {
	in := lights("m", "key", 100, "key", 104, "key", 50, "fill", 38.5)
	in.Readings[0].Lamp, in.Readings[1].Lamp, in.Readings[2].Lamp = "one", "One", "two"
	r := analyze(t, in)
	m := r.Marks[0]
	near(t, "key", m.Key, 152, 1e-12)
	if m.KeyFrom != "lamps" || len(m.Areas) != 3 || m.Areas[0].Readings != 2 || r.Noise.Source != "repeats" || r.Noise.DegreesOfFreedom != 1 {
		t.Errorf("%+v, %+v", m.Areas, r.Noise)
	}
	whole := in
	whole.Readings = append(append([]ratio.Reading{}, in.Readings...), lights("m", "key", 250).Readings...)
	m = analyze(t, whole).Marks[0]
	near(t, "key read whole", m.Key, 250, 1e-12)
	if len(m.Sums) != 1 || !has(m.Warnings, "sum_off", "role", "key", "off", photometry.Stop(*m.Sums[0].AdditivityStops)) {
		t.Errorf("%+v, %v", m.Sums, m.Warnings)
	}
}

// ISO 2720 by hand: 1000 lx, ISO 800, 1/48 s and C = 250 are N = 8.164966
// (checks of exposure in testdata/level.csv); every stop lost lowers N by √2.
func TestExposure(t *testing.T) {
	in := lights("m", "key", 800, "fill", 200, "key+fill", 1000, "back", 500, "spill", 125)
	in.Readings = append(in.Readings, ratio.Reading{Mark: "m", Role: ratio.BackgroundRole, Level: photometry.Level{Value: 25, Quantity: photometry.Luminance}})
	in.Camera = ratio.Camera{ISO: 800, ShutterS: 1. / 48, FramesPerSecond: 24}
	m := analyze(t, in).Marks[0]
	near(t, "f-number", m.Exposure.FNumber, 8.164966, 5e-7)
	near(t, "angle", m.Exposure.ShutterAngleDeg, 180, 1e-9)
	for i, want := range []float64{math.Log2(0.8), math.Log2(0.2), 0, -1, -3, -1} {
		near(t, string(m.Areas[i].Role), m.Areas[i].Stops, want, 1e-12)
	}
	// 25 cd/m² ask for half of what 1000 lx do: 25/12.5 to 1000/250; the key for 3.2.
	near(t, "background", m.BackgroundStops, math.Log2(2/3.2), 1e-12)
	near(t, "back", m.BackStops, math.Log2(500./800), 1e-12)

	in.Camera.NDStops, in.Camera.FilterFactor, in.Camera.Transmittance, in.Camera.SetStop = 1, 2, 0.81, math.Exp2(1.5)
	m = analyze(t, in).Marks[0]
	near(t, "two stops lost", m.Exposure.FNumber, 8.164966/2, 5e-7)
	near(t, "T-stop", m.Exposure.TStop, *m.Exposure.FNumber, 1e-12)
	near(t, "f on the lens", m.Exposure.LensFNumber, *m.Exposure.FNumber*0.9, 1e-12)
	near(t, "over", m.Exposure.OverStops, 2*math.Log2(8.164966/2/math.Exp2(1.5)), 1e-6)

	in = lights("m", "key", 1000, "fill", 200)
	for i := range in.Readings {
		in.Readings[i].Receptor = photometry.DomeReceptor
	}
	in.Camera = ratio.Camera{ISO: 800, ShutterS: 1. / 48}
	in.ExposeFor = ratio.KeyRole
	near(t, "dome", analyze(t, in).Marks[0].Exposure.FNumber, 7.001400, 5e-7)
}

// Flash f/8 at ISO 100 is 160 lx·s (testdata/level.csv). Ambient light of as much
// in the shutter halves the share and adds a stop; a shutter twice as long lets
// 320 in of 480: 2/3, log2(480/320) more.
func TestFlashAndAmbient(t *testing.T) {
	var in ratio.Input
	flash := func(role string, luxSeconds float64) ratio.Reading {
		return ratio.Reading{Mark: "m", Role: ratio.Role(role), Level: photometry.Level{Value: luxSeconds, Quantity: photometry.LuminousExposure}}
	}
	in.Readings = []ratio.Reading{flash("key", 128), flash("fill", 32), lights("m", "ambient", 160*60).Readings[0]}
	in.Camera = ratio.Camera{ISO: 100, ShutterS: 1. / 60}
	r := analyze(t, in)
	m := r.Marks[0]
	near(t, "flash", m.FlashPercent, 50, 1e-9)
	near(t, "ambient", m.AmbientPercent, 50, 1e-9)
	near(t, "f-number", m.Exposure.FNumber, 8*math.Sqrt2, 1e-9)
	near(t, "key f-number", m.KeyFNumber, 8*math.Sqrt(0.8), 1e-9)
	near(t, "longer", &m.ShutterLonger.ExposureStops, math.Log2(1.5), 1e-9)
	near(t, "longer", &m.ShutterLonger.AmbientPercent, 200./3, 1e-9)
	near(t, "shorter", &m.ShutterShorter.ExposureStops, math.Log2(0.75), 1e-9)
	near(t, "ambient to the key", m.AmbientStops, math.Log2(160./128), 1e-9)
	if m.Unit != "lx.s" || !has(r.Cautions, "flash") {
		t.Errorf("%s, %v", m.Unit, r.Cautions)
	}
	in.Camera.ShutterS = 0
	m = analyze(t, in).Marks[0]
	near(t, "key to fill without a shutter", m.KeyToFill, 4, 1e-12)
	if m.FlashPercent != nil || m.AmbientStops != nil || !has(m.Warnings, "no_shutter") {
		t.Errorf("%+v", m)
	}
}

// Each change alone reaches the target: the marks read again with it.
func TestChangesReachTheTarget(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		key, fill := rapid.Float64Range(10, 2000).Draw(rt, "key"), rapid.Float64Range(10, 2000).Draw(rt, "fill")
		convention := rapid.SampledFrom([]string{ratio.KeyToFillConvention, ratio.LightingConvention}).Draw(rt, "convention")
		target := rapid.Float64Range(1.2, 32).Draw(rt, "ratio")
		in := lights("m", "key", key, "fill", fill, "background", 100)
		in.Target = &ratio.Target{Ratio: target, Stops: math.Log2(target), Convention: convention}
		in.AreaTargets = []ratio.AreaTarget{{Role: ratio.BackgroundRole, Stops: -1}}
		for _, c := range analyze(t, in).Marks[0].ToTarget {
			again := lights("m", "key", key, "fill", fill, "background", 100)
			for i, r := range again.Readings {
				if r.Role == c.Change {
					again.Readings[i].Level.Value = c.To
				}
			}
			m := analyze(t, again).Marks[0]
			got, want := *m.KeyToFill, target
			switch {
			case c.Of == "background":
				got, want = math.Exp2(*m.BackgroundStops), 0.5
			case convention == ratio.LightingConvention:
				got = *m.LightingRatio
			}
			if math.Abs(got/want-1) > 1e-9 || math.Abs(c.DimmerPercent/100-c.To/c.From) > 1e-9*c.To/c.From || math.Abs(c.DistanceFactor*c.DistanceFactor*c.To/c.From-1) > 1e-9 {
				rt.Fatalf("%+v gives %g, want %g", c, got, want)
			}
		}
	})
}

// Ratios do not depend on the unit, and with lights that add, the lighting ratio
// is one more than key to fill.
func TestProperties(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		key, fill, back := rapid.Float64Range(1, 5000).Draw(rt, "key"), rapid.Float64Range(1, 5000).Draw(rt, "fill"), rapid.Float64Range(0, 5000).Draw(rt, "back")
		scale := rapid.Float64Range(1e-3, 1e3).Draw(rt, "scale")
		a := analyze(t, lights("m", "key", key, "fill", fill, "back", back, "key+fill", key+fill)).Marks[0]
		b := analyze(t, lights("m", "key", scale*key, "fill", scale*fill, "back", scale*back, "key+fill", scale*(key+fill))).Marks[0]
		same := func(x, y *float64) bool { return x == nil && y == nil || math.Abs(*x-*y) <= 1e-9*(1+math.Abs(*x)) }
		if !same(a.KeyToFill, b.KeyToFill) || !same(a.LightingRatio, b.LightingRatio) || !same(a.BackStops, b.BackStops) || !same(a.AdditivityStops, b.AdditivityStops) {
			rt.Fatalf("%+v\n%+v", a, b)
		}
		if math.Abs(*a.LightingRatio-*a.KeyToFill-1) > 1e-9**a.LightingRatio || math.Abs(*a.AdditivityStops) > 1e-9 {
			rt.Fatalf("%g, %g", *a.LightingRatio, *a.KeyToFill)
		}
		computed := analyze(t, lights("m", "key", key, "fill", fill)).Marks[0]
		if !same(a.LightingRatio, computed.LightingRatio) {
			rt.Fatalf("read %g, added %g", *a.LightingRatio, *computed.LightingRatio)
		}
	})
}

// A key by difference that may be none is bounded on one side, and nothing rests on
// its value: with 2 % the ratio 420/412 is within ±5.5 % and the key at most 0.077 of
// the fill.
func TestKeyByDifferenceNearZero(t *testing.T) {
	in := lights("m", "fill", 412, "key+fill", 420, "back", 300)
	in.Target = &ratio.Target{Ratio: 4, Stops: 2, Convention: ratio.KeyToFillConvention}
	in.AreaTargets = []ratio.AreaTarget{{Role: ratio.BackRole, Stops: -1}}
	r := analyze(t, in)
	m := r.Marks[0]
	want := 420./412*math.Exp(1.959964*0.02*math.Sqrt2) - 1
	if m.Key != nil || m.KeyToFill != nil || m.BackStops != nil || m.KeyAtMost == nil || !math.IsInf(m.KeyToFillIntervalStops[0], -1) {
		t.Fatalf("%+v", m)
	}
	high := math.Exp2(m.KeyToFillIntervalStops[1])
	near(t, "at most", &high, want, 1e-6)
	if text, err := json.Marshal(m.KeyToFillIntervalStops); err != nil || !strings.HasPrefix(string(text), "[null,-3.") {
		t.Errorf("%s, %v", text, err)
	}
	if m.Verdict != "fail" || !has(m.Warnings, "key_unproved") || !has(r.Advice, "needs", "light", "key", "level", lux(1648)) || !has(r.Advice, "read_key_alone") {
		t.Errorf("%s, %v, %v", m.Verdict, m.Warnings, r.Advice)
	}
	// Less than the fill beyond scatter is no key at all.
	if m = analyze(t, lights("m", "fill", 100, "key+fill", 90)).Marks[0]; m.KeyAtMost != nil || m.KeyToFillIntervalStops != nil {
		t.Errorf("%+v", m)
	}
}

// A fill that reads 0 is a fill under the display's step: key to fill has a lower end.
func TestFillOfZero(t *testing.T) {
	in := lights("m", "key", 412, "fill", 0)
	in.Target = &ratio.Target{Ratio: 4, Stops: 2, Convention: ratio.KeyToFillConvention}
	r := analyze(t, in)
	m := r.Marks[0]
	least := math.Exp2(m.KeyToFillIntervalStops[0])
	near(t, "at least", &least, 412*math.Exp(-1.959964*0.02), 1e-3)
	if m.Fill == nil || m.KeyToFill != nil || r.Verdict != "fail" || !has(r.Advice, "needs", "light", "fill", "level", lux(103)) || has(m.Warnings, "fill_missing") {
		t.Errorf("%+v, %v", m, r.Advice)
	}
	// Readings of 400 and 0 may be steps of 100: four to one is not told from more.
	in.Readings[0].Level.Value = 400
	if r = analyze(t, in); r.Verdict != "unsure" {
		t.Errorf("400 and 0: %s", r.Verdict)
	}
}

// A target of spill is a limit: less always passes, and more spill is never advised.
func TestSpillIsALimit(t *testing.T) {
	for _, c := range []struct {
		spill   float64
		verdict string
	}{{0, "pass"}, {1, "pass"}, {45, "pass"}, {50, "unsure"}, {60, "fail"}} {
		in := lights("m", "key", 400, "fill", 100, "spill", c.spill, "background", 101)
		in.AreaTargets = []ratio.AreaTarget{{Role: ratio.SpillRole, Stops: -3}}
		r := analyze(t, in)
		if r.Verdict != c.verdict || (c.verdict == "fail") != has(r.Advice, "spill_over") || len(r.Marks[0].ToTarget) > 0 || c.verdict == "pass" && len(r.Advice) > 0 {
			t.Errorf("spill %g: %s, %v", c.spill, r.Verdict, r.Advice)
		}
	}
}

// What marks share is changed for all of them or not at all: key and fill at 3.9:1
// and 5.5:1 both come within a third of a stop of 4:1 by 0.1 stop less key; at 2:1 and
// 8:1 no change does, and a mark that passes is left alone.
func TestSharedLights(t *testing.T) {
	at := func(first, second float64, lamps ...string) *ratio.Result {
		in := lights("left", "key", first*100, "fill", 100)
		in.Readings = append(in.Readings, lights("right", "key", second*100, "fill", 100).Readings...)
		for i, name := range lamps {
			in.Readings[i].Lamp = name
		}
		in.Target = &ratio.Target{Ratio: 4, Stops: 2, Convention: ratio.KeyToFillConvention}
		return analyze(t, in)
	}
	r := at(3.9, 5.5)
	if k := r.KeyOverMarks; k == nil || math.Abs(k.SpreadStops-math.Log2(5.5/3.9)) > 1e-12 || k.Brightest != "right" || !(k.IntervalStops[0] < k.SpreadStops && k.SpreadStops < k.IntervalStops[1]) {
		t.Errorf("%+v", k)
	}
	if !has(r.Advice, "reach_all") || has(r.Advice, "reach") {
		t.Fatalf("%v", r.Advice)
	}
	change := float64(r.Advice[0].Values["ways"].([]photometry.Finding)[1].Values["change"].(photometry.Stop))
	for _, found := range []float64{3.9, 5.5} {
		if off := math.Log2(found) + change - 2; math.Abs(off) > ratio.DefaultTolerance {
			t.Errorf("%g:1 changed by %g is %g stops off", found, change, off)
		}
	}
	for _, r := range []*ratio.Result{at(2, 8), at(4, 8)} {
		if !has(r.Advice, "none_serves") || has(r.Advice, "reach") {
			t.Errorf("%v", r.Advice)
		}
	}
	// With a fill of its own a mark is brought to the target by that alone.
	r = at(4, 8, "fresnel", "left board", "fresnel", "right board")
	if n := len(r.Advice); n != 2 || r.Advice[1].Key != "reach" || len(r.Advice[1].Values["ways"].([]photometry.Finding)) != 1 {
		t.Errorf("%v", r.Advice)
	}
	if to := r.Marks[0].ToTarget; len(to) > 0 {
		t.Errorf("a mark that passes: %v", to)
	}
}

// A ratio is judged by its interval: 2 % a reading are ±0.08 stop.
func TestVerdicts(t *testing.T) {
	for _, c := range []struct {
		key     float64
		verdict string
	}{{400, "pass"}, {100 * math.Exp2(2.2), "pass"}, {100 * math.Exp2(2.3), "unsure"}, {100 * math.Exp2(2.36), "unsure"}, {100 * math.Exp2(2.5), "fail"}, {100 * math.Exp2(1.5), "fail"}} {
		in := lights("m", "key", c.key, "fill", 100)
		in.Target = &ratio.Target{Ratio: 4, Stops: 2, Convention: ratio.KeyToFillConvention}
		r := analyze(t, in)
		if r.Verdict != c.verdict {
			t.Errorf("key %g: %s, want %s", c.key, r.Verdict, c.verdict)
		}
		if (r.Verdict == "fail") != has(r.Advice, "reach") || (r.Verdict == "unsure") != has(r.Advice, "lights.read_again", "of", ratio.KeyToFillConvention) {
			t.Errorf("key %g: advice %v", c.key, r.Advice)
		}
	}
	// A sum that does not add decides nothing: 2:1 alone and 3:1 added pass at 3:1,
	// 4:1 as read would fail.
	in := lights("m", "key", 200, "fill", 100, "key+fill", 400)
	in.Target = &ratio.Target{Ratio: 3, Stops: math.Log2(3), Convention: ratio.LightingConvention}
	if r := analyze(t, in); r.Verdict != "unsure" || !r.Marks[0].Judged[0].Suspect || !has(r.Advice, "sum.read_again") {
		t.Errorf("%s, %v", r.Verdict, r.Advice)
	}
	in.Target.Ratio, in.Target.Stops = 32, 5 // far from either
	if r := analyze(t, in); r.Verdict != "fail" {
		t.Errorf("%s", r.Verdict)
	}
	if r := analyze(t, lights("m", "key", 1, "fill", 9)); r.Verdict != "" {
		t.Errorf("verdict %q without a target", r.Verdict)
	}
}

// As many readings as are advised do settle it, and one fewer does not.
func TestAdvisedRepeatsSettle(t *testing.T) {
	stated := 0.02
	with := func(k int, repeatability *float64) (r *ratio.Result, advised int) {
		in := lights("m")
		for i := range k {
			// Scattered as a meter of 2 % does, evenly about the mean.
			scatter := 1.0
			if repeatability == nil && k > 1 {
				scatter += 0.02 * math.Sqrt(float64(k-1)/float64(k)) * float64(1-2*(i%2))
			}
			in.Readings = append(in.Readings, lights("m", "key", 478*scatter, "fill", 100*scatter).Readings...)
		}
		in.Repeatability = repeatability
		in.Target = &ratio.Target{Ratio: 4, Stops: 2, Convention: ratio.KeyToFillConvention}
		if r = analyze(t, in); has(r.Advice, "lights.read_again", "of", ratio.KeyToFillConvention) {
			advised = r.Advice[0].Values["times"].(int)
		}
		return r, advised
	}
	for name, repeatability := range map[string]*float64{"stated": &stated, "assumed": nil} {
		_, k := with(1, repeatability)
		if k == 0 {
			t.Fatalf("%s: no repeats are advised", name)
		}
		if r, _ := with(k+k%2, repeatability); r.Verdict != "pass" {
			t.Errorf("%s: %d readings each are %s", name, k+k%2, r.Verdict)
		}
		if r, _ := with(k-1, repeatability); repeatability != nil && r.Verdict != "unsure" {
			t.Errorf("%s: %d readings each are %s", name, k-1, r.Verdict)
		}
	}
	// From repeats that already scatter as the meter does, no more are advised than
	// it takes.
	r, k := with(2, nil)
	least := 3
	if k == 0 || r.Verdict != "unsure" {
		t.Fatalf("twice each: %s, %d readings advised", r.Verdict, k)
	}
	for r, _ := with(least, nil); r.Verdict != "pass"; r, _ = with(least, nil) {
		least++
	}
	if k != least {
		t.Errorf("twice each: %d are advised and %d settle", k, least)
	}
}

func TestParseTarget(t *testing.T) {
	for _, c := range []struct {
		text       string
		ratio      float64
		convention string
		assumed    bool
	}{
		{"4:1", 4, "key_to_fill", true}, {"2.5 : 1", 2.5, "key_to_fill", true}, {"2 stops", 4, "key_to_fill", true}, {"1 1/2 stops", math.Exp2(1.5), "key_to_fill", true},
		{"8 to 2 key to fill", 4, "key_to_fill", false}, {"3:1 lighting ratio", 3, "lighting_ratio", false}, {"3:1 key plus fill to fill", 3, "lighting_ratio", false},
		{"lighting ratio 5:1", 5, "lighting_ratio", false}, {"2:1 (Key to Fill)", 2, "key_to_fill", false},
	} {
		got, err := ratio.ParseTarget(c.text, nil)
		if err != nil || math.Abs(got.Ratio-c.ratio) > 1e-12 || got.Convention != c.convention || got.Assumed != c.assumed || math.Abs(got.Stops-math.Log2(c.ratio)) > 1e-12 {
			t.Errorf("%q: %+v, %v", c.text, got, err)
		}
	}
	for _, text := range []string{"", "4", "4:0", "-4:1", "0:1", "NaN:1", "1:1 lighting ratio", "much", "1e9:1", "4:1:1"} {
		if got, err := ratio.ParseTarget(text, nil); err == nil {
			t.Errorf("%q was read as %+v", text, got)
		}
	}
}

// A shutter is judged by the phase that it leaves over.
func TestFlickers(t *testing.T) {
	f := ratio.Flickers(1./50, 24, 50, 60)
	if !*f[0].Safe || f[0].SafeBy != "shutter" || !*f[1].Safe || f[1].SafeBy != "frame_rate" {
		t.Errorf("%+v", f)
	}
	// 180° at 24 frames a second under 50 Hz pulses; 172.8° is next to it.
	f = ratio.Flickers(1./48, 24, 50)
	if *f[0].Safe || math.Abs(*f[0].Nearest.AngleDeg-172.8) > 1e-9 || math.Abs(*f[0].ChangeStops-math.Log2(48./50)) > 1e-9 {
		t.Errorf("%+v", f[0])
	}
	if f = ratio.Flickers(1./48, 23.976, 60); *f[0].Safe {
		t.Error("23.976 frames a second do not keep step with 60 Hz")
	}
	if f = ratio.Flickers(1./2000, 1000, 50); *f[0].Safe || f[0].Nearest != nil || len(f[0].Shutters) > 0 {
		t.Errorf("%+v", f[0])
	}
	if f = ratio.Flickers(0, 0, 50); f[0].Safe != nil || len(f[0].Shutters) != 4 {
		t.Errorf("%+v", f[0])
	}
}

// The swing of a lamp on alternating current, 1 + cos(4πft), integrated over a
// safe shutter is the same at every phase, and over others it is not.
func TestSafeShuttersGatherTheSameLight(t *testing.T) {
	light := func(mains, shutter, start float64) float64 {
		const n = 2000
		sum := 0.0
		for i := range n {
			sum += 1 + math.Cos(4*math.Pi*mains*(start+shutter*(float64(i)+0.5)/n))
		}
		return sum * shutter / n
	}
	swing := func(mains, shutter float64) float64 {
		low, high := math.Inf(1), 0.0
		for i := range 40 {
			got := light(mains, shutter, float64(i)/40/(2*mains))
			low, high = math.Min(low, got), math.Max(high, got)
		}
		return high/low - 1
	}
	for _, mains := range []float64{50, 60} {
		for _, s := range ratio.SafeShutters(mains, 24) {
			if got := swing(mains, s.ShutterS); got > 1e-3 {
				t.Errorf("%g Hz, %g s swings by %.1f %%", mains, s.ShutterS, 100*got)
			}
		}
	}
	if got := swing(50, 1./48); got < 0.02 {
		t.Errorf("1/48 s under 50 Hz swings by %.1f %% only", 100*got)
	}
}

func TestInputErrors(t *testing.T) {
	with := func(change func(*ratio.Input)) ratio.Input {
		in := lights("m", "key", 400, "key", 400, "fill", 100)
		change(&in)
		return in
	}
	for expected, in := range map[string]ratio.Input{
		"at least a key and a fill": {},
		"a level of 0 or more":      lights("m", "key", -1),
		"above 0 for lights":        lights("m", "key+fill", 0),
		"flat as in the key":        with(func(in *ratio.Input) { in.Readings[1].Receptor = photometry.DomeReceptor }),
		`"lamp" as in the key`: with(func(in *ratio.Input) {
			in.Readings[0].Aim, in.Readings[1].Aim = "lamp", "camera"
		}),
		"illuminance as in the key":      with(func(in *ratio.Input) { in.Readings[1].Level.Quantity = photometry.LuminousExposure }),
		"cannot be divided":              with(func(in *ratio.Input) { in.Readings[2].Level.Quantity = photometry.Luminance }),
		"the same quantity at one mark":  with(func(in *ratio.Input) { in.Readings[2].Level.Quantity = photometry.Relative }),
		"a level of 0 or more, not NaN.": lights("m", "key", math.NaN()),
	} {
		_, err := ratio.Analyze(in)
		if err == nil || !strings.Contains(err.Error(), strings.TrimSuffix(expected, ", not NaN.")) {
			t.Errorf("%v, want %s", err, expected)
		}
	}
	// Other marks are another matter.
	in := lights("m", "key", 400, "fill", 100)
	in.Readings = append(in.Readings, ratio.Reading{Mark: "n", Role: ratio.KeyRole, Level: photometry.Level{Value: 3, Quantity: photometry.Relative}})
	if r, err := ratio.Analyze(in); err != nil || r.Unit != "" || len(r.Marks) != 2 {
		t.Errorf("%+v, %v", r, err)
	}
}

func TestColors(t *testing.T) {
	in := lights("m", "key", 400, "fill", 100)
	warm, cold, duv := 3200., 5600., 0.004
	in.Readings[0].CCTK, in.Readings[1].CCTK, in.Readings[1].Duv = &cold, &warm, &duv
	c := analyze(t, in).Marks[0].Colors
	// 10⁶/3200 − 10⁶/5600 by hand.
	near(t, "fill to key", c[1].FromMired, 312.5-178.571428571, 1e-6)
	if c[0].FromMired != nil || *c[1].Duv != duv || math.Abs(c[0].Kelvin-5600) > 1e-9 {
		t.Errorf("%+v", c)
	}
}

func ExampleAnalyze() {
	lux := func(role ratio.Role, level float64) ratio.Reading {
		return ratio.Reading{Mark: "stage center", Role: role, Level: photometry.Level{Value: level, Quantity: photometry.Illuminance}}
	}
	r, err := ratio.Analyze(ratio.Input{
		Readings: []ratio.Reading{lux(ratio.KeyRole, 800), lux(ratio.FillRole, 200)},
		Camera:   ratio.Camera{ISO: 800, ShutterS: 1. / 50},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	m := r.Marks[0]
	fmt.Println(ratio.Format(*m.KeyToFill), ratio.Format(*m.LightingRatio), photometry.FormatFNumber(*m.Exposure.FNumber))
	// Output: 4.0:1 5.0:1 f/8
}
