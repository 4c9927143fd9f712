package colorimetry

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"
)

// setLight draws a light as found on a set: 2,000 K to 10,000 K, some green or
// magenta.
func setLight(t *rapid.T, label string) CCT {
	return CCT{
		Kelvin: Kelvin(rapid.Float64Range(100, 500).Draw(t, label+" mired")),
		Duv:    rapid.Float64Range(-0.015, 0.008).Draw(t, label+" duv"),
	}
}

// A model has the chromaticity that it stands for, by the model written out anew.
func TestModelHasTheLightsColor(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		light := setLight(t, "light")
		m, err := ModelOf(light)
		if err != nil {
			t.Fatal(err)
		}
		got, _ := referenceThrough(m.PlanckianKelvin, referenceCC(float64(m.Cast)))
		if math.Abs(got.Mired()-light.Mired()) > 1e-3 || math.Abs(got.Duv-light.Duv) > 1e-7 {
			t.Fatalf("%v is modeled by %v", light, got)
		}
		if (light.Duv > 1e-6 && m.Cast <= 0) || (light.Duv < -1e-6 && m.Cast >= 0) {
			t.Fatalf("%v has a cast of %v", light, m.Cast)
		}
	})
}

// The pair of filters that a light needs takes it to the target, by the models
// written out anew.
func TestNeedsLandOnTarget(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		source, target := setLight(t, "source"), setLight(t, "target")
		m, err := ModelOf(source)
		if err != nil {
			t.Fatal(err)
		}
		need, err := Needs(source, target)
		if err != nil {
			t.Fatal(err)
		}
		cast, conversion, cc := referenceCC(float64(m.Cast)), referenceConversion(need.Mired), referenceCC(float64(need.Filter()))
		got, _ := referenceThrough(m.PlanckianKelvin, func(nm float64) float64 { return cast(nm) * conversion(nm) * cc(nm) })
		if math.Abs(got.Mired()-target.Mired()) > 1e-3 || math.Abs(got.Duv-target.Duv) > 1e-7 {
			t.Fatalf("%v to %v with %+v lands on %v", source, target, need, got)
		}
		if need.CC < 0 || need.LossStops < 0 || (need.CC > 0) != (need.CCColor != "") {
			t.Fatalf("%+v", need)
		}
	})
}

func TestNeedsOfAGreenTungsten(t *testing.T) {
	need, err := Needs(CCT{3200, 0.010}, CCT{3200, 0})
	if err != nil {
		t.Fatal(err)
	}
	if need.CCColor != "magenta" || need.CC < 10 || need.CC > 20 {
		t.Errorf("CC %g %s", need.CC, need.CCColor)
	}
	if need.Mired > -20 {
		t.Errorf("%g mired: the magenta filter's warming is not taken back", need.Mired)
	}
}

func TestNeedsNothing(t *testing.T) {
	for _, light := range []CCT{{3200, 0}, {5600, 0.004}, {5600, -0.004}} {
		need, err := Needs(light, light)
		if err != nil {
			t.Fatal(err)
		}
		if need != (Need{}) {
			t.Errorf("%v to itself needs %+v", light, need)
		}
	}
}

func TestNeedsErrors(t *testing.T) {
	good := CCT{5600, 0}
	for _, pair := range [][2]CCT{{{150, 0}, good}, {good, {0, 0}}, {{5600, 3}, good}, {good, {math.NaN(), 0}}} {
		if need, err := Needs(pair[0], pair[1]); err == nil || need != (Need{}) {
			t.Errorf("%v to %v: %+v, %v", pair[0], pair[1], need, err)
		}
	}
	// Cloudless sky with a strong green cast has no Planckian behind one filter.
	if _, err := ModelOf(CCT{20000, 0.04}); !errors.Is(err, ErrBeyondModel) {
		t.Errorf("%v", err)
	}
}

// CC points and Duv at a color temperature are inverses of each other.
func TestCCAndDuvAreInverses(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		kelvin := Kelvin(rapid.Float64Range(110, 450).Draw(t, "mired"))
		cc := CC(rapid.Float64Range(-30, 20).Draw(t, "cc"))
		light, err := FromCC(kelvin, cc)
		if err != nil {
			t.Skip(err) // a strong cast at an end of the range
		}
		if light.Kelvin != kelvin {
			t.Fatalf("%v is not at %g K", light, kelvin)
		}
		back, err := CCNeeded(light)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(float64(back-cc)) > 1e-5 {
			t.Fatalf("%v came back as %v", cc, back)
		}
		if cc < -1e-6 && light.Duv <= 0 || cc > 1e-6 && light.Duv >= 0 {
			t.Fatalf("a light that needs %v has Duv %g", cc, light.Duv)
		}
	})
	for _, f := range []struct {
		kelvin float64
		cc     CC
	}{{0, 5}, {5600, 101}, {5600, CC(math.NaN())}, {24000, -60}} {
		if light, err := FromCC(f.kelvin, f.cc); err == nil || light != (CCT{}) {
			t.Errorf("%g K, %v: %v, %v", f.kelvin, f.cc, light, err)
		}
	}
}

// Shift is target minus source; positive warms.
func TestShiftBetween(t *testing.T) {
	s, err := ShiftBetween(CCT{5600, 0.002}, CCT{3200, -0.001})
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(s.Mired-(1e6/3200.0-1e6/5600.0)) > 1e-9 || math.Abs(s.Duv+0.003) > 1e-15 {
		t.Errorf("%+v", s)
	}
	if math.Abs(s.Steps-s.DeltaUVPrime/0.0011) > 1e-12 {
		t.Errorf("%+v", s)
	}
	for _, pair := range [][2]CCT{{{0, 0}, {5600, 0}}, {{5600, 0}, {0, 0}}} {
		if _, err := ShiftBetween(pair[0], pair[1]); err == nil {
			t.Errorf("%v accepted", pair)
		}
	}
}

func BenchmarkNeeds(b *testing.B) {
	for b.Loop() {
		if _, err := Needs(CCT{3200, 0.01}, CCT{5600, 0}); err != nil {
			b.Fatal(err)
		}
	}
}
