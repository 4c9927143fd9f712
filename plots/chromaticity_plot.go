package plots

import (
	"fmt"
	"image"
	"image/color"
	"math"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"evenfall/photometry/colorimetry"
)

// toleranceColor fills the region within the tolerance.
var toleranceColor = color.RGBA{0xe9, 0xee, 0xe6, 255}

// Plot draws the data; it makes the plot a plotter of the plot library.
func (m *chromaticityPlot) Plot(c draw.Canvas, p *plot.Plot) {
	trX, trY := p.Transforms(&c)
	at := func(q colorimetry.UVPrime) vg.Point { return vg.Point{X: trX(q.U), Y: trY(q.V)} }
	if m.tolerance != nil {
		m.paintTolerance(c, at)
	}
	m.paintCircles(c, at)
	m.paintLocus(c, at)
	taken := m.paintPoints(c, at)
	m.nameCircles(c, at)
	taken = m.nameLocus(c, at, taken)
	m.namePoints(c, at, taken)
}

func (m *chromaticityPlot) paintTolerance(c draw.Canvas, at func(colorimetry.UVPrime) vg.Point) {
	var path vg.Path
	outline := make([]vg.Point, 0, len(m.tolerance)+1)
	for i, q := range m.tolerance {
		if i == 0 {
			path.Move(at(q))
		} else {
			path.Line(at(q))
		}
		outline = append(outline, at(q))
	}
	path.Close()
	c.SetColor(toleranceColor)
	c.Fill(path)
	c.StrokeLines(toleranceLine, append(outline, outline[0]))
}

// radius is the radius in the picture of a circle of a number of steps.
func (m *chromaticityPlot) radius(steps int) vg.Length {
	return vg.Length(float64(steps)*colorimetry.Step/m.reach) * m.data.Size().X / 2
}

func (m *chromaticityPlot) paintCircles(c draw.Canvas, at func(colorimetry.UVPrime) vg.Point) {
	center := at(m.center)
	for _, n := range m.steps {
		radius := m.radius(n)
		var path vg.Path
		path.Move(vg.Point{X: center.X + radius, Y: center.Y})
		path.Arc(center, radius, 0, 2*math.Pi)
		path.Close()
		c.SetLineStyle(circleLine)
		c.Stroke(path)
	}
}

// nameCircles prints the number of steps at the upper left of each circle.
func (m *chromaticityPlot) nameCircles(c draw.Canvas, at func(colorimetry.UVPrime) vg.Point) {
	center := at(m.center)
	sin, cos := math.Sincos(0.72 * math.Pi)
	for _, n := range m.steps {
		radius := m.radius(n)
		text := fmt.Sprint(n)
		if n == m.steps[len(m.steps)-1] {
			text += " steps"
		}
		drawWithHalo(c, style(15, false, gray, draw.XCenter, draw.YCenter),
			vg.Point{X: center.X + radius*vg.Length(cos), Y: center.Y + radius*vg.Length(sin)}, text, paper, 3)
	}
}

// paintLocus draws the Planckian locus through the plot with marks at round
// color temperatures.
func (m *chromaticityPlot) paintLocus(c draw.Canvas, at func(colorimetry.UVPrime) vg.Point) {
	if m.reference == nil {
		return
	}
	points, err := colorimetry.LocusPoints(colorimetry.MaxKelvin, colorimetry.MinKelvin, 1200)
	if err != nil {
		return
	}
	line := make([]vg.Point, len(points))
	for i, q := range points {
		line[i] = at(q)
	}
	for _, part := range c.ClipLinesXY(line) {
		c.StrokeLines(locusLine, part)
	}
	for _, k := range m.kelvinMarks() {
		if tick, ok := m.locusMark(k); ok {
			c.StrokeLines(draw.LineStyle{Color: ink, Width: 1.6}, []vg.Point{at(tick[0]), at(tick[1])})
		}
	}
}

// locusMark is a short line across the locus at a color temperature, from
// below it to above.
func (m *chromaticityPlot) locusMark(kelvin float64) (ends [2]colorimetry.UVPrime, ok bool) {
	short := m.reach / 1.5 * 0.035
	points, err := colorimetry.IsothermPoints(kelvin, -short, short, 2)
	if err != nil {
		return ends, false
	}
	return [2]colorimetry.UVPrime(points), true
}

