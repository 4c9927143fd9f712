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

	walks, err := days()
	if err != nil {
		t.Fatal(err)
	}
	s, err := newStage(walks[0])
	if err != nil {
		t.Fatal(err)
	}
	cloth := s.marks["green cloth"].Reflectance
	if truth := cloth * (14 + seamShare) / 15; r.Interval[0] > truth || r.Interval[1] < truth {
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
	for _, m := range r.Marks {
		truth := 0.0
		for _, patch := range s.cloth {
			truth += patch.Illuminance(s.marks[m.Label].place(), r3.Scale(-1, toCamera))
		}
		if m.SpillInterval[0] > truth || m.SpillInterval[1] < truth || math.Abs(*m.ReadSpill/truth-1) > 0.05 {
			t.Errorf("%s: %v lx of spill, the physics has %.1f, %.1f was read", m.Label, *m.SpillInterval, truth, *m.ReadSpill)
		}
	}
}
