package colorimetry

import (
	"math"
	"strings"
	"testing"

	"evenfall/testdata"
)

// The illuminants' published spectra have their published chromaticities
// (CIE 15). Those of the F series are given for sums at 5 nm.
func TestIlluminantsFromTheirSpectra(t *testing.T) {
	for _, ill := range testdata.Illuminants() {
		var sum XYZ
		for i, p := range ill.Values {
			sum = sum.Add(ColorMatching(int(ill.FirstNM + ill.StepNM*float64(i))).Scale(p))
		}
		c := sum.XY()
		if math.Abs(c.X-ill.X) > ill.XYTolerance || math.Abs(c.Y-ill.Y) > ill.XYTolerance {
			t.Errorf("%s: %.6f %.6f, want %g %g", ill.Name, c.X, c.Y, ill.X, ill.Y)
		}
	}
}

// The illuminants as this package makes them, at 1 nm.
func TestStandardIlluminants(t *testing.T) {
	for _, ill := range testdata.Illuminants() {
		if strings.HasPrefix(ill.Name, "F") {
			continue
		}
		s, err := StandardIlluminant(ill.Name)
		if err != nil {
			t.Fatal(err)
		}
		c := s.XYZ().XY()
		if math.Abs(c.X-ill.X) > ill.XYTolerance || math.Abs(c.Y-ill.Y) > ill.XYTolerance {
			t.Errorf("%s: %.6f %.6f, want %g %g", ill.Name, c.X, c.Y, ill.X, ill.Y)
		}
		// And their spectra are the tabulated ones.
		table := Resample(ill.FirstNM, ill.StepNM, ill.Values)
		at560 := s[560-FirstNM] / table[560-FirstNM]
		for nm := 380; nm <= 780; nm += 5 {
			got, want := s[nm-FirstNM]/at560, table[nm-FirstNM]
			if math.Abs(got-want) > 1e-3 { // D50 and D55 are tabulated to three decimals, not always rounded the right way
				t.Errorf("%s at %d nm: %g, want %g", ill.Name, nm, got, want)
			}
		}
	}
	if _, err := StandardIlluminant("F2"); err == nil {
		t.Error("F2 accepted")
	}
}

func TestDaylightLocus(t *testing.T) {
	for _, p := range testdata.DaylightPoints() {
		c, err := DaylightXY(p.Kelvin)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(c.X-p.X) > p.Tolerance || math.Abs(c.Y-p.Y) > p.Tolerance {
			t.Errorf("%g K: %.10f %.10f, want %.10f %.10f (%s)", p.Kelvin, c.X, c.Y, p.X, p.Y, p.Source)
		}
		// The spectrum made from the chromaticity has that chromaticity: the CIE
		// chose M1 and M2 so, for the observer at 5 nm.
		if got := daylight(daylightFactors(c)).XYZ().XY(); math.Abs(got.X-c.X) > 2e-4 || math.Abs(got.Y-c.Y) > 2e-4 {
			t.Errorf("%g K: spectrum at %.6f %.6f, locus at %.6f %.6f", p.Kelvin, got.X, got.Y, c.X, c.Y)
		}
	}
	for _, k := range []float64{0, 3999, 25001, math.NaN(), math.Inf(1)} {
		if _, err := DaylightXY(k); err == nil {
			t.Errorf("daylight of %v K accepted", k)
		}
	}
}

// Wien's displacement law (CODATA 2018: b = 2.897771955e-3 m·K) puts the peak of
// 5,000 K at 579.55 nm.
func TestPlanckianPeak(t *testing.T) {
	s, err := Planckian(5000)
	if err != nil {
		t.Fatal(err)
	}
	peak := 0
	for i := range s {
		if s[i] > s[peak] {
			peak = i
		}
	}
	if nm := float64(FirstNM + peak); math.Abs(nm-2.897771955e-3/5000*1e9) > 0.5+1e-9 {
		t.Errorf("peak at %g nm", nm)
	}
	if at := s[560-FirstNM]; math.Abs(at-1) > 1e-15 {
		t.Errorf("%g at 560 nm", at)
	}
	for _, k := range []float64{0, -1, math.NaN(), math.Inf(1)} {
		if _, err := Planckian(k); err == nil {
			t.Errorf("Planckian of %v K accepted", k)
		}
	}
}

func TestResampleIsLinear(t *testing.T) {
	s := Resample(500, 20, []float64{1, 3, 2})
	for nm, want := range map[int]float64{499: 0, 500: 1, 510: 2, 520: 3, 530: 2.5, 540: 2, 541: 0} {
		if got := s[nm-FirstNM]; math.Abs(got-want) > 1e-12 {
			t.Errorf("%d nm: %g, want %g", nm, got, want)
		}
	}
}

func TestSourceSpectrum(t *testing.T) {
	for _, name := range []string{"A", "d65", " D50 ", "3200K", "5600 K"} {
		if _, err := SourceSpectrum(name); err != nil {
			t.Errorf("%q: %v", name, err)
		}
	}
	for _, name := range []string{"", "daylight", "F2", "100K", "5600K Duv 0.01"} {
		if _, err := SourceSpectrum(name); err == nil {
			t.Errorf("%q accepted", name)
		}
	}
}
