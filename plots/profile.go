package plots

import (
	"cmp"
	"math"
	"slices"
	"sort"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"evenfall/photometry/spatial"
	"evenfall/plots/mesh"
)

// profile is readings along one line: their places along it and their differences.
type profile struct {
	label     string // of the axis along the line, without unit
	along     []float64
	shot      [2]float64 // the part in shot along it, where there is one
	low, high float64    // of the axis of differences
	order     []int      // of the readings used for the curve, from one end to the other
}

// newProfile is the profile of a survey whose places lie on one line, nil where they
// are at one place.
func newProfile(c *mapValues, scale Scale) *profile {
	s := c.survey
	box, _ := spatial.BoxOf(s.X, s.Y)
	p := &profile{label: "x", along: s.X, low: scale.Low - scale.Step/2, high: scale.High + scale.Step/2}
	first, last := box.X0, box.X1
	if box.Height() > box.Width() {
		p.label, p.along, first, last = "y", s.Y, box.Y0, box.Y1
	}
	if !(last-first > 1e-9*max(1, math.Abs(first))) {
		return nil
	}
	if a := s.Area; a != nil {
		p.shot = either(p.label == "y", [2]float64{a.Y0, a.Y1}, [2]float64{a.X0, a.X1})
	}
	for i := range p.along {
		if v, ok := c.at(i); ok && c.inField(i) && finite(v) {
			p.order = append(p.order, i)
			p.low, p.high = min(p.low, v), max(p.high, v)
		}
	}
	slices.SortStableFunc(p.order, func(i, j int) int { return cmp.Compare(p.along[i], p.along[j]) })
	if len(p.order) < 2 {
		return nil
	}
	room := 0.1 * (p.high - p.low) // for the numbers, most of which are below
	p.low, p.high = p.low-3*room, p.high+2*room
	return p
}

// curve is the value at a place along the line, straight between the readings.
func (p *profile) curve(c *mapValues, x float64) float64 {
	k := 1 + sort.Search(len(p.order)-2, func(k int) bool { return x <= p.along[p.order[k+1]] })
	i, j := p.order[k-1], p.order[k]
	a, _ := c.at(i)
	b, _ := c.at(j)
	part := 0.5
	if p.along[j] > p.along[i] {
		part = max(0, min((x-p.along[i])/(p.along[j]-p.along[i]), 1))
	}
	return a + part*(b-a)
}

// paintProfile draws the readings over their places along the line: blank between the
// limits, solid where the curve is over them and hatched where it is under.
func (m *surfaceMap) paintProfile(c draw.Canvas) {
	p, mm := m.profile, m.look.millimeter
	from, to := p.along[p.order[0]], p.along[p.order[len(p.order)-1]]
	room := 0.06 * (to - from)
	size := m.data.Size()
	x := axis{from: from - room, to: to + room, label: p.label + " (" + lengthUnit(m.opt.Feet) + ")", ticks: lengthTicks(m.opt.Feet, size.X)}
	y := axis{from: p.low, to: p.high, label: kinds[m.kind].numbers, ticks: evenTicks(size.Y, 60, m.scale.Label)}
	if m.opt.Narrow {
		y.label = ""
	}
	drawAxes(c, m.data, x, y, func(drawn panel) {
		c, at := drawn.Canvas, drawn.at
		line := func(width vg.Length, dashes []vg.Length, points ...vg.Point) {
			c.StrokeLines(draw.LineStyle{Color: ink, Width: width, Dashes: dashes}, points)
		}
		out := &field{box: spatial.Box{X0: from, X1: to, Y0: p.low, Y1: p.high}}
		out.mesh = mesh.New(mesh.EvenlySpaced(from, to, 241), mesh.EvenlySpaced(p.low, p.high, 121))
		across := make([]float64, len(out.mesh.Xs))
		for i, x := range out.mesh.Xs {
			across[i] = p.curve(m.mapValues, x)
		}
		beyond := func(depth func(curve, y float64) float64) {
			for k := range out.mesh.Z {
				out.mesh.Z[k] = depth(across[k%len(across)], out.mesh.Ys[k/len(across)])
			}
		}
		beyond(func(curve, y float64) float64 { return min(curve-y, y-m.scale.High) })
		fillRings(c, out.mesh.Rings(0), classColor(m.kind, 1), at)
		beyond(func(curve, y float64) float64 { return min(y-curve, m.scale.Low-y) })
		fillRings(c, out.mesh.Rings(0), classColor(m.kind, -1), at)
		out.mesh = out.mesh.Negated()
		strokeHatch(c, out.hatch(0, vg.Rectangle{Min: at(from, p.low), Max: at(to, p.high)}, m.look.hatch))
		var limits, lines [][]vg.Point // that figures keep off, of limits last of all
		for _, limit := range []float64{m.scale.Low, m.scale.High} {
			from, to := at(x.from, limit), at(x.to, limit)
			line(0.55*mm, nil, from, to)
			for _, off := range []vg.Point{{Y: -0.7 * mm}, {Y: 0.7 * mm}} { // with the halo of figures
				limits = append(limits, []vg.Point{from.Add(off), to.Add(off)})
			}
		}
		var curve []vg.Point
		for _, i := range p.order {
			v, _ := m.at(i)
			curve = append(curve, at(p.along[i], v))
		}
		curve = outlined(curve)
		line(0.22*mm, nil, curve...)
		lines = append(lines, curve)
		if m.survey.Area != nil {
			for _, edge := range p.shot {
				line(0.7*mm, []vg.Length{2.4 * mm, 1.4 * mm}, at(edge, p.low), at(edge, p.high))
				lines = append(lines, []vg.Point{at(edge, p.low), at(edge, p.high)})
			}
		}
		lowest := p.low + 0.12*(p.high-p.low)                                                      // of what is far below, off the axis
		leftOut := func(x, y float64) vg.Point { return at(either(p.label == "y", y, x), lowest) } // it has no difference
		m.paintReadings(c, leftOut, func(i int) vg.Point {
			v, _ := m.at(i)
			return at(p.along[i], max(lowest, min(v, p.high)))
		}, limits, lines, nil)
	})
}
