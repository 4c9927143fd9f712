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
	"evenfall/plots/canvas"
)

// toleranceColor fills the region within the tolerance.
var toleranceColor = color.RGBA{0xe9, 0xee, 0xe6, 255}

// plot draws the data.
func (m *chromaticityPlot) plot(c draw.Canvas, p *plot.Plot) {
	trX, trY := p.Transforms(&c)
	at := func(q colorimetry.UVPrime) vg.Point { return vg.Point{X: trX(q.U), Y: trY(q.V)} }
	space := &canvas.FreeSpace{Within: c.Rectangle}
	if m.tolerance != nil {
		m.paintTolerance(c, at, space)
	}
	m.paintCircles(c, at)
	m.paintLocus(c, at, space)
	m.paintPoints(c, at, space)
	m.nameCircles(c, at, space)
	m.nameLocus(c, at, space)
	m.namePoints(c, at, space)
}

func (m *chromaticityPlot) paintTolerance(c draw.Canvas, at func(colorimetry.UVPrime) vg.Point, space *canvas.FreeSpace) {
	outline := make([]vg.Point, len(m.tolerance))
	for i, q := range m.tolerance {
		outline[i] = at(q)
	}
	c.FillPolygon(toleranceColor, outline)
	c.StrokeLines(toleranceLine, append(outline, outline[0]))
	space.TakeLine(append(outline, outline[0])...)
}

// radius is the radius in the picture of a circle of a number of steps.
func (m *chromaticityPlot) radius(steps int) vg.Length {
	return vg.Length(float64(steps)*colorimetry.Step/m.reach) * m.data.Size().X / 2
}

func (m *chromaticityPlot) paintCircles(c draw.Canvas, at func(colorimetry.UVPrime) vg.Point) {
	for _, n := range m.steps {
		c.SetLineStyle(circleLine)
		c.Stroke(circle(at(m.center), m.radius(n)))
	}
}

// nameCircles prints the number of steps on each circle where there is space, best at
// its upper left.
func (m *chromaticityPlot) nameCircles(c draw.Canvas, at func(colorimetry.UVPrime) vg.Point, space *canvas.FreeSpace) {
	center := at(m.center)
	s := style(17, false, gray, draw.XCenter, draw.YCenter)
	for _, n := range m.steps {
		radius := m.radius(n)
		text := fmt.Sprint(n)
		if n == m.steps[len(m.steps)-1] {
			text += " steps"
		}
		var along []vg.Point
		for _, turn := range []float64{0.72, 0.6, 0.84, 0.96, 0.08, -0.1, -0.25, -0.4, -0.6, -0.75} {
			sin, cos := math.Sincos(turn * math.Pi)
			along = append(along, center.Add(vg.Point{X: radius * vg.Length(cos), Y: radius * vg.Length(sin)}))
		}
		half := vg.Point{X: textWidth(s, text)/2 + 2, Y: 9}
		if p, free := space.Find(half, along...); free {
			space.Take(canvas.Around(p, half.X, half.Y))
			drawWithHalo(c, s, p, text, paper, 3)
		}
	}
}

// paintLocus draws the Planckian locus through the plot with marks at round
// color temperatures.
func (m *chromaticityPlot) paintLocus(c draw.Canvas, at func(colorimetry.UVPrime) vg.Point, space *canvas.FreeSpace) {
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
		space.TakeLine(part...)
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
// space.
func (m *chromaticityPlot) nameLocus(c draw.Canvas, at func(colorimetry.UVPrime) vg.Point, space *canvas.FreeSpace) {
	if m.reference == nil {
		return
	}
	s := style(17, false, ink, draw.XCenter, draw.YCenter)
	for _, k := range m.kelvinMarks() {
		tick, ok := m.locusMark(k)
		if !ok {
			continue
		}
		text := fmt.Sprintf("%.0f K", k)
		half := vg.Point{X: textWidth(s, text)/2 + 2, Y: 9}
		beside := func(near, far vg.Point) vg.Point {
			out := near.Sub(far)
			// The text is to the left or right of the tick's end.
			p := near.Add(out.Scale(10 / vg.Length(math.Hypot(float64(out.X), float64(out.Y)))))
			if out.X > 0 {
				p.X += half.X - 4
			} else {
				p.X -= half.X - 4
			}
			return p
		}
		below, above := at(tick[0]), at(tick[1])
		if p, free := space.Find(half, beside(below, above), beside(above, below)); free {
			space.Take(canvas.Around(p, half.X, half.Y))
			drawWithHalo(c, s, p, text, paper, 3)
		}
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
func (m *chromaticityPlot) paintPoints(c draw.Canvas, at func(colorimetry.UVPrime) vg.Point, space *canvas.FreeSpace) {
	put := func(mark marker, p vg.Point, radius vg.Length) {
		paintMarker(c, mark, p, nil)
		space.Take(canvas.Around(p, radius, radius))
	}
	if len(m.points) > maxNumbered {
		m.paintCloud(c)
	} else {
		for k := len(m.points) - 1; k >= 0; k-- {
			mark := either(k >= m.inShot, open, dot)
			put(mark, m.place(int(m.points[k]), at), 4)
		}
	}
	if len(m.points) > 1 {
		put(upward, m.place(int(m.points[0]), at), 9)
	}
	put(diamond, at(m.center), 9)
}

func (m *chromaticityPlot) place(i int, at func(colorimetry.UVPrime) vg.Point) vg.Point {
	return at(colorimetry.UVPrime{U: m.survey.U[i], V: m.survey.V[i]})
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
func (m *chromaticityPlot) namePoints(c draw.Canvas, at func(colorimetry.UVPrime) vg.Point, space *canvas.FreeSpace) {
	if len(m.points) > maxNumbered {
		return
	}
	s := style(17, false, ink, draw.XCenter, draw.YCenter)
	for n, point := range m.points {
		name := shorten(m.survey.LabelOf(int(point)), 10)
		if name == "" {
			continue
		}
		p, half := m.place(int(point), at), vg.Point{X: textWidth(s, name)/2 + 1, Y: 7}
		gap := either(n == 0, 12, vg.Length(8))
		right, up := vg.Point{X: gap + half.X}, vg.Point{Y: gap + 6}
		if q, free := space.Find(half, p.Add(up), p.Sub(up), p.Add(right), p.Sub(right)); free {
			space.Take(canvas.Around(q, half.X, half.Y))
			drawWithHalo(c, s, q, name, paper, 2)
		}
	}
}
