package page_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"evenfall/cmd/evenfall/browsertest"
	"evenfall/cmd/evenfall/page"
	"evenfall/photometry/ratio"
	"evenfall/photometry/setup"
)

// ratios is what evenfall ratio makes of a file.
func (s *stage) ratios(name string) *ratio.Result {
	s.t.Helper()
	file, err := os.Open(filepath.Join(s.folder, name))
	if err != nil {
		s.t.Fatal(err)
	}
	defer file.Close()
	read, err := setup.RatioOptions{}.Read(file, name)
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
	d.lit("key", "left")
	d.typed("642")
	d.lit("fill", "center")
	d.typed("210")
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
	d.lit("fill", "left")
	d.typed("160")
	d.lit("back", "center")
	d.typed("276")
	d.typed("0")
	d.shows(".settled", "6 of 6 readings taken")
	d.shows(".verdict", "PASS")
	browsertest.Screenshot(t, d.tab, "marks-finished-390")
	d.press(`document.querySelectorAll(".matrix button")[0]`)
	d.button("Lights")
	browsertest.Do(t, d.tab)
	eval[any](d, `document.getElementById("light").value = "spill"; null`)
	d.button("Read it")
	d.lit("spill", "center")
	d.typed("45.2")
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
	d.clean(s.address)
}
