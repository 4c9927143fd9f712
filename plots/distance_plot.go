package plots

import (
	"image/color"
	"math"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"evenfall/falloff"
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

// zoneOn is the part of a panel within the zone; false for none.
func (m *distancePlot) zoneOn(c draw.Canvas, trX func(float64) vg.Length) (vg.Rectangle, bool) {
	d := m.result.Depth
	if d == nil {
		return vg.Rectangle{}, false
	}
	from, to := max(d.NearM, m.x0), m.x1
	if d.FarM != nil {
		to = min(*d.FarM, m.x1)
	}
	if !(from < to) {
		return vg.Rectangle{}, false
	}
	return vg.Rectangle{Min: vg.Point{X: trX(from), Y: c.Min.Y}, Max: vg.Point{X: trX(to), Y: c.Max.Y}}, true
}

// paintZone shades the zone and draws those of its ends that are on the axis.
func (m *distancePlot) paintZone(c draw.Canvas, trX func(float64) vg.Length) {
	zone, ok := m.zoneOn(c, trX)
	if !ok {
		return
	}
	fill(c, zone.Path(), zoneColor)
	for _, x := range []vg.Length{zone.Min.X, zone.Max.X} {
		if x > c.Min.X && x < c.Max.X {
			c.StrokeLine2(zoneLine, x, c.Min.Y, x, c.Max.Y)
		}
	}
}

// plotCurve draws the upper panel.
func (m *distancePlot) plotCurve(c draw.Canvas, p *plot.Plot) {
	paintGrid(c, p)
	trX, trY := p.Transforms(&c)
	at := func(d, level float64) vg.Point { return vg.Point{X: trX(d), Y: trY(level)} }
	r := m.result
	m.paintZone(c, trX)
	paintGrid(c, p) // again, over the zone
	if !m.rises() {
		m.paintBand(c, at, func(q falloff.CurvePoint) (lo, hi float64) { return q.Band.Lo, q.Band.Hi })
		square := func(d float64) float64 { return r.MarkLevel * (r.MarkM / d) * (r.MarkM / d) }
		for _, part := range c.ClipLinesXY([]vg.Point{at(m.x0, square(m.x0)), at(m.x1, square(m.x1))}) {
			c.StrokeLines(squareLine, part)
		}
		m.paintLaw(c, at, func(q falloff.CurvePoint) float64 { return q.Level })
	}
	if m.showsAmbient() {
		c.StrokeLines(ambientLine, []vg.Point{at(m.x0, m.law.Ambient), at(m.x1, m.law.Ambient)})
	}
	if w := r.Wanted; w != nil && w.DistanceM != nil && m.onAxis(*w.DistanceM) {
		c.StrokeLines(wantedLine, []vg.Point{at(m.x0, w.Level), at(*w.DistanceM, w.Level), at(*w.DistanceM, m.y0)})
	}
	if !m.rises() && m.onAxis(r.MarkM) && r.MarkLevel > m.y0 && r.MarkLevel < m.y1 {
		paintMarker(c, diamond, at(r.MarkM, r.MarkLevel), nil)
	}
	drawn := newDrawn(len(r.Points))
	for i, q := range r.Points {
		bar := math.Exp2(normal95 * q.SpreadStops)
		level := m.levelFacing(i)
		paintReading(c, drawn, at(q.DistanceM, level), trY(level/bar), trY(level*bar), m.markerOf(q))
	}
}

// paintLaw draws the fitted law.
func (m *distancePlot) paintLaw(c draw.Canvas, at func(d, v float64) vg.Point, of func(falloff.CurvePoint) float64) {
	var line []vg.Point
	for _, q := range m.curve {
		line = append(line, at(q.DistanceM, of(q)))
	}
	for _, part := range c.ClipLinesXY(line) {
		c.StrokeLines(fitLine, part)
	}
}

// paintBand fills the band about the law, as far as the panel reaches.
func (m *distancePlot) paintBand(c draw.Canvas, at func(d, v float64) vg.Point, of func(falloff.CurvePoint) (lo, hi float64)) {
	var outline []vg.Point
	clamp := func(p vg.Point) vg.Point {
		p.Y = max(c.Min.Y, min(p.Y, c.Max.Y))
		return p
	}
	for _, q := range m.curve {
		_, hi := of(q)
		outline = append(outline, clamp(at(q.DistanceM, hi)))
	}
	for i := len(m.curve) - 1; i >= 0; i-- {
		lo, _ := of(m.curve[i])
		outline = append(outline, clamp(at(m.curve[i].DistanceM, lo)))
	}
	c.FillPolygon(bandColor, outline)
}

// paintReading draws a reading with its bar, and a ring about some, where its like is not
// drawn yet.
func paintReading(c draw.Canvas, d drawnMarks, at vg.Point, low, high vg.Length, about marker) {
	if !d.first(at, about) {
		return
	}
	paintBar(c, at.X, low, high)
	if about != dot {
		paintMarker(c, about, at, nil)
	}
	paintMarker(c, dot, at, nil)
}

// paintBar draws a bar clipped to the panel, unless the reading's dot would hide it.
func paintBar(c draw.Canvas, x, low, high vg.Length) {
	if high-low < 14 {
		return
	}
	low, high = max(low, c.Min.Y), min(high, c.Max.Y)
	if low >= high {
		return
	}
	c.StrokeLine2(barLine, x, low, x, high)
	for _, y := range []vg.Length{low, high} {
		c.StrokeLine2(barLine, x-4, y, x+4, y)
	}
}

// plotResiduals draws the lower panel: readings and band less the law.
func (m *distancePlot) plotResiduals(c draw.Canvas, p *plot.Plot) {
	paintGrid(c, p)
	trX, trY := p.Transforms(&c)
	at := func(d, stops float64) vg.Point { return vg.Point{X: trX(d), Y: trY(stops)} }
	m.paintZone(c, trX)
	paintGrid(c, p)
	m.paintBand(c, at, func(q falloff.CurvePoint) (lo, hi float64) {
		return math.Log2(q.Band.Lo / q.Level), math.Log2(q.Band.Hi / q.Level)
	})
	m.paintLaw(c, at, func(falloff.CurvePoint) float64 { return 0 })
	drawn := newDrawn(len(m.result.Points))
	for _, q := range m.result.Points {
		paintReading(c, drawn, at(q.DistanceM, q.ResidualStops), trY(q.ResidualStops-normal95*q.SpreadStops), trY(q.ResidualStops+normal95*q.SpreadStops), m.markerOf(q))
	}
}
