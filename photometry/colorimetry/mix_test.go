package colorimetry

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"

	"evenfall/testdata"
)

func anyLight(t *rapid.T, label string) Light {
	c, err := anyCCT(t, label).XY()
	if err != nil {
		t.Fatal(err)
	}
	return Light{rapid.Float64Range(0.01, 1e5).Draw(t, label+" level"), c}
}

func mix(t *rapid.T, lights ...Light) Light {
	m, err := Mix(lights...)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

func alike(a, b Light) bool {
	return math.Abs(a.Level-b.Level) <= 1e-12*a.Level && math.Abs(a.XY.X-b.XY.X) < 1e-12 && math.Abs(a.XY.Y-b.XY.Y) < 1e-12
}

// Grassmann's laws: mixing is commutative, associative and scale-free.
func TestMixLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b, c := anyLight(t, "a"), anyLight(t, "b"), anyLight(t, "c")
		if x, y := mix(t, a, b), mix(t, b, a); !alike(x, y) {
			t.Fatalf("a+b %v, b+a %v", x, y)
		}
		if x, y := mix(t, mix(t, a, b), c), mix(t, a, mix(t, b, c)); !alike(x, y) {
			t.Fatalf("(a+b)+c %v, a+(b+c) %v", x, y)
		}
		k := rapid.Float64Range(1e-3, 1e3).Draw(t, "k")
		x, y := mix(t, a, b), mix(t, Light{k * a.Level, a.XY}, Light{k * b.Level, b.XY})
		if !alike(Light{k * x.Level, x.XY}, y) {
			t.Fatalf("scaled by %g: %v against %v", k, x, y)
		}
		if m := mix(t, a, Light{0, b.XY}); !alike(m, a) {
			t.Fatalf("a with nothing is %v", m)
		}
	})
}

// Mixing chromaticities does what adding the spectra does: A and D65, each at
// its level, by 5 nm sums of the published spectra.
func TestMixAgainstSpectra(t *testing.T) {
	sum := map[string]XYZ{}
	for _, ill := range testdata.Illuminants() {
		var c XYZ
		for i, p := range ill.Values {
			c = c.Add(ColorMatching(int(ill.FirstNM + ill.StepNM*float64(i))).Scale(p))
		}
		sum[ill.Name] = c
	}
	for _, k := range []float64{0.1, 1, 7} {
		want := sum["A"].Add(sum["D65"].Scale(k))
		got, err := Mix(Light{sum["A"].Y, sum["A"].XY()}, Light{k * sum["D65"].Y, sum["D65"].XY()})
		if err != nil {
			t.Fatal(err)
		}
		if c := want.XY(); math.Abs(got.XY.X-c.X) > 1e-12 || math.Abs(got.XY.Y-c.Y) > 1e-12 {
			t.Errorf("k %g: %v, want %v", k, got.XY, c)
		}
	}
}

// Two lights of 3,200 K and 5,600 K at one level read neither 4,400 K nor the
// mean in mired, and lie below the locus.
func TestMixIsNotAMeanOfKelvins(t *testing.T) {
	warm, err := CCT{3200, 0}.XY()
	if err != nil {
		t.Fatal(err)
	}
	cool, err := CCT{5600, 0}.XY()
	if err != nil {
		t.Fatal(err)
	}
	m, err := Mix(Light{500, warm}, Light{500, cool})
	if err != nil {
		t.Fatal(err)
	}
	got, err := m.XY.CCT()
	if err != nil {
		t.Fatal(err)
	}
	// The same from the two spectra, each scaled to the same luminance.
	var spectra XYZ
	for _, k := range []float64{3200, 5600} {
		var one XYZ
		for nm := 360; nm <= 830; nm++ {
			p := math.Pow(float64(nm)/560, -5) / math.Expm1(referenceC2*1e9/(float64(nm)*k))
			one = one.Add(ColorMatching(nm).Scale(p))
		}
		spectra = spectra.Add(one.Scale(1 / one.Y))
	}
	want := referenceCCT(spectra.UV())
	if math.Abs(got.Kelvin-want.Kelvin) > 0.01 || math.Abs(got.Duv-want.Duv) > 1e-7 {
		t.Errorf("%v, want %v", got, want)
	}
	if math.Abs(got.Kelvin-4400) < 100 || got.Duv > -0.001 {
		t.Errorf("%v looks like a mean", got)
	}
}

func TestMixErrors(t *testing.T) {
	good := Light{100, XY{0.3127, 0.3290}}
	for name, lights := range map[string][]Light{
		"none":          nil,
		"all dark":      {{0, good.XY}, {0, good.XY}},
		"negative":      {good, {-1, good.XY}},
		"not a number":  {{math.NaN(), good.XY}},
		"infinite":      {{math.Inf(1), good.XY}},
		"no such color": {good, {1, XY{0.9, 0.9}}},
	} {
		if m, err := Mix(lights...); err == nil || m != (Light{}) {
			t.Errorf("%s: %v, %v", name, m, err)
		}
	}
	if _, err := Mix(good, Light{1, XY{0.9, 0.9}}); !errors.Is(err, ErrNoSuchLight) {
		t.Errorf("%v", err)
	}
}
