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
	return m.picture(m.alt(), m.paint)
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
	m.begin(headingOf(m.lamp.Name, "level over its dimmer", m.date, "as read"), m.answer, fmt.Sprintf("%d readings", len(m.lamp.Points)), 22)
	m.panels(curveHeight-80, either(m.kelvin[0] > 0, underHeight, 0), margin+12)
	m.addToRow("reading", markerSample(dot))
	m.addToRow("curve, with its band (95 %)", bandSample)
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

func (m *dimmerPlot) plotLevel(p panel) {
	p.grid()
	var curve, linear, upper, lower []vg.Point
	high := m.settings[len(m.settings)-1]
	for _, s := range m.settings {
		from, to := m.lamp.Curve.Band(s)
		curve, linear = append(curve, p.at(s, m.lamp.Curve.Level(s))), append(linear, p.at(s, m.lamp.Curve.Level(high)*s/high))
		upper, lower = append(upper, p.at(s, math.Exp2(to))), append(lower, p.at(s, math.Exp2(from)))
	}
	p.band(upper, lower)
	p.grid()
	p.line(squareLine, linear...)
	p.StrokeLines(fitLine, curve)
	if s := m.lamp.Setting; s != nil {
		p.StrokeLines(wantedLine, []vg.Point{p.at(0, s.Level), p.at(s.Percent, s.Level), p.at(s.Percent, m.y0)})
	}
	for _, q := range m.lamp.Points {
		if q.Percent > 0 && q.Level >= m.y0 {
			m.paintPoint(p, q.Level, q)
		}
	}
}

// paintPoint draws a reading at its level or color.
func (m *dimmerPlot) paintPoint(p panel, y float64, q dimmer.Point) {
	if dimmerFlickers(q) {
		paintMarker(p.Canvas, ring, p.at(q.Percent, y))
	}
	paintMarker(p.Canvas, dot, p.at(q.Percent, y))
}

func (m *dimmerPlot) plotColor(p panel) {
	p.grid()
	var curve []vg.Point
	for _, s := range m.settings {
		if k, _ := m.lamp.Curve.Color(s); k != nil {
			curve = append(curve, p.at(s, k.Value))
		}
	}
	p.StrokeLines(fitLine, curve)
	if s := m.lamp.Setting; s != nil && s.Kelvin != nil {
		p.StrokeLines(wantedLine, []vg.Point{p.at(0, *s.Kelvin), p.at(s.Percent, *s.Kelvin), {X: p.x(s.Percent), Y: p.Max.Y}})
	}
	for _, q := range m.lamp.Points {
		if q.Kelvin != nil && q.Percent > 0 {
			m.paintPoint(p, *q.Kelvin, q)
		}
	}
}
