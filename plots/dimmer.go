package plots

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"evenfall/photometry"
	"evenfall/photometry/dimmer"
	"evenfall/plots/canvas"
)

// Dimmer draws a lamp over its dial: its level with the readings, the monotone curve with
// its 95 % band, a linear dial through the highest setting and the setting that is
// wanted; below, where it was read, the color temperature. Readings with flicker have a
// ring. It is nil for a lamp without a curve. answer is what the readings say, in words.
func Dimmer(l *dimmer.Lamp, date, answer string, unit photometry.Unit, narrow bool) *Picture {
	if l.Curve == nil {
		return nil
	}
	m := &dimmerPlot{lamp: l, date: date, answer: answer, unit: unit, pageLayout: pageLayout{narrow: narrow}}
	m.setExtent()
	m.layOut()
	return NewPicture(m.title(), m.alt(), int(m.width), int(m.height), m.paint)
}

// dimmerPlot is the picture of a dimmer, laid out for any format.
type dimmerPlot struct {
	lamp         *dimmer.Lamp
	date, answer string
	unit         photometry.Unit
	settings     []float64  // along the curve, percent
	y0, y1       float64    // levels in the SI unit
	kelvin       [2]float64 // extent, zero where no color was read
	pageLayout
}

func (m *dimmerPlot) setExtent() {
	low, high := m.lamp.Curve.Range()
	for i := range curvePoints + 1 {
		m.settings = append(m.settings, low*math.Pow(high/low, float64(i)/curvePoints))
	}
	m.y0, m.y1 = math.Inf(1), 0
	for _, p := range m.settings {
		from, to := m.lamp.Curve.Band(p)
		m.y0, m.y1 = min(m.y0, math.Exp2(from)), max(m.y1, math.Exp2(to))
		if k, _ := m.lamp.Curve.Color(p); k != nil {
			if m.kelvin[0] == 0 {
				m.kelvin = [2]float64{k.Value, k.Value}
			}
			m.kelvin = [2]float64{min(m.kelvin[0], k.Value), max(m.kelvin[1], k.Value)}
		}
	}
	m.y0, m.y1 = m.y0/1.3, m.y1*1.3
	if m.kelvin[0] > 0 {
		pad := max(50, 0.15*(m.kelvin[1]-m.kelvin[0]))
		m.kelvin[0], m.kelvin[1] = m.kelvin[0]-pad, m.kelvin[1]+pad
	}
}

func (m *dimmerPlot) title() string {
	return headingOf(m.lamp.Name, "level over its dimmer", m.date, "as read")
}

func (m *dimmerPlot) alt() string {
	low, high := m.lamp.Curve.Range()
	text := fmt.Sprintf("Curve of the level of %s over its dimmer, from %.0f to %.0f %%, %s in all, logarithmic upward; the dashed line is a linear dial. %s",
		m.lamp.Name, low, high, formatStops(m.lamp.RangeStops), m.answer)
	var colors []string
	for _, p := range m.settings {
		if k, _ := m.lamp.Curve.Color(p); k != nil {
			colors = append(colors, fmt.Sprintf("%.0f K at %.0f %%", k.Value, p))
		}
	}
	if n := len(colors); n > 0 {
		text += " Below, its color temperature: " + colors[0] + ", " + colors[n-1] + "."
	}
	return text
}

func (m *dimmerPlot) layOut() {
	m.begin(m.title(), m.answer, fmt.Sprintf("%d readings", len(m.lamp.Points)), 22)
	under := either(m.kelvin[0] > 0, underHeight, 0.0)
	m.panels(curveHeight-80, under, margin+12)
	m.addToRow("reading", markerSample(dot))
	m.addToRow("curve, with its band (95 %)", func(c draw.Canvas, at vg.Point) {
		fill(c, canvas.Around(at, 18, 8).Path(), bandColor)
		c.StrokeLine2(fitLine, at.X-18, at.Y, at.X+18, at.Y)
	})
	m.addToRow("a linear dial", lineSample(squareLine, 20))
	if s := m.lamp.Setting; s != nil {
		m.addToRow(fmt.Sprintf("wanted: %.0f %%", s.Percent), lineSample(wantedLine, 20))
	}
	if slices.ContainsFunc(m.lamp.Points, dimmerFlickers) {
		m.addToRow("flicker seen", markerSample(ring))
	}
	m.fromTop += 40
	m.finish("Levels are on a logarithmic axis: equal heights are equal stops. Between readings the curve only rises.")
}

