package page_test

import (
	"io"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"evenfall/cmd/evenfall/browsertest"
	"evenfall/cmd/evenfall/page"
	"evenfall/falloff/screen"
	"evenfall/photometry/dimmer"
	"evenfall/photometry/ratio"
	"evenfall/photometry/setup"
	"evenfall/photometry/survey"
)

// open opens a file of the folder until the test ends.
func (s *stage) open(name string) io.Reader {
	s.t.Helper()
	file, err := os.Open(filepath.Join(s.folder, name))
	if err != nil {
		s.t.Fatal(err)
	}
	s.t.Cleanup(func() { file.Close() })
	return file
}

// ratios is what evenfall ratio makes of a file.
func (s *stage) ratios(name string) *ratio.Result {
	s.t.Helper()
	read, err := setup.RatioOptions{}.Read(s.open(name), name)
	if err != nil {
		s.t.Fatal(err)
	}
	r, err := ratio.Analyze(read.Input)
	if err != nil {
		s.t.Fatal(err)
	}
	return r
}

// lit waits until a light at a mark is the one to read.
func (d *device) lit(light, mark string) {
	d.t.Helper()
	d.at(light)
	d.shows(".ask .words", "at "+mark)
}

// readAt types the level of a light at a mark, once it is the one to read.
func (d *device) readAt(light, mark, level string) {
	d.t.Helper()
	d.lit(light, mark)
	d.typed(level)
}

// A second tap on Begin begins no second table.
func TestBrowserBeginsOnce(t *testing.T) {
	t.Parallel()
	s := serve(t, page.Options{})
	d := newDevice(t, browsertest.Open(t, 390, 844))
	d.open(s.url() + "#/marks")
	d.wait(`document.getElementById("marks-title")`)
	d.fill("marks-title", "puppets")
	d.fill("marks-list", "center\rleft")
	eval[any](d, `const begin = document.querySelector(".begin"); begin.click(); begin.click(); null`)
	d.lit("key", "center")
	d.quiet()
	begun, err := filepath.Glob(filepath.Join(s.folder, "ratio*.csv"))
	if err != nil || len(begun) != 1 {
		t.Errorf("%v %v, expected one table", begun, err)
	}
}

// Key and fill at two marks from the form to the verdict: light by light, with the same
// keypad, a change, an undo and a light that is added.
func TestBrowserMarks(t *testing.T) {
	t.Parallel()
	s := serve(t, page.Options{})
	d := newDevice(t, browsertest.Open(t, 390, 844))
	d.open(s.url())
	d.button("Key and fill at marks")
	d.wait(`document.getElementById("marks-title")`)
	d.fill("marks-title", "puppets")
	d.fill("marks-list", "center\rleft")
	d.fill("marks-target", "4:1")
	d.button("key+fill")
	d.button("Begin")
	d.lit("key", "center")
	d.shows(".ask .why", "Only the key light on. Receptor toward the camera.")
	d.typed("800")
	d.readAt("key", "left", "642")
	d.readAt("fill", "center", "210")
	d.lit("fill", "left")
	d.shows(".ask .why", "Only the fill light on.")
	browsertest.Screenshot(t, d.tab, "marks-390")
	d.typed("400")
	d.shows(".verdict", "FAIL")
	d.lit("back", "center")
	d.shows(".ask .why", "Receptor toward the lamp.")
	d.press(`document.querySelectorAll(".matrix button")[3]`)
	d.lit("fill", "left")
	d.shows(".pad .next", "Replace 400")
	d.typed("160")
	d.saved()
	d.button("Undo")
	d.saved()
	if got := s.ratios("ratio.csv"); got.Verdict != "fail" || *got.Marks[1].Fill != 400 {
		t.Errorf("after the undo: %s, fill %g", got.Verdict, *got.Marks[1].Fill)
	}
	d.readAt("fill", "left", "160")
	d.readAt("back", "center", "276")
	d.typed("0")
	d.shows(".settled", "6 of 6 readings taken")
	d.shows(".verdict", "PASS")
	browsertest.Screenshot(t, d.tab, "marks-finished-390")
	d.press(`document.querySelectorAll(".matrix button")[0]`)
	d.button("Lights")
	browsertest.Do(t, d.tab)
	eval[any](d, `document.getElementById("light").value = "spill"; null`)
	d.button("Read it")
	d.readAt("spill", "center", "45.2")
	d.saved()
	if got := s.ratios("ratio.csv"); got.Verdict != "pass" || got.Readings != 7 || *got.Marks[0].KeyToFill < 3.8 || *got.Marks[0].SpillStops > -4 {
		t.Errorf("%+v", got)
	}
	var rows []string
	for _, row := range s.rows("ratio.csv") {
		if row["time"] == "" || strings.Contains(row["note"], "was") {
			rows = append(rows, row["mark"]+" "+row["role"]+" "+row["E (lx)"]+" "+clockTimes.ReplaceAllString(row["note"], "TIME"))
		}
	}
	if want := "left fill 160 was 400 lx TIME"; strings.Join(rows, "\n") != want {
		t.Errorf("rows %q, expected %q", rows, want)
	}
	d.button("Result")
	d.shows(".result caption", "The marks")
	d.shows(".todo", "Leave the lights")
	browsertest.Screenshot(t, d.tab, "marks-result-390")
	for _, finding := range browsertest.Axe(t, d.tab) {
		t.Error(finding)
	}
	// The same marks on another day, and the two days against each other.
	d.button("Read")
	d.more()
	d.button("Read all again, as another day")
	d.wait(`location.hash === "#/s/ratio-2.csv"`)
	d.lit("key", "center")
	for _, level := range []string{"800", "640", "210", "160", "140", "0", "45"} {
		d.typed(level)
	}
	d.saved()
	d.open(s.url() + "#/match")
	d.shows("caption", "Light by light")
	d.shows(".verdict", "FAIL")
	d.shows(".answer", "back")
	d.ladder(s)
	d.luminances(s)
	d.clean(s.address)
}

