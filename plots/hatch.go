package plots

import (
	"math"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"evenfall/photometry/spatial"
	"evenfall/plots/mesh"
)

// hatch is lines at 45° over the part of a field under a value, so that it is told
// from the part over the window without color. apart is their distance in pixels.
func (f *field) hatch(under float64, r vg.Rectangle, apart float64) (path vg.Path) {
	const step = 3 // between samples along a line, in pixels
	w, h := float64(r.Size().X), float64(r.Size().Y)
	meters := func(x, y float64) (float64, float64) {
		return f.box.X0 + x/w*f.box.Width(), f.box.Y0 + y/h*f.box.Height()
	}
	at := func(x, y float64) vg.Point { return r.Min.Add(vg.Point{X: vg.Length(x), Y: vg.Length(y)}) }
	for x0 := math.Ceil(-h/apart) * apart; x0 < w; x0 += apart * math.Sqrt2 {
		open, before := false, 0.0
		from, to := max(0, -x0), min(h, w-x0)
		for y := from; ; y = min(y+step, to) {
			v, ok := f.mesh.Sample(meters(x0+y, y))
			low := ok && v < under
			if low != open {
				turn := y
				if part := (under - before) / (v - before); y > from && part > 0 && part < 1 {
					turn -= step * (1 - part)
				}
				if p := at(x0+turn, turn); low {
					path.Move(p)
				} else {
					path.Line(p)
				}
				open = low
			}
			before = v
			if y >= to {
				break
			}
		}
		if open {
			path.Line(at(x0+to, to))
		}
	}
	return path
}

// strokeHatch draws hatching.
func strokeHatch(c draw.Canvas, path vg.Path) {
	c.SetColor(faded(ink, 0.55))
	c.SetLineWidth(1.2)
	c.Stroke(path)
}

// hatchBox is hatching over a whole rectangle.
func hatchBox(r vg.Rectangle, apart float64) vg.Path {
	all := &field{box: spatial.Box{X1: 1, Y1: 1}, mesh: &mesh.Mesh{Xs: []float64{0, 1}, Ys: []float64{0, 1}, Z: make([]float64, 4)}}
	return all.hatch(1, r, apart)
}
