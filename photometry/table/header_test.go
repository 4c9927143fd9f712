package table

import (
	"math"
	"strings"
	"testing"
)

// TestParseHeader splits names and units.
func TestParseHeader(t *testing.T) {
	for text, want := range map[string][2]string{
		"x (m)": {"x", "m"}, "x [m]": {"x", "m"}, "x_m": {"x", "m"}, "X": {"x", ""}, " X  ( m ) ": {"x", "m"},
		"x(m)": {"x", "m"}, "E (lx)": {"e", "lx"}, "E_lx": {"e", "lx"}, "cie x": {"cie x", ""}, "CIE  X": {"cie x", ""},
		"u'": {"u'", ""}, "u’": {"u'", ""}, "v′": {"v'", ""}, "L (cd/m²)": {"l", "cd/m2"}, "CCT (K)": {"cct", "K"},
		"source width": {"source width", ""}, "aim_x": {"aim", "x"}, "source_width_m": {"source width", "m"}, "": {"", ""},
		"(m)": {"(m)", ""}, "_": {"", ""}, "x_": {"x", ""}, "dimmer (%)": {"dimmer", "%"}, "E (lx) at (m)": {"e (lx) at", "m"},
	} {
		name, unit := ParseHeader(text)
		if got := [2]string{name, unit}; got != want {
			t.Errorf("%q: %q, want %q", text, got, want)
		}
	}
}

var lampFields = []Field{
	{Name: "name", Aliases: []string{"lamp"}},
	{Name: "x", Units: []string{"m", "cm", "mm", "ft", "in"}},
	{Name: "aim x", Units: []string{"m", "cm", "mm", "ft", "in"}},
	{Name: "E", Aliases: []string{"lux"}, Units: []string{"lx", "fc"}},
	{Name: "L", Units: []string{"cd/m²"}},
	{Name: "u'"},
	{Name: "source width", Aliases: []string{"width"}, Units: []string{"m", "ft"}},
}

// TestMatch finds the fields of headers.
func TestMatch(t *testing.T) {
	for _, c := range []struct {
		header  string
		index   int
		unit    string
		nearest string
	}{
		{"Name", 0, "", "name"}, {"LAMP", 0, "", "name"},
		{"x (m)", 1, "m", "x"}, {"X_FT", 1, "ft", "x"}, {"x [Feet]", 1, "ft", "x"}, {"x (')", 1, "ft", "x"},
		{"x (deg)", 1, "deg", "x"}, // the caller's error
		{"aim_x", 2, "", "aim x"}, {"Aim X (cm)", 2, "cm", "aim x"}, {"aim_x_mm", 2, "mm", "aim x"},
		{"E_lx", 3, "lx", "E"}, {"e (LX)", 3, "lx", "E"}, {"lux", 3, "", "E"}, {"E (fc)", 3, "fc", "E"},
		{"L (cd/m2)", 4, "cd/m²", "L"}, {"l_cd/m²", 4, "cd/m²", "L"}, {"U’", 5, "", "u'"},
		{"width (ft)", 6, "ft", "source width"}, {"source_width", 6, "", "source width"},
		{"nmae", -1, "", "name"}, {"sorce width (m)", -1, "", "source width"}, {"x_old", -1, "", "x"}, {"aimx (m)", -1, "", "aim x"},
	} {
		index, unit, nearest := Match(lampFields, c.header)
		if index != c.index || unit != c.unit || nearest != c.nearest {
			t.Errorf("%q: %d, %q, %q, want %d, %q, %q", c.header, index, unit, nearest, c.index, c.unit, c.nearest)
		}
	}
	if index, _, nearest := Match(nil, "x"); index != -1 || nearest != "" {
		t.Errorf("no fields: %d, %q", index, nearest)
	}
}

// TestEdits counts edits. kitten to sitting is the example of the literature
// (from memory); a swap of neighbors is one edit in this distance.
func TestEdits(t *testing.T) {
	for _, c := range []struct {
		a, b string
		want int
	}{
		{"kitten", "sitting", 3}, {"", "abc", 3}, {"abc", "abc", 0}, {"nmae", "name", 1}, {"ca", "abc", 3}, {"é", "e", 1},
	} {
		if got := editDistance([]rune(c.a), []rune(c.b)); got != c.want || editDistance([]rune(c.b), []rune(c.a)) != got {
			t.Errorf("%q, %q: %d, want %d", c.a, c.b, got, c.want)
		}
	}
}

