package plots

import (
	"image/color"
	"math"
	"slices"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"evenfall/photometry/spatial"
)

// faded is a color with an opacity of 0 to 1.
func faded(c color.RGBA, opacity float64) color.NRGBA {
	return color.NRGBA{c.R, c.G, c.B, uint8(opacity*255 + 0.5)}
}

// marker is the symbol of a reading. Each has its own shape, so that none depends
// on color.
type marker uint8

const (
	dot      marker = iota
	speck           // a dot among many
	open            // a dot that is not judged
	upward          // triangle: the highest value
	downward        // triangle on its tip: the lowest
	diamond         // the reference
	ring            // around the others: a suspect
	frame           // dashed: the part in shot, in the legend only
)

// paintMarker draws a marker, dark with a light edge so that it is visible on any
// color. field is the color of a dot where no field is drawn; nil is ink.
func paintMarker(c draw.Canvas, s marker, at vg.Point, field color.Color) {
	both := func(outer, inner vg.Path) {
		fill(c, outer, paper)
		fill(c, inner, ink)
	}
	switch s {
	case dot:
		if field != nil {
			both(circle(at, 13), circle(at, 11))
			fill(c, circle(at, 9.5), field)
			return
		}
		both(circle(at, 5), circle(at, 3.6))
	case speck:
		both(circle(at, 2.7), circle(at, 1.7))
	case open:
		both(circle(at, 5), circle(at, 4))
		fill(c, circle(at, 2.2), paper)
	case upward:
		both(regularPolygon(at, 13, 3, math.Pi/2), regularPolygon(at, 9.5, 3, math.Pi/2))
	case downward:
		both(regularPolygon(at, 13, 3, -math.Pi/2), regularPolygon(at, 9.5, 3, -math.Pi/2))
	case diamond:
		both(regularPolygon(at, 11, 4, 0), regularPolygon(at, 8.4, 4, 0))
	case ring:
		c.SetLineDash(nil, 0)
		c.SetColor(paper)
		c.SetLineWidth(6)
		c.Stroke(circle(at, 15))
		c.SetColor(ink)
		c.SetLineWidth(2.6)
		c.Stroke(circle(at, 15))
	case frame:
		c.StrokeLines(draw.LineStyle{Color: ink, Width: 2.4, Dashes: []vg.Length{7, 4}},
			closedOutline(around(at, 15, 8)))
	}
}

// markerOf is the marker of point i, without the ring of a suspect.
func (m *surfaceMap) markerOf(i int) marker {
	switch {
	case m.high == m.low:
	case i == m.high:
		return upward
	case i == m.low:
		return downward
	}
	if i == m.survey.Reference {
		return diamond
	}
	return dot
}

// readingText is the text printed next to point i.
func (m *surfaceMap) readingText(i int) string {
	v, ok := m.at(i)
	if !ok {
		return ""
	}
	text := m.scale.Label(v)
	if m.kind == Level && (m.opt.Levels || !finite(v)) {
		number, unit := formatNumber(m.values[i], m.survey.Quantity, m.opt.Unit)
		if text = number; !m.opt.Levels {
			text += " " + unit
		}
	}
	if m.isSuspect(i) {
		text += "?"
	}
	return text
}

// markedPoints lists the points with a marker of their own, the most important last.
func (m *surfaceMap) markedPoints() []int {
	var out []int
	if m.survey.Reference >= 0 && m.survey.Reference < m.survey.Len() {
		out = append(out, m.survey.Reference)
	}
	for _, i := range [2]int{m.low, m.high} {
		if i >= 0 {
			out = append(out, i)
		}
	}
	return out
}

// paintReadings draws the markers and numbers of the readings.
func (m *surfaceMap) paintReadings(c draw.Canvas, at func(x, y float64) vg.Point) {
	place := func(i int) vg.Point { return at(m.survey.X[i], m.survey.Y[i]) }
	if m.survey.Len() <= maxDotted {
		m.paintDots(c, place)
	}
	for _, i := range m.markedPoints() {
		if sign := m.markerOf(i); sign != dot {
			paintMarker(c, sign, place(i), nil)
		}
	}
	for _, suspect := range m.singleSuspects() {
		paintMarker(c, ring, place(suspect.Point), nil)
	}
	if m.survey.Len() <= maxNumbered {
		m.paintNumbers(c, at, place)
	}
}

// paintDots draws the readings without a marker of their own.
func (m *surfaceMap) paintDots(c draw.Canvas, place func(int) vg.Point) {
	for i := range m.survey.Len() {
		v, ok := m.at(i)
		if !ok || m.markerOf(i) != dot {
			continue
		}
		switch {
		case m.field == nil:
			paintMarker(c, dot, place(i), PaletteOf(m.kind).At(m.scale.Fraction(v)))
		case m.survey.Len() > maxNumbered:
			paintMarker(c, speck, place(i), nil)
		default:
			paintMarker(c, dot, place(i), nil)
		}
	}
}

