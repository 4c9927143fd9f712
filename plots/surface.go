package plots

import (
	"image/color"
	"math"
	"slices"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"evenfall/photometry"
	"evenfall/photometry/evenness"
	"evenfall/photometry/spatial"
	"evenfall/photometry/survey"
	"evenfall/plots/mesh"
)

// SurfaceOptions are the options of a surface map. The zero value is a level map
// with lengths in meters.
type SurfaceOptions struct {
	Kind Kind
	// Unit is how levels are printed: photometry.FC prints footcandles, all else
	// the SI unit of the survey.
	Unit photometry.Unit
	// Feet prints lengths in feet.
	Feet bool
	// Say puts what a suspect may have been in words; nil leaves it out.
	Say func(photometry.Finding) string
	// Narrow draws the map alone, 480 pixels wide, with type that reads on a phone and
	// in print at 100 mm: without title, notes and axes, which the caller shows
	// elsewhere. Title, Aside and Alt of the picture are the same.
	Narrow bool
	// Sheet is the width in pixels of a narrow map of the reset sheet, 480 where it has a
	// column to itself; 0 for any other map. Extremes, reference, suspects and contours
	// alone have figures there, and the caller says what they are.
	Sheet float64
	// Beside is the other one of a pair, such as before and after: both maps of the
	// pair then show as much of the plane and as many classes. Nil for a map alone.
	Beside *evenness.Result
}

// Limits on single readings on a map.
const (
	maxNumbered = 250  // most readings that get their number
	maxDotted   = 1000 // most readings that get a dot
)

// mostOblong is the largest proportion of a map's sides: figures need some space on a
// strip.
const mostOblong = 4.0

// margin is the space around a picture in pixels.
const margin = 24.0

// mapLook is the sizes of a map in pixels. In print a pixel is 0.176 mm in a full map
// (pointsPerPixel) and 0.208 mm in a narrow one of 100 mm.
type mapLook struct {
	width, high float64   // of the picture; the most that the surface takes upward
	left, right float64   // of the surface
	label       float64   // size of type
	figures     []float64 // sizes of type of the numbers on the map, the best first
	millimeter  vg.Length
	hatch       float64 // distance of hatching
}

var (
	fullMap   = mapLook{width: pictureWidth, high: 620, left: margin + 68, right: margin + 44, label: 17, figures: []float64{20, 18, 17}, millimeter: 5.67, hatch: 9}
	narrowMap = mapLook{width: narrowWidth, high: 600, left: 6, right: 32, label: 15, figures: []float64{16, 15}, millimeter: 4.8, hatch: 7}
)

// Surface draws a survey as a map with the tolerance first: what is within the window
// of the scale stays blank, what is beyond it has the colors of its classes, solid over
// and hatched under. A heavy line is the limit, thin ones further steps of half the
// window. Each reading has its position and its number in stops from the reference;
// the two extremes in shot, the reference and suspects have markers of their own and
// their level. The part in shot is dashed, the rest veiled. Both axes have the same
// scale, but for a strip of more than four to one, which is widened and says so. Readings along one line are drawn as a profile with the band of the
// tolerance instead.
//
// Options.Kind chooses the mired or the Duv map of the same survey, whose numbers are
// in mired and in thousandths of ΔDuv. It fails for a survey without readings
// (ErrNoReadings), or without the color that a color map needs (ErrNoColor).
func Surface(r *evenness.Result, opt SurfaceOptions) (*Picture, error) {
	if r.Survey.Placing == survey.Nowhere {
		return nil, ErrNoPlaces
	}
	c, err := newMapValues(r, opt.Kind)
	if err != nil {
		return nil, err
	}
	m := &surfaceMap{mapValues: c, scale: c.scale(), opt: opt, look: fullMap}
	if opt.Narrow {
		m.look = narrowMap
	}
	if opt.Sheet > 0 {
		m.look.width, m.look.high = opt.Sheet, 0.37*opt.Sheet
	}
	m.scale.Zero = c.describeZero(opt.Unit)
	var why string
	if m.field, why = newField(c, m.scale); m.field != nil {
		why = "Colors: " + m.field.how + "."
	} else if m.profile = newProfile(c, m.scale); m.profile != nil {
		why = "The readings lie on one line: drawn along it, straight between them."
	} else {
		why = capitalize(why) + "."
	}
	m.high, m.low = c.extremes()
	m.setExtent()
	if opt.Beside != nil {
		m.pairWith(opt.Beside)
	}
	m.layOut(why)
	p := m.picture(c.altText(opt.Feet, opt.Unit), m.paint)
	p.Aside, p.Legend = c.describeShare(m.scale), m.said
	return p, nil
}