// TestLengthFactor holds the factors to NIST SP 811 (2008), appendix B.8:
// foot 3.048 E−01 m and inch 2.54 E−02 m, both exact.
func TestLengthFactor(t *testing.T) {
	for unit, want := range map[string]float64{
		"m": 1, "M": 1, "meters": 1, "meter": 1, "metre": 1, "Metres": 1, "cm": 0.01, "centimetre": 0.01, "centimetres": 0.01, "centimeter": 0.01,
		"mm": 0.001, "millimetre": 0.001, "millimetres": 0.001, "millimeters": 0.001,
		"ft": 3.048e-1, "Feet": 3.048e-1, "'": 3.048e-1, "′": 3.048e-1, "ft.": 3.048e-1,
		"in": 2.54e-2, "inches": 2.54e-2, `"`: 2.54e-2, "″": 2.54e-2, "''": 2.54e-2,
	} {
		if got, ok := LengthFactor(unit); !ok || got != want {
			t.Errorf("%q: %v, %v", unit, got, ok)
		}
	}
	if over, under, ok := LengthRatio("cm"); !ok || 57*over/under != 0.57 {
		t.Errorf("57 cm are %v", 57*over/under)
	}
	for _, unit := range []string{"", "km", "yd", "lx", "deg", "1"} {
		if got, ok := LengthFactor(unit); ok {
			t.Errorf("%q: %v", unit, got)
		}
	}
}

// TestParseLength reads lengths; expected values are sums of feet of 0.3048 m
// and inches of 0.0254 m.
func TestParseLength(t *testing.T) {
	const ft, in = 0.3048, 0.0254
	for _, c := range []struct {
		text, unit string
		want       float64
	}{
		{"3.5", "m", 3.5}, {"3,5", "m", 3.5}, {"12", "ft", 12 * ft}, {"12 ft", "m", 12 * ft}, {"12ft", "m", 12 * ft},
		{"40cm", "m", 0.4}, {"-40 cm", "m", -0.4}, {"−2", "m", -2}, {"8' 6\"", "m", 8*ft + 6*in}, {"8'6", "m", 8*ft + 6*in},
		{"8′ 6″", "m", 8*ft + 6*in}, {"8 ft 6 1/2 in", "m", 8*ft + 6.5*in}, {"8'", "m", 8 * ft}, {"6\"", "m", 6 * in},
		{"1/2 in", "m", 0.5 * in}, {"6 1/2", "in", 6.5 * in}, {"-8' 6''", "m", -(8*ft + 6*in)}, {"2.5 m.", "ft", 2.5},
		{"12 ft.", "m", 12 * ft}, {".5 m", "m", 0.5}, {"1500 mm", "m", 1.5}, {"2 Meters", "ft", 2}, {"+3 m", "m", 3},
	} {
		got, err := ParseLength(c.text, c.unit)
		if err != nil || math.Abs(got-c.want) > 1e-15*math.Abs(c.want) {
			t.Errorf("%q in %s: %v, %v, want %v", c.text, c.unit, got, err, c.want)
		}
	}
	for _, c := range []struct{ text, unit, want string }{
		{"", "m", "a length such as"}, {"m", "m", "a length such as"}, {"3 lx", "m", "a unit m, cm, mm, ft or in"},
		{"3 m 2", "m", "a length such as"}, {"3 in 2 ft", "m", "a length such as"}, {"1' 2' 3'", "m", "a length such as"},
		{"1,234 m", "m", "1234 or 1,2340"}, {"1/0 in", "m", "a length such as"}, {"3", "yd", `one of the units m, cm, mm, ft and in for lengths, not "yd"`},
		{"1 2 m", "m", "a length such as"}, {"8' 6\" 3", "m", "a length such as"}, {"3 m 2 cm", "m", "a length such as"},
	} {
		if got, err := ParseLength(c.text, c.unit); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%q: %v, %v, want %s", c.text, got, err, c.want)
		}
	}
	comma := Dialect{Decimal: ',', Settled: true}
	if got, err := comma.Length("1,234 m", "ft"); err != nil || got != 1.234 {
		t.Errorf("%v, %v", got, err)
	}
}
