package plots

import (
	"image/color"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"evenfall/falloff/plan"
	"evenfall/photometry/setup"
)

// The colors of a set, distinguishable by lightness alone.
var (
	beamColor   = color.NRGBA{0xf2, 0xc9, 0x4c, 70}
	lampColor   = color.RGBA{0xf2, 0xc9, 0x4c, 255}
	frameColor  = color.RGBA{0x2f, 0x6d, 0xb5, 255}
	bounceColor = color.RGBA{0xd9, 0x7b, 0x1e, 255}
	netColor    = color.RGBA{0x8a, 0x8a, 0x8a, 255}
)

// plot draws the set.
func (m *setPicture) plot(c draw.Canvas, p *plot.Plot) {
	trX, trY := p.Transforms(&c)
	at := func(v r3.Vec) vg.Point {
		q := m.project(v)
		return vg.Point{X: trX(q.x), Y: trY(q.y)}
	}
	inside := draw.Crop(c, 0, 0, 0, 0)
	for i := range m.scene.Fixtures {
		m.paintBeam(inside, &m.scene.Fixtures[i], at)
	}
	m.paintFloor(c, at)
	m.paintSurface(c, at)
	space := &freeSpace{within: c.Rectangle}
	for i := range m.scene.Fixtures {
		f := &m.scene.Fixtures[i]
		space.take(around(at(f.At), 12, 12))
		m.paintFace(c, f, at)
	}
	for i := range m.scene.Fixtures {
		m.paintLamp(c, &m.scene.Fixtures[i], at)
	}
	for _, mark := range m.opt.Marks {
		q := at(r3.Vec{X: mark.X, Y: mark.Y, Z: mark.Z})
		space.take(around(q, 10, 10))
		for _, d := range []vg.Length{-1, 1} {
			c.StrokeLine2(draw.LineStyle{Color: ink, Width: 2.4}, q.X-8, q.Y-8*d, q.X+8, q.Y+8*d)
		}
	}
	for i := range m.scene.Fixtures {
		label(c, space, at(m.scene.Fixtures[i].At), m.scene.Fixtures[i].Name, false)
	}
	for _, mark := range m.opt.Marks {
		label(c, space, at(r3.Vec{X: mark.X, Y: mark.Y, Z: mark.Z}), mark.Label, true)
	}
}

// reach is the length to which a beam is drawn: to the surface, to the frame that it lights,
// or a third of the picture.
func (m *setPicture) reach(f *plan.Fixture, toward r3.Vec) float64 {
	far := 0.35 * max(m.box.Width(), m.box.Height())
	if toward.Z < -1e-6 && m.opt.Surface != nil {
		if d := -f.At.Z / toward.Z; d > 0 {
			far = min(d, 2*max(m.box.Width(), m.box.Height()))
		}
	}
	for i := range m.scene.Fixtures {
		g := &m.scene.Fixtures[i]
		ahead := r3.Dot(toward, g.Aim)
		if math.Abs(ahead) < 1e-6 || !slices.ContainsFunc(g.Lit, func(k int) bool { return &m.scene.Fixtures[k] == f }) {
			continue
		}
		if d := r3.Dot(g.Aim, r3.Sub(g.At, f.At)) / ahead; d > 0 {
			far = min(far, d)
		}
	}
	return far
}

// paintBeam draws the cone of half intensity as a wedge, and the aim.
func (m *setPicture) paintBeam(c draw.Canvas, f *plan.Fixture, at func(r3.Vec) vg.Point) {
	if !f.Aimed || f.Kind == setup.Flag || f.Kind == setup.Net {
		return
	}
	tip := func(v r3.Vec) vg.Point { return at(r3.Add(f.At, r3.Scale(m.reach(f, v), v))) }
	if side := r3.Cross(m.viewDirection(), f.Aim); f.BeamDeg > 0 && f.BeamDeg < 160 && r3.Norm(side) > 1e-6 && !f.Kind.Shapes() {
		side = r3.Unit(side)
		path := []vg.Point{at(f.At)}
		const rays = 12
		for i := range rays + 1 {
			s, co := math.Sincos(f.BeamDeg / 2 * math.Pi / 180 * (2*float64(i)/rays - 1))
			path = append(path, tip(r3.Add(r3.Scale(co, f.Aim), r3.Scale(s, side))))
		}
		c.FillPolygon(beamColor, c.ClipPolygonXY(path))
	}
	c.StrokeLines(draw.LineStyle{Color: gray, Width: 1.4, Dashes: []vg.Length{7, 5}}, c.ClipLinesXY([]vg.Point{at(f.At), tip(f.Aim)})...)
}

