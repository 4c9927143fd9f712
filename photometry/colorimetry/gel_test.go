package colorimetry

import (
	"errors"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// reads returns the color of a named source behind a gel, and what the gel
// passes of it.
func reads(t *testing.T, g Gel, source string) (CCT, Transmitted) {
	t.Helper()
	s, err := SourceSpectrum(source)
	if err != nil {
		t.Fatal(err)
	}
	f, err := g.Filter()
	if err != nil {
		t.Fatal(err)
	}
	through, err := f.Through(s)
	if err != nil {
		t.Fatal(err)
	}
	c, err := through.XY.CCT()
	if err != nil {
		t.Fatal(err)
	}
	return c, through
}

// A gel reproduces its sheet at the sheet's source.
func TestGelReproducesItsSheet(t *testing.T) {
	for _, g := range []Gel{
		{Name: "warm", Kind: CTO, Mired: 159, Transmittance: Percent(55), Source: "D65"},
		{Name: "cool", Kind: CTB, Mired: -137, Transmittance: Percent(34), Source: "3200K"},
		{Name: "cool at A", Kind: CTB, Mired: -49, Transmittance: Percent(60), Source: "A"},
		{Name: "warm with green", Mired: 100, CC: 10, Transmittance: Percent(50), Source: "5600K"},
		{Name: "warm, no transmission", Mired: 20, Source: "D55"},
	} {
		s, err := SourceSpectrum(g.Source)
		if err != nil {
			t.Fatal(err)
		}
		bare, err := s.XYZ().XY().CCT()
		if err != nil {
			t.Fatal(err)
		}
		c, through := reads(t, g, g.Source)
		if shift := c.Mired() - bare.Mired(); math.Abs(shift-g.Mired) > 1e-6 {
			t.Errorf("%s: shifts %g mired, its sheet says %g", g.Name, shift, g.Mired)
		}
		if g.Transmittance != nil && math.Abs(through.Transmittance-*g.Transmittance) > 1e-12 {
			t.Errorf("%s: passes %g, its sheet says %g", g.Name, through.Transmittance, *g.Transmittance)
		}
	}
}

// A gel given by the chromaticity of a source behind it has that chromaticity.
func TestGelByChromaticity(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		source := rapid.SampledFrom([]string{"A", "D65", "D55", "E", "3200K", "5600K"}).Draw(rt, "source")
		c, err := setLight(rt, "behind").XY()
		if err != nil {
			rt.Fatal(err)
		}
		g := Gel{Name: "by sheet", XY: &c, Source: source, Transmittance: Percent(20)}
		_, through := reads(t, g, source)
		if math.Abs(through.XY.X-c.X) > 1e-8 || math.Abs(through.XY.Y-c.Y) > 1e-8 {
			rt.Fatalf("%v behind %s, its sheet says %v", through.XY, source, c)
		}
		if math.Abs(through.Transmittance-0.2) > 1e-12 {
			rt.Fatalf("passes %g", through.Transmittance)
		}
	})
}

