package plots

import (
	"cmp"
	"image/color"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"evenfall/falloff/plan"
	"evenfall/photometry/setup"
	"evenfall/plots/canvas"
)

// numberRadius is the radius of the disc with a fixture's number.
const numberRadius = 11.5

// paint draws the picture.
func (m *setPicture) paint(c draw.Canvas) {
	m.paintTexts(c)
	heading := style(m.look.label, true, ink, draw.XLeft, draw.YCenter)
	soft := style(m.look.label, false, gray, draw.XRight, draw.YCenter)
	for _, v := range []struct {
		rect vg.Rectangle
		name string
	}{{m.data, "Plan"}, {m.under, "Front elevation, from the camera"}} {
		y := v.rect.Max.Y + vg.Length(m.look.gap)
		if v.rect == m.under {
			y += m.overElevation()
		}
		drawWithHalo(c, heading, vg.Point{X: 6, Y: y}, v.name, paper, 0)
		drawWithHalo(c, soft, vg.Point{X: vg.Length(m.width) - 6, Y: y}, lengthUnit(m.opt.Feet), paper, 0)
	}
	m.paintView(c, m.above, r3.Vec{Y: 1}, m.data)
	m.paintView(c, m.front, r3.Vec{Z: 1}, m.under)
	m.paintScaleBar(c)
}

// setView is one of the two views: where places are in it, along which direction it is
// seen, and where it has space for text.
type setView struct {
	at    func(r3.Vec) vg.Point
	along r3.Vec
	space *canvas.FreeSpace
}

// line draws a line that texts keep off.
func (v *setView) line(c draw.Canvas, clr color.Color, width vg.Length, dashes []vg.Length, points ...vg.Point) {
	v.space.TakeLine(points...)
	if len(points) == 2 { // one may lead to a place kilometers away
		far := vg.Point{X: 2 * pictureWidth, Y: 2 * pictureWidth}
		from, to, some := canvas.Clip(vg.Rectangle{Min: v.space.Within.Min.Sub(far), Max: v.space.Within.Max.Add(far)}, points[0], points[1])
		if !some {
			return
		}
		points = []vg.Point{from, to}
	}
	c.StrokeLines(draw.LineStyle{Color: clr, Width: width, Dashes: dashes}, points)
}

// paintView draws one of the views, whose places at gives, seen along a direction: the
// lines first, then what stands on them, then texts where there is space.
func (m *setPicture) paintView(c draw.Canvas, at func(r3.Vec) vg.Point, along r3.Vec, rect vg.Rectangle) {
	elevation := along.Z != 0
	reach := vg.Length(m.look.gap)
	v := &setView{at, along, &canvas.FreeSpace{Within: vg.Rectangle{Min: vg.Point{X: 2, Y: rect.Min.Y - reach}, Max: vg.Point{X: vg.Length(m.width) - 2, Y: rect.Max.Y + 0.7*reach}}}}
	x := m.above(r3.Vec{X: m.middle}).X
	v.line(c, gray, 1, []vg.Length{10, 4, 2, 4}, vg.Point{X: x, Y: rect.Min.Y - 4}, vg.Point{X: x, Y: rect.Max.Y + 10})
	if elevation {
		v.space.Within.Min.Y = rect.Min.Y - 1 // off the scale below the floor
		m.paintFloor(c, v)
	} else {
		m.paintCamera(c, v)
	}
	surface := m.paintSurface(c, v)
	if m.opt.Before != nil {
		m.paintBefore(c, v)
	}
	for i := range m.scene.Fixtures {
		m.paintFace(c, &m.scene.Fixtures[i], v)
	}
	for i := range m.scene.Fixtures {
		m.paintAim(c, i, v)
	}
	if elevation {
		m.paintColumns(c, v)
	}
	for i := range m.scene.Fixtures {
		if m.numbers[i] != "" && !elevation {
			m.paintNumber(c, i, v, at(m.scene.Fixtures[i].At))
		}
	}
	for _, mark := range m.opt.Marks {
		q := at(r3.Vec{X: mark.X, Y: mark.Y, Z: mark.Z})
		c.StrokeLines(draw.LineStyle{Color: ink, Width: 2}, closedOutline(canvas.Around(q, 5, 5)))
		v.space.Take(canvas.Around(q, 7, 7))
	}
	for _, l := range m.placeLabels(v, surface) {
		m.paintLabel(c, l)
	}
}

