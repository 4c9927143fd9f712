package plots

import (
	"fmt"
	"image"
	"image/color"
	"math"
	"slices"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"evenfall/photometry/colorimetry"
	"evenfall/plots/canvas"
)

// toleranceColor fills the region within the tolerance.
var toleranceColor = color.RGBA{0xe9, 0xee, 0xe6, 255}

// chromaticityPanel is the plane while it is drawn.
type chromaticityPanel struct {
	*chromaticityPlot
	panel
	space *canvas.FreeSpace
}

// plot draws the data.
func (m *chromaticityPlot) plot(p panel) {
	d := chromaticityPanel{m, p, &canvas.FreeSpace{Within: p.Rectangle}}
	if m.tolerance != nil {
		outline := make([]vg.Point, len(m.tolerance))
		for i, q := range m.tolerance {
			outline[i] = d.place(q)
		}
		p.FillPolygon(toleranceColor, outline)
		outline = append(outline, outline[0])
		p.StrokeLines(toleranceLine, outline)
		d.space.TakeLine(outline...)
	}
	for _, n := range m.steps {
		p.SetLineStyle(circleLine)
		p.Stroke(circle(d.place(m.center), m.radius(n)))
	}
	if m.reference != nil {
		d.paintLocus()
	}
	d.paintPoints()
	d.nameCircles()
	if m.reference != nil {
		d.nameLocus()
	}
	d.namePoints()
}

// place is where a color is, and point where a reading is.
func (d chromaticityPanel) place(q colorimetry.UVPrime) vg.Point { return d.at(q.U, q.V) }
func (d chromaticityPanel) point(i int32) vg.Point               { return d.at(d.survey.U[i], d.survey.V[i]) }

// radius is the radius in the picture of a circle of a number of steps.
func (m *chromaticityPlot) radius(steps int) vg.Length {
	return vg.Length(float64(steps)*colorimetry.Step/m.reach) * m.data.Size().X / 2
}

// nameCircles prints the number of steps on each circle where there is space, best at
// its upper left.
func (d chromaticityPanel) nameCircles() {
	s := style(17, false, gray, draw.XCenter, draw.YCenter)
	for _, n := range d.steps {
		radius, text := d.radius(n), fmt.Sprint(n)
		if n == d.steps[len(d.steps)-1] {
			text += " steps"
		}
		var along []vg.Point
		for _, turn := range []float64{0.72, 0.6, 0.84, 0.96, 0.08, -0.1, -0.25, -0.4, -0.6, -0.75} {
			sin, cos := math.Sincos(turn * math.Pi)
			along = append(along, d.place(d.center).Add(vg.Point{X: radius * vg.Length(cos), Y: radius * vg.Length(sin)}))
		}
		placeText(d.Canvas, d.space, s, text, vg.Point{X: textWidth(s, text)/2 + 2, Y: 9}, 3, along...)
	}
}

// paintLocus draws the Planckian locus through the plot with marks at round
// color temperatures.
func (d chromaticityPanel) paintLocus() {
	points, err := colorimetry.LocusPoints(colorimetry.MaxKelvin, colorimetry.MinKelvin, 1200)
	if err != nil {
		panic(err) // both ends have a color
	}
	line := make([]vg.Point, len(points))
	for i, q := range points {
		line[i] = d.place(q)
	}
	for _, part := range d.ClipLinesXY(line) {
		d.StrokeLines(locusLine, part)
		d.space.TakeLine(part...)
	}
	for _, k := range d.kelvinMarks() {
		if below, above, ok := d.locusMark(k); ok {
			d.StrokeLines(draw.LineStyle{Color: ink, Width: 1.6}, []vg.Point{below, above})
		}
	}
}

// locusMark are the ends of a short line across the locus at a color temperature.
func (d chromaticityPanel) locusMark(kelvin float64) (below, above vg.Point, ok bool) {
	short := d.reach / 1.5 * 0.035
	points, err := colorimetry.IsothermPoints(kelvin, -short, short, 2)
	if err != nil {
		return below, above, false
	}
	return d.place(points[0]), d.place(points[1]), true
}