// surfaceMap is a surface map, laid out for any format.
type surfaceMap struct {
	*mapValues
	scale     Scale
	opt       SurfaceOptions
	look      mapLook
	field     *field   // nil where the readings have no area
	profile   *profile // of readings along one line; else nil
	high, low int      // points with the highest and lowest value

	box        spatial.Box // what the axes show, m
	widened    float64     // how much larger than to scale a narrow side is; at most 1 for none
	rows, cols []string    // names of rows (from the bottom) and columns, if any
	pageLayout             // under is the bar of the classes
	said       []string    // the legend of a map that has none in it
}

// setExtent sets the range of the axes: the surface and every reading, with a
// margin, and with some height where all readings are in a row.
func (m *surfaceMap) setExtent() {
	b := m.extent()
	longer := max(b.Width(), b.Height())
	if !(longer > 0) {
		longer = 1
	}
	thin := func(size float64) float64 {
		if size > longer/40 {
			return 0
		}
		return (longer/8 - size) / 2
	}
	b = b.Grow(thin(b.Width()), thin(b.Height()))
	m.box = b.Grow(0.032*min(longer, mostOblong*b.Width()), 0.032*min(longer, mostOblong*b.Height()))
}

// pairWith gives the map the box and the classes of a pair.
func (m *surfaceMap) pairWith(r *evenness.Result) {
	c, err := newMapValues(r, m.kind)
	if err != nil {
		return
	}
	other := &surfaceMap{mapValues: c}
	other.setExtent()
	m.box = m.box.Union(other.box)
	s := c.scale()
	if p := newProfile(c, s); p != nil && m.profile != nil {
		m.profile.low, m.profile.high = min(m.profile.low, p.low), max(m.profile.high, p.high)
	}
	m.scale.Under, m.scale.Over = max(m.scale.Under, s.Under), max(m.scale.Over, s.Over)
}

// layOut places the parts of the picture from the top.
func (m *surfaceMap) layOut(how string) {
	if l := completeLattice(m.survey, 2); l != nil && len(l.Xs) <= 100 && len(l.Ys) <= 100 {
		m.rows, m.cols = latticeNames(m.survey, l)
	}
	look := m.look
	m.typeSize = look.label
	m.width, m.narrow = look.width, m.opt.Narrow
	m.begin(m.mapTitle(), m.describeVerdict(), m.describeCounts(m.opt.Feet), 16)
	if len(m.cols) > 0 || m.profile != nil {
		m.fromTop += 26
	}
	high := look.high
	if m.box.Height() > m.box.Width() {
		high *= 1.4
		if m.opt.Sheet > 0 { // figures need some space on a strip
			high *= 1.3
		}
	}
	wide := look.width - look.left - look.right
	perMeter := min(wide/m.box.Width(), high/m.box.Height())
	w, h := m.box.Width()*perMeter, m.box.Height()*perMeter
	m.widened = max(w/h, h/w) / mostOblong
	w, h = math.Round(max(w, h/mostOblong)), math.Round(max(h, w/mostOblong))
	left := math.Round(look.left + (wide-w)/2)
	if m.profile != nil {
		w, h = wide, 0.33*look.width
		if left = look.left; m.opt.Narrow { // numbers of the axis
			left, w = 56, look.width-70
		}
	}
	m.data = m.rect(left, m.fromTop, w, h)
	m.fromTop += h + 2*look.label
	switch {
	case m.hasAxes() || m.profile != nil:
		m.fromTop += 44
	case m.opt.Sheet > 0: // no hints
		m.fromTop -= 1.7 * look.label
	}
	bar := max(w, min(wide, 460))
	m.under = m.rect(look.left+(wide-bar)/2, m.fromTop, bar, 1.5*look.label)
	m.fromTop += 3.1 * look.label
	if m.hasLevels() && m.opt.Sheet == 0 {
		m.fromTop += 1.3 * look.label
	}
	m.addLegend()
	m.finish(m.describeMap(how))
}

// hasAxes reports whether the axes are drawn.
func (m *surfaceMap) hasAxes() bool { return !m.opt.Narrow && m.survey.Placing == survey.InMeters }

