package setup

import (
	"bytes"
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"evenfall/photometry"
	"evenfall/photometry/colorimetry"
)

func readLamps(t *testing.T, in string) *LampColors {
	t.Helper()
	c, err := ReadLampColors(strings.NewReader(in), "l.csv")
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// One light in every notation: CIE 15's illuminant A.
func TestLampColorNotations(t *testing.T) {
	a := colorimetry.XY{X: 0.44758, Y: 0.40745}
	want, err := a.CCT()
	if err != nil {
		t.Fatal(err)
	}
	c := readLamps(t, "lamp,CCT (K),mired,Duv,CC,cie x,cie y,u',v'\n"+
		"K,2855.5 K,,0,,,,,\nm,,350.2,0,,,,,\nneeds,2855.5,,,needs 0,,,,\nxy,,,,,0.44758,0.40745,,\nuv,,,,,,,0.25597,0.52429\n"+
		"mired in K,350.2 mired,,,,,,,\n")
	if len(c.Lamps) != 6 || len(c.Colorless) != 0 {
		t.Fatalf("%+v", c)
	}
	for _, l := range c.Lamps {
		if math.Abs(l.Light.Kelvin-want.Kelvin) > 1 || math.Abs(l.Light.Duv-want.Duv) > 2e-5 {
			t.Errorf("%s: %v, want %v", l.Name, l.Light, want)
		}
	}
	// needs 10M and has 10G are one light, and a green one.
	c = readLamps(t, "lamp,CCT,CC\na,5600,needs 10M\nb,5600,has 10G\n")
	if c.Lamps[0].Light != c.Lamps[1].Light || c.Lamps[0].Light.Duv <= 0 || math.Abs(c.Lamps[0].Light.Kelvin-5600) > 1e-9 {
		t.Errorf("%v, %v", c.Lamps[0].Light, c.Lamps[1].Light)
	}
}

func TestLampLevelsAndRoles(t *testing.T) {
	c := readLamps(t, "lamp,role,CCT,E (lx),gel\nA,Key,5600,1000,\nB,fill,5600,100 fc,half CTB\nC,,5600,,\n")
	fc := 100 * photometry.LuxPerFootcandle
	want := []colorimetry.Lamp{
		{Name: "A", Light: colorimetry.CCT{Kelvin: 5600}, Level: 1000, Key: true, KelvinsAlone: true},
		{Name: "B", Light: colorimetry.CCT{Kelvin: 5600}, Level: fc, Gel: "half CTB", KelvinsAlone: true},
		{Name: "C", Light: colorimetry.CCT{Kelvin: 5600}, KelvinsAlone: true},
	}
	if diff := cmp.Diff(want, c.Lamps); diff != "" {
		t.Errorf("(want, got):\n%s", diff)
	}
	c = readLamps(t, "label;CCT;fc\nA;5.600;100,5\nB;5600;1076,4 lx\n")
	if got := c.Lamps[0]; got.Name != "A" || got.Light.Kelvin != 5600 || math.Abs(got.Level-100.5*photometry.LuxPerFootcandle) > 1e-9 {
		t.Errorf("%+v", got)
	}
	if got := c.Lamps[1].Level; math.Abs(got-1076.4) > 1e-9 {
		t.Errorf("1076.4 lx in a column of footcandles is %v", got)
	}
}

// A table of lamps for a plan is read for its colors without a word about its
// other columns; frames, bounces and flags have no color, and what stands for a
// rating at a distance is no level.
func TestLampColorsOfAPlan(t *testing.T) {
	c := readLamps(t, "name,kind,x (m),y (ft),z,aim x,aim y,aim z,flux (lm),intensity (cd),E (lx),at (m),beam (deg),source width,source height (cm),stand height,pan,tilt,dimmer (%),"+
		"CCT,Duv,behind,transmission (%),undiffused (%),lobe m,reflectance (%),material,rotate (deg),file,power (W),scrims,gel,note\n"+
		"left,panel,1.5..3.0,1,2,0,0,0,,,1250,3,60,0.6,30,2,,,80,5600,0.002,,,,,,,,,300,single,,\n"+
		"frame,frame,1,1,1,0,0,0,,,,,,1,1,,,,,,,left,50,10,1,,,,,,,,\n"+
		"spare,point,1,1,1,0,0,0,,,,,,,,,,,,,,,,,,,,,,,,,\n")
	if len(c.Warnings) != 0 {
		t.Errorf("warnings: %v", c.Warnings)
	}
	want := []colorimetry.Lamp{{Name: "left", Light: colorimetry.CCT{Kelvin: 5600, Duv: 0.002}}}
	if diff := cmp.Diff(want, c.Lamps); diff != "" {
		t.Errorf("(want, got):\n%s", diff)
	}
	if !c.Rated || !cmp.Equal(c.Others, []string{"frame"}) || !cmp.Equal(c.Colorless, []string{"spare"}) {
		t.Errorf("rated %v, others %v, colorless %v", c.Rated, c.Others, c.Colorless)
	}
}

func TestLampColorErrors(t *testing.T) {
	in := "lamp,CCT,mired,Duv,CC,cie x,cie y,E\n" +
		"a,150,,0.001,,,,\n" + // the CCT is what is wrong, not that Duv stands alone
		"b,1000000,,,,,,\n" +
		"c,5600,,3,,,,\n" +
		"d,5600,,,1M,,,\n" +
		"e,,,0.001,,,,\n" +
		"f,,,,,0.8,0.8,\n" +
		"g,,,,,0.3,,\n" +
		"A,5600,,,,,,\n" +
		",5600,,,,,,\n" +
		"i,5600,,,,,,f/8\n" +
		"j,,0,,,,,\n" +
		"k,,,,,0.3,0.6,\n" +
		"l,0,,,,,,\n"
	_, err := ReadLampColors(strings.NewReader(in), "l.csv")
	if err == nil {
		t.Fatal("no error")
	}
	got := strings.Split(err.Error(), "\n")
	want := []string{
		`l.csv:2:2: found "150", expected a color temperature from 1,000 K to 25,000 K`,
		`l.csv:3:2: found "1000000", expected a color temperature from 1,000 K to 25,000 K`,
		`l.csv:4:4: found "3", expected a Duv that light of this color temperature can have, at most 0.05 either way`,
		`l.csv:5:5: found "1M", expected what the light must be given, needs 10M, or its own cast, has 10G, within the range of CC filters`,
		`l.csv:6:4: found "0.001", expected a color temperature beside it`,
		`l.csv:7:6: found "0.8", expected the chromaticity of a light that is nearly white`,
		`l.csv:8:6: found "0.3", expected the cie y that belongs to it`,
		`l.csv:9:1: found "A", expected each lamp once; it is on line 2 already`,
		`l.csv:10:1: found an empty cell, expected the lamp's name`,
		`l.csv:11:8: found "f/8", expected an illuminance such as 1250 lx or 116 fc`,
		`l.csv:12:3: found "0", expected a color temperature from 1,000 K to 25,000 K`,
		`l.csv:13:6: found "0.3", expected the chromaticity of a light that is nearly white`,
		`l.csv:14:2: found "0", expected a color temperature from 1,000 K to 25,000 K`,
	}
	if len(got) != len(want) {
		t.Fatalf("%d errors, want %d:\n%s", len(got), len(want), err)
	}
	for i := range want {
		if !strings.HasPrefix(got[i], want[i]) {
			t.Errorf("%s\nwant %s", got[i], want[i])
		}
	}
	for in, says := range map[string]string{
		"lamp,CCT\n":             "found a table without rows, expected a row for each lamp",
		"CCT,Duv\n5600,0\n":      "found no column of names",
		"lamp,Duv\nA,0.001\n":    "found no column of colors",
		"lamp,CCT,E\nA,,1000\n":  "found no color of any lamp",
		"camera,tint\nA,1\n":     "expected a column of this table: name",
		"lamp,CCT,K\nA,5600,2\n": "only one column",
	} {
		if _, err := ReadLampColors(strings.NewReader(in), "l.csv"); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%q: %v does not say %q", in, err, says)
		}
	}
}

func TestLampColorsRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rows := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) LampColor {
			duv, lux := rapid.Float64Range(-0.02, 0.02).Draw(t, "Duv"), Lux(rapid.Float64Range(0, 1e5).Draw(t, "E"))
			fc := Footcandles(rapid.Float64Range(0, 1e4).Draw(t, "fc"))
			l := LampColor{
				Name: rapid.StringMatching(`[A-Za-z][A-Za-z0-9 ]{0,5}[a-z]`).Draw(t, "name"), Duv: &duv, Lux: &lux, FC: &fc,
				CCT: Kelvins(rapid.Float64Range(2000, 10000).Draw(t, "CCT")), CC: rapid.SampledFrom([]string{"", "needs 10M", "has 2.5G"}).Draw(t, "CC"),
			}
			return l
		}), 1, 5).Draw(t, "rows")
		var records [][]string
		for _, l := range rows {
			records = append(records, []string{l.Name, cell(&l.CCT), cell(l.Duv), l.CC, cell(l.Lux), cell(l.FC), rapid.SampledFrom([]string{"", "1.5", "1.5..3.0"}).Draw(t, "x")})
		}
		back := readBack[LampColor](t, csvOf("name,CCT (K),Duv,CC,E (lx),E (fc),x (m)", records...))
		// Footcandles are read by way of lux: equal to rounding.
		close := cmp.Comparer(func(a, b Footcandles) bool { return math.Abs(float64(a-b)) <= 1e-12*math.Abs(float64(a)) })
		if diff := cmp.Diff(rows, back, close); diff != "" {
			t.Fatalf("(wrote, read):\n%s", diff)
		}
	})
}

// Whatever is read without an error is a light that can be corrected.
func FuzzReadLampColors(f *testing.F) {
	f.Add([]byte("lamp,role,CCT (K),Duv,E\nA,key,5600,0.001,1250\nB,,5500,,116 fc\n"))
	f.Add([]byte("name;mired;CC;fc\nx;178,5;needs 10M;12\n"))
	f.Add([]byte("label,cie x,cie y,u',v'\nA1,0.3,0.3,,\nA2,,,0.2,0.47\n"))
	f.Fuzz(func(t *testing.T, in []byte) {
		c, err := ReadLampColors(bytes.NewReader(in), "l.csv")
		if err != nil {
			return
		}
		seen := map[string]bool{}
		for _, l := range c.Lamps {
			if err := l.Light.Check(); err != nil || l.Name == "" || seen[l.Name] || !(l.Level >= 0) {
				t.Errorf("%+v: %v", l, err)
			}
			seen[l.Name] = true
		}
	})
}
