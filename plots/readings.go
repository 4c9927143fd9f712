package plots

import (
	"image/color"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"evenfall/photometry/survey"
	"evenfall/plots/canvas"
	"evenfall/plots/mesh"
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
	ring            // around the others
	struck          // a ring with a stroke: a suspect
	frame           // dashed: the part in shot, in the legend only
)

// paintMarker draws a marker, dark with a light edge so that it is visible on any
// color.
func paintMarker(c draw.Canvas, s marker, at vg.Point) {
	both := func(outer, inner vg.Path) {
		fill(c, outer, paper)
		fill(c, inner, ink)
	}
	switch s {
	case dot:
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
	case ring, struck:
		path := circle(at, 13)
		if s == struck {
			path.Move(at.Add(vg.Point{X: -9.2, Y: 9.2}))
			path.Line(at.Add(vg.Point{X: 9.2, Y: -9.2}))
		}
		c.SetLineDash(nil, 0)
		c.SetColor(paper)
		c.SetLineWidth(6)
		c.Stroke(path)
		c.SetColor(ink)
		c.SetLineWidth(2.6)
		c.Stroke(path)
	case frame:
		c.StrokeLines(draw.LineStyle{Color: ink, Width: 2.4, Dashes: []vg.Length{7, 4}},
			closedOutline(canvas.Around(at, 15, 8)))
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
	return either(i == m.survey.Reference, diamond, dot)
}

// readingText is the text printed next to point i: its difference, or the level of an
// extreme, the reference or a suspect.
func (m *surfaceMap) readingText(i int) string {
	v, ok := m.at(i)
	switch {
	case !ok:
		return ""
	case m.isSuspect(i) && m.hasLevels():
		return m.asFound(i) + "?" // as the legend has it
	case m.markerOf(i) == dot && finite(v):
		return m.scale.Label(v)
	case m.hasLevels():
		return m.formatBare(m.values[i])
	case !finite(v):
		return "0"
	}
	return m.scale.edgeLabel(v)
}

// asFound is the level of a suspect without its unit, as it was typed where that is the
// map's.
func (m *surfaceMap) asFound(i int) string {
	_, unit := formatNumber(0, m.survey.Quantity, m.opt.Unit)
	of := slices.IndexFunc(m.singleSuspects(), func(s survey.Suspect) bool { return s.Point == i })
	if typed := !m.survey.Predicted && !m.isFlash(m.opt.Unit); typed && of >= 0 {
		if bare, ok := strings.CutSuffix(m.singleSuspects()[of].Found, " "+unit); ok {
			return cleanText(bare)
		}
	}
	return m.formatBare(m.survey.Level[i])
}

// boundText is the limit of a place beyond the meter's range.
func (m *surfaceMap) boundText(b survey.Bound) string {
	return either(b.Over, ">", "<") + either(finite(b.Level) && b.Level > 0, m.formatBare(b.Level), "")
}

// markedPoints lists the points with a marker of their own, the most important last.
func (m *surfaceMap) markedPoints() []int {
	return slices.DeleteFunc([]int{m.survey.Reference, m.low, m.high}, func(i int) bool { return i < 0 || i >= m.survey.Len() })
}

// paintReadings draws the markers and numbers of the readings at their places, what the
// contours are, and the places that a difference leaves out. Numbers keep off lines where
// they can, and off frames always.
func (m *surfaceMap) paintReadings(c draw.Canvas, at func(x, y float64) vg.Point, place func(int) vg.Point, frames, lines [][]vg.Point, contours []contour) {
	if m.survey.Len() <= maxDotted {
		m.paintDots(c, place)
	}
	for _, i := range m.markedPoints() {
		if sign := m.markerOf(i); sign != dot {
			paintMarker(c, sign, place(i))
		}
	}
	for _, suspect := range m.singleSuspects() {
		paintMarker(c, struck, place(suspect.Point))
	}
	var bounds []vg.Point
	for _, b := range m.bounds() {
		bounds = append(bounds, at(b.X, b.Y))
		paintMarker(c, open, at(b.X, b.Y))
	}
	var leftOut []vg.Point
	for _, p := range m.result.LeftOut {
		leftOut = append(leftOut, at(p.X, p.Y))
		paintMarker(c, struck, at(p.X, p.Y))
	}
	for _, l := range m.placeNumbers(c.Rectangle, frames, lines, leftOut, bounds, contours, place) {
		drawWithHalo(c, style(l.size, l.bold, either(l.soft, gray, ink), draw.XCenter, draw.YCenter), l.at, l.text, paper, 3)
	}
}

// paintDots draws the readings without a marker of their own.
func (m *surfaceMap) paintDots(c draw.Canvas, place func(int) vg.Point) {
	mark := either(m.survey.Len() > maxNumbered/2 || m.opt.Narrow, speck, dot)
	for i := range m.survey.Len() {
		if _, ok := m.at(i); ok && m.markerOf(i) == dot {
			paintMarker(c, mark, place(i))
		}
	}
}

// placedNumber is a text on the map about its position in the picture.
type placedNumber = line

// placeNumbers finds space for the texts on a map: the figures of extremes, suspects and
// the reference, then the other figures, below their dots where possible, else next to
// them, and what the contours are. Figures keep off lines where they can. Where there is
// not enough space the type gets smaller, and finally some are omitted, as is what a frame
// would strike out.
func (m *surfaceMap) placeNumbers(within vg.Rectangle, frames, lines [][]vg.Point, leftOut, bounds []vg.Point, contours []contour, place func(int) vg.Point) (best []placedNumber) {
	marked := m.markedPoints()
	var order, rest []int
	few := m.survey.Len() <= maxNumbered
	for i := range m.survey.Len() {
		special := slices.Contains(marked, i) || m.isSuspect(i)
		switch {
		case !special && !few || m.readingText(i) == "":
		case special:
			order = append(order, i)
		case m.opt.Sheet == 0 && (!m.opt.Narrow || m.inShot(i)):
			rest = append(rest, i)
		}
	}
	order = append(order, rest...)
	most := 0
	for _, size := range m.look.figures {
		space := &canvas.FreeSpace{Within: within}
		for _, line := range frames {
			space.Frames = append(space.Frames, canvas.Along(line...)...)
		}
		for _, line := range lines {
			space.TakeLine(line...)
		}
		for _, p := range leftOut {
			space.Take(canvas.Around(p, 14, 14))
		}
		for _, i := range order {
			r := m.markerRadius(i) - 1
			space.Take(canvas.Around(place(i), r, r))
		}
		for _, p := range bounds {
			space.Take(canvas.Around(p, 4, 4))
		}
		out := append(m.tryBounds(size, bounds, space), m.tryNumbers(size, order, place, space)...)
		if len(out) > most || best == nil {
			most, best = len(out), m.tryContours(out, contours, space)
		}
		if len(out) == len(order)+len(bounds) {
			break
		}
	}
	return best
}

// tryBounds places the limits of places beyond the meter's range, as far as there is space.
func (m *surfaceMap) tryBounds(size float64, places []vg.Point, space *canvas.FreeSpace) (out []placedNumber) {
	for k, p := range places {
		text := m.boundText(m.bounds()[k])
		half := vg.Point{X: textWidth(style(size, true, ink, 0, 0), text)/2 + 2, Y: vg.Length(0.74*size)/2 + 1}
		right, up := vg.Point{X: 7 + half.X}, vg.Point{Y: 8 + half.Y}
		if at, free := space.Find(half, p.Sub(up), p.Add(up), p.Add(right), p.Sub(right)); free {
			space.Take(canvas.Around(at, half.X, half.Y))
			out = append(out, placedNumber{text, at, size, true, false})
		}
	}
	return out
}

// tryNumbers places as many numbers of one size as there is space for.
func (m *surfaceMap) tryNumbers(size float64, order []int, place func(int) vg.Point, space *canvas.FreeSpace) (out []placedNumber) {
	for _, i := range order {
		sign := m.markerOf(i)
		bold := sign != dot || m.isSuspect(i)
		text, p := m.readingText(i), place(i)
		half := vg.Point{X: textWidth(style(size, bold, ink, 0, 0), text) / 2, Y: vg.Length(0.74*size) / 2}
		spaced := half.Add(vg.Point{X: 2, Y: 1})
		right, up := vg.Point{X: m.markerRadius(i) + 4 + half.X}, vg.Point{Y: m.markerRadius(i) + 4 + half.Y}
		aside := vg.Point{X: 0.8 * half.X} // beside a frame
		if at, free := space.Find(spaced, p.Sub(up), p.Add(up), p.Add(right), p.Sub(right), p.Sub(up).Add(aside), p.Sub(up).Sub(aside), p.Add(up).Add(aside), p.Add(up).Sub(aside)); free {
			if !bold && canvas.Overlaps(canvas.Around(at, half.X, half.Y), space.Frames) > 0 {
				continue
			}
			space.Take(canvas.Around(at, spaced.X, spaced.Y))
			out = append(out, placedNumber{text, at, size, bold, !bold && !m.inShot(i)})
		}
	}
	return out
}

// tryContours labels each contour once, where there is space along it.
func (m *surfaceMap) tryContours(out []placedNumber, contours []contour, space *canvas.FreeSpace) []placedNumber {
	size := m.look.label
	for _, drawn := range contours {
		text := either(drawn.Class == 1 || drawn.Class == -1, "limit", m.scale.edgeLabel(drawn.Value))
		half := vg.Point{X: textWidth(style(size, false, ink, 0, 0), text)/2 + 2, Y: vg.Length(0.37*size) + 3}
		var along, clear []vg.Point // off frames
		for _, line := range drawn.lines {
			for k := range line {
				if n := (k + len(line)/2) % len(line); k%4 == 0 && m.pointInShot(line[n]) { // from its middle
					along = append(along, line[n])
					if m.pointInShot(line[n].Add(half)) && m.pointInShot(line[n].Sub(half)) {
						clear = append(clear, line[n])
					}
				}
			}
		}
		at, free := space.Find(half, clear...)
		if !free || len(clear) == 0 {
			at, free = space.Find(half, along...)
		}
		if free {
			space.Take(canvas.Around(at, half.X, half.Y))
			out = append(out, placedNumber{text: text, at: at, size: size})
		}
	}
	return out
}

// pointInShot reports whether a position of the picture is between readings and in shot, or
// on the surface where all of it is.
func (m *surfaceMap) pointInShot(p vg.Point) bool {
	shot, size := m.extent(), m.data.Size()
	if a := m.survey.Area; a != nil {
		shot = *a
	}
	x, y := m.box.X0+float64((p.X-m.data.Min.X)/size.X)*m.box.Width(), m.box.Y0+float64((p.Y-m.data.Min.Y)/size.Y)*m.box.Height()
	return shot.Contains(x, y) && mesh.Inside(m.field.outline, x, y)
}

// markerRadius is the radius of the marker of point i.
func (m *surfaceMap) markerRadius(i int) vg.Length {
	switch sign := m.markerOf(i); {
	case m.isSuspect(i):
		return 15
	case sign == upward, sign == downward, sign == diamond:
		return 10
	}
	return 5
}