func TestGelErrors(t *testing.T) {
	white, impossible := XY{0.45, 0.41}, XY{0.9, 0.9}
	for name, f := range map[string]struct {
		gel  Gel
		says string
	}{
		"more than all":     {Gel{Name: "g", Mired: 10, Transmittance: Percent(101)}, "101 %"},
		"nothing":           {Gel{Name: "g", Mired: 10, Transmittance: Percent(0)}, "0 %"},
		"less than nothing": {Gel{Name: "g", Mired: 10, Transmittance: Percent(-5)}, "-5 %"},
		"no number":         {Gel{Name: "g", Mired: 10, Transmittance: Percent(math.NaN())}, "NaN"},
		"no name":           {Gel{Mired: 10}, "name"},
		"no color":          {Gel{Name: "g", Transmittance: Percent(50)}, "neither"},
		"ND without":        {Gel{Name: "g", Kind: ND}, "transmission"},
		"CTO that cools":    {Gel{Name: "g", Kind: CTO, Mired: -10}, "warms"},
		"CTB that warms":    {Gel{Name: "g", Kind: CTB, Mired: 10}, "cools"},
		"plus magenta":      {Gel{Name: "g", Kind: PlusGreen, CC: -10}, "green"},
		"minus green":       {Gel{Name: "g", Kind: MinusGreen, CC: 10}, "magenta"},
		"too strong":        {Gel{Name: "g", CC: 300}, "CC100"},
		"shift too large":   {Gel{Name: "g", Mired: 5500}, "±500"},
		"unknown source":    {Gel{Name: "g", Mired: 10, Source: "moonlight"}, "moonlight"},
		"no source":         {Gel{Name: "g", XY: &white}, "source"},
		"impossible":        {Gel{Name: "g", XY: &impossible, Source: "A"}, "no light"},
	} {
		err := f.gel.Check()
		if err == nil || !strings.Contains(err.Error(), f.says) {
			t.Errorf("%s: %v does not say %q", name, err, f.says)
		}
		if filter, err := f.gel.Filter(); err == nil || filter != nil {
			t.Errorf("%s: made a filter", name)
		}
	}
	// All that is wrong comes together.
	err := Gel{Name: "g", Kind: CTO, Mired: -10, Transmittance: Percent(200)}.Check()
	if err == nil || !strings.Contains(err.Error(), "200 %") || !strings.Contains(err.Error(), "warms") {
		t.Errorf("%v", err)
	}
	// A shift out of the range of color temperatures, at the sheet's source.
	if _, err := (Gel{Name: "g", Mired: -150, Source: "D65"}).Filter(); err == nil {
		t.Error("150 mired of cooling on D65 accepted")
	}
}

func TestGelFindings(t *testing.T) {
	behind, err := CCT{3200, 0}.XY()
	if err != nil {
		t.Fatal(err)
	}
	for code, g := range map[string]Gel{
		"gel_transmission_high": {Name: "g", Mired: 131, Transmittance: Percent(90), Source: "5500K"},
		"gel_sheet_disagrees":   {Name: "g", Mired: 60, XY: &behind, Source: "5500K", Transmittance: Percent(50)},
	} {
		if got := g.Findings(); len(got) != 1 || got[0].Code != code {
			t.Errorf("%s: %v", code, got)
		}
	}
	if got := (Gel{Name: "g", Mired: 131, Transmittance: Percent(58), Source: "5500K"}).Findings(); got != nil {
		t.Errorf("%v", got)
	}
}

func TestParseKind(t *testing.T) {
	for in, want := range map[string]Kind{
		"CTO": CTO, "ctb": CTB, "Plus Green": PlusGreen, "plus-green": PlusGreen, "+green": PlusGreen,
		"minus green": MinusGreen, "-green": MinusGreen, "magenta": MinusGreen, "neutral density": ND, "nd": ND, "": Other, "Other": Other,
	} {
		got, err := ParseKind(in)
		if err != nil || got != want {
			t.Errorf("%q: %q, %v, want %q", in, got, err, want)
		}
	}
	if _, err := ParseKind("sparkly"); err == nil {
		t.Error("sparkly accepted")
	}
}

