package plots

import (
	"gonum.org/v1/plot/vg"
)

// hatch is diagonal lines over the part of the surface outside the outline of the
// readings. On a gray copy a gray fill could be taken for a value.
func (m *surfaceMap) hatch(r vg.Rectangle, at func(x, y float64) vg.Point) vg.Path {
	const apart = 13
	var polygon []point
	for _, q := range placed(m.field.outline, at) {
		polygon = append(polygon, point{float64(q.X), float64(q.Y)})
	}
	x0, y0, x1, y1 := float64(r.Min.X), float64(r.Min.Y), float64(r.Max.X), float64(r.Max.Y)
	frame := []point{{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}}
	var path vg.Path
	line := func(a, b point) {
		path.Move(vg.Point{X: vg.Length(a.x), Y: vg.Length(a.y)})
		path.Line(vg.Point{X: vg.Length(b.x), Y: vg.Length(b.y)})
	}
	h := y1 - y0
	for x := x0 - h + apart; x < x1; x += apart {
		a, b := point{x, y0}, point{x + h, y1}
		from, to, ok := clipToPolygon(frame, a, b)
		if !ok {
			continue
		}
		on := func(t float64) point { return point{a.x + t*(b.x-a.x), a.y + t*(b.y-a.y)} }
		in, out, ok := clipToPolygon(polygon, a, b)
		if !ok {
			in, out = to, to
		}
		if in > from {
			line(on(from), on(min(in, to)))
		}
		if out < to {
			line(on(max(out, from)), on(to))
		}
	}
	return path
}

// clipToPolygon is the part of the line from a to b inside a convex polygon
// (counterclockwise), as fractions of its length; ok is false for none.
// Cyrus and Beck, Computers & Graphics 3 (1978) 23–28.
func clipToPolygon(polygon []point, a, b point) (from, to float64, ok bool) {
	from, to = 0, 1
	for i, p := range polygon {
		q := polygon[(i+1)%len(polygon)]
		// The signed areas show on which side of this edge the two ends are.
		start, end := signedArea2(p, q, a), signedArea2(p, q, b)
		switch {
		case start < 0 && end < 0:
			return 0, 0, false
		case start < 0:
			from = max(from, start/(start-end))
		case end < 0:
			to = min(to, start/(start-end))
		}
	}
	return from, to, from < to
}