// nameLocus prints the color temperatures below or above the locus where there is
// space, and adds their boxes to those taken.
func (m *chromaticityPlot) nameLocus(c draw.Canvas, at func(colorimetry.UVPrime) vg.Point, taken []vg.Rectangle) []vg.Rectangle {
	if m.reference == nil {
		return taken
	}
	s := style(15, false, ink, draw.XCenter, draw.YCenter)
	f := face(s)
	for _, k := range m.kelvinMarks() {
		tick, ok := m.locusMark(k)
		if !ok {
			continue
		}
		text := fmt.Sprintf("%.0f K", k)
		half := vg.Point{X: f.Width(text)/2 + 2, Y: 9}
		for side := range 2 {
			near, far := at(tick[side]), at(tick[1-side])
			out := vg.Point{X: near.X - far.X, Y: near.Y - far.Y}
			// The text is to the left or right of the tick's end.
			reach := 10 / vg.Length(math.Hypot(float64(out.X), float64(out.Y)))
			p := vg.Point{X: near.X + reach*out.X, Y: near.Y + reach*out.Y}
			if out.X > 0 {
				p.X += half.X - 4
			} else {
				p.X -= half.X - 4
			}
			if box, free := m.textBox(c, p, half, taken); free {
				taken = append(taken, box)
				drawWithHalo(c, s, p, text, paper, 3)
				break
			}
		}
	}
	return taken
}

// textBox is the box of a text centered at p, and whether it is inside the plot and
// overlaps nothing that is taken.
func (m *chromaticityPlot) textBox(c draw.Canvas, p, half vg.Point, taken []vg.Rectangle) (box vg.Rectangle, free bool) {
	box = vg.Rectangle{Min: p.Sub(half), Max: p.Add(half)}
	in := box.Min.X >= c.Min.X && box.Max.X <= c.Max.X && box.Min.Y >= c.Min.Y && box.Max.Y <= c.Max.Y
	return box, in && !overlapsAny(box, taken)
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

// paintPoints draws the readings with the reference over them, and returns the
// boxes that they take.
func (m *chromaticityPlot) paintPoints(c draw.Canvas, at func(colorimetry.UVPrime) vg.Point) (taken []vg.Rectangle) {
	around := func(p vg.Point, r vg.Length) vg.Rectangle {
		half := vg.Point{X: r, Y: r}
		return vg.Rectangle{Min: p.Sub(half), Max: p.Add(half)}
	}
	if len(m.points) > maxNumbered {
		m.paintCloud(c)
	} else {
		for k := len(m.points) - 1; k >= 0; k-- {
			p := m.place(int(m.points[k]), at)
			mark := dot
			if k >= m.inShot {
				mark = open
			}
			paintMarker(c, mark, p, nil)
			taken = append(taken, around(p, 4))
		}
	}
	if len(m.points) > 1 {
		p := m.place(int(m.points[0]), at)
		paintMarker(c, upward, p, nil)
		taken = append(taken, around(p, 9))
	}
	paintMarker(c, diamond, at(m.center), nil)
	return append(taken, around(at(m.center), 9))
}

func (m *chromaticityPlot) place(i int, at func(colorimetry.UVPrime) vg.Point) vg.Point {
	return at(colorimetry.UVPrime{U: m.survey.U[i], V: m.survey.V[i]})
}

// paintCloud draws many readings as an image, darker where there are more.
func (m *chromaticityPlot) paintCloud(c draw.Canvas) {
	size := pixels(m.data, int(m.height)).Size()
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
func (m *chromaticityPlot) namePoints(c draw.Canvas, at func(colorimetry.UVPrime) vg.Point, taken []vg.Rectangle) {
	if len(m.points) > maxNumbered {
		return
	}
	s := style(15, false, ink, draw.XCenter, draw.YCenter)
	f := face(s)
	for n, point := range m.points {
		i := int(point)
		name := shorten(m.survey.LabelOf(i), 10)
		if name == "" {
			continue
		}
		p, half := m.place(i, at), vg.Point{X: f.Width(name)/2 + 1, Y: 7}
		gap := vg.Length(8)
		if n == 0 {
			gap = 12
		}
		for _, q := range [...]vg.Point{{Y: gap + 6}, {Y: -gap - 6}, {X: gap + half.X}, {X: -gap - half.X}} {
			q = p.Add(q)
			if box, free := m.textBox(c, q, half, taken); free {
				taken = append(taken, box)
				drawWithHalo(c, s, q, name, paper, 2)
				break
			}
		}
	}
}
