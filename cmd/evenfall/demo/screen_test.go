package demo

import (
	"math"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"evenfall/falloff/screen"
	"evenfall/photometry/ratio"
	"evenfall/photometry/setup"
)

// The cloth has a seam at one place, which throws back less.
const seam, seamShare = "C7", 0.88

// The demo's table of the cloth gives the reflectance of its physics, finds the seam, and
// computes the spill that the physics has at every mark, within the intervals.
func TestScreenOfTheDemo(t *testing.T) {
	files, err := Files()
	if err != nil {
		t.Fatal(err)
	}
	content := map[string]string{}
	for _, f := range files {
		content[f.Name] = string(f.Content)
	}
	table, err := setup.ReadScreen(strings.NewReader(content["screen.csv"]), "screen.csv")
	if err != nil {
		t.Fatal(err)
	}
	in, err := screen.NewInput(table, nil)
	if err != nil {
		t.Fatal(err)
	}
	marks, err := setup.RatioOptions{}.Read(strings.NewReader(content["ratio.csv"]), "ratio.csv")
	if err != nil {
		t.Fatal(err)
	}
	lights, err := ratio.Analyze(marks.Input)
	if err != nil {
		t.Fatal(err)
	}
	in.TakeMarks(marks, lights)
	r := screen.Analyze(in)

	if truth := clothReflectance * (14 + seamShare) / 15; r.Interval[0] > truth || r.Interval[1] < truth {
		t.Errorf("reflectance %v, the cloth has %.3f", r.Interval, truth)
	}
	for _, p := range r.Places {
		if p.Cloth != (p.Label == seam) {
			t.Errorf("%s: other cloth %t", p.Label, p.Cloth)
		}
	}
	if len(r.Marks) != 3 {
		t.Fatalf("%d marks", len(r.Marks))
	}
	s, places := predicted(t, "lamps.csv"), marksOf(t)
	for _, m := range r.Marks {
		truth := thrownBack(s, places[m.Label])
		if m.SpillInterval[0] > truth || m.SpillInterval[1] < truth || math.Abs(*m.ReadSpill/truth-1) > 0.05 {
			t.Errorf("%s: %v lx of spill, the physics has %.1f, %.1f was read", m.Label, *m.SpillInterval, truth, *m.ReadSpill)
		}
	}
}

// Light and luminance of the cloth follow from its own lamps and its reflectance, at the
// gray card from what the table says of that.
func TestScreenFollowsFromTheLamps(t *testing.T) {
	s, h := predicted(t, "lamps.csv"), &held{t: t}
	_, rows := fileNamed(t, "screen.csv")
	for _, r := range rows {
		level, reflectance := from(s, r3.Vec{X: r.number(t, "x (m)"), Y: r.number(t, "y (m)")}, camera, clothLamps...), clothReflectance
		switch {
		case r["reflectance (%)"] != "":
			reflectance = r.number(t, "reflectance (%)") / 100
		case r["label"] == seam:
			reflectance *= seamShare
		}
		h.level("light at "+r["label"], r["E (lx)"], level)
		h.level("luminance at "+r["label"], r["L (cd/m²)"], level*reflectance/math.Pi)
	}
	h.scatters("screen.csv")
}