// paintNumbers draws the numbers. A halo in the color of the field hides the isolines
// behind them.
func (m *surfaceMap) paintNumbers(c draw.Canvas, at func(x, y float64) vg.Point, place func(int) vg.Point) {
	for _, l := range m.placeNumbers(c.Rectangle, m.frameLines(at), place) {
		clr, behind := color.Color(ink), color.Color(unread)
		if !m.sized() {
			behind = paper
		}
		if back, ok := m.background(l, at); ok {
			clr, behind = textColorOn(back), back
		}
		drawWithHalo(c, style(l.size, false, clr, draw.XCenter, draw.YCenter), l.at, l.text, behind, 3)
	}
}

// frameLines are the sides of the surface and of the part in shot, which numbers
// must not overlap.
func (m *surfaceMap) frameLines(at func(x, y float64) vg.Point) []vg.Rectangle {
	var boxes []spatial.Box
	if m.sized() {
		boxes = append(boxes, m.survey.Extent)
	}
	if m.survey.Area != nil {
		boxes = append(boxes, *m.survey.Area)
	}
	var out []vg.Rectangle
	for _, b := range boxes {
		corners := closedOutline(vg.Rectangle{Min: at(b.X0, b.Y0), Max: at(b.X1, b.Y1)})
		for i, p := range corners[1:] {
			q := corners[i]
			middle := vg.Point{X: (p.X + q.X) / 2, Y: (p.Y + q.Y) / 2}
			out = append(out, around(middle, max(p.X-q.X, q.X-p.X)/2+1, max(p.Y-q.Y, q.Y-p.Y)/2+1))
		}
	}
	return out
}

// background is the color of the field behind a number; ok is false where the
// number is not entirely on the field.
func (m *surfaceMap) background(l placedNumber, at func(x, y float64) vg.Point) (clr color.Color, ok bool) {
	if m.field == nil {
		return nil, false
	}
	// Back from the picture to meters.
	origin, end := at(m.box.X0, m.box.Y0), at(m.box.X1, m.box.Y1)
	meters := func(p vg.Point) (x, y float64) {
		x = m.box.X0 + float64((p.X-origin.X)/(end.X-origin.X))*m.box.Width()
		y = m.box.Y0 + float64((p.Y-origin.Y)/(end.Y-origin.Y))*m.box.Height()
		return x, y
	}
	for _, corner := range [4]vg.Point{{X: -1, Y: -1}, {X: 1, Y: -1}, {X: -1, Y: 1}, {X: 1, Y: 1}} {
		x, y := meters(vg.Point{X: l.at.X + corner.X*l.half.X, Y: l.at.Y + corner.Y*l.half.Y})
		if !inside(m.field.outline, x, y) {
			return nil, false
		}
	}
	v, ok := m.field.mesh.sample(meters(l.at))
	if !ok {
		return nil, false
	}
	return PaletteOf(m.kind).At(m.scale.Fraction(v)), true
}

// placedNumber is the number of a reading with its position in the picture.
type placedNumber struct {
	text     string
	at, half vg.Point // its middle and half of its size
	size     float64
}

// placeNumbers finds space for the numbers, below their dots where possible, else
// next to them. Where there is not enough space the type gets smaller, then the
// numbers may overlap lines, and finally some are omitted, extremes and suspects
// last.
func (m *surfaceMap) placeNumbers(field vg.Rectangle, lines []vg.Rectangle, place func(int) vg.Point) []placedNumber {
	marked := m.markedPoints()
	var first, rest []int
	for i := range m.survey.Len() {
		switch {
		case m.readingText(i) == "":
		case slices.Contains(marked, i) || m.isSuspect(i):
			first = append(first, i)
		default:
			rest = append(rest, i)
		}
	}
	order := append(first, rest...)
	var best []placedNumber
	for _, off := range [][]vg.Rectangle{lines, nil} {
		for _, size := range []float64{21, 18, 15, 13} {
			out := m.tryNumbers(size, order, place, freeSpace{field, slices.Clone(off)})
			if len(out) > len(best) {
				best = out
			}
			if len(out) == len(order) {
				return out
			}
		}
	}
	return best
}

// tryNumbers places as many numbers of one size as there is space for.
func (m *surfaceMap) tryNumbers(size float64, order []int, place func(int) vg.Point, space freeSpace) (out []placedNumber) {
	f := face(style(size, false, ink, 0, 0))
	for _, i := range order {
		r := m.markerRadius(i) - 1
		space.take(around(place(i), r, r))
	}
	for _, i := range order {
		text, p := m.readingText(i), place(i)
		half := vg.Point{X: f.Width(text) / 2, Y: vg.Length(0.74*size) / 2}
		spaced := half.Add(vg.Point{X: 2, Y: 2})
		right, up := vg.Point{X: m.markerRadius(i) + 4 + half.X}, vg.Point{Y: m.markerRadius(i) + 4 + half.Y}
		if at, free := space.find(spaced, p.Sub(up), p.Add(up), p.Add(right), p.Sub(right)); free {
			space.take(around(at, spaced.X, spaced.Y))
			out = append(out, placedNumber{text, at, half, size})
		}
	}
	return out
}

// markerRadius is the radius of the marker of point i.
func (m *surfaceMap) markerRadius(i int) vg.Length {
	switch sign := m.markerOf(i); {
	case m.isSuspect(i):
		return 17
	case sign == upward, sign == downward, sign == diamond:
		return 10
	case m.field == nil:
		return 13
	}
	return 5
}
