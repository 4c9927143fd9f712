package plots

import (
	"math"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"evenfall/photometry"
	"evenfall/photometry/evenness"
	"evenfall/photometry/spatial"
	"evenfall/photometry/survey"
)

// SurfaceOptions are the options of a surface map. The zero value is a level map
// with numbers in stops and lengths in meters.
type SurfaceOptions struct {
	Kind Kind
	// Levels prints the readings as levels rather than as stops from the
	// reference. It has no effect on color maps.
	Levels bool
	// Unit is how levels are printed: photometry.FC prints footcandles, all else
	// the SI unit of the survey.
	Unit photometry.Unit
	// Feet prints lengths in feet.
	Feet bool
	// Say puts what a suspect may have been in words; nil leaves it out.
	Say func(photometry.Finding) string
	// Narrow draws the map alone, 480 pixels wide, with type that reads on a
	// phone: without title, notes, axes and scale bar, which the caller shows
	// elsewhere. Title and Alt of the picture are the same.
	Narrow bool
}

// Limits on single readings on a map.
const (
	maxNumbered = 150  // most readings that get their number
	maxDotted   = 1000 // most readings that get a dot
)

// The layout of a map in pixels.
const (
	mapWidth, mapHeight = 1180.0, 640.0 // the most that the surface takes
	margin              = 32.0
	barWidth            = 26.0
)

// Surface draws a survey as a map: the field between the readings inside their
// outline, isolines at the steps of the scale (dashed below zero, heavy at
// zero), each reading's position and number, the two extremes, suspects and the
// reference with markers of their own shape, the part in shot, and a scale bar.
// Both axes have the same scale.
//
// A level map shows stops from the result's reference; Options.Kind chooses
// the mired or the Duv map of the same survey, whose numbers are in mired and
// in thousandths of Duv. It fails for a survey without readings
// (ErrNoReadings), or without the color that a color map needs (ErrNoColor).
func Surface(r *evenness.Result, opt SurfaceOptions) (*Picture, error) {
	c, err := newMapValues(r, opt.Kind)
	if err != nil {
		return nil, err
	}
	m := &surfaceMap{mapValues: c, scale: c.scale(), opt: opt}
	m.scale.Zero = c.describeZero(opt.Unit)
	var why string
	if m.field, why = newField(c, m.scale); m.field != nil {
		why = "Colors: " + m.field.how + "."
	} else {
		why = capitalize(why) + "."
	}
	m.high, m.low = c.extremes()
	m.setExtent()
	m.layOut(why)
	return NewPicture(c.mapTitle(), c.altText(opt.Feet, opt.Unit), int(m.width), int(m.height), m.paint), nil
}

// surfaceMap is a surface map, laid out for any format.
type surfaceMap struct {
	*mapValues
	scale     Scale
	opt       SurfaceOptions
	field     *field // nil where the readings have no area
	high, low int    // points with the highest and lowest value

	box        spatial.Box // what the axes show, m
	rows, cols []string    // names of rows (from the bottom) and columns, if any
	pageLayout
}

// setExtent sets the range of the axes: the surface and every reading, with a
// margin, and with some height where all readings are in a row.
func (m *surfaceMap) setExtent() {
	b := m.extent()
	longer := max(b.Width(), b.Height())
	if !(longer > 0) {
		longer = 1
	}
	thin := func(size float64) float64 { return max(0, longer/8-size) / 2 }
	b = b.Grow(thin(b.Width()), thin(b.Height()))
	m.box = b.Grow(0.032*longer, 0.032*longer)
}

// narrowWidth is the width of a narrow map, narrowHeight the largest height of its
// surface.
const narrowWidth, narrowHeight = 480.0, 640.0

// layOutNarrow places the map between the names of its rows and columns, with the
// legend below.
func (m *surfaceMap) layOutNarrow() {
	const left, right, top, below = 6, 32, 28, 46
	m.width = narrowWidth
	perMeter := min((narrowWidth-left-right)/m.box.Width(), narrowHeight/m.box.Height())
	w, h := math.Round(m.box.Width()*perMeter), math.Round(m.box.Height()*perMeter)
	m.data = m.rect(math.Round(left+(narrowWidth-left-right-w)/2), top, w, h)
	m.fromTop = top + h + below
	m.addLegend()
	m.setHeight(math.Ceil(m.fromTop + 8))
}