// The kit is the trade's: full shifts and fractions in proportion,
// and losses within a third of a stop of common practice (no source): full CTO
// two thirds to one stop, full CTB one and a half to two, full minus green two
// thirds, full plus green a third to a half, quarter CTO a third, ND 0.3 one stop.
func TestNominalKit(t *testing.T) {
	kit := map[string]Gel{}
	for _, g := range NominalKit() {
		if !g.Nominal {
			t.Errorf("%s is not marked nominal", g.Name)
		}
		if err := g.Check(); err != nil {
			t.Error(err)
		}
		kit[g.Name] = g
	}
	if len(kit) != 25 {
		t.Errorf("%d gels, want 25", len(kit))
	}
	for name, want := range map[string][2]float64{
		"full CTO": {130.7, 0}, "three-quarter CTO": {98.025, 0}, "half CTB": {-65.35, 0}, "eighth CTB": {-16.3375, 0},
		"full plus green": {0, 30}, "quarter minus green": {0, -7.5},
	} {
		if g := kit[name]; math.Abs(g.Mired-want[0]) > 1e-9 || math.Abs(float64(g.CC)-want[1]) > 1e-9 {
			t.Errorf("%s: %+v", name, g)
		}
	}
	for name, f := range map[string]struct {
		source   string
		low, top float64 // stops
	}{
		"full CTO":         {"5600K", 2.0 / 3, 1},
		"full CTB":         {"3200K", 1.5, 2},
		"full minus green": {"5600K", 2.0 / 3, 2.0 / 3},
		"full plus green":  {"5600K", 1.0 / 3, 0.5},
		"quarter CTO":      {"5600K", 1.0 / 3, 1.0 / 3},
		"ND 0.3":           {"5600K", 1, 1},
		"ND 0.9":           {"3200K", 3, 3},
	} {
		_, through := reads(t, kit[name], f.source)
		if through.LossStops < f.low-1.0/3 || through.LossStops > f.top+1.0/3 {
			t.Errorf("%s loses %.2f stops", name, through.LossStops)
		}
	}
}

func TestNominalGel(t *testing.T) {
	for name, want := range map[string]string{
		"full CTO": "full CTO", "cto": "full CTO", "1/2 CTB": "half CTB", "CTB ½": "half CTB", "¾ cto": "three-quarter CTO",
		"three quarter CTO": "three-quarter CTO", "1/4 minus-green": "quarter minus green", "Eighth  Plus Green": "eighth plus green", "nd 0.6": "ND 0.6",
	} {
		g, ok := NominalGel(name)
		kit := Gel{}
		for _, k := range NominalKit() {
			if k.Name == want {
				kit = k
			}
		}
		if !ok || g.Name != name || g.Mired != kit.Mired || g.CC != kit.CC || !g.Nominal {
			t.Errorf("%q: %+v, %v, want the figures of %s", name, g, ok, want)
		}
	}
	for _, name := range []string{"", "full", "half", "rose", "half half CTO", "2/3 CTO"} {
		if g, ok := NominalGel(name); ok {
			t.Errorf("%q is %+v", name, g)
		}
	}
}

// What is wrong with a gel says which figure it is.
func TestGelErrorFields(t *testing.T) {
	err := Gel{Name: "g", Kind: CTO, Mired: -10, CC: 300, Transmittance: Percent(200), Source: "moon"}.Check()
	joined, ok := err.(interface{ Unwrap() []error })
	if !ok {
		t.Fatalf("%T", err)
	}
	got := map[GelField]bool{}
	for _, one := range joined.Unwrap() {
		var wrong *GelError
		if !errors.As(one, &wrong) || wrong.Gel != "g" || wrong.Problem == "" || wrong.Expected == "" {
			t.Errorf("%#v", one)
			continue
		}
		got[wrong.Field] = true
	}
	for _, f := range []GelField{GelMired, GelCC, GelTransmittance, GelSource} {
		if !got[f] {
			t.Errorf("nothing about figure %d in %v", f, err)
		}
	}
}

func TestInGelWords(t *testing.T) {
	for _, f := range []struct {
		mired float64
		cc    CC
		want  string
	}{
		{130.7, 0, "full CTO"}, {-60, 0, "half CTB"}, {5, 0, ""}, {0, 0, ""},
		{-35, -14.7, "quarter CTB and half minus green"}, {0, 4, "eighth plus green"},
		{170, 0, "full CTO and quarter CTO"}, {265, 0, "two full CTO"}, {125, 0, "full CTO"}, {20, 31, "eighth CTO and full plus green"},
		{1e6, 0, "nine full CTO"},
	} {
		if got := InGelWords(f.mired, f.cc); got != f.want {
			t.Errorf("%g mired, %v: %q, want %q", f.mired, f.cc, got, f.want)
		}
	}
}
