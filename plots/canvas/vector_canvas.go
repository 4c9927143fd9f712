package canvas

import (
	"bytes"
	"image"
	"image/color"
	"image/png"
	"math"

	"gonum.org/v1/plot/vg"
)

// affine maps canvas coordinates (y up) to page coordinates (y down):
// x' = a·x + c·y + e, y' = b·x + d·y + f.
type affine struct{ a, b, c, d, e, f float64 }

func (m affine) apply(p vg.Point) (x, y float64) {
	return m.a*float64(p.X) + m.c*float64(p.Y) + m.e, m.b*float64(p.X) + m.d*float64(p.Y) + m.f
}

// compose is the map that applies first n, then m.
func (m affine) compose(n affine) affine {
	return affine{
		m.a*n.a + m.c*n.b, m.b*n.a + m.d*n.b,
		m.a*n.c + m.c*n.d, m.b*n.c + m.d*n.d,
		m.a*n.e + m.c*n.f + m.e, m.b*n.e + m.d*n.f + m.f,
	}
}

// scale is the mean scale factor of the map.
func (m affine) scale() float64 { return math.Sqrt(math.Abs(m.a*m.d - m.b*m.c)) }

// angle is the rotation of a text, in degrees clockwise on the page.
func (m affine) angle() float64 { return math.Atan2(m.b, m.a) * 180 / math.Pi }

// graphicsState is the state of a vector canvas that Push saves.
type graphicsState struct {
	m       affine
	color   color.Color
	width   vg.Length
	dashes  []vg.Length
	dashOff vg.Length
}

// canvasState is the graphics state of the SVG and PDF canvases: the part of
// vg.Canvas that draws nothing, and the first error.
type canvasState struct {
	stack         []graphicsState
	width, height vg.Length
	err           error
}

// newCanvasState is that of a picture on a page with so many units to a pixel.
func newCanvasState(p *Picture, perPixel float64) canvasState {
	m := affine{perPixel, 0, 0, -perPixel, 0, perPixel * float64(p.Height)}
	return canvasState{stack: []graphicsState{{m: m, color: color.Black, width: 1}}, width: vg.Length(p.Width), height: vg.Length(p.Height)}
}

func (p *canvasState) Size() (w, h vg.Length) { return p.width, p.height }

func (p *canvasState) current() *graphicsState { return &p.stack[len(p.stack)-1] }

// dashing is the lengths of the dashes and their offset on the page.
func (s *graphicsState) dashing() (dashes []float64, offset float64) {
	k := s.m.scale()
	for _, d := range s.dashes {
		dashes = append(dashes, k*float64(d))
	}
	return dashes, k * float64(s.dashOff)
}

// encoded is an image as PNG, with the corner and the size of its rectangle on the page.
func (p *canvasState) encoded(r vg.Rectangle, img image.Image) (data *bytes.Buffer, x, y, width, height float64) {
	data = new(bytes.Buffer)
	if err := png.Encode(data, img); err != nil {
		p.err = err
	}
	x, y = p.current().m.apply(vg.Point{X: r.Min.X, Y: r.Max.Y})
	right, below := p.current().m.apply(vg.Point{X: r.Max.X, Y: r.Min.Y})
	return data, x, y, right - x, below - y
}

func (p *canvasState) SetLineWidth(w vg.Length) { p.current().width = w }
func (p *canvasState) SetLineDash(pattern []vg.Length, o vg.Length) {
	p.current().dashes, p.current().dashOff = pattern, o
}
func (p *canvasState) Push() { p.stack = append(p.stack, *p.current()) }
func (p *canvasState) Pop()  { p.stack = p.stack[:len(p.stack)-1] }

func (p *canvasState) SetColor(c color.Color) {
	if c == nil {
		c = color.Black
	}
	p.current().color = c
}

func (p *canvasState) Rotate(rad float64) {
	sin, cos := math.Sincos(rad)
	p.current().m = p.current().m.compose(affine{cos, sin, -sin, cos, 0, 0})
}

func (p *canvasState) Translate(pt vg.Point) {
	p.current().m = p.current().m.compose(affine{1, 0, 0, 1, float64(pt.X), float64(pt.Y)})
}

func (p *canvasState) Scale(x, y float64) {
	p.current().m = p.current().m.compose(affine{x, 0, 0, y, 0, 0})
}

// pathWriter writes a path in one of the vector formats, as fpdf.Fpdf does.
type pathWriter interface {
	MoveTo(x, y float64)
	LineTo(x, y float64)
	CurveBezierCubicTo(x1, y1, x2, y2, x, y float64)
	ClosePath()
}

// tracePath writes a path. Arcs become cubic curves, each over at most a quarter
// turn, with errors of at most 0.03 % of the radius.
func tracePath(path vg.Path, m affine, o pathWriter) {
	var at vg.Point
	started := false
	move := func(p vg.Point) { x, y := m.apply(p); o.MoveTo(x, y); at, started = p, true }
	line := func(p vg.Point) { x, y := m.apply(p); o.LineTo(x, y); at = p }
	cube := func(p1, p2, p vg.Point) {
		x1, y1 := m.apply(p1)
		x2, y2 := m.apply(p2)
		x, y := m.apply(p)
		o.CurveBezierCubicTo(x1, y1, x2, y2, x, y)
		at = p
	}
	for _, c := range path {
		switch c.Type {
		case vg.MoveComp:
			move(c.Pos)
		case vg.LineComp:
			line(c.Pos)
		case vg.ArcComp:
			on := func(angle float64) vg.Point {
				sin, cos := math.Sincos(angle)
				return vg.Point{X: c.Pos.X + c.Radius*vg.Length(cos), Y: c.Pos.Y + c.Radius*vg.Length(sin)}
			}
			if start := on(c.Start); !started {
				move(start)
			} else if math.Hypot(float64(start.X-at.X), float64(start.Y-at.Y)) > 1e-6 {
				line(start)
			}
			n := int(math.Ceil(math.Abs(c.Angle)/(math.Pi/2) - 1e-9))
			for i := range n {
				a0 := c.Start + c.Angle*float64(i)/float64(n)
				a1 := c.Start + c.Angle*float64(i+1)/float64(n)
				k := vg.Length(4.0 / 3 * math.Tan((a1-a0)/4))
				p0, p1 := on(a0), on(a1)
				cube(
					vg.Point{X: p0.X - k*(p0.Y-c.Pos.Y), Y: p0.Y + k*(p0.X-c.Pos.X)},
					vg.Point{X: p1.X + k*(p1.Y-c.Pos.Y), Y: p1.Y - k*(p1.X-c.Pos.X)},
					p1)
			}
		case vg.CurveComp:
			p1, p2 := c.Control[0], c.Control[len(c.Control)-1]
			if len(c.Control) == 1 {
				// The cubic with the same shape as a quadratic curve.
				p1, p2 = interpolate(at, p1, 2.0/3), interpolate(c.Pos, p1, 2.0/3)
			}
			cube(p1, p2, c.Pos)
		case vg.CloseComp:
			o.ClosePath()
		}
	}
}

func interpolate(a, b vg.Point, part vg.Length) vg.Point {
	return vg.Point{X: a.X + part*(b.X-a.X), Y: a.Y + part*(b.Y-a.Y)}
}