// paint draws the picture.
func (m *surfaceMap) paint(c draw.Canvas) {
	m.paintTexts(c)
	unit, size := lengthUnit(m.opt.Feet), m.data.Size()
	x := axis{from: m.box.X0, to: m.box.X1}
	y := axis{from: m.box.Y0, to: m.box.Y1}
	if m.hasAxes() {
		x.label, x.ticks = "x ("+unit+")", lengthTicks(m.opt.Feet, size.X)
		y.label, y.ticks = "y ("+unit+")", lengthTicks(m.opt.Feet, size.Y)
	}
	if m.profile != nil {
		m.paintProfile(c)
	} else {
		drawAxes(c, m.data, x, y, m.plot)
	}
	if m.opt.Sheet == 0 && (m.profile == nil || m.profile.label == "x") {
		m.paintHints(c)
	}
	if m.profile == nil {
		m.paintNames(c)
	}
	m.paintBar(c)
	m.paintLegend(c, 26)
}

// paintHints names the sides as seen from the camera.
func (m *surfaceMap) paintHints(c draw.Canvas) {
	y := m.data.Min.Y - 34
	if !m.hasAxes() && m.profile == nil {
		y = m.data.Min.Y - 8 // no numbers of an axis between
	}
	left := style(m.look.label, false, gray, draw.XLeft, draw.YTop)
	right := style(m.look.label, false, gray, draw.XRight, draw.YTop)
	from, to := m.data.Min.X, m.data.Max.X
	switch middle := (from + to) / 2; {
	case to-from < 420 && m.hasAxes():
		// A narrow map has space on both sides of the axis label.
		left, right, from, to = right, left, middle-60, middle+60
	case to-from < 220:
		from, to = middle-110, middle+110
	}
	drawWithHalo(c, left, vg.Point{X: from, Y: y}, "← camera left", paper, 0)
	drawWithHalo(c, right, vg.Point{X: to, Y: y}, "camera right →", paper, 0)
}

// paintNames names rows and columns: all, or every second, fifth or so, that names do not
// overlap.
func (m *surfaceMap) paintNames(c draw.Canvas) {
	if len(m.cols) == 0 {
		return
	}
	l := m.survey.Lattice
	every := func(lines []float64, perMeter vg.Length, least func(i, k int) vg.Length) int {
		for _, k := range []int{1, 2, 5, 10} {
			crowded := false
			for i := k; i < len(lines); i++ {
				crowded = crowded || perMeter*vg.Length(lines[i]-lines[i-k]) < least(i, k)
			}
			if !crowded {
				return k
			}
		}
		return len(lines)
	}
	across, up := m.data.Size().X/vg.Length(m.box.Width()), m.data.Size().Y/vg.Length(m.box.Height())
	middle, beside := style(m.look.label, false, gray, draw.XCenter, draw.YCenter), style(m.look.label, false, gray, draw.XLeft, draw.YCenter)
	row := every(l.Ys, up, func(int, int) vg.Length { return 17 })
	column := every(l.Xs, across, func(i, k int) vg.Length {
		if len([]rune(m.cols[i])) > 3 { // a word, which is cut to fit
			return 17
		}
		return max(17, (textWidth(middle, m.cols[i])+textWidth(middle, m.cols[i-k]))/2+4)
	})
	for i := 0; i < len(m.cols); i += column {
		x := m.data.Min.X + across*vg.Length(l.Xs[i]-m.box.X0)
		drawWithHalo(c, middle, vg.Point{X: x, Y: m.data.Max.Y + 14}, fit(middle, m.cols[i], 0.95*m.data.Size().X*vg.Length(column)/vg.Length(len(l.Xs))), paper, 0)
	}
	for i := len(m.rows) - 1; i >= 0; i -= row { // from A
		y := m.data.Min.Y + up*vg.Length(l.Ys[i]-m.box.Y0)
		drawWithHalo(c, beside, vg.Point{X: m.data.Max.X + 8, Y: y}, fit(beside, m.rows[i], vg.Length(m.width)-m.data.Max.X-10), paper, 0)
	}
}

