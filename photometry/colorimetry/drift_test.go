package colorimetry

import (
	"math"
	"testing"
)

func TestSteps(t *testing.T) {
	// CIE TN 001:2014: one step is 0.0011 in (u′, v′).
	if d := DeltaUVPrime(UVPrime{0.2, 0.47}, UVPrime{0.2033, 0.4744}); math.Abs(d-0.0055) > 1e-12 || math.Abs(Steps(d)-5) > 1e-9 {
		t.Errorf("%g, %g steps", d, Steps(d))
	}
}

func TestLocusPoints(t *testing.T) {
	points, err := LocusPoints(2500, 10000, 31)
	if err != nil {
		t.Fatal(err)
	}
	if len(points) != 31 {
		t.Fatalf("%d points", len(points))
	}
	for i, p := range points {
		u, v := referencePlanckian(400 - 10*float64(i))
		if math.Abs(p.U-u) > 1e-9 || math.Abs(p.V-1.5*v) > 1e-9 {
			t.Errorf("point %d: %v, want %g %g", i, p, u, 1.5*v)
		}
	}
	for _, f := range [][2]float64{{0, 5000}, {5000, 1e6}} {
		if p, err := LocusPoints(f[0], f[1], 5); err == nil || p != nil {
			t.Errorf("%v: %v, %v", f, p, err)
		}
	}
}

// An isotherm is straight in (u, v), at right angles to the locus, and Duv long.
func TestIsothermPoints(t *testing.T) {
	points, err := IsothermPoints(4000, -0.02, 0.02, 5)
	if err != nil {
		t.Fatal(err)
	}
	for i, p := range points {
		c, err := p.CCT()
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(c.Kelvin-4000) > 1e-6 || math.Abs(c.Duv-(-0.02+0.01*float64(i))) > 1e-12 {
			t.Errorf("point %d is %v", i, c)
		}
	}
}

func TestToleranceOutline(t *testing.T) {
	reference := CCT{5000, 0.001}
	outline, err := ToleranceOutline(reference, 10, 0.003, 8)
	if err != nil {
		t.Fatal(err)
	}
	if len(outline) != 32 {
		t.Errorf("%d points", len(outline))
	}
	for _, p := range outline {
		c, err := p.CCT()
		if err != nil {
			t.Fatal(err)
		}
		m, d := math.Abs(c.Mired()-200)/10, math.Abs(c.Duv-0.001)/0.003
		if math.Abs(math.Max(m, d)-1) > 1e-6 {
			t.Errorf("%v is not on the edge", c)
		}
	}
	for _, f := range [][2]float64{{0, 0.003}, {10, -1}, {math.NaN(), 0.003}, {10, 0.06}} {
		if _, err := ToleranceOutline(reference, f[0], f[1], 8); err == nil {
			t.Errorf("%v accepted", f)
		}
	}
}

func TestPlotHelpersPanic(t *testing.T) {
	for name, f := range map[string]func(){
		"line":     func() { LocusPoints(3000, 4000, 1) },
		"outline":  func() { ToleranceOutline(CCT{5000, 0}, 1, 1, 0) },
		"resample": func() { Resample(400, 0, []float64{1, 2}) },
	} {
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("%s did not panic", name)
				}
			}()
			f()
		}()
	}
}
