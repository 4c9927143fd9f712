package plots

import (
	"image/color"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"evenfall/falloff/plan"
	"evenfall/photometry/setup"
)

// numberRadius is the radius of the disc with a fixture's number.
const numberRadius = 11.5

// paint draws the picture.
func (m *setPicture) paint(c draw.Canvas) {
	m.paintTexts(c)
	heading := style(m.look.label, true, ink, draw.XLeft, draw.YCenter)
	soft := style(m.look.label, false, gray, draw.XRight, draw.YCenter)
	for _, v := range []struct {
		rect        vg.Rectangle
		name, aside string
	}{{m.data, "Plan", "the camera side is below"}, {m.under, "Front elevation", "from the camera"}} {
		y := v.rect.Max.Y + vg.Length(m.look.gap)
		drawWithHalo(c, heading, vg.Point{X: 6, Y: y}, v.name, paper, 0)
		drawWithHalo(c, soft, vg.Point{X: vg.Length(m.width) - 6, Y: y}, v.aside+", "+lengthUnit(m.opt.Feet), paper, 0)
	}
	x := m.above(r3.Vec{X: m.middle}).X
	c.StrokeLine2(draw.LineStyle{Color: gray, Width: 1, Dashes: []vg.Length{10, 4, 2, 4}}, x, m.under.Min.Y, x, m.data.Max.Y+10)
	m.paintView(c, m.above, r3.Vec{Y: 1}, m.data)
	m.paintView(c, m.front, r3.Vec{Z: 1}, m.under)
	m.paintScaleBar(c)
}

// paintView draws one of the views, whose places at gives, seen along a direction.
func (m *setPicture) paintView(c draw.Canvas, at func(r3.Vec) vg.Point, along r3.Vec, rect vg.Rectangle) {
	elevation := along.Z != 0
	reach := vg.Length(m.look.gap)
	space := &freeSpace{within: vg.Rectangle{Min: vg.Point{X: 2, Y: rect.Min.Y - reach}, Max: vg.Point{X: vg.Length(m.width) - 2, Y: rect.Max.Y + 0.7*reach}}}
	if elevation {
		m.paintFloor(c)
	}
	m.paintSurface(c, elevation, space)
	if m.opt.Before != nil {
		m.paintBefore(c, at)
	}
	for i := range m.scene.Fixtures {
		m.paintFace(c, &m.scene.Fixtures[i], at)
	}
	for i := range m.scene.Fixtures {
		m.paintAim(c, i, at, along, space)
	}
	for i := range m.scene.Fixtures {
		if q := at(m.scene.Fixtures[i].At); m.numbers[i] != "" {
			space.take(around(q, numberRadius, numberRadius))
			fill(c, circle(q, numberRadius+1.5), paper)
			fill(c, circle(q, numberRadius), ink)
			drawWithHalo(c, style(m.look.label, true, paper, draw.XCenter, draw.YCenter), q, m.numbers[i], ink, 0)
		}
	}
	for i := range m.scene.Fixtures {
		f := &m.scene.Fixtures[i]
		lines := []string{m.side(f.At.X), m.bare(f.At.Z) + " out"}
		if elevation {
			lines = []string{m.high(f.At.Y)}
		}
		if m.numbers[i] == "" {
			lines = []string{shorten(f.Name, 18)}
		}
		m.label(c, space, at(f.At), lines, false)
	}
	for _, mark := range m.opt.Marks {
		q := at(r3.Vec{X: mark.X, Y: mark.Y, Z: mark.Z})
		c.StrokeLines(draw.LineStyle{Color: ink, Width: 2}, closedOutline(around(q, 5, 5)))
		space.take(around(q, 7, 7))
		m.label(c, space, q, []string{shorten(mark.Label, 20)}, true)
	}
}

// label puts lines next to a point where nothing else is; where there is no space they
// are left out, since the list has them.
func (m *setPicture) label(c draw.Canvas, space *freeSpace, at vg.Point, lines []string, bold bool) {
	size := vg.Length(m.look.label)
	s := style(m.look.label, bold, ink, draw.XCenter, draw.YCenter)
	half := vg.Point{Y: size * vg.Length(len(lines)) * 0.56}
	for _, l := range lines {
		half.X = max(half.X, textWidth(s, l)/2)
	}
	var centers []vg.Point
	for _, d := range []vg.Length{16, 24, 36} {
		for _, q := range []vg.Point{{X: -d - half.X}, {X: d + half.X}, {Y: d + half.Y}, {Y: -d - half.Y}, {X: -d - half.X, Y: d}, {X: d + half.X, Y: d}, {X: -d - half.X, Y: -d}, {X: d + half.X, Y: -d}} {
			centers = append(centers, at.Add(q))
		}
	}
	best, free := space.find(half, centers...)
	if !free {
		return
	}
	space.take(around(best, half.X, half.Y))
	for i, l := range lines {
		drawWithHalo(c, s, best.Add(vg.Point{Y: half.Y - size*0.56*vg.Length(1+2*i)}), l, paper, 3)
	}
}

