package page_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"evenfall/cmd/evenfall/browsertest"
	"evenfall/cmd/evenfall/demo"
	"evenfall/cmd/evenfall/page"
	"evenfall/photometry/setup"
)

// uneven is a cloth of nine places whose right side has too much light.
func uneven() string {
	return strings.NewReplacer(",780,", ",1180,", ",790,", ",1105,", ",770,", ",1033,").Replace(nineRead())
}

// A lamp is trimmed while three places are read again: what to do is said after each
// reading, what was read is among the trims, which no command takes for a survey, and only
// what was read since the last change is in the survey that follows.
func TestBrowserTrim(t *testing.T) {
	t.Parallel()
	s := serve(t, page.Options{})
	s.write("cloth.csv", uneven())
	d := newDevice(t, browsertest.Open(t, 390, 844))
	d.open(s.url() + "#/s/cloth.csv/map")
	d.shows(".verdict", "FAIL")
	d.button("Do it, and watch")
	d.at("B3")
	d.shows(".ask .words", "Take off a little more")
	d.typed("1050")
	d.shows(".ask .words", "Take off a little more: 0.1 stop")
	d.shows(".bar", "over its goal")
	browsertest.Screenshot(t, d.tab, "trim-390")
	d.typed("700")
	d.shows(".ask .words", "Too far: give back 0.2 stop")
	d.typed("848")
	d.shows(".ask .words", "Good, hold there")
	d.shows(".ask .why", "top row")
	d.at("A1")
	d.typed("740")
	d.at("B1")
	d.saved()
	d.button("Undo")
	d.at("A1")
	d.typed("741")
	d.saved()
	d.wait(`document.getElementById("place").textContent !== "A1"`)
	trims := s.rows("trims/cloth-1.csv")
	if len(trims) != 5 || trims[4]["E (lx)"] != "848" || trims[4]["note"] != "again" {
		t.Errorf("trims: %v", trims)
	}
	for _, finding := range browsertest.Axe(t, d.tab) {
		t.Error(finding)
	}
	d.button("Done")
	d.shows("#title", "cloth")
	d.wait(`location.hash === "#/s/cloth-2.csv"`)
	d.cell("B3", "848")
	if got := s.levels("cloth-2.csv", "E (lx)", ""); len(got) != 2 || got["B3"] != "848" || got["A1"] != "741" {
		t.Errorf("the survey that follows has %v", got)
	}
	if r := s.judged("cloth-2.csv"); r.Points != 2 || r.Missing != 7 {
		t.Errorf("%d points, %d missing", r.Points, r.Missing)
	}
	if before := s.judged("cloth.csv"); before.Verdict.Evenness != "fail" {
		t.Errorf("the survey before is %s now", before.Verdict.Evenness)
	}
	root, err := os.OpenRoot(s.folder)
	if err != nil {
		t.Fatal(err)
	}
	defer root.Close()
	if f, err := setup.OpenFolder(root.FS()); err != nil || len(f.Surveys) != 2 || len(f.Days()) != 1 {
		t.Errorf("%+v, %v", f.Surveys, err)
	}
	d.clean(s.address)
}

// The lamps of the reset sheet in the morning, each alone at its check place; then the
// surface is read.
func TestBrowserMorning(t *testing.T) {
	t.Parallel()
	s := serve(t, page.Options{})
	files, err := demo.Files()
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range files {
		switch f.Name {
		case "cloth.csv", "cloth-lamps.csv", "lamps.csv", "ratio.csv", "setup.csv":
			s.write(f.Name, string(f.Content))
		}
	}
	d := newDevice(t, browsertest.Open(t, 390, 844))
	d.open(s.url())
	d.shows("button", "Morning reset")
	d.button("Morning reset")
	d.lit("cloth left", "B2")
	d.shows(".ask .why", "Only cloth left on. The sheet has 625 lx.")
	d.typed("612")
	d.lit("cloth right", "B8")
	d.shows(".verdict", "GOOD")
	d.typed("980")
	d.shows(".verdict", "trim it to 1140 lx to 1310 lx")
	browsertest.Screenshot(t, d.tab, "morning-390")
	d.press(`document.querySelectorAll(".matrix button")[1]`)
	d.lit("cloth right", "B8")
	d.typed("500")
	d.shows(".verdict", "check its place, aim, scrims and gel first")
	d.saved()
	found, err := filepath.Glob(filepath.Join(s.folder, "trims", "morning *.csv"))
	if err != nil || len(found) != 1 {
		t.Fatalf("%v, %v", found, err)
	}
	name := "trims/" + filepath.Base(found[0])
	for _, row := range s.rows(name) {
		if row["lamp"] == "cloth right" && (row["E (lx)"] != "500" || !strings.HasPrefix(row["note"], "was 980 lx")) {
			t.Errorf("%v", row)
		}
	}
	for _, finding := range browsertest.Axe(t, d.tab) {
		t.Error(finding)
	}
	for i := 0; i < 8 && eval[string](d, `document.getElementById("place").textContent`) != "✓"; i++ {
		d.typed("300")
		d.saved()
	}
	d.button("Then the nine")
	d.wait(`location.hash === "#/s/cloth-2.csv"`)
	d.at("A1")
	if got := s.levels("cloth-2.csv", "E (lx)", ""); len(got) != 0 {
		t.Errorf("%v", got)
	}
	d.clean(s.address)
}