// paintNumber draws the number of a fixture.
func (m *setPicture) paintNumber(c draw.Canvas, i int, v *setView, q vg.Point) {
	v.space.Take(canvas.Around(q, numberRadius, numberRadius))
	fill(c, circle(q, numberRadius+1.5), paper)
	fill(c, circle(q, numberRadius), ink)
	drawWithHalo(c, style(m.look.label, true, paper, draw.XCenter, draw.YCenter), q, m.numbers[i], ink, 0)
}

// column is what stands above the elevation of one fixture: its number, and lines below
// it.
type column struct {
	fixture  int
	lines    []string
	x, width vg.Length
}

// setColumns finds what the columns have room for, as many lines as stand side by side,
// or the numbers alone, each as near above its fixture as the others let it.
func (m *setPicture) setColumns() {
	s := style(m.look.label, false, ink, draw.XCenter, draw.YCenter)
	room, sum := vg.Length(m.look.width)-12, vg.Length(math.Inf(1))
	for most := 6; sum > room && most >= -1; most-- {
		m.columns, sum = nil, 0
		for i := range m.scene.Fixtures {
			if m.numbers[i] == "" {
				continue
			}
			lines := m.overFixture(i)
			if lines = lines[:min(max(0, most), len(lines))]; most == 0 {
				lines = []string{m.bare(m.scene.Fixtures[i].At.Y - m.floor)}
			}
			one := column{i, lines, m.front(m.scene.Fixtures[i].At).X, 2*numberRadius + 2}
			for _, text := range lines {
				one.width = max(one.width, textWidth(s, text)+8)
			}
			sum += one.width
			m.columns = append(m.columns, one)
		}
	}
	slices.SortStableFunc(m.columns, func(a, b column) int { return cmp.Compare(a.x, b.x) })
	edge := vg.Length(6)
	for i := range m.columns {
		l := &m.columns[i]
		l.width *= min(1, room/sum)
		l.x = max(l.x, edge+l.width/2)
		edge = l.x + l.width/2
	}
	edge = room + 6
	for i := range slices.Backward(m.columns) {
		l := &m.columns[i]
		l.x = min(l.x, edge-l.width/2)
		edge = l.x - l.width/2
	}
}

// overFixture is what stands over a fixture in the elevation, what matters most first.
func (m *setPicture) overFixture(i int) []string {
	f := &m.scene.Fixtures[i]
	if m.opt.Narrow { // beside which the sheet has its table
		return []string{m.high(f.At.Y)}
	}
	pan, tilt := m.turned(i)
	level, gel := m.levelAndGel(i)
	share := max(1, min(18, int(0.1*m.look.width)/m.numbered)) // of the width, in letters
	out := []string{shorten(f.Name, share), m.high(f.At.Y), pan, tilt, level, shorten(gel, share)}
	return slices.DeleteFunc(out, func(text string) bool { return text == "" })
}

// overElevation is how high the columns are.
func (m *setPicture) overElevation() vg.Length {
	lines := 0
	for _, l := range m.columns {
		lines = max(lines, len(l.lines))
	}
	return 2*numberRadius + 1.12*vg.Length(m.look.label)*vg.Length(lines)
}

// paintColumns draws the columns above the elevation, with a line from each to where its
// fixture is.
func (m *setPicture) paintColumns(c draw.Canvas, v *setView) {
	bottom := m.under.Max.Y + vg.Length(m.look.gap)/2
	top := bottom + m.overElevation()
	for _, l := range m.columns {
		q := v.at(m.scene.Fixtures[l.fixture].At)
		v.line(c, gray, 1, nil, vg.Point{X: l.x, Y: top - 2*numberRadius - 1.12*vg.Length(m.look.label)*vg.Length(len(l.lines))}, q)
		v.space.Take(canvas.Around(q, 6, 6))
		fill(c, circle(q, 6), paper)
		fill(c, circle(q, 4.5), ink)
		at := vg.Point{X: l.x, Y: top - numberRadius}
		m.paintNumber(c, l.fixture, v, at)
		m.paintLabel(c, setLabel{lines: l.lines, at: at, box: vg.Rectangle{Min: vg.Point{X: l.x - l.width/2, Y: bottom}, Max: vg.Point{X: l.x + l.width/2, Y: top - 2*numberRadius}}})
	}
}

