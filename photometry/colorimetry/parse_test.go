package colorimetry

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// Illuminant A in every way of writing it: x 0.44758, y 0.40745 (CIE 15).
func TestParse(t *testing.T) {
	want := XY{0.44758, 0.40745}
	uv, prime := want.UV(), want.UVPrime()
	for _, in := range []string{
		"xy:0.44758,0.40745", "XY: 0.44758, 0.40745", "xy:0.44758;0.40745", "xy:.44758,.40745",
		fmt.Sprintf("uv:%.6f,%.6f", uv.U, uv.V),
		fmt.Sprintf("u'v':%.6f,%.6f", prime.U, prime.V),
		fmt.Sprintf("u’v’: %.6f, %.6f", prime.U, prime.V),
		fmt.Sprintf("u′v′:%.6f,%.6f", prime.U, prime.V),
		"2855.5K", "2,855.5 K", "350.2 mired", "2855.5 kelvin",
	} {
		got, err := Parse(in)
		if strings.HasPrefix(in, "2,855.5") { // not a whole number of thousands
			if err == nil {
				t.Errorf("%q accepted as %v", in, got)
			}
			continue
		}
		if err != nil {
			t.Errorf("%q: %v", in, err)
			continue
		}
		if math.Abs(got.X-want.X) > 2e-5 || math.Abs(got.Y-want.Y) > 2e-5 {
			t.Errorf("%q: %v, want %v", in, got, want)
		}
	}
}

func TestParseCCT(t *testing.T) {
	for in, want := range map[string]CCT{
		"5600K": {5600, 0}, "5600 k": {5600, 0}, "5,600K": {5600, 0}, "12,000 K": {12000, 0},
		"200 mired": {5000, 0}, "200mireds": {5000, 0},
		"5600K Duv +0.003": {5600, 0.003}, "5600K, Duv -0.003": {5600, -0.003}, "5600K Duv=0.003": {5600, 0.003},
		"5600 K +0.003 Duv": {5600, 0.003}, "5600K −0.003": {5600, -0.003}, "200 mired Duv 0.001": {5000, 0.001},
	} {
		got, err := ParseCCT(in)
		if err != nil {
			t.Errorf("%q: %v", in, err)
		}
		if got != want {
			t.Errorf("%q: %v, want %v", in, got, want)
		}
	}
	got, err := ParseCCT("uv:0.1978,0.3122") // Ohno's example: 6507.4 K, +0.00322
	if err != nil || math.Abs(got.Kelvin-6507.4) > 0.1 || math.Abs(got.Duv-0.00322) > 5e-6 {
		t.Errorf("%v, %v", got, err)
	}
}

func TestParseErrors(t *testing.T) {
	for in, want := range map[string]error{
		"0K": ErrKelvin, "150K": ErrKelvin, "1000000K": ErrKelvin, "1e6K": ErrKelvin,
		"5600K Duv 3": ErrOffWhite, "xy:0.9,0.9": ErrNoSuchLight, "uv:2,2": ErrNoSuchLight, "u'v':0,0": ErrNoSuchLight,
		"": nil, "5600": nil, "K": nil, "xy:": nil, "xy:0.3": nil, "xy:0.3,0.3,0.3": nil, "xy:a,b": nil,
		"xy:nan,nan": nil, "xy:inf,0.3": nil, "lab:0.3,0.3": nil, "0 mired": nil, "-5 mired": nil, "5.6.0K": nil,
		"5600K Duv x": nil, "56,00K": nil,
	} {
		c, err := Parse(in)
		if err == nil || c != (XY{}) {
			t.Errorf("%q: %v, %v", in, c, err)
			continue
		}
		if want != nil && !errors.Is(err, want) {
			t.Errorf("%q: %v, want %v", in, err, want)
		}
	}
	// A chromaticity too far from white is a color, but not a color temperature.
	if _, err := Parse("xy:0.2,0.7"); err != nil {
		t.Error(err)
	}
	if _, err := ParseCCT("xy:0.2,0.7"); !errors.Is(err, ErrOffWhite) {
		t.Error(err)
	}
}

func TestStringsReadBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		light := setLight(t, "light")
		c, err := light.XY()
		if err != nil {
			t.Fatal(err)
		}
		for _, s := range []string{c.String(), c.UV().String(), c.UVPrime().String()} {
			got, err := Parse(s)
			if err != nil {
				t.Fatal(err)
			}
			// Half of the fourth decimal, and what v stretches to in y.
			if math.Abs(got.X-c.X) > 6e-4 || math.Abs(got.Y-c.Y) > 6e-4 {
				t.Fatalf("%q: %v, want %v", s, got, c)
			}
		}
		got, err := ParseCCT(light.String())
		if err != nil || math.Abs(got.Kelvin-light.Kelvin) > 0.5+1e-9 || math.Abs(got.Duv-light.Duv) > 5.1e-5 {
			t.Fatalf("%q: %v, %v", light, got, err)
		}
	})
}

func TestStringHasNoSignedZero(t *testing.T) {
	if s := (CCT{5600, -1e-9}).String(); s != "5600 K, Duv 0.0000" {
		t.Error(s)
	}
}

// Whatever is read as a color is one that light can have, and written with every
// digit it reads back the same.
func FuzzParse(f *testing.F) {
	for _, s := range []string{"xy:0.4476,0.4074", "uv:0.1978,0.3122", "u'v':0.1978,0.4683", "5600K", "178 mired", "5600K Duv 0.003", "5,600 K", "xy:1e-1,0.1"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		c, err := Parse(s)
		if err != nil {
			if c != (XY{}) {
				t.Errorf("%q: %v with %v", s, c, err)
			}
			return
		}
		if err := c.Check(); err != nil {
			t.Errorf("%q: %v", s, err)
		}
		back, err := Parse(fmt.Sprintf("xy:%v,%v", c.X, c.Y))
		if err != nil || back != c {
			t.Errorf("%q is %v, written out %v, %v", s, c, back, err)
		}
		if t1, err := ParseCCT(s); err == nil {
			if err := t1.Check(); err != nil {
				t.Errorf("%q: %v: %v", s, t1, err)
			}
		}
	})
}
