package plots

import (
	"image/color"
	"math"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"evenfall/photometry"
)

// The line styles of a series. They differ in dashes as well as in color.
var (
	bandColor   = color.RGBA{0xcd, 0xd3, 0xdc, 255}
	zoneColor   = toleranceColor
	fitLine     = draw.LineStyle{Color: ink, Width: 2.6}
	squareLine  = draw.LineStyle{Color: gray, Width: 2, Dashes: []vg.Length{13, 6}}
	zoneLine    = draw.LineStyle{Color: gray, Width: 1.4, Dashes: []vg.Length{2, 3}}
	ambientLine = draw.LineStyle{Color: ink, Width: 1.8, Dashes: []vg.Length{2, 6}}
	wantedLine  = draw.LineStyle{Color: ink, Width: 1.4, Dashes: []vg.Length{7, 3, 2, 3}}
	barLine     = draw.LineStyle{Color: ink, Width: 1.6}
	gridLine    = draw.LineStyle{Color: unread, Width: 1.2}
)

// paint draws the picture.
func (m *distancePlot) paint(c draw.Canvas) {
	m.paintTexts(c)
	m.paintLegend(c, 30)
	distances := logTicks{lengthScale(m.opt.Feet), formatTick, float64(m.data.Size().X), 46}
	x := axis{m.x0, m.x1, "distance (" + lengthUnit(m.opt.Feet) + ")", distances, plot.LogScale{}}
	above := x
	if !m.rises() {
		above.label, above.ticks = "", unlabelled(distances)
	}
	drawAxes(c, m.data, above, axis{m.y0, m.y1, m.levelLabel(), m.levelTicks(float64(m.data.Size().Y)), plot.LogScale{}}, m.plotCurve)
	if m.rises() {
		return // no law, so nothing is off it
	}
	m.paintStops(c)
	drawAxes(c, m.under, x, axis{-m.reach, m.reach, "residual (stops)", evenTicks(m.under.Size().Y, 42, nil), nil}, m.plotResiduals)
}

// levelLabel names the axis of levels.
func (m *distancePlot) levelLabel() string {
	if m.inFNumbers() {
		return "f-number at ISO " + formatTick(m.series.Settings.Meter.Speed())
	}
	if m.series.Quantity == photometry.Relative {
		return "relative level"
	}
	_, unit := photometry.Level{Quantity: m.series.Quantity}.In(m.opt.Unit)
	return m.series.Quantity.String() + " (" + unit + ")"
}

// inFNumbers reports whether levels are printed as the f-numbers that were read.
func (m *distancePlot) inFNumbers() bool {
	_, ok := m.series.FNumber(m.result.MarkLevel)
	return ok && m.series.Unit == photometry.FStop
}

// levelTicks are the ticks of the axis of levels.
func (m *distancePlot) levelTicks(pixels float64) plot.Ticker {
	if !m.inFNumbers() {
		one, _ := photometry.Level{Value: 1, Quantity: m.series.Quantity}.In(m.opt.Unit)
		return logTicks{1 / one, formatTick, pixels, 34}
	}
	n, _ := m.series.FNumber(1)
	return stopTicks{from: 1 / (n * n), text: func(stops float64) string {
		return photometry.FormatFNumber(math.Exp2(stops / 2))
	}, pixels: pixels}
}

// paintStops draws the axis of stops on the right.
func (m *distancePlot) paintStops(c draw.Canvas) {
	mark := m.result.MarkLevel
	if !(mark > 0) {
		return
	}
	size := m.data.Size()
	x := m.data.Max.X
	c.StrokeLine2(draw.LineStyle{Color: ink, Width: 1.2}, x, m.data.Min.Y, x, m.data.Max.Y)
	for _, tick := range (stopTicks{from: mark, text: stopsTick, pixels: float64(size.Y)}).Ticks(m.y0, m.y1) {
		y := m.data.Min.Y + size.Y*vg.Length(math.Log(tick.Value/m.y0)/math.Log(m.y1/m.y0))
		c.StrokeLine2(draw.LineStyle{Color: ink, Width: 1.2}, x, y, x+7, y)
		drawWithHalo(c, style(17, false, ink, draw.XLeft, draw.YCenter), vg.Point{X: x + 12, Y: y}, tick.Label, paper, 0)
	}
	s := style(18, false, ink, draw.XCenter, draw.YBottom)
	s.Rotation = math.Pi / 2
	c.FillText(s, vg.Point{X: x + 72, Y: (m.data.Min.Y + m.data.Max.Y) / 2}, "stops from the mark")
}