// layOut places the parts of the picture from the top.
func (m *surfaceMap) layOut(how string) {
	m.nameLattice()
	if m.opt.Narrow {
		m.layOutNarrow()
		return
	}
	high := mapHeight
	if m.box.Height() > m.box.Width() {
		high = 840
	}
	perMeter := min(mapWidth/m.box.Width(), high/m.box.Height())
	w, h := math.Round(m.box.Width()*perMeter), math.Round(m.box.Height()*perMeter)
	const left, right = margin + 68, 74 + barWidth + 190
	panel := max(h, 300) // a scale bar needs some height
	m.begin(max(left+w+right, 1060), m.mapTitle(), m.describeVerdict(), m.describeCounts(m.opt.Feet), 20)
	if len(m.cols) > 0 {
		m.fromTop += 24
	}
	top := m.fromTop
	// The data are centered in the panel, which is as high as the scale bar.
	m.data = m.rect(left+(m.width-left-right-w)/2, top+(panel-h)/2, w, h)
	m.fromTop = top + max(panel+10, (panel+h)/2+68)
	m.addLegend()
	m.finish(m.describeMap(how))
	m.width = math.Ceil(m.width)
}

// nameLattice finds row letters and column numbers where the points of a
// lattice are named by them.
func (m *surfaceMap) nameLattice() {
	l := completeLattice(m.survey, 2)
	if l == nil || len(l.Xs) > 40 || len(l.Ys) > 40 {
		return
	}
	m.rows, m.cols = latticeNames(m.survey, l)
}

// paint draws the picture.
func (m *surfaceMap) paint(c draw.Canvas) {
	m.paintTexts(c)
	unit, size := lengthUnit(m.opt.Feet), m.data.Size()
	x := axis{from: m.box.X0, to: m.box.X1}
	y := axis{from: m.box.Y0, to: m.box.Y1}
	if !m.opt.Narrow && m.survey.Placing == survey.InMeters {
		x.label, x.ticks = "x ("+unit+")", lengthTicks(m.opt.Feet, size.X)
		y.label, y.ticks = "y ("+unit+")", lengthTicks(m.opt.Feet, size.Y)
	}
	drawAxes(c, m.data, x, y, m.plot)
	m.paintHints(c)
	if !m.opt.Narrow {
		m.paintBar(c)
	}
	m.paintLegend(c, 26)
}

// paintHints names the sides as seen from the camera.
func (m *surfaceMap) paintHints(c draw.Canvas) {
	y := m.data.Min.Y - 34
	if m.opt.Narrow {
		y = m.data.Min.Y - 12 // no numbers of an axis between
	}
	left := style(17, false, gray, draw.XLeft, draw.YTop)
	right := style(17, false, gray, draw.XRight, draw.YTop)
	from, to := m.data.Min.X, m.data.Max.X
	if to-from < 420 && !m.opt.Narrow {
		// A narrow map has space on both sides of the axis label.
		left, right = right, left
		from, to = (from+to)/2-60, (from+to)/2+60
	}
	drawWithHalo(c, left, vg.Point{X: from, Y: y}, "← camera left", paper, 0)
	drawWithHalo(c, right, vg.Point{X: to, Y: y}, "camera right →", paper, 0)
	middle := style(16, false, gray, draw.XCenter, draw.YCenter)
	x := func(v float64) vg.Length {
		return m.data.Min.X + m.data.Size().X*vg.Length((v-m.box.X0)/m.box.Width())
	}
	// Names that would overlap are omitted.
	apart := func(lines []float64, size vg.Length, whole float64) bool {
		for i := 1; i < len(lines); i++ {
			if size*vg.Length((lines[i]-lines[i-1])/whole) < 17 {
				return false
			}
		}
		return true
	}
	if l := m.survey.Lattice; len(m.cols) > 0 && (!apart(l.Ys, m.data.Size().Y, m.box.Height()) || !apart(l.Xs, m.data.Size().X, m.box.Width())) {
		return
	}
	for i, name := range m.cols {
		drawWithHalo(c, middle, vg.Point{X: x(m.survey.Lattice.Xs[i]), Y: m.data.Max.Y + 14}, name, paper, 0)
	}
	for i, name := range m.rows {
		py := m.data.Min.Y + m.data.Size().Y*vg.Length((m.survey.Lattice.Ys[i]-m.box.Y0)/m.box.Height())
		beside := middle
		if len(name) > 2 {
			beside.XAlign = draw.XLeft
		}
		drawWithHalo(c, beside, vg.Point{X: m.data.Max.X + 16 - vg.Length(min(len(name)-1, 2))*4, Y: py}, name, paper, 0)
	}
}

