package demo

import (
	"bytes"
	"math"
	"testing"

	"evenfall/photometry/ratio"
	"evenfall/photometry/setup"
)

// The key of the puppets' marks is the scene's frame, on its axis at the distance
// that each line names, within 3 s of the meter's scatter; and the table has the
// one fill that is too strong and the one sum with a light too many.
func TestRatiosFitTheScene(t *testing.T) {
	content, err := scene.ReadFile("scene/ratio.csv")
	if err != nil {
		t.Fatal(err)
	}
	read, err := setup.ReadRatios(bytes.NewReader(content), "ratio.csv")
	if err != nil || len(read.Warnings) > 0 {
		t.Fatal(err, read)
	}
	frame, err := axisOf("lamps.csv", "key frame")
	if err != nil {
		t.Fatal(err)
	}
	keys := 0
	for _, r := range read.Input.Readings {
		if r.Role != ratio.KeyRole {
			continue
		}
		keys++
		if want := frame.level(r.DistanceM); math.Abs(r.Level.Value/want-1) > 3**read.Input.Repeatability {
			t.Errorf("%s: %g lx, the frame gives %g", r.Mark, r.Level.Value, want)
		}
	}
	result, err := ratio.Analyze(read.Input)
	if err != nil {
		t.Fatal(err)
	}
	verdicts, off := "", ""
	for _, m := range result.Marks {
		verdicts += m.Verdict + " "
		for _, s := range m.Sums {
			if !*s.OK {
				off += m.Label
			}
		}
	}
	if keys != 3 || verdicts != "pass fail pass " || off != "stage left" {
		t.Errorf("%d keys, %s, sum off at %q", keys, verdicts, off)
	}
}
