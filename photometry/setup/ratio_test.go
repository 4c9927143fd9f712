package setup

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"evenfall/photometry"
	"evenfall/photometry/ratio"
	"evenfall/photometry/schema"
	"evenfall/photometry/table"
)

func readRatios(t *testing.T, o RatioOptions, in string) *Ratios {
	t.Helper()
	r, err := o.Read(strings.NewReader(in), "r.csv")
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// One light in every unit that a table may have: the levels of checks on
// photometry.Meter.
func TestRatioLevels(t *testing.T) {
	r := readRatios(t, RatioOptions{}, "# iso: 100\nmark,role,level,E (lx),E (fc),EV,f,L (cd/m2),H (lx·s),relative\n"+
		"A,key,,1250,,,,,,\nA,fill,,116 fc,,,,,,\nA,back,,,116,,,,,\nA,hair,,,,0,,,,\nA,background,,,,,,320,,\nA,screen,320 cd/m²,,,,,,,\n"+
		"B,key,,,,,8,,,\nB,fill,,,,,5.6 7/10,,,\nB,back,,,,,,,160,\nC,key,,,,,,,,4\nC,fill,,,,,,,,85 %\n")
	want := []photometry.Level{{Value: 1250}, {Value: 1248.6136083333335}, {Value: 1248.6136083333335}, {Value: 2.5}, {Value: 320, Quantity: photometry.Luminance}, {Value: 320, Quantity: photometry.Luminance},
		{Value: 160, Quantity: photometry.LuminousExposure}, {Value: 250 * math.Exp2(5.7) / 100, Quantity: photometry.LuminousExposure}, {Value: 160, Quantity: photometry.LuminousExposure},
		{Value: 4, Quantity: photometry.Relative}, {Value: 0.85, Quantity: photometry.Relative}}
	for i, got := range r.Input.Readings {
		if got.Level.Quantity != want[i].Quantity || math.Abs(got.Level.Value/want[i].Value-1) > 1e-9 {
			t.Errorf("row %d: %+v, want %+v", i+1, got.Level, want[i])
		}
	}
	if len(r.Input.Readings) != len(want) || len(r.Warnings) != 0 {
		t.Errorf("%d readings, %v", len(r.Input.Readings), r.Warnings)
	}
}

// All columns of a row, semicolons and decimal commas, names with quotes, HTML
// and emoji.
func TestRatioRow(t *testing.T) {
	r := readRatios(t, RatioOptions{}, "# title: the \"moth\"\nMark;Role;Lamp;E (lx);Receptor;Aim;CCT;CC;distance (cm);note\n"+
		"\"the \"\"moth\"\"\";Fill light + key light;;400,5;Dome;camera;5600;has 10G;;<b>x</b>\n🦋;KEY;<b>lamp</b>;100,25 fc;;lamp;;;120,5;\n")
	k, duv := 5600.0, r.Input.Readings[0].Duv
	want := []ratio.Reading{
		{Mark: `the "moth"`, Role: "key+fill", Level: photometry.Level{Value: 400.5}, Receptor: photometry.DomeReceptor, ReceptorNoted: true, Aim: "camera", CCTK: &k, Duv: duv, Note: "<b>x</b>", Line: 3},
		{Mark: "🦋", Role: "key", Lamp: "<b>lamp</b>", Level: photometry.Level{Value: 100.25 * photometry.LuxPerFootcandle}, Aim: "lamp", DistanceM: 1.205, Line: 4},
	}
	if diff := cmp.Diff(want, r.Input.Readings); diff != "" {
		t.Errorf("(want, got):\n%s", diff)
	}
	if duv == nil || !(*duv > 0) || r.Input.Title != `the "moth"` {
		t.Errorf("Duv %v, title %q", duv, r.Input.Title)
	}
}

func TestRatioNotes(t *testing.T) {
	r := readRatios(t, RatioOptions{}, "# scene: 4\n# ISO: ISO 800\n# fps: 24 fps\n# shutter: 172.8°\n# ND: 0.6\n# filter factor: 2\n# transmission: 80 %\n# t-stop: T2.8\n# repeatability: 1.5 %\n# resolution: 0.1 stop\n"+
		"# target: 3:1 lighting ratio\n# tolerance: ±1/4 stop\n# background target: -1 1/2\n# screen target: +0.5 stop\n# expose for: key\n# mains: 50 Hz\n# receptor: dome\n"+
		"mark,role,lux\nA,key,4\n")
	in := r.Input
	if in.Title != "4" || in.Camera.ISO != 800 || math.Abs(in.Camera.ShutterS-0.02) > 1e-15 || in.Camera.FramesPerSecond != 24 || math.Abs(in.Camera.NDStops-2) > 1e-12 || in.Camera.FilterFactor != 2 ||
		in.Camera.Transmittance != 0.8 || math.Abs(in.Camera.SetStop-math.Exp2(1.5)) > 1e-12 || *in.Repeatability != 0.015 || in.Resolution != 0.1 ||
		in.Target.Convention != ratio.LightingConvention || in.ToleranceStops != 0.25 || in.ExposeFor != ratio.KeyRole || in.MainsHz != 50 || in.Readings[0].Receptor != photometry.DomeReceptor {
		t.Errorf("%+v", in)
	}
	if want := []ratio.AreaTarget{{Role: "background", Stops: -1.5}, {Role: "screen", Stops: 0.5}}; !cmp.Equal(want, in.AreaTargets) {
		t.Errorf("%+v", in.AreaTargets)
	}
	if r := readRatios(t, RatioOptions{}, "# fps: 24\nmark,role,lux\nA,key,400\n"); math.Abs(r.Input.Camera.ShutterS-1./48) > 1e-15 || len(r.Input.Inferred) != 1 {
		t.Errorf("%+v", r.Input)
	}
	if r := readRatios(t, RatioOptions{}, "# sutter: 1/50\nmark,role,lux\nA,key,4\n"); len(r.Warnings) != 1 || !strings.Contains(r.Warnings[0].Text, "shutter") {
		t.Errorf("%v", r.Warnings)
	}
}

// The step of the display where none is noted: of f-numbers and exposure values the scale
// that they fit, of levels the last decimal, at the darkest that is judged.
func TestRatioStep(t *testing.T) {
	for table, want := range map[string]float64{
		"mark,role,EV\nA,key,8.3\nA,fill,6.1\n":                                          0.1,
		"mark,role,EV\nA,key,8.3\nA,fill,6.7\n":                                          1. / 3,
		"mark,role,EV\nA,key,8\nA,fill,6\n":                                              1. / 3,
		"mark,role,EV\nA,key,8.33\nA,fill,6.41\n":                                        0,
		"# iso: 100\n# light: flash\nmark,role,f\nA,key,8\nA,fill,4 2/10\n":              0.1,
		"# iso: 100\n# light: flash\nmark,role,f\nA,key,8\nA,fill,4\n":                   1. / 3,
		"mark,role,lux\nA,key,800\nA,fill,200\nA,spill,3\n":                              0,
		"# screen target: -1 stop\nmark,role,lux\nA,key,800\nA,fill,200\nA,screen,10\n":  math.Log2(10.5 / 9.5),
		"mark;role;lux\nA;key;8,4\nA;fill;2,1\n":                                         math.Log2(2.15 / 2.05),
		"mark,role,E (klx)\nA,key,0.8\nA,fill,0.2\n":                                     math.Log2(250. / 150),
		"mark,role,lux\nA,key,\"1,250\"\nA,fill,310\n":                                   0,
		"mark,role,fc\nA,key,2.0\nA,fill,1.5\n":                                          math.Log2(1.55 / 1.45),
		"# resolution: 0.2 stop\nmark,role,EV\nA,key,8.3\nA,fill,6.1\n":                  0.2,
		"# repeatability: 0.1 %\nmark,role,lux\nA,key,800\nA,fill,200\n":                 math.Log2(200.5 / 199.5),
		"# iso: 100\n# light: flash\nmark,role,f,lux\nA,key,8,\nA,fill,4,\nB,key,,400\n": 1. / 3,
	} {
		if in := readRatios(t, RatioOptions{}, table).Input; math.Abs(in.Resolution-want) > 1e-12 {
			t.Errorf("%q: %g, want %g", table, in.Resolution, want)
		}
	}
}

// A flag comes before a note, and a note before the set-up's table; what f-numbers
// were read at is the table's own business.
func TestRatioPrecedence(t *testing.T) {
	set, err := ReadSettings(strings.NewReader("key,value\nISO,200\nshutter,1/100\nframe rate,25\nND,0.3\nT-stop,T4\nmark,stage\ntitle,the moth\nweather,rain\ntarget,5600 K\n"), "setup.csv")
	if err != nil {
		t.Fatal(err)
	}
	o := RatioOptions{Setup: set}
	in := readRatios(t, o, "# shutter: 1/50\nrole,f\nkey,8\n").Input
	if in.Camera.ISO != 200 || in.Camera.ShutterS != 0.02 || in.Camera.NDStops != 1 || in.Camera.SetStop != 4 || in.Readings[0].Mark != "stage" || math.Abs(in.Readings[0].Level.Value-80) > 1e-9 {
		t.Errorf("%+v", in)
	}
	if inferred := taken(in); inferred != "iso 200 from setup.csv; frame rate 25 from setup.csv; ND 0.3 from setup.csv; t-stop T4 from setup.csv" {
		t.Errorf("inferred %q", inferred)
	}
	o.Flags = []*schema.Source{schema.Flag("--iso", schema.ISO, "800", "m")}
	in = readRatios(t, o, "# iso: 100\nrole,f\nkey,8\n").Input
	if in.Camera.ISO != 800 || math.Abs(in.Readings[0].Level.Value-160) > 1e-9 || !strings.Contains(taken(in), "iso 800 from --iso") {
		t.Errorf("%+v", in)
	}
	_, err = RatioOptions{Flags: []*schema.Source{schema.Flag("--nd", schema.ND, "dark", "m")}}.Read(strings.NewReader("role,lux\nkey,8\n"), "r.csv")
	if err == nil || !strings.HasPrefix(err.Error(), `--nd: found "dark", expected a neutral density`) {
		t.Error(err)
	}
}

// taken are the notes that come from elsewhere.
func taken(in ratio.Input) string {
	var all []string
	for _, r := range in.Inferred {
		if r.Code == "note_from" {
			all = append(all, fmt.Sprintf("%v %v from %v", r.Values["note"], r.Values["text"], r.Values["file"]))
		}
	}
	return strings.Join(all, "; ")
}

// F-numbers of continuous light need a speed and a shutter; those of ambient
// light do so even beside flash.
func TestRatioContinuousFNumbers(t *testing.T) {
	r := readRatios(t, RatioOptions{}, "# iso: 800\n# shutter: 1/48\n# light: continuous\nmark,role,f\nA,key,5.6\nA,fill,2.8\n")
	// ISO 2720: E = C·N²/(S·t), N² = 32.
	comma := readRatios(t, RatioOptions{}, "# iso: 100\nmark;role;f\nA;key;5,6 7/10\n")
	if got := comma.Input.Readings[0].Level; math.Abs(got.Value-250*math.Exp2(5.7)/100) > 1e-9 {
		t.Errorf("%+v", got)
	}
	if got := r.Input.Readings[0].Level; got.Quantity != photometry.Illuminance || math.Abs(got.Value-250*32*48./800) > 1e-9 {
		t.Errorf("%+v", got)
	}
	r = readRatios(t, RatioOptions{}, "# iso: 100\n# shutter: 1/60\nmark,role,f\nA,key,8\nA,ambient,2.8\n")
	if got := r.Input.Readings; got[0].Level.Quantity != photometry.LuminousExposure || got[1].Level.Quantity != photometry.Illuminance || math.Abs(got[1].Level.Value-250*8*60./100) > 1e-9 {
		t.Errorf("%+v", got)
	}
	if r = readRatios(t, RatioOptions{}, "mark,role,f\nA,key,8\n"); r.Input.Camera.ISO != 100 || !strings.Contains(fmt.Sprint(r.Input.Inferred), "read_at_iso_100") {
		t.Errorf("%+v", r.Input)
	}
}

// Each bad table with what its message must say.
func TestRatioErrors(t *testing.T) {
	const head = "mark,role,lux,receptor,lamp,aim,distance\n"
	for _, c := range []struct{ in, want string }{
		{"", "an empty file"},
		{"mark,role,lux\n", "a table without rows"},
		{"mark,lux\nA,1\n", "no column “role”"},
		{"mark,role\nA,key\n", "no column of levels"},
		{head + "A,keey,4,,,,\n", `r.csv:2:2: found "keey", expected a role; did you mean key?`},
		{head + "A,wobble,4,,,,\n", `expected a role: key, fill`},
		{head + "A,key+fil,4,,,,\n", "did you mean fill?"},
		{head + "A,key+key,4,,,,\n", "each role once in a sum"},
		{head + "A,,4,,,,\n", "r.csv:2:2: found an empty cell, expected a role"},
		{head + ",key,4,,,,\n", "r.csv:2:1: found an empty cell, expected the mark's name"},
		{"mark,role,lux,CCT (K)\nA,key,,5600\n", "r.csv:2:3: found an empty cell, expected a level; 0 where"},
		{head + "A,key,bright,,,,\n", `r.csv:2:3: found "bright", expected a level`},
		{head + "A,key,-4,,,,\n", "a level of 0 or more"},
		{head + "A,key+fill,0,,,,\n", "a level above 0 for lights together"},
		{head + "A,key,4,round,,,\n", `r.csv:2:4: found "round", expected flat or dome`},
		{head + "A,key+fill,4,,one,,\n", "no lamp beside a sum"},
		{head + "A,key,4,,,,-2\n", "a distance of more than 0"},
		{head + "A,key,1e-20,,,,\n", "r.csv:2:3: found \"1e-20\", expected a level that a meter can show"},
		{head + "A,key,4,,,,20000\n", "a distance of more than 0"},
		{"mark,role,lux,x,y\nA,key,4,1,-2e4\n", "r.csv:2:5: found \"-2e4\", expected a place within 10 km"},
		{head + "A,key,4,dome,,,\nA,key,4.1,flat,,,\n", `r.csv:3:4: found "flat", expected dome as in the key of A, which is a repeat of line 2`},
		{head + "A,key,4,,,lamp,\nA,key,4.1,,,camera,\n", `r.csv:3:6: found "camera", expected "lamp" as in the key of A`},
		{head + "A,key,400,,,,\nA,fill,12 cd/m2,,,,\n", `r.csv:3:3: found "12 cd/m2", expected illuminance like the key`},
		{"mark,role,E (lx),relative\nA,key,4,\nA,fill,,4\n", "r.csv:3:4: found \"4\", expected the same quantity at one mark"},
		{"mark,role,E (lx),E (fc)\nA,key,4,5\n", "one level a line; column E (lx) has one already"},
		{"mark,role,level\nA,key,400\n", `r.csv:2:3: found "400", expected a level with its unit`},
		{"# light: continuous\nmark,role,f\nA,key,8\n", `r.csv:3:3: found "8", expected notes iso and shutter`},
		{"# light: continuous\n# iso: 800\nmark,role,f\nA,key,8\n", "expected a note shutter"},
		{"# light: continuous\n# fps: 25\nmark,role,f\nA,key,8\n", "expected a note iso"},
		{"# iso: 800\n# iso: 400\nmark,role,lux\nA,key,8\n", "r.csv:2:1: found \"400\", expected iso once, or the same again; line 1 says \"800\""},
		{"# target: 4\nmark,role,lux\nA,key,8\n", "a ratio such as 4:1"},
		{"# target: 1:1 lighting ratio\nmark,role,lux\nA,key,8\n", "a lighting ratio above 1:1"},
		{"# shutter: 180°\nmark,role,lux\nA,key,8\n", "a frame rate with a shutter angle"},
		{"# tolerance: some\nmark,role,lux\nA,key,8\n", "a tolerance in stops"},
		{"# background target: dark\nmark,role,lux\nA,key,8\n", "stops from the key"},
		{"# t-stop: 0\nmark,role,lux\nA,key,8\n", "the stop that the lens is set to"},
		{"# transmittance: 120 %\nmark,role,lux\nA,key,8\n", "the lens's transmittance"},
		{"# mains: 5\nmark,role,lux\nA,key,8\n", "the mains' frequency"},
		{"# light: moon\n# marks: fine\n# receptor: round\n# repeatability: 2\n# resolution: x\n# nd: x\n# iso: x\n# fps: x\n# expose for: x\nmark,role,lux\nA,key,8\n", "continuous or flash"},
		{"mark;role;E (lx)\nA;key;1,234\n", "1,234"},
	} {
		_, err := RatioOptions{}.Read(strings.NewReader(c.in), "r.csv")
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%q:\n%v\nwant %s", c.in, err, c.want)
		}
	}
	// All of a file's errors come together.
	_, err := RatioOptions{}.Read(strings.NewReader("# iso: fast\n# nd: x\n"+head+"A,keey,4,,,,\nB,key,bright,round,,,\n"), "r.csv")
	if errs, ok := err.(table.Errors); !ok || len(errs) != 5 {
		t.Errorf("%v", err)
	}
}