// nameLocus prints the color temperatures below or above the locus where there is
// space.
func (d chromaticityPanel) nameLocus() {
	s := style(17, false, ink, draw.XCenter, draw.YCenter)
	for _, k := range d.kelvinMarks() {
		below, above, ok := d.locusMark(k)
		if !ok {
			continue
		}
		text := fmt.Sprintf("%.0f K", k)
		half := vg.Point{X: textWidth(s, text)/2 + 2, Y: 9}
		beside := func(near, far vg.Point) vg.Point {
			out := near.Sub(far)
			// The text is to the left or right of the tick's end.
			p := near.Add(out.Scale(10 / vg.Length(math.Hypot(float64(out.X), float64(out.Y)))))
			return p.Add(vg.Point{X: either(out.X > 0, half.X-4, 4-half.X)})
		}
		placeText(d.Canvas, d.space, s, text, half, 3, beside(below, above), beside(above, below))
	}
}

// kelvinMarks are round color temperatures whose points on the locus are visible.
func (m *chromaticityPlot) kelvinMarks() []float64 {
	var best []float64
	for _, step := range []float64{5000, 2000, 1000, 500, 200, 100, 50, 20, 10} {
		var marks []float64
		for k := step * math.Ceil(colorimetry.MinKelvin/step); k <= colorimetry.MaxKelvin; k += step {
			// Far from the reference nothing is visible; stop at this step.
			if d := math.Abs(1e6/k - m.reference.Mired()); d > 400 && step < 500 {
				continue
			}
			uv, err := (colorimetry.CCT{Kelvin: k}).UV()
			if err == nil && m.inside(uv.UVPrime()) {
				marks = append(marks, k)
			}
		}
		if len(marks) > 7 {
			break
		}
		best = marks
	}
	return best
}

func (m *chromaticityPlot) inside(q colorimetry.UVPrime) bool {
	return math.Abs(q.U-m.center.U) < m.reach && math.Abs(q.V-m.center.V) < m.reach
}

// paintPoints draws the readings with the reference over them, and takes their space.
func (d chromaticityPanel) paintPoints() {
	put := func(mark marker, p vg.Point, radius vg.Length) {
		paintMarker(d.Canvas, mark, p)
		d.space.Take(canvas.Around(p, radius, radius))
	}
	if len(d.points) > maxNumbered {
		d.paintCloud(d.Canvas)
	} else {
		for k, i := range slices.Backward(d.points) {
			put(either(k >= d.judged, open, dot), d.point(i), 4)
		}
	}
	if len(d.points) > 1 {
		put(upward, d.point(d.points[0]), 9)
	}
	put(diamond, d.place(d.center), 9)
}

// paintCloud draws many readings as an image, darker where there are more.
func (m *chromaticityPlot) paintCloud(c draw.Canvas) {
	size := canvas.Pixels(m.data, int(m.height)).Size()
	count := make([]uint16, size.X*size.Y)
	for _, i := range m.points {
		x := int((m.survey.U[i] - m.center.U + m.reach) / (2 * m.reach) * float64(size.X))
		y := int((m.center.V + m.reach - m.survey.V[i]) / (2 * m.reach) * float64(size.Y))
		for dy := -1; dy <= 1; dy++ {
			for dx := -1; dx <= 1; dx++ {
				if px, py := x+dx, y+dy; px >= 0 && px < size.X && py >= 0 && py < size.Y && count[py*size.X+px] < math.MaxUint16 {
					count[py*size.X+px]++
				}
			}
		}
	}
	img := image.NewNRGBA(image.Rect(0, 0, size.X, size.Y))
	for k, n := range count {
		if n > 0 {
			opacity := 1 - 0.55*math.Exp(-float64(n-1)/4)
			img.SetNRGBA(k%size.X, k/size.X, faded(ink, opacity))
		}
	}
	c.DrawImage(m.data, img)
}

// namePoints prints the names of the readings where there is space, the farthest first.
func (d chromaticityPanel) namePoints() {
	if len(d.points) > maxNumbered {
		return
	}
	s := style(17, false, ink, draw.XCenter, draw.YCenter)
	for n, i := range d.points {
		name := shorten(d.survey.LabelOf(int(i)), 10)
		if name == "" {
			continue
		}
		p, half := d.point(i), vg.Point{X: textWidth(s, name)/2 + 1, Y: 7}
		gap := either(n == 0, 12, vg.Length(8))
		right, up := vg.Point{X: gap + half.X}, vg.Point{Y: gap + 6}
		placeText(d.Canvas, d.space, s, name, half, 2, p.Add(up), p.Sub(up), p.Add(right), p.Sub(right))
	}
}