// plot draws the data.
func (m *surfaceMap) plot(c draw.Canvas, p *plot.Plot) {
	trX, trY := p.Transforms(&c)
	at := func(x, y float64) vg.Point { return vg.Point{X: trX(x), Y: trY(y)} }
	box := func(b spatial.Box) vg.Rectangle { return vg.Rectangle{Min: at(b.X0, b.Y0), Max: at(b.X1, b.Y1)} }
	e := m.survey.Extent
	if m.sized() {
		fill(c, box(e).Path(), unread)
	}
	if m.field != nil {
		m.paintField(c, at)
		if m.sized() {
			c.SetLineStyle(draw.LineStyle{Color: hatching, Width: 1})
			c.Stroke(m.hatch(box(e), at))
		}
	}
	if m.sized() {
		c.StrokeLines(draw.LineStyle{Color: ink, Width: 1.6}, closedOutline(box(e)))
	}
	if a := m.survey.Area; a != nil {
		frame := closedOutline(box(*a))
		c.StrokeLines(draw.LineStyle{Color: paper, Width: 5}, frame)
		c.StrokeLines(draw.LineStyle{Color: ink, Width: 2.4, Dashes: []vg.Length{12, 7}}, frame)
	}
	m.paintReadings(c, at)
}

// paintField draws the colors and the isolines, then covers what lies outside
// the outline of the readings.
func (m *surfaceMap) paintField(c draw.Canvas, at func(x, y float64) vg.Point) {
	f := m.field
	rect := vg.Rectangle{Min: at(f.box.X0, f.box.Y0), Max: at(f.box.X1, f.box.Y1)}
	size := pixels(rect, int(m.height)).Size()
	c.DrawImage(rect, f.mesh.paint(f.box, max(size.X, 1), max(size.Y, 1), m.scale, unread))

	for _, tick := range m.scale.Ticks() {
		if tick.Value == m.scale.Min || tick.Value == m.scale.Max {
			continue // no reading lies beyond, so a line would only ring the ends
		}
		var path vg.Path
		for _, chain := range f.lines.isolines(tick.Value) {
			path = append(path, pathThrough(placed(chain, at))...)
		}
		if len(path) == 0 {
			continue
		}
		// A line has one value, so one color has contrast along all of it.
		clr := textColorOn(PaletteOf(m.scale.Kind).At(m.scale.Fraction(tick.Value)))
		c.SetColor(faded(clr, 0.65))
		c.SetLineWidth(1.3)
		c.SetLineDash(nil, 0)
		switch {
		case tick.Value == 0:
			c.SetColor(faded(clr, 0.9))
			c.SetLineWidth(2.8)
		case tick.Value < 0:
			c.SetLineDash([]vg.Length{6, 4}, 0)
		}
		c.Stroke(path)
	}
	c.SetLineDash(nil, 0)

	edge := pathThrough(placed(f.outline, at))
	edge.Close()
	if area(f.outline) < 0.9999*f.box.Width()*f.box.Height() {
		// The cover runs clockwise around the outline, which makes it a hole.
		a, b := rect.Min.Sub(vg.Point{X: 1, Y: 1}), rect.Max.Add(vg.Point{X: 1, Y: 1})
		cover := pathThrough([]vg.Point{a, {X: a.X, Y: b.Y}, b, {X: b.X, Y: a.Y}})
		cover.Close()
		fill(c, append(cover, edge...), unread)
	}
	c.SetColor(faded(ink, 0.5))
	c.SetLineWidth(1)
	c.Stroke(edge)
}

// placed are points of the surface in the picture.
func placed(points []point, at func(x, y float64) vg.Point) []vg.Point {
	out := make([]vg.Point, len(points))
	for i, p := range points {
		out[i] = at(p.x, p.y)
	}
	return out
}
