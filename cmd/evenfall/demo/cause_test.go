package demo

import (
	"bytes"
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"evenfall/photometry/causes"
	"evenfall/photometry/evenness"
	"evenfall/photometry/survey"
)

// The cause of the cloth's unevenness is its lamp on the right, and the change that is
// advised, carried out on the lamps' table, brings the spread that was said.
func TestChangeBringsWhatWasSaid(t *testing.T) {
	files, err := Files()
	if err != nil {
		t.Fatal(err)
	}
	s, err := survey.Read([]survey.Input{{Name: files[0].Name, Reader: bytes.NewReader(files[0].Content)}}, survey.ReadOptions{})
	if err != nil {
		t.Fatal(err)
	}
	r, err := evenness.Analyze(s)
	if err != nil {
		t.Fatal(err)
	}
	if first := r.Causes[0]; first.Code != causes.SideBright || first.Values["bright"] != "right" {
		t.Fatalf("cause %+v", first)
	}
	for _, a := range r.Advice {
		if a.Code != causes.LowerSide {
			continue
		}
		lamps, off := predicted(t, "lamps.csv"), math.Exp2(-a.Change.Stops)
		low, high := math.Inf(1), math.Inf(-1)
		const parts = 12
		for i := range parts + 1 {
			for j := range parts + 1 {
				at := r3.Vec{X: s.Area.X0 + s.Area.Width()*float64(i)/parts, Y: s.Area.Y0 + s.Area.Height()*float64(j)/parts}
				v := math.Log2(from(lamps, at, camera) - (1-off)*from(lamps, at, camera, "cloth right"))
				low, high = min(low, v), max(high, v)
			}
		}
		t.Logf("%.1f stop off: %.3f said, %.3f–%.3f; comes to %.3f", a.Change.Stops, *a.PredictedSpread, a.PredictedInterval[0], a.PredictedInterval[1], high-low)
		if brought := high - low; brought < a.PredictedInterval[0] || brought > a.PredictedInterval[1] {
			t.Errorf("the spread comes to %.3f stop, %.3f–%.3f was said", brought, a.PredictedInterval[0], a.PredictedInterval[1])
		}
		return
	}
	t.Errorf("no lamp is lowered: %+v", r.Advice)
}