// A row with a light and no level is planned: it is said, and nothing is made of it.
func TestPlannedLights(t *testing.T) {
	r, err := RatioOptions{}.Read(strings.NewReader("mark,role,time,lux,aim,CCT (K)\nA,key,10:05,800,camera,\nA,fill,,,camera,\nB,key,,,,\n"), "r.csv")
	if err != nil || len(r.Input.Readings) != 1 || len(r.Warnings) != 0 {
		t.Fatalf("%+v, %v", r, err)
	}
	if w := r.Input.Warnings; len(w) != 1 || w[0].Key != "lights_unread" || w[0].Values["lights"] != "A fill, B key" {
		t.Errorf("%+v", w)
	}
}

// What is read without an error can be compared, and comparing it never fails or
// gives a number that JSON cannot hold.
func FuzzReadRatios(f *testing.F) {
	f.Add([]byte("# iso: 800\n# receptor: flat\n# target: 4:1 key to fill\nmark,role,lamp,E (lx),L (cd/m²),aim,CCT (K),Duv,distance (m),note\nA,key,frame,331,,camera,5600,0.0005,1.77,\"at 2.4,1,3.2\"\nA,fill,panel,82.2,,camera,,,,\nA,background,,,8.2,camera,,,,moon\nA,spill,,45.2,,screen,,,,\n"))
	f.Add([]byte("mark;role;E (lx)\nA;key;400,5\nA;fill;0\n"))
	f.Add([]byte("# light: continuous\n# iso: 800\n# fps: 24\nrole,f,level\nkey,5.6 7/10,\nfill+key,,EV 9\nambient,,0 lx\n"))
	f.Add([]byte("# shutter: 1/60\n# target: 2 stops\n# back target: 1\nmark,role,lamp,f,E (fc)\nA,key,a,8,\nA,key,b,5.6,\nA,fill,,4,\nA,ambient,,,50\nA,back,,2.8,\n"))
	f.Fuzz(func(t *testing.T, content []byte) {
		r, err := RatioOptions{}.Read(bytes.NewReader(content), "f.csv")
		if err != nil || len(r.Input.Readings) == 0 { // all is planned
			return
		}
		result, err := ratio.Analyze(r.Input)
		if err != nil {
			t.Fatalf("read but not compared: %v", err)
		}
		if problem := notFinite(result); problem != nil {
			t.Fatal(problem)
		}
	})
}

// notFinite is what JSON says of a result that it cannot hold.
func notFinite(r *ratio.Result) error {
	_, err := json.Marshal(r)
	return err
}
