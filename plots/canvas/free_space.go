package canvas

import (
	"math"
	"slices"

	"gonum.org/v1/plot/vg"
)

// FreeSpace is the part of a picture in which texts are placed, with the boxes that
// are taken and those of lines, which a text crosses only where it has to. All lengths
// are those of the picture (vg.Length).
type FreeSpace struct {
	Within       vg.Rectangle
	Taken, Lines []vg.Rectangle
	Frames       []vg.Rectangle // of heavy lines, which are crossed last of all
}

// Take keeps texts off a box.
func (f *FreeSpace) Take(box vg.Rectangle) { f.Taken = append(f.Taken, box) }

// IsTaken reports whether something is taken in a box.
func (f *FreeSpace) IsTaken(box vg.Rectangle) bool {
	return slices.ContainsFunc(f.Taken, func(taken vg.Rectangle) bool { return Overlap(box, taken) > 0 })
}

// TakeLine keeps texts off a line through some points.
func (f *FreeSpace) TakeLine(points ...vg.Point) { f.Lines = append(f.Lines, Along(points...)...) }

// Along is the boxes, each about a piece of it, of a line through some points.
func Along(points ...vg.Point) (boxes []vg.Rectangle) {
	const apart = 6 // between boxes, in pixels
	for i := 1; i < len(points); i++ {
		from, way := points[i-1], points[i].Sub(points[i-1])
		steps := math.Ceil(math.Hypot(float64(way.X), float64(way.Y)) / apart)
		for k := range int(steps) {
			part := vg.Length((float64(k) + 0.5) / steps)
			boxes = append(boxes, Around(from.Add(way.Scale(part)), max(way.X, -way.X)/vg.Length(2*steps)+1, max(way.Y, -way.Y)/vg.Length(2*steps)+1))
		}
	}
	return boxes
}

// Find is the first center about which a box of half a size overlaps nothing taken and no
// line, else the one about which it overlaps the least of what is taken, then of lines;
// free is false where something is taken there.
func (f *FreeSpace) Find(half vg.Point, centers ...vg.Point) (at vg.Point, free bool) {
	least, fewest := math.Inf(1), math.Inf(1)
	for _, p := range centers {
		box := Around(p, half.X, half.Y)
		cost, crossed := Overlaps(box, f.Taken), Overlaps(box, f.Lines)+10*Overlaps(box, f.Frames)
		if Overlap(box, f.Within) < Overlap(box, box)*(1-1e-9) {
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

// Overlaps is the area that a rectangle shares with each of some.
func Overlaps(box vg.Rectangle, others []vg.Rectangle) (sum float64) {
	for _, other := range others {
		sum += Overlap(box, other)
	}
	return sum
}

// Overlap is the area that two rectangles share.
func Overlap(a, b vg.Rectangle) float64 {
	w := min(a.Max.X, b.Max.X) - max(a.Min.X, b.Min.X)
	h := min(a.Max.Y, b.Max.Y) - max(a.Min.Y, b.Min.Y)
	if w <= 0 || h <= 0 {
		return 0
	}
	return float64(w * h)
}

// Around is the rectangle about a point, x to its left and right and y above and
// below it.
func Around(at vg.Point, x, y vg.Length) vg.Rectangle {
	half := vg.Point{X: x, Y: y}
	return vg.Rectangle{Min: at.Sub(half), Max: at.Add(half)}
}