// setLabel is a text beside a point of a view.
type setLabel struct {
	lines []string
	at    vg.Point
	box   vg.Rectangle
	bold  bool
}

// placeLabels finds space for the labels of a view, and last for that of the surface.
// What has none is left out, since the list has it.
func (m *setPicture) placeLabels(v *setView, surface setLabel) (out []setLabel) {
	place := func(l setLabel) bool {
		l, free := m.label(v.space, l)
		if free {
			v.space.Take(l.box)
			if from, to, far := l.leader(); far {
				v.space.TakeLine(from, to)
			}
			out = append(out, l)
		}
		return free
	}
	aims := map[vg.Point]string{}
	var order []vg.Point
	for i := range m.scene.Fixtures {
		if q, aimed := m.aimIn(i, v); aimed {
			if aims[q] == "" {
				order = append(order, q)
				aims[q] = "aim "
			} else {
				aims[q] += ", "
			}
			aims[q] += m.numbers[i] + m.aimedAt(i)
		}
	}
	for _, q := range order {
		place(setLabel{lines: []string{aims[q]}, at: q, bold: true})
	}
	for i := range m.scene.Fixtures {
		f := &m.scene.Fixtures[i]
		l := setLabel{at: v.at(f.At)}
		switch name := shorten(f.Name, 18); {
		case m.numbers[i] == "":
			l.lines = []string{name}
		case v.along.Z != 0:
			continue // which has its column
		default:
			l.lines = []string{m.side(f.At.X), m.bare(f.At.Z) + " out"}
			if named := l; !m.opt.Narrow {
				named.lines = append([]string{name}, l.lines...)
				if place(named) {
					continue
				}
			}
		}
		place(l)
	}
	for _, mark := range m.opt.Marks {
		place(setLabel{lines: []string{shorten(mark.Label, 20)}, at: v.at(r3.Vec{X: mark.X, Y: mark.Y, Z: mark.Z}), bold: true})
	}
	if surface.lines != nil {
		place(surface)
	}
	return out
}

// aimedAt names the fixture that another aims at, whose number covers where; "" for none.
func (m *setPicture) aimedAt(i int) string {
	to := m.aim(i)
	at := slices.IndexFunc(m.scene.Fixtures, func(f plan.Fixture) bool { return r3.Norm(r3.Sub(f.At, to)) < 0.05 })
	if at < 0 || m.numbers[at] == "" {
		return ""
	}
	return " on " + m.numbers[at]
}

// label finds space for a label next to its point; free is false where there is none.
func (m *setPicture) label(space *canvas.FreeSpace, l setLabel) (placed setLabel, free bool) {
	size := vg.Length(m.look.label)
	half := vg.Point{Y: size * vg.Length(len(l.lines)) * 0.56}
	for _, text := range l.lines {
		half.X = max(half.X, textWidth(style(m.look.label, l.bold, ink, 0, 0), text)/2)
	}
	var centers []vg.Point
	gap := vg.Length(m.look.gap)
	for _, d := range []vg.Length{16, 24, gap, 1.5 * gap, 2 * gap, 2.5 * gap} {
		for _, way := range [][2]vg.Length{{-1, 0}, {1, 0}, {0, 1}, {0, -1}, {-1, 1}, {1, 1}, {-1, -1}, {1, -1}} {
			q := vg.Point{X: way[0] * (d + half.X), Y: way[1] * (d + half.Y)}
			if way[0] != 0 {
				q.Y = way[1] * d
			}
			centers = append(centers, l.at.Add(q))
		}
	}
	clear := half.Add(vg.Point{X: 2, Y: 1})
	centers = slices.DeleteFunc(centers, func(p vg.Point) bool { // on other texts or beyond them, or along the surface, where its line is not seen
		if space.IsTaken(canvas.Around(p, clear.X, clear.Y)) { // soon found, and so it is in a crowd
			return true
		}
		from, to, _ := setLabel{at: l.at, box: canvas.Around(p, half.X, half.Y)}.leader()
		return slices.ContainsFunc(canvas.Along(from, to), func(part vg.Rectangle) bool {
			return canvas.Overlap(part, canvas.Around(l.at, numberRadius+2, numberRadius+2)) == 0 && space.IsTaken(part)
		})
	})
	best, free := space.Find(clear, centers...)
	l.box = canvas.Around(best, half.X, half.Y)
	return l, free && len(centers) > 0
}

