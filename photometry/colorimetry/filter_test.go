package colorimetry

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"
)

// referenceThrough sends a Planckian radiator through a transmittance by plain
// summation and reads the result by golden-section search.
func referenceThrough(kelvin float64, transmittance func(nm float64) float64) (CCT, float64) {
	var after XYZ
	before := 0.0
	for nm := 360; nm <= 830; nm++ {
		p := math.Pow(float64(nm)/560, -5) / math.Expm1(referenceC2*1e9/(float64(nm)*kelvin))
		f := ColorMatching(nm)
		before += p * f.Y
		after = after.Add(f.Scale(p * transmittance(float64(nm))))
	}
	return referenceCCT(after.UV()), after.Y / before
}

// The models as their definitions have them, without surfaces.
func referenceCC(cc float64) func(nm float64) float64 {
	return func(nm float64) float64 {
		b := math.Exp(-4 * math.Ln2 * math.Pow((nm-545)/100, 2))
		if cc < 0 {
			return math.Pow(10, cc/100*b)
		}
		return math.Pow(10, -cc/100*(1-b))
	}
}

func referenceConversion(shiftMired float64) func(nm float64) float64 {
	lambda0 := 650.0
	if shiftMired < 0 {
		lambda0 = 430
	}
	return func(nm float64) float64 {
		return math.Min(1, math.Exp(-referenceC2*shiftMired*1e-6*(1/(nm*1e-9)-1/(lambda0*1e-9))))
	}
}

// Figures of the models, computed twice outside this package.
func TestFilterFigures(t *testing.T) {
	for _, f := range []struct {
		name          string
		filter        *Filter
		kelvin        float64
		duv, shift    float64 // NaN: no figure
		transmittance float64 // before surfaces
		tolerance     float64
	}{
		{"CC30M at 5600 K", CCFilter(-30), 5600, -0.0324, math.NaN(), 0.630, 5e-4},
		{"CC30M at 3200 K", CCFilter(-30), 3200, -0.0220, 80, math.NaN(), 0},
		// The figure, 0.634, leaves out the clamp beyond 650 nm; with it, as the
		// model is defined, the filter passes 0.633 (the next test has both).
		{"5500 K to 3200 K", ConversionFilter(1e6/3200.0 - 1e6/5500.0), 5500, 0, 130.682, 0.634, 1.5e-3},
		{"3200 K to 5500 K", ConversionFilter(1e6/5500.0 - 1e6/3200.0), 3200, 0, -130.682, 0.359, 5e-4},
	} {
		s, err := Planckian(f.kelvin)
		if err != nil {
			t.Fatal(err)
		}
		through, err := f.filter.Through(s)
		if err != nil {
			t.Fatal(err)
		}
		got, err := through.XY.CCT()
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(got.Duv-f.duv) > 7e-4 {
			t.Errorf("%s: Duv %.4f, want %.4f", f.name, got.Duv, f.duv)
		}
		if shift := got.Mired() - Mired(f.kelvin); !math.IsNaN(f.shift) && math.Abs(shift-f.shift) > 0.5 {
			t.Errorf("%s: %.2f mired, want %.2f", f.name, shift, f.shift)
		}
		if tau := through.Transmittance / SurfaceTransmittance; !math.IsNaN(f.transmittance) && math.Abs(tau-f.transmittance) > f.tolerance {
			t.Errorf("%s: %.4f, want %.3f", f.name, tau, f.transmittance)
		}
		if math.Abs(through.LossStops+math.Log2(through.Transmittance)) > 1e-12 {
			t.Errorf("%s: %g stops", f.name, through.LossStops)
		}
	}
}

// The filters against the models written out anew.
func TestFiltersAgainstTheirModels(t *testing.T) {
	for _, kelvin := range []float64{2800, 3200, 4500, 5600} {
		s, err := Planckian(kelvin)
		if err != nil {
			t.Fatal(err)
		}
		for name, f := range map[string]struct {
			filter *Filter
			model  func(float64) float64
		}{
			"10M": {CCFilter(-10), referenceCC(-10)}, "30G": {CCFilter(30), referenceCC(30)},
			"+131": {ConversionFilter(131), referenceConversion(131)}, "-65": {ConversionFilter(-65), referenceConversion(-65)},
			"ND 0.3": {NeutralFilter(0.3), func(float64) float64 { return math.Pow(10, -0.3) / SurfaceTransmittance }},
			"30M with -65": {
				Combine(CCFilter(-30), ConversionFilter(-65)),
				func(nm float64) float64 {
					return referenceCC(-30)(nm) * referenceConversion(-65)(nm) * SurfaceTransmittance
				},
			},
		} {
			want, tau := referenceThrough(kelvin, f.model)
			through, err := f.filter.Through(s)
			if err != nil {
				t.Fatal(err)
			}
			got, err := through.XY.CCT()
			if err != nil {
				t.Fatalf("%s at %g K: %v", name, kelvin, err)
			}
			if math.Abs(got.Mired()-want.Mired()) > 1e-4 || math.Abs(got.Duv-want.Duv) > 1e-7 {
				t.Errorf("%s at %g K: %v, want %v", name, kelvin, got, want)
			}
			if math.Abs(through.Transmittance-tau*SurfaceTransmittance) > 1e-9 {
				t.Errorf("%s at %g K: passes %g, want %g", name, kelvin, through.Transmittance, tau*SurfaceTransmittance)
			}
		}
	}
	// Where the clamp makes the difference to the figure of 0.634.
	_, unclamped := referenceThrough(5500, func(nm float64) float64 {
		return math.Exp(-referenceC2 * (1e6/3200.0 - 1e6/5500.0) * 1e-6 * (1/(nm*1e-9) - 1/650e-9))
	})
	if math.Abs(unclamped-0.634) > 5e-4 {
		t.Errorf("without the clamp %g, want 0.634", unclamped)
	}
}

// No filter adds light, and opposite CC filters together are neutral.
func TestFilterProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		shift := rapid.Float64Range(-300, 300).Draw(t, "mired")
		cc := CC(rapid.Float64Range(-100, 100).Draw(t, "cc"))
		conversion, green, opposite := ConversionFilter(shift), CCFilter(cc), CCFilter(-cc)
		for i := range conversion {
			for _, v := range []float64{conversion[i], green[i]} {
				if !(v > 0 && v <= SurfaceTransmittance+1e-12) {
					t.Fatalf("transmittance %g at %d nm", v, FirstNM+i)
				}
			}
		}
		pair := Combine(green, opposite)
		for i := range pair {
			if math.Abs(pair[i]-pair[0]) > 1e-12 {
				t.Fatalf("%v with its opposite is not neutral at %d nm", cc, FirstNM+i)
			}
		}
	})
}

// A neutral density of 0.3 is one stop: log2(10^0.3) = 0.9966.
func TestNeutralFilter(t *testing.T) {
	s, err := Planckian(5600)
	if err != nil {
		t.Fatal(err)
	}
	through, err := NeutralFilter(0.3).Through(s)
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(through.LossStops-0.3/math.Log10(2)) > 1e-12 {
		t.Errorf("%g stops", through.LossStops)
	}
	if _, err := new(Filter).Through(s); !errors.Is(err, ErrNoLight) {
		t.Errorf("opaque: %v", err)
	}
}
