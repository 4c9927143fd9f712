package plots

import (
	"math"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// axis is an axis of a drawing.
type axis struct {
	from, to float64
	label    string
	ticks    plot.Ticker     // nil where the axes are not drawn
	scale    plot.Normalizer // nil for linear
}

// plotterFunc is a function as a plotter of the plot library.
type plotterFunc func(c draw.Canvas, p *plot.Plot)

// Plot draws.
func (f plotterFunc) Plot(c draw.Canvas, p *plot.Plot) { f(c, p) }

// drawAxes draws data that fill a rectangle, with the axes outside it. The space for
// labels near the ends of an axis depends on the size, so it is found by iteration.
func drawAxes(c draw.Canvas, data vg.Rectangle, x, y axis, paint plotterFunc) {
	p := plot.New()
	p.BackgroundColor = nil // the picture has its own
	x.apply(&p.X)
	y.apply(&p.Y)
	if x.ticks == nil {
		p.HideAxes()
	}
	p.Add(paint)
	outer := vg.Rectangle{Min: data.Min.Sub(vg.Point{X: 120, Y: 80}), Max: data.Max.Add(vg.Point{X: 120, Y: 80})}
	for range 4 {
		inner := p.DataCanvas(draw.Canvas{Canvas: c.Canvas, Rectangle: outer})
		outer.Min = outer.Min.Add(data.Min.Sub(inner.Min))
		outer.Max = outer.Max.Add(data.Max.Sub(inner.Max))
	}
	p.Draw(draw.Canvas{Canvas: c.Canvas, Rectangle: outer})
}

// apply gives an axis of a plot the style of the pictures.
func (a axis) apply(to *plot.Axis) {
	to.Min, to.Max, to.Tick.Marker = a.from, a.to, a.ticks
	if a.scale != nil {
		to.Scale = a.scale
	}
	to.Label.Text = a.label
	to.Label.TextStyle.Font = style(18, false, ink, 0, 0).Font
	to.Label.TextStyle.Color = ink
	to.Label.Padding = 6
	to.Tick.Label.Font = style(17, false, ink, 0, 0).Font
	to.Tick.Label.Color = ink
	to.Tick.Length = 7
	to.Tick.Width, to.Tick.Color = 1.2, ink
	to.Width, to.Color = 1.2, ink
	to.Padding = 0
}

// paintGrid draws a thin line at each labelled tick of a plot's axes.
func paintGrid(c draw.Canvas, p *plot.Plot) {
	trX, trY := p.Transforms(&c)
	for _, t := range p.X.Tick.Marker.Ticks(p.X.Min, p.X.Max) {
		if x := trX(t.Value); t.Label != "" && x > c.Min.X+2 {
			c.StrokeLine2(gridLine, x, c.Min.Y, x, c.Max.Y)
		}
	}
	for _, t := range p.Y.Tick.Marker.Ticks(p.Y.Min, p.Y.Max) {
		if y := trY(t.Value); t.Label != "" && y > c.Min.Y+2 { // the axes lie there
			c.StrokeLine2(gridLine, c.Min.X, y, c.Max.X, y)
		}
	}
}

// roundStep is the smallest of 1, 2, 5 times a power of ten that is at least as
// large as wanted, and how many decimals its multiples need.
func roundStep(wanted float64) (step float64, decimals int) {
	step = math.Pow(10, math.Floor(math.Log10(wanted)))
	for _, k := range []float64{1, 2, 5, 10} {
		if k*step >= wanted*(1-1e-9) {
			step *= k
			break
		}
	}
	return step, max(0, -int(math.Floor(math.Log10(step)+1e-9)))
}