// paintAim draws the axis of a fixture to where it aims, and the edges of its beam.
func (m *setPicture) paintAim(c draw.Canvas, i int, at func(r3.Vec) vg.Point, along r3.Vec, space *freeSpace) {
	f := &m.scene.Fixtures[i]
	if !f.Aimed || m.numbers[i] == "" {
		return
	}
	aim := m.aim(i)
	from, to := at(f.At), at(aim)
	c.StrokeLine2(draw.LineStyle{Color: ink, Width: 1.3}, from.X, from.Y, to.X, to.Y)
	for _, d := range []vg.Length{-5, 5} {
		c.StrokeLine2(draw.LineStyle{Color: ink, Width: 2.2}, to.X-5, to.Y-d, to.X+5, to.Y+d)
	}
	for part := vg.Length(0.1); part < 1; part += 0.1 {
		space.take(around(vg.Point{X: from.X + part*(to.X-from.X), Y: from.Y + part*(to.Y-from.Y)}, 3, 3))
	}
	space.take(around(to, 7, 7))
	m.label(c, space, to, []string{m.numbers[i]}, true)
	side := r3.Cross(along, f.Aim)
	if !(f.BeamDeg > 0 && f.BeamDeg < 160) || f.Kind.Shapes() || r3.Norm(side) < 0.3 {
		return
	}
	sin, cos := math.Sincos(f.BeamDeg / 2 * math.Pi / 180)
	for _, s := range []float64{-sin, sin} {
		edge := r3.Add(r3.Scale(cos, f.Aim), r3.Scale(s, r3.Unit(side)))
		end := at(r3.Add(f.At, r3.Scale(50/m.perMeter, edge)))
		c.StrokeLine2(draw.LineStyle{Color: ink, Width: 1.3, Dashes: []vg.Length{4, 3}}, from.X, from.Y, end.X, end.Y)
	}
}

// paintBefore draws where fixtures stood, and the way to where they stand.
func (m *setPicture) paintBefore(c draw.Canvas, at func(r3.Vec) vg.Point) {
	for i := range m.opt.Before.Fixtures {
		before := &m.opt.Before.Fixtures[i]
		if i >= len(m.scene.Fixtures) || r3.Norm(r3.Sub(before.At, m.scene.Fixtures[i].At)) < 0.005 {
			continue
		}
		from, to := at(before.At), at(m.scene.Fixtures[i].At)
		c.StrokeLine2(draw.LineStyle{Color: gray, Width: 1.3, Dashes: []vg.Length{2, 4}}, from.X, from.Y, to.X, to.Y)
		fill(c, circle(from, numberRadius), gray)
		fill(c, circle(from, numberRadius-1.6), paper)
		drawWithHalo(c, style(m.look.label, false, gray, draw.XCenter, draw.YCenter), from, m.numbers[i], paper, 0)
	}
}

// paintFloor draws the floor of the elevation and the stands on it.
func (m *setPicture) paintFloor(c draw.Canvas) {
	y := m.front(r3.Vec{Y: m.floor}).Y
	c.StrokeLine2(draw.LineStyle{Color: gray, Width: 1.6}, 6, y, vg.Length(m.width)-6, y)
	name := "floor"
	if m.opt.FloorY == nil {
		name = "lower edge; floor not on file"
	}
	drawWithHalo(c, style(m.look.label, false, gray, draw.XLeft, draw.YCenter), vg.Point{X: 6, Y: y - 14}, name, paper, 0)
	for i := range m.scene.Fixtures {
		q := m.front(m.scene.Fixtures[i].At)
		c.StrokeLine2(draw.LineStyle{Color: standColor, Width: 1.6}, q.X, y, q.X, q.Y)
	}
}

var standColor = color.RGBA{0xb4, 0xb4, 0xb4, 255}