// stopsTick prints whole and half stops.
func stopsTick(stops float64) string {
	if stops == math.Trunc(stops) {
		return formatSigned(stops, 0)
	}
	return formatSigned(stops, 1)
}

// paintZone shades the zone within the tolerance about the mark and draws those of its ends
// that are on the axis.
func (m *distancePlot) paintZone(p panel) {
	d := m.result.Depth
	if d == nil {
		return
	}
	from, to := max(d.NearM, m.x0), m.x1
	if d.FarM != nil {
		to = min(*d.FarM, m.x1)
	}
	if !(from < to) {
		return
	}
	fill(p.Canvas, vg.Rectangle{Min: vg.Point{X: p.x(from), Y: p.Min.Y}, Max: vg.Point{X: p.x(to), Y: p.Max.Y}}.Path(), zoneColor)
	for _, end := range []float64{from, to} {
		if x := p.x(end); x > p.Min.X && x < p.Max.X {
			p.upright(zoneLine, end)
		}
	}
}

// fitted are the law and the edges of its band on a panel, whose values are made of a level
// and the law's.
func (m *distancePlot) fitted(p panel, value func(level, law float64) float64) (law, high, low []vg.Point) {
	for _, q := range m.curve {
		law = append(law, p.at(q.DistanceM, value(q.Level, q.Level)))
		high = append(high, p.at(q.DistanceM, value(q.Band.Hi, q.Level)))
		low = append(low, p.at(q.DistanceM, value(q.Band.Lo, q.Level)))
	}
	return law, high, low
}

// plotCurve draws the upper panel.
func (m *distancePlot) plotCurve(p panel) {
	r := m.result
	p.grid()
	m.paintZone(p)
	p.grid() // again, over the zone
	if !m.rises() {
		law, high, low := m.fitted(p, func(level, _ float64) float64 { return level })
		p.band(high, low)
		square := func(d float64) vg.Point { return p.at(d, r.MarkLevel*(r.MarkM/d)*(r.MarkM/d)) }
		p.line(squareLine, square(m.x0), square(m.x1))
		p.line(fitLine, law...)
	}
	if m.showsAmbient() {
		p.across(ambientLine, m.law.Ambient)
	}
	if w := m.wanted; w != nil {
		p.StrokeLines(wantedLine, []vg.Point{p.at(m.x0, w.Level), p.at(*w.DistanceM, w.Level), p.at(*w.DistanceM, m.y0)})
	}
	if !m.rises() && m.onAxis(r.MarkM) && r.MarkLevel > m.y0 && r.MarkLevel < m.y1 {
		paintMarker(p.Canvas, diamond, p.at(r.MarkM, r.MarkLevel))
	}
	var all []reading
	for i, q := range r.Points {
		level, bar := m.levelFacing(i), math.Exp2(normal95*q.SpreadStops)
		all = append(all, reading{q.DistanceM, level, level / bar, level * bar, m.markerOf(q)})
	}
	p.readings(all)
}

// plotResiduals draws the lower panel: readings and band less the law.
func (m *distancePlot) plotResiduals(p panel) {
	p.grid()
	m.paintZone(p)
	p.grid()
	law, high, low := m.fitted(p, func(level, law float64) float64 { return math.Log2(level / law) })
	p.band(high, low)
	p.line(fitLine, law...)
	var all []reading
	for _, q := range m.result.Points {
		bar := normal95 * q.SpreadStops
		all = append(all, reading{q.DistanceM, q.ResidualStops, q.ResidualStops - bar, q.ResidualStops + bar, m.markerOf(q)})
	}
	p.readings(all)
}
