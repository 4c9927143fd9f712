package colorimetry

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

func TestChromaticityRoundTrips(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c, err := anyCCT(t, "light").XY()
		if err != nil {
			t.Fatal(err)
		}
		near := func(d XY) bool { return math.Abs(c.X-d.X) < 1e-13 && math.Abs(c.Y-d.Y) < 1e-13 }
		for _, back := range []XY{c.UV().XY(), c.UVPrime().XY(), c.UV().UVPrime().UV().XY(), c.XYZ(321).XY(), c.XYZ(1).UV().XY()} {
			if !near(back) {
				t.Fatalf("%v came back as %v", c, back)
			}
		}
		if got := c.XYZ(321).Y; got != 321 {
			t.Fatalf("level %g", got)
		}
	})
}

// Illuminant D65 in each plane (CIE 15): x 0.31272, y 0.32903; u′ 0.1978,
// v′ 0.4683.
func TestChromaticityPlanes(t *testing.T) {
	c := XY{0.31272, 0.32903}
	if p := c.UVPrime(); math.Abs(p.U-0.1978) > 5e-5 || math.Abs(p.V-0.4683) > 5e-5 {
		t.Errorf("%v", p)
	}
	if p := c.UV(); math.Abs(p.U-0.1978) > 5e-5 || math.Abs(p.V-0.4683/1.5) > 5e-5 {
		t.Errorf("%v", p)
	}
}

func TestNoLightHasNoColor(t *testing.T) {
	if c := (XYZ{}).XY(); c != (XY{}) || c.Check() == nil {
		t.Errorf("%v", c)
	}
	if c := (XYZ{}).UV(); c != (UV{}) {
		t.Errorf("%v", c)
	}
	defer func() {
		if recover() == nil {
			t.Error("XYZ of y 0 did not panic")
		}
	}()
	XY{0.3, 0}.XYZ(1)
}

// Ohno's example (LEUKOS 10, 2014): u 0.1978, v 0.3122 is 6507.4 K, +0.00322. A
// green has a chromaticity but no color temperature, and the reason is given.
func TestConvert(t *testing.T) {
	c, err := Convert(UV{0.1978, 0.3122}.XY())
	if err != nil {
		t.Fatal(err)
	}
	if c.Kelvin == nil || math.Abs(*c.Kelvin-6507.4) > 0.1 || math.Abs(*c.Duv-0.00322) > 5e-6 || math.Abs(*c.Mired**c.Kelvin-1e6) > 1e-6 || c.NoCCT != "" {
		t.Errorf("%+v", c)
	}
	if math.Abs(c.UPrime-0.1978) > 1e-12 || math.Abs(c.VPrime-0.4683) > 1e-12 {
		t.Errorf("%+v", c)
	}
	if c, err = Convert(XY{0.2, 0.7}); err != nil || c.Kelvin != nil || c.NoCCT == "" {
		t.Errorf("%+v, %v", c, err)
	}
	if _, err = Convert(XY{0.9, 0.9}); err == nil {
		t.Error("a color that no light has was converted")
	}
}