// paintSurface draws the surface: edge-on from above, its whole face in the elevation.
func (m *setPicture) paintSurface(c draw.Canvas, elevation bool, space *freeSpace) {
	b, a := m.opt.Surface, m.opt.Area
	if b == nil {
		return
	}
	if !elevation {
		from, to := m.above(r3.Vec{X: b.X0}), m.above(r3.Vec{X: b.X1})
		c.StrokeLine2(draw.LineStyle{Color: ink, Width: 5}, from.X, from.Y, to.X, to.Y)
		space.take(vg.Rectangle{Min: from.Sub(vg.Point{Y: 4}), Max: to.Add(vg.Point{Y: 4})})
		if a != nil {
			from, to := m.above(r3.Vec{X: a.X0}), m.above(r3.Vec{X: a.X1})
			c.StrokeLine2(draw.LineStyle{Color: ink, Width: 2, Dashes: []vg.Length{7, 4}}, from.X, from.Y+8, to.X, to.Y+8)
		}
		text := "surface " + m.length(b.Width())
		drawWithHalo(c, style(m.look.label, false, gray, draw.XRight, draw.YCenter), vg.Point{X: max(from.X-8, textWidth(style(m.look.label, false, gray, 0, 0), text)+2), Y: from.Y + 16}, text, paper, 2)
		return
	}
	c.StrokeLines(draw.LineStyle{Color: ink, Width: 1.6}, closedOutline(vg.Rectangle{Min: m.front(r3.Vec{X: b.X0, Y: b.Y0}), Max: m.front(r3.Vec{X: b.X1, Y: b.Y1})}))
	if a != nil {
		c.StrokeLines(draw.LineStyle{Color: ink, Width: 2.6, Dashes: []vg.Length{9, 5}}, closedOutline(vg.Rectangle{Min: m.front(r3.Vec{X: a.X0, Y: a.Y0}), Max: m.front(r3.Vec{X: a.X1, Y: a.Y1})}))
	}
	if clear := b.Y0 - m.floor; clear > 0.005 {
		q := m.front(r3.Vec{X: b.X1, Y: m.floor + clear/2})
		drawWithHalo(c, style(m.look.label, false, gray, draw.XRight, draw.YCenter), q, m.bare(clear)+" clear", paper, 3)
	}
}

// paintFace draws the face of a panel, frame, bounce, flag or net as it is seen.
func (m *setPicture) paintFace(c draw.Canvas, f *plan.Fixture, at func(r3.Vec) vg.Point) {
	if len(f.Corners) == 0 {
		return
	}
	clr, inner := ink, color.Color(faded(paper, 0.7))
	switch f.Kind {
	case setup.Flag:
		inner = faded(ink, 0.55)
	case setup.Net:
		clr, inner = gray, faded(gray, 0.3)
	}
	var path []vg.Point
	for _, p := range rim(f) {
		path = append(path, at(p))
	}
	c.FillPolygon(inner, path)
	c.StrokeLines(draw.LineStyle{Color: clr, Width: 2.4}, append(path, path[0]))
}

// rim is the outline of a face: its corners, or the circle between those of a
// disc.
func rim(f *plan.Fixture) []r3.Vec {
	if f.Kind != setup.Disc {
		return f.Corners
	}
	right, up := r3.Scale(0.5, r3.Sub(f.Corners[1], f.Corners[0])), r3.Scale(0.5, r3.Sub(f.Corners[3], f.Corners[0]))
	var out []r3.Vec
	for i := range 36 {
		s, c := math.Sincos(float64(i) * math.Pi / 18)
		out = append(out, r3.Add(f.At, r3.Add(r3.Scale(c, right), r3.Scale(s, up))))
	}
	return out
}

// paintScaleBar draws a round length below the elevation.
func (m *setPicture) paintScaleBar(c draw.Canvas) {
	unit := lengthScale(m.opt.Feet)
	length, _ := roundStep(60 / m.perMeter / unit)
	to := vg.Point{X: vg.Length(m.width) - 10, Y: m.under.Min.Y - 16}
	from := to.Sub(vg.Point{X: vg.Length(length * unit * m.perMeter)})
	for _, l := range [][4]vg.Length{{from.X, from.Y, to.X, to.Y}, {from.X, from.Y - 4, from.X, from.Y + 4}, {to.X, to.Y - 4, to.X, to.Y + 4}} {
		c.StrokeLine2(draw.LineStyle{Color: ink, Width: 1.6}, l[0], l[1], l[2], l[3])
	}
	drawWithHalo(c, style(m.look.label, false, ink, draw.XRight, draw.YCenter), from.Sub(vg.Point{X: 8}), formatPlain(length)+" "+lengthUnit(m.opt.Feet), paper, 0)
}