// leader is the line from a point to its label; far is false where the label needs none.
func (l setLabel) leader() (from, to vg.Point, far bool) {
	to = vg.Point{X: max(l.box.Min.X, min(l.at.X, l.box.Max.X)), Y: max(l.box.Min.Y, min(l.at.Y, l.box.Max.Y))}
	off := to.Sub(l.at)
	long := vg.Length(math.Hypot(float64(off.X), float64(off.Y)))
	start := either[vg.Length](l.bold, 9, numberRadius+1) // off a cross or a mark, or the disc of a number
	return l.at.Add(off.Scale(start / max(long, 1))), to, long > 22
}

// paintLabel draws a label, farther off with a line to its point.
func (m *setPicture) paintLabel(c draw.Canvas, l setLabel) {
	if from, to, far := l.leader(); far {
		c.StrokeLine2(draw.LineStyle{Color: gray, Width: 1}, from.X, from.Y, to.X, to.Y)
	}
	step := 1.12 * vg.Length(m.look.label)
	top := vg.Point{X: (l.box.Min.X + l.box.Max.X) / 2, Y: l.box.Max.Y - step/2}
	for i, text := range l.lines {
		drawWithHalo(c, style(m.look.label, l.bold, ink, draw.XCenter, draw.YCenter), top.Sub(vg.Point{Y: step * vg.Length(i)}), text, paper, 3)
	}
}

// aimIn is where a fixture aims in a view, in whole pixels.
func (m *setPicture) aimIn(i int, v *setView) (vg.Point, bool) {
	if !m.scene.Fixtures[i].Aimed || m.numbers[i] == "" {
		return vg.Point{}, false
	}
	return round(v.at(m.aim(i))), true
}

// paintAim draws the axis of a fixture to where it aims, and the edges of its beam.
func (m *setPicture) paintAim(c draw.Canvas, i int, v *setView) {
	f := &m.scene.Fixtures[i]
	to, aimed := m.aimIn(i, v)
	if !aimed {
		return
	}
	from := v.at(f.At)
	v.line(c, ink, 1.3, nil, from, to)
	for _, d := range []vg.Length{-5, 5} {
		c.StrokeLine2(draw.LineStyle{Color: ink, Width: 2.2}, to.X-5, to.Y-d, to.X+5, to.Y+d)
	}
	v.space.Take(canvas.Around(to, 7, 7))
	side := r3.Cross(v.along, f.Aim)
	if !(f.BeamDeg > 0 && f.BeamDeg < 160) || f.Kind.Shapes() || r3.Norm(side) < 0.3 {
		return
	}
	sin, cos := math.Sincos(f.BeamDeg / 2 * math.Pi / 180)
	for _, s := range []float64{-sin, sin} {
		edge := r3.Add(r3.Scale(cos, f.Aim), r3.Scale(s, r3.Unit(side)))
		v.line(c, ink, 1.3, []vg.Length{4, 3}, from, v.at(r3.Add(f.At, r3.Scale(50/m.perMeter, edge))))
	}
}

// paintCamera marks the side of the camera below the plan.
func (m *setPicture) paintCamera(c draw.Canvas, v *setView) {
	s := style(m.look.label, false, gray, draw.XLeft, draw.YCenter)
	at := vg.Point{X: m.above(r3.Vec{X: m.middle}).X, Y: m.data.Min.Y - vg.Length(m.look.gap)} // off a lamp there
	paintMarker(c, upward, at)
	drawWithHalo(c, s, at.Add(vg.Point{X: 14}), "camera side", paper, 0)
	v.space.Take(vg.Rectangle{Min: at.Sub(vg.Point{X: 10, Y: 9}), Max: at.Add(vg.Point{X: 14 + textWidth(s, "camera side"), Y: 9})})
}

