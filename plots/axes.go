package plots

import (
	"math"
	"slices"

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

// panel is the rectangle that two axes span, with where values of each lie in it.
type panel struct {
	draw.Canvas
	plot *plot.Plot
	x, y func(float64) vg.Length
}

// plotterFunc is a function as a plotter of the plot library.
type plotterFunc func(panel)

// Plot draws.
func (f plotterFunc) Plot(c draw.Canvas, p *plot.Plot) {
	x, y := p.Transforms(&c)
	f(panel{c, p, x, y})
}

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
	to.Label.TextStyle.Font, to.Label.TextStyle.Color, to.Label.Padding = style(18, false, ink, 0, 0).Font, ink, 6
	to.Tick.Label.Font, to.Tick.Label.Color = style(17, false, ink, 0, 0).Font, ink
	to.Tick.Length, to.Tick.Width, to.Tick.Color = 7, 1.2, ink
	to.Width, to.Color, to.Padding = 1.2, ink, 0
}

// at is where a pair of values lies.
func (p panel) at(x, y float64) vg.Point { return vg.Point{X: p.x(x), Y: p.y(y)} }

// line draws a line through points as far as the panel reaches.
func (p panel) line(s draw.LineStyle, points ...vg.Point) {
	for _, part := range p.ClipLinesXY(points) {
		p.StrokeLines(s, part)
	}
}

// across and upright draw a line through all of the panel at a value.
func (p panel) across(s draw.LineStyle, y float64) {
	p.StrokeLine2(s, p.Min.X, p.y(y), p.Max.X, p.y(y))
}
func (p panel) upright(s draw.LineStyle, x float64) {
	p.StrokeLine2(s, p.x(x), p.Min.Y, p.x(x), p.Max.Y)
}

// band fills what lies between two lines, as far as the panel reaches upward and down.
func (p panel) band(upper, lower []vg.Point) {
	slices.Reverse(lower)
	outline := append(upper, lower...)
	for i := range outline {
		outline[i].Y = max(p.Min.Y, min(outline[i].Y, p.Max.Y))
	}
	p.FillPolygon(bandColor, outline)
}

// grid draws a thin line at each labelled tick of the axes, which lie at the left and below.
func (p panel) grid() {
	for _, t := range p.plot.X.Tick.Marker.Ticks(p.plot.X.Min, p.plot.X.Max) {
		if t.Label != "" && p.x(t.Value) > p.Min.X+2 {
			p.upright(gridLine, t.Value)
		}
	}
	for _, t := range p.plot.Y.Tick.Marker.Ticks(p.plot.Y.Min, p.plot.Y.Max) {
		if t.Label != "" && p.y(t.Value) > p.Min.Y+2 {
			p.across(gridLine, t.Value)
		}
	}
}

// reading is a reading on a panel with the ends of its bar, and what is drawn about it: a
// dot for nothing.
type reading struct {
	x, y, low, high float64
	about           marker
}

// readings draws readings with their bars; of many that nobody can tell apart the first alone.
func (p panel) readings(all []reading) {
	drawn := newDrawn(len(all))
	for _, r := range all {
		at := p.at(r.x, r.y)
		if !drawn.first(at, r.about) {
			continue
		}
		p.bar(at.X, p.y(r.low), p.y(r.high))
		if r.about != dot {
			paintMarker(p.Canvas, r.about, at)
		}
		paintMarker(p.Canvas, dot, at)
	}
}

// bar draws a bar clipped to the panel, unless the reading's dot would hide it.
func (p panel) bar(x, low, high vg.Length) {
	hidden := high-low < 14
	low, high = max(low, p.Min.Y), min(high, p.Max.Y)
	if hidden || low >= high {
		return
	}
	p.StrokeLine2(barLine, x, low, x, high)
	for _, y := range []vg.Length{low, high} {
		p.StrokeLine2(barLine, x-4, y, x+4, y)
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
