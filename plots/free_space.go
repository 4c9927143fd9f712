package plots

import (
	"math"

	"gonum.org/v1/plot/vg"
)

// freeSpace is the part of a picture in which texts are placed, with the boxes that
// are taken and those of lines, which a text crosses only where it has to.
type freeSpace struct {
	within       vg.Rectangle
	taken, lines []vg.Rectangle
	frames       []vg.Rectangle // those of heavy lines, crossed last of all
}

func (f *freeSpace) take(box vg.Rectangle) { f.taken = append(f.taken, box) }

// takeLine keeps texts off a line through some points.
func (f *freeSpace) takeLine(points ...vg.Point) {
	const apart = 6 // between boxes, in pixels
	for i := 1; i < len(points); i++ {
		from, way := points[i-1], points[i].Sub(points[i-1])
		steps := math.Ceil(math.Hypot(float64(way.X), float64(way.Y)) / apart)
		for k := range int(steps) {
			part := vg.Length((float64(k) + 0.5) / steps)
			f.lines = append(f.lines, around(from.Add(way.Scale(part)), max(way.X, -way.X)/vg.Length(2*steps)+1, max(way.Y, -way.Y)/vg.Length(2*steps)+1))
		}
	}
}

// find is the box of half a size about the first center where nothing is taken and no
// line crosses, else about the one where it overlaps the least of what is taken, then of
// lines; free is false where something is taken there.
func (f *freeSpace) find(half vg.Point, centers ...vg.Point) (at vg.Point, free bool) {
	least, fewest := math.Inf(1), math.Inf(1)
	for _, p := range centers {
		box := around(p, half.X, half.Y)
		cost, crossed := overlaps(box, f.taken), overlaps(box, f.lines)+9*overlaps(box, f.frames)
		if overlap(box, f.within) < overlap(box, box)*(1-1e-9) {
			cost += 1e6 // outside
		}
		if cost < least || cost == least && crossed < fewest {
			least, fewest, at = cost, crossed, p
		}
		if cost == 0 && crossed == 0 {
			break
		}
	}
	return at, least == 0
}

// overlaps is the area that a rectangle shares with each of some.
func overlaps(box vg.Rectangle, others []vg.Rectangle) (sum float64) {
	for _, other := range others {
		sum += overlap(box, other)
	}
	return sum
}

// overlap is the area that two rectangles share.
func overlap(a, b vg.Rectangle) float64 {
	w := min(a.Max.X, b.Max.X) - max(a.Min.X, b.Min.X)
	h := min(a.Max.Y, b.Max.Y) - max(a.Min.Y, b.Min.Y)
	if w <= 0 || h <= 0 {
		return 0
	}
	return float64(w * h)
}
