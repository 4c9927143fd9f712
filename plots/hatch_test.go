package plots

import (
	"math"
	"testing"

	"gonum.org/v1/plot/vg"

	"evenfall/photometry/spatial"
	"evenfall/plots/mesh"
)

// Hatching covers what is under a value and nothing else.
func TestHatch(t *testing.T) {
	m := mesh.New([]float64{0, 4}, []float64{0, 2})
	m.Z = []float64{0, 4, 0, 4} // x
	f := &field{box: spatial.Box{X1: 4, Y1: 2}, mesh: m}
	path := f.hatch(1, vg.Rectangle{Max: vg.Point{X: 400, Y: 200}}, 8)
	length := 0.0
	for i, p := range path {
		if p.Pos.X > 101 || p.Pos.X < -1 || p.Pos.Y < -1 || p.Pos.Y > 201 {
			t.Fatalf("a line reaches %v", p.Pos)
		}
		if p.Type == vg.LineComp {
			length += math.Hypot(float64(p.Pos.X-path[i-1].Pos.X), float64(p.Pos.Y-path[i-1].Pos.Y))
		}
	}
	if want := 100.0 * 200 / 8; math.Abs(length-want) > 0.05*want {
		t.Errorf("lines of %v pixels, want %v", length, want)
	}
}
