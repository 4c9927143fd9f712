package plots

import (
	"image/color"
	"math"

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
// color. fill is the color of a dot where there is no field; nil is ink.
func paintMarker(c draw.Canvas, s marker, at vg.Point, fill color.Color) {
	polygon := func(radius vg.Length, corners int, start float64) vg.Path {
		var p vg.Path
		for i := range corners {
			sin, cos := math.Sincos(start + 2*math.Pi*float64(i)/float64(corners))
			q := vg.Point{X: at.X + radius*vg.Length(cos), Y: at.Y + radius*vg.Length(sin)}
			if i == 0 {
				p.Move(q)
			} else {
				p.Line(q)
			}
		}
		p.Close()
		return p
	}
	circle := func(radius vg.Length) vg.Path {
		var p vg.Path
		p.Move(vg.Point{X: at.X + radius, Y: at.Y})
		p.Arc(at, radius, 0, 2*math.Pi)
		p.Close()
		return p
	}
	both := func(outer, inner vg.Path) {
		c.SetColor(paper)
		c.Fill(outer)
		c.SetColor(ink)
		c.Fill(inner)
	}
	switch s {
	case dot:
		if fill != nil {
			both(circle(13), circle(11))
			c.SetColor(fill)
			c.Fill(circle(9.5))
			return
		}
		both(circle(5), circle(3.6))
	case speck:
		both(circle(2.7), circle(1.7))
	case open:
		both(circle(5), circle(4))
		c.SetColor(paper)
		c.Fill(circle(2.2))
	case upward:
		both(polygon(13, 3, math.Pi/2), polygon(9.5, 3, math.Pi/2))
	case downward:
		both(polygon(13, 3, -math.Pi/2), polygon(9.5, 3, -math.Pi/2))
	case diamond:
		both(polygon(11, 4, 0), polygon(8.4, 4, 0))
	case ring:
		c.SetLineDash(nil, 0)
		c.SetColor(paper)
		c.SetLineWidth(6)
		c.Stroke(circle(15))
		c.SetColor(ink)
		c.SetLineWidth(2.6)
		c.Stroke(circle(15))
	case frame:
		c.StrokeLines(draw.LineStyle{Color: ink, Width: 2.4, Dashes: []vg.Length{7, 4}},
			closedOutline(vg.Rectangle{Min: vg.Point{X: at.X - 15, Y: at.Y - 8}, Max: vg.Point{X: at.X + 15, Y: at.Y + 8}}))
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
		text = formatNumber(m.values[i], m.survey.Quantity, m.opt.Unit)
		if !m.opt.Levels {
			text += " " + unitName(m.survey.Quantity, m.opt.Unit)
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
	s := m.survey
	place := func(i int) vg.Point { return at(s.X[i], s.Y[i]) }
	if s.Len() <= maxDotted {
		for i := range s.Len() {
			if v, ok := m.mapValues.at(i); ok && m.markerOf(i) == dot {
				var fill color.Color
				if m.field == nil {
					fill = PaletteOf(m.kind).At(m.scale.Fraction(v))
				}
				mark := dot
				if s.Len() > maxNumbered && fill == nil {
					mark = speck
				}
				paintMarker(c, mark, place(i), fill)
			}
		}
	}
	for _, i := range m.markedPoints() {
		if sign := m.markerOf(i); sign != dot {
			paintMarker(c, sign, place(i), nil)
		}
	}
	if m.kind == Level {
		for _, suspect := range m.result.Suspects {
			if m.isSingleReading(suspect) {
				paintMarker(c, ring, place(suspect.Point), nil)
			}
		}
	}
	if s.Len() > maxNumbered {
		return
	}
	for _, l := range m.placeNumbers(c.Rectangle, m.frameLines(at), place) {
		// A halo in the color of the field hides the isolines behind a number.
		clr, around := color.Color(ink), color.Color(unread)
		if !m.sized() {
			around = paper
		}
		if back, ok := m.background(l, at); ok {
			clr, around = textColorOn(back), back
		}
		drawWithHalo(c, style(l.size, false, clr, draw.XCenter, draw.YCenter), l.at, l.text, around, 3)
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
	side := func(x0, y0, x1, y1 vg.Length) vg.Rectangle {
		return vg.Rectangle{Min: vg.Point{X: x0 - 1, Y: y0 - 1}, Max: vg.Point{X: x1 + 1, Y: y1 + 1}}
	}
	var out []vg.Rectangle
	for _, b := range boxes {
		lo, hi := at(b.X0, b.Y0), at(b.X1, b.Y1)
		out = append(out,
			side(lo.X, lo.Y, hi.X, lo.Y), side(lo.X, hi.Y, hi.X, hi.Y),
			side(lo.X, lo.Y, lo.X, hi.Y), side(hi.X, lo.Y, hi.X, hi.Y))
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
	s := m.survey
	var order []int
	later := make(map[int]bool)
	for _, i := range m.markedPoints() {
		later[i] = true
	}
	for i := range s.Len() {
		if m.isSuspect(i) {
			later[i] = true
		}
	}
	for i := range s.Len() {
		if later[i] {
			order = append(order, i)
		}
	}
	for i := range s.Len() {
		if !later[i] {
			order = append(order, i)
		}
	}
	points := make([]vg.Point, s.Len())
	for i := range points {
		points[i] = place(i)
	}
	var best []placedNumber
	for _, off := range [][]vg.Rectangle{lines, nil} {
		for _, size := range []float64{21, 18, 15, 13} {
			out, wanted := m.tryNumbers(size, order, points, field, off)
			if len(out) > len(best) {
				best = out
			}
			if len(out) == wanted {
				return out
			}
		}
	}
	return best
}

// tryNumbers places numbers of one size; wanted counts those there are.
func (m *surfaceMap) tryNumbers(size float64, order []int, points []vg.Point, field vg.Rectangle, lines []vg.Rectangle) (out []placedNumber, wanted int) {
	f := face(style(size, false, ink, 0, 0))
	var taken []vg.Rectangle
	for i, p := range points {
		if m.readingText(i) == "" {
			continue
		}
		r := m.markerRadius(i) - 1
		taken = append(taken, vg.Rectangle{Min: vg.Point{X: p.X - r, Y: p.Y - r}, Max: vg.Point{X: p.X + r, Y: p.Y + r}})
	}
	taken = append(taken, lines...)
	for _, i := range order {
		text := m.readingText(i)
		if text == "" {
			continue
		}
		wanted++
		w, h, p := f.Width(text), vg.Length(0.74*size), points[i]
		gap := m.markerRadius(i) + 4
		for _, at := range [...]vg.Point{
			{X: p.X, Y: p.Y - gap - h/2},
			{X: p.X, Y: p.Y + gap + h/2},
			{X: p.X + gap + w/2, Y: p.Y},
			{X: p.X - gap - w/2, Y: p.Y},
		} {
			box := vg.Rectangle{Min: vg.Point{X: at.X - w/2 - 2, Y: at.Y - h/2 - 2}, Max: vg.Point{X: at.X + w/2 + 2, Y: at.Y + h/2 + 2}}
			if box.Min.X < field.Min.X || box.Max.X > field.Max.X || box.Min.Y < field.Min.Y || box.Max.Y > field.Max.Y {
				continue
			}
			if !overlapsAny(box, taken) {
				taken = append(taken, box)
				out = append(out, placedNumber{text, at, vg.Point{X: w / 2, Y: h / 2}, size})
				break
			}
		}
	}
	return out, wanted
}

// markerRadius is the radius of the marker of point i.
func (m *surfaceMap) markerRadius(i int) vg.Length {
	switch {
	case m.isSuspect(i):
		return 17
	case m.markerOf(i) == upward, m.markerOf(i) == downward:
		return 10
	case m.markerOf(i) == diamond:
		return 10
	case m.field == nil:
		return 13
	}
	return 5
}

func overlapsAny(r vg.Rectangle, others []vg.Rectangle) bool {
	for _, o := range others {
		if r.Min.X < o.Max.X && o.Min.X < r.Max.X && r.Min.Y < o.Max.Y && o.Min.Y < r.Max.Y {
			return true
		}
	}
	return false
}