// ladder is a lamp over its dimmer, at four settings with color and flicker: typed in under
// a minute, which is forty taps, and a level that falls is told and typed anew.
func (d *device) ladder(s *stage) {
	d.t.Helper()
	s.write("lamps.csv", "name,kind,x,y,z,flux\ncloth left,point,1,2,3,9000\nflag,flag,1,2,3,\n")
	d.open(s.url() + "#/")
	d.button("A lamp’s dimmer")
	d.press(`[...document.querySelectorAll("[name=lamp]")].find(n => n.value === "cloth left")`)
	d.press(`document.getElementById("dials-color")`)
	d.button("Begin")
	d.lit("cloth left", "100 %")
	d.shows(".ask .why", "the meter stays where it is")
	before := d.presses
	for _, read := range []struct{ setting, keys, flicker string }{
		{"100 %", "2 3 4 4 K 5 1 1 0", "No flicker"},
		{"50 %", "1 1 7 5 20", "No flicker"},
		{"25 %", "5 7 8 same", "No flicker"},
		{"10 %", "2 3 1 50", "Flickers"},
	} {
		d.lit("cloth left", read.setting)
		d.pad(strings.Fields(read.keys)...)
		d.button(read.flicker)
		d.pad("Next")
	}
	if taps := d.presses - before; taps > 40 {
		d.t.Errorf("%d taps for four settings", taps)
	}
	d.saved()
	d.shows(".verdict", "cloth left: 3.3 stops from 10 to 100 %")
	browsertest.Screenshot(d.t, d.tab, "dials-finished-390")
	lamp := s.dial("cloth left")
	if lamp == nil || *lamp.FlickerFreeFrom != 25 || *lamp.FlickerAt != 10 || *lamp.Points[3].Kelvin != 5110 || *lamp.Points[0].Kelvin != 5150 {
		d.t.Errorf("%+v", lamp)
	}
	anew := func(level string) {
		d.t.Helper()
		d.press(`document.querySelectorAll(".matrix button")[1]`)
		d.readAt("cloth left", "50 %", level)
	}
	anew("117")
	d.shows(".verdict", "does not fall while the dial rises")
	if s.dial("cloth left") != nil {
		d.t.Error("a dial that falls is taken")
	}
	anew("1170")
	d.shows(".verdict", "cloth left: 3.3 stops")
	d.press(`document.querySelectorAll(".matrix button")[1]`)
	d.button("Lamps")
	d.fill("light", "fill panel")
	d.fill("mark", "50 %")
	d.button("Read it")
	d.readAt("fill panel", "50 %", "53")
	d.lit("fill panel", "25 %")
	d.saved()
	if lamp := s.dial("fill panel"); lamp == nil || lamp.Points[0].Percent != 50 {
		d.t.Errorf("%+v", lamp)
	}
	for _, finding := range browsertest.Axe(d.t, d.tab) {
		d.t.Error(finding)
	}
}

// dial is what evenfall dimmer makes of a lamp, nil where it refuses the table.
func (s *stage) dial(name string) *dimmer.Lamp {
	s.t.Helper()
	read, err := setup.ReadDimmers(s.open("dimmers.csv"), "dimmers.csv")
	if err != nil {
		return nil
	}
	r, err := dimmer.Analyze(read.Input, dimmer.Wanted{})
	if err != nil {
		s.t.Fatal(err)
	}
	return r.Lamp(name)
}

// luminances are those of a screen, at the places of its survey: beside the light there
// they are its reflectance.
func (d *device) luminances(s *stage) {
	d.t.Helper()
	cloth := "# surface: cloth\n# width: 3\n# height: 1\n# grid: 3x1\nlabel,E (lx)\nA1,314\nA2,628\nA3,314\n"
	s.write("cloth.csv", cloth)
	d.open(s.url() + "#/s/cloth.csv")
	d.shows("#title", "cloth")
	d.shows(".verdict", "FAIL")
	d.more()
	d.button("Luminance at the same places")
	d.wait(`location.hash === "#/s/screen.csv"`)
	d.shows(".fields .unit", "cd/m²")
	for _, label := range []string{"A1", "A2", "A3"} {
		d.at(label)
		d.typed(map[string]string{"A1": "20", "A2": "40", "A3": "20"}[label])
	}
	d.saved()
	d.button("Result")
	d.shows(".verdict", "reflects 20.0 %")
	read, err := setup.ReadScreen(s.open("screen.csv"), "screen.csv")
	if err != nil {
		d.t.Fatal(err)
	}
	on, err := survey.Read([]survey.Input{{Name: "cloth.csv", Reader: strings.NewReader(cloth)}}, survey.ReadOptions{})
	if err != nil {
		d.t.Fatal(err)
	}
	in, err := screen.NewInput(read, on)
	if err != nil {
		d.t.Fatal(err)
	}
	if r := screen.Analyze(in); len(in.Warnings) > 0 || math.Abs(r.Reflectance-math.Pi*20/314) > 1e-9 || len(r.Places) != 3 {
		d.t.Errorf("%+v", r)
	}
}