func dimmerFlickers(p dimmer.Point) bool { return p.Flickers != nil && *p.Flickers }

func (m *dimmerPlot) paint(c draw.Canvas) {
	m.paintTexts(c)
	m.paintLegend(c, 30)
	width := m.data.Size().X
	x := axis{0, 105, "dimmer (%)", evenTicks(width, 60, formatTick), nil}
	above := x
	if m.kelvin[0] > 0 {
		above.label, above.ticks = "", unlabelled(x.ticks)
	}
	one, unit := photometry.Level{Value: 1, Quantity: m.lamp.Quantity}.In(m.unit)
	drawAxes(c, m.data, above, axis{m.y0, m.y1, m.lamp.Quantity.String() + " (" + unit + ")", logTicks{1 / one, formatTick, float64(m.data.Size().Y), 34}, plot.LogScale{}}, m.plotLevel)
	if m.kelvin[0] > 0 {
		drawAxes(c, m.under, x, axis{m.kelvin[0], m.kelvin[1], "CCT (K)", evenTicks(m.under.Size().Y, 42, formatTick), nil}, m.plotColor)
	}
}

func (m *dimmerPlot) plotLevel(c draw.Canvas, p *plot.Plot) {
	paintGrid(c, p)
	trX, trY := p.Transforms(&c)
	at := func(percent, level float64) vg.Point { return vg.Point{X: trX(percent), Y: trY(level)} }
	var curve, linear, band, lower []vg.Point
	high := m.settings[len(m.settings)-1]
	for _, s := range m.settings {
		from, to := m.lamp.Curve.Band(s)
		curve, linear = append(curve, at(s, m.lamp.Curve.Level(s))), append(linear, at(s, m.lamp.Curve.Level(high)*s/high))
		band, lower = append(band, at(s, math.Exp2(to))), append(lower, at(s, math.Exp2(from)))
	}
	slices.Reverse(lower)
	c.FillPolygon(bandColor, append(band, lower...))
	paintGrid(c, p)
	for _, part := range c.ClipLinesXY(linear) {
		c.StrokeLines(squareLine, part)
	}
	c.StrokeLines(fitLine, curve)
	if s := m.lamp.Setting; s != nil {
		c.StrokeLines(wantedLine, []vg.Point{at(0, s.Level), at(s.Percent, s.Level), at(s.Percent, m.y0)})
	}
	for _, q := range m.lamp.Points {
		if q.Percent > 0 && q.Level >= m.y0 {
			m.paintPoint(c, at(q.Percent, q.Level), q)
		}
	}
}

func (m *dimmerPlot) paintPoint(c draw.Canvas, at vg.Point, q dimmer.Point) {
	if dimmerFlickers(q) {
		paintMarker(c, ring, at, nil)
	}
	paintMarker(c, dot, at, nil)
}

func (m *dimmerPlot) plotColor(c draw.Canvas, p *plot.Plot) {
	paintGrid(c, p)
	trX, trY := p.Transforms(&c)
	var curve []vg.Point
	for _, s := range m.settings {
		if k, _ := m.lamp.Curve.Color(s); k != nil {
			curve = append(curve, vg.Point{X: trX(s), Y: trY(k.Value)})
		}
	}
	c.StrokeLines(fitLine, curve)
	if s := m.lamp.Setting; s != nil && s.Kelvin != nil {
		c.StrokeLines(wantedLine, []vg.Point{{X: trX(0), Y: trY(*s.Kelvin)}, {X: trX(s.Percent), Y: trY(*s.Kelvin)}, {X: trX(s.Percent), Y: c.Max.Y}})
	}
	for _, q := range m.lamp.Points {
		if q.Kelvin != nil && q.Percent > 0 {
			m.paintPoint(c, vg.Point{X: trX(q.Percent), Y: trY(*q.Kelvin)}, q)
		}
	}
}