// paintBefore draws where fixtures stood, and the way to where they stand.
func (m *setPicture) paintBefore(c draw.Canvas, v *setView) {
	for i := range m.opt.Before.Fixtures {
		before := &m.opt.Before.Fixtures[i]
		if i >= len(m.scene.Fixtures) || r3.Norm(r3.Sub(before.At, m.scene.Fixtures[i].At)) < 0.005 {
			continue
		}
		from := v.at(before.At)
		v.line(c, gray, 1.3, []vg.Length{2, 4}, from, v.at(m.scene.Fixtures[i].At))
		v.space.Take(canvas.Around(from, numberRadius, numberRadius))
		fill(c, circle(from, numberRadius), gray)
		fill(c, circle(from, numberRadius-1.6), paper)
		drawWithHalo(c, style(m.look.label, false, gray, draw.XCenter, draw.YCenter), from, m.numbers[i], paper, 0)
	}
}

// paintFloor draws the floor of the elevation and the stands on it.
func (m *setPicture) paintFloor(c draw.Canvas, v *setView) {
	y := m.front(r3.Vec{Y: m.floor}).Y
	v.line(c, gray, 1.6, nil, vg.Point{X: 6, Y: y}, vg.Point{X: vg.Length(m.width) - 6, Y: y})
	name := either(m.opt.FloorY == nil, "lower edge; floor not on file", "floor")
	drawWithHalo(c, style(m.look.label, false, gray, draw.XLeft, draw.YCenter), vg.Point{X: 6, Y: y - 14}, name, paper, 0)
	for i := range m.scene.Fixtures {
		q := m.front(m.scene.Fixtures[i].At)
		v.line(c, standColor, 1.6, nil, vg.Point{X: q.X, Y: y}, q)
	}
}

var standColor = color.RGBA{0xb4, 0xb4, 0xb4, 255}

// paintSurface draws the surface: edge-on from above, its whole face in the elevation. It
// returns a label that says how wide it is, or how high above the floor.
func (m *setPicture) paintSurface(c draw.Canvas, v *setView) (l setLabel) {
	b, a := m.opt.Surface, m.opt.Area
	if b == nil {
		return l
	}
	shot := []vg.Length{9, 5}
	if v.along.Z == 0 {
		from, to := m.above(r3.Vec{X: b.X0}), m.above(r3.Vec{X: b.X1})
		c.StrokeLine2(draw.LineStyle{Color: ink, Width: 5}, from.X, from.Y, to.X, to.Y)
		v.space.Take(vg.Rectangle{Min: from.Sub(vg.Point{Y: 4}), Max: to.Add(vg.Point{Y: 4})})
		if a != nil {
			from, to := m.above(r3.Vec{X: a.X0}), m.above(r3.Vec{X: a.X1})
			v.line(c, ink, 2, shot, from.Add(vg.Point{Y: 8}), to.Add(vg.Point{Y: 8}))
		}
		return setLabel{lines: []string{"surface " + m.length(b.Width())}, at: from}
	}
	v.line(c, ink, 1.6, nil, closedOutline(vg.Rectangle{Min: m.front(r3.Vec{X: b.X0, Y: b.Y0}), Max: m.front(r3.Vec{X: b.X1, Y: b.Y1})})...)
	if a != nil {
		v.line(c, ink, 2.6, shot, closedOutline(vg.Rectangle{Min: m.front(r3.Vec{X: a.X0, Y: a.Y0}), Max: m.front(r3.Vec{X: a.X1, Y: a.Y1})})...)
	}
	if clear := b.Y0 - m.floor; clear >= 0.005 {
		l = setLabel{lines: []string{m.bare(clear) + " clear"}, at: m.front(r3.Vec{X: b.X1, Y: m.floor + clear/2})}
	}
	return l
}

// paintFace draws the face of a panel, frame, bounce, flag or net as it is seen.
func (m *setPicture) paintFace(c draw.Canvas, f *plan.Fixture, v *setView) {
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
		path = append(path, v.at(p))
	}
	c.FillPolygon(inner, path)
	v.line(c, clr, 2.4, nil, append(path, path[0])...)
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