// plot draws the data.
func (m *surfaceMap) plot(p panel) {
	c, at := p.Canvas, p.at
	box := func(b spatial.Box) vg.Rectangle { return vg.Rectangle{Min: at(b.X0, b.Y0), Max: at(b.X1, b.Y1)} }
	e, mm := m.survey.Extent, m.look.millimeter
	if m.sized() {
		fill(c, box(e).Path(), unread)
	}
	var contours []contour
	if m.field != nil {
		contours = m.paintField(c, at)
	}
	if a := m.survey.Area; a != nil {
		veil := c.Rectangle
		if m.sized() {
			veil = box(e)
		}
		shot := box(*a)
		shot.Min = vg.Point{X: max(shot.Min.X, veil.Min.X), Y: max(shot.Min.Y, veil.Min.Y)}
		shot.Max = vg.Point{X: min(shot.Max.X, veil.Max.X), Y: min(shot.Max.Y, veil.Max.Y)}
		fill(c, append(veil.Path(), turned(shot)...), faded(paper, 0.6))
	}
	var frames, lines [][]vg.Point // that figures keep off
	if m.sized() {
		frames = append(frames, closedOutline(box(e)))
		c.StrokeLines(draw.LineStyle{Color: ink, Width: 1.6}, frames...)
	}
	if a := m.survey.Area; a != nil {
		shot := c.ClipLinesXY(closedOutline(box(*a)))
		c.StrokeLines(draw.LineStyle{Color: paper, Width: 1.1 * mm}, shot...)
		c.StrokeLines(draw.LineStyle{Color: ink, Width: 0.7 * mm, Dashes: []vg.Length{2.4 * mm, 1.4 * mm}}, shot...)
		frames = append(frames, shot...)
	}
	for _, drawn := range contours {
		lines = append(lines, drawn.lines...)
	}
	if f := m.field; f != nil {
		lines = append(lines, placed(slices.Concat(f.outline, f.outline[:1]), at))
	}
	m.paintReadings(c, at, func(i int) vg.Point { return at(m.survey.X[i], m.survey.Y[i]) }, frames, lines, contours)
}

// contour is a border of classes as it is drawn.
type contour struct {
	Edge
	lines [][]vg.Point
}

// paintField draws the classes and the contours, then covers what lies outside the
// outline of the readings.
func (m *surfaceMap) paintField(c draw.Canvas, at func(x, y float64) vg.Point) []contour {
	f := m.field
	rect := vg.Rectangle{Min: at(f.box.X0, f.box.Y0), Max: at(f.box.X1, f.box.Y1)}
	fill(c, rect.Path(), paper)
	negated := f.mesh.Negated()
	var contours []contour
	edges := m.scale.Edges()
	slices.Reverse(edges[:m.scale.Under]) // from the limits outward
	for _, e := range edges {
		rings := f.mesh.Rings(e.Value)
		if e.Class < 0 {
			rings = negated.Rings(-e.Value)
		}
		fillRings(c, rings, classColor(m.kind, e.Class), at)
		drawn := contour{Edge: e}
		for _, chain := range f.mesh.Isolines(e.Value) {
			drawn.lines = append(drawn.lines, placed(chain, at))
		}
		contours = append(contours, drawn)
	}
	strokeHatch(c, f.hatch(m.scale.Low, rect, m.look.hatch))
	for _, drawn := range contours {
		width := either(drawn.Class == 1 || drawn.Class == -1, 0.55*m.look.millimeter, 0.22*m.look.millimeter)
		for _, chain := range drawn.lines {
			c.StrokeLines(draw.LineStyle{Color: ink, Width: width}, chain)
		}
	}
	m.coverOutside(c, rect, at)
	return contours
}

// fillRings fills what lies within rings, whose holes run the other way.
func fillRings(c draw.Canvas, rings [][]mesh.Crossing, clr color.Color, at func(x, y float64) vg.Point) {
	var path vg.Path
	for _, ring := range rings {
		points := make([]vg.Point, len(ring))
		for i, p := range ring {
			points[i] = at(p.X, p.Y)
		}
		path = append(path, polygon(points...)...)
	}
	if len(path) > 0 {
		fill(c, path, clr)
	}
}

// coverOutside covers the field outside the outline of the readings.
func (m *surfaceMap) coverOutside(c draw.Canvas, rect vg.Rectangle, at func(x, y float64) vg.Point) {
	f := m.field
	edge := polygon(placed(f.outline, at)...)
	if mesh.Area(f.outline) < 0.9999*f.box.Width()*f.box.Height() {
		// The cover runs clockwise around the outline, which makes it a hole.
		beyond := vg.Rectangle{Min: rect.Min.Sub(vg.Point{X: 3, Y: 3}), Max: rect.Max.Add(vg.Point{X: 3, Y: 3})}
		fill(c, append(turned(beyond), edge...), either(m.sized(), unread, paper))
	}
	c.SetColor(faded(ink, 0.5))
	c.SetLineWidth(0.8)
	c.Stroke(edge)
}

// placed are points of the surface in the picture.
func placed(points []mesh.Point, at func(x, y float64) vg.Point) []vg.Point {
	out := make([]vg.Point, len(points))
	for i, p := range points {
		out[i] = at(p.X, p.Y)
	}
	return out
}