// paintFloor draws the floor and the stands of an elevation.
func (m *setPicture) paintFloor(c draw.Canvas, at func(r3.Vec) vg.Point) {
	if m.view != FromTheSide {
		return
	}
	y := at(r3.Vec{Y: m.floor}).Y
	c.StrokeLine2(draw.LineStyle{Color: gray, Width: 2}, c.Min.X, y, c.Max.X, y)
	for i := range m.scene.Fixtures {
		q := at(m.scene.Fixtures[i].At)
		c.StrokeLine2(draw.LineStyle{Color: netColor, Width: 2}, q.X, y, q.X, q.Y)
		c.StrokeLine2(draw.LineStyle{Color: netColor, Width: 2}, q.X-12, y, q.X+12, y)
	}
}

// paintSurface draws the surface, which is a line in both views.
func (m *setPicture) paintSurface(c draw.Canvas, at func(r3.Vec) vg.Point) {
	b := m.opt.Surface
	if b == nil {
		return
	}
	c.StrokeLines(draw.LineStyle{Color: ink, Width: 4}, []vg.Point{at(r3.Vec{X: b.X0, Y: b.Y0}), at(r3.Vec{X: b.X1, Y: b.Y1})})
	if a := m.opt.Area; a != nil {
		c.StrokeLines(draw.LineStyle{Color: ink, Width: 9}, []vg.Point{at(r3.Vec{X: a.X0, Y: a.Y0}), at(r3.Vec{X: a.X1, Y: a.Y1})})
	}
}

// paintFace draws the face of a panel, frame, bounce or flag as it is seen.
func (m *setPicture) paintFace(c draw.Canvas, f *plan.Fixture, at func(r3.Vec) vg.Point) {
	if len(f.Corners) == 0 {
		return
	}
	clr, inner, width := ink, faded(ink, 0.25), vg.Length(4)
	if of, ok := map[setup.LampKind]color.RGBA{setup.Frame: frameColor, setup.Bounce: bounceColor, setup.Net: netColor}[f.Kind]; ok {
		clr, inner = of, faded(of, 0.25)
	} else if f.Kind == setup.Panel || f.Kind == setup.Disc {
		inner, width = faded(lampColor, 0.8), 2
	}
	var path []vg.Point
	for _, p := range rim(f) {
		path = append(path, at(p))
	}
	c.FillPolygon(inner, path)
	c.StrokeLines(draw.LineStyle{Color: clr, Width: width}, append(path, path[0]))
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

// paintLamp draws a lamp as a disc; a frame, bounce or flag has only its face.
func (m *setPicture) paintLamp(c draw.Canvas, f *plan.Fixture, at func(r3.Vec) vg.Point) {
	if f.Kind.Shapes() {
		return
	}
	q := at(f.At)
	for _, ring := range []struct {
		radius vg.Length
		color  color.Color
	}{{9, ink}, {6.5, lampColor}} {
		fill(c, circle(q, ring.radius), ring.color)
	}
}

// label puts a name next to a point, where nothing else is.
func label(c draw.Canvas, space *freeSpace, at vg.Point, name string, bold bool) {
	s := style(17, bold, ink, draw.XCenter, draw.YCenter)
	name = shorten(name, 28)
	half := vg.Point{X: textWidth(s, name) / 2, Y: 10}
	var centers []vg.Point
	for _, d := range []vg.Length{16, 28, 44, 64} {
		for _, q := range []vg.Point{{X: d + half.X}, {X: -d - half.X}, {Y: d + 4}, {Y: -d - 4}, {X: d + half.X, Y: d}, {X: d + half.X, Y: -d}, {X: -d - half.X, Y: d}, {X: -d - half.X, Y: -d}} {
			centers = append(centers, at.Add(q))
		}
	}
	best, _ := space.find(half, centers...)
	space.take(around(best, half.X, half.Y))
	drawWithHalo(c, s, best, name, paper, 4)
}
