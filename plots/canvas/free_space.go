package canvas

import (
	"iter"
	"math"
	"slices"

	"gonum.org/v1/plot/vg"
)

// FreeSpace is the part of a picture in which texts are placed, with the boxes that
// are taken and those of lines, which a text crosses only where it has to. All lengths
// are those of the picture (vg.Length).
type FreeSpace struct {
	Within       vg.Rectangle
	Frames       []vg.Rectangle // of heavy lines, which are crossed last of all
	taken, lines boxes
}

// Take keeps texts off a box.
func (f *FreeSpace) Take(box vg.Rectangle) { f.taken.add(box) }

// IsTaken reports whether something is taken in a box.
func (f *FreeSpace) IsTaken(box vg.Rectangle) bool { return f.taken.meets(box) }

// beyond is how far outside of the space a line is kept, in pixels: one may lead to a place
// kilometers away.
const beyond = 400

// TakeLine keeps texts off a line through some points.
func (f *FreeSpace) TakeLine(points ...vg.Point) {
	near := vg.Rectangle{Min: f.Within.Min.Sub(vg.Point{X: beyond, Y: beyond}), Max: f.Within.Max.Add(vg.Point{X: beyond, Y: beyond})}
	for box := range pieces(near, points) {
		f.lines.add(box)
	}
}

// Along is the boxes, each about a piece of it, of a line through some points.
func Along(points ...vg.Point) []vg.Rectangle {
	all := vg.Length(math.Inf(1))
	return slices.Collect(pieces(Around(vg.Point{}, all, all), points))
}

// pieces are the boxes about the pieces of a line, those near a rectangle alone.
func pieces(near vg.Rectangle, points []vg.Point) iter.Seq[vg.Rectangle] {
	const apart = 6 // between boxes, in pixels
	return func(yield func(vg.Rectangle) bool) {
		for i := 1; i < len(points); i++ {
			from, way := points[i-1], points[i].Sub(points[i-1])
			steps := math.Ceil(math.Hypot(float64(way.X), float64(way.Y)) / apart)
			first, last := partWithin(near, from, way)
			for k := math.Floor(first * steps); k < min(steps, math.Ceil(last*steps)); k++ {
				part := vg.Length((k + 0.5) / steps)
				if !yield(Around(from.Add(way.Scale(part)), max(way.X, -way.X)/vg.Length(2*steps)+1, max(way.Y, -way.Y)/vg.Length(2*steps)+1)) {
					return
				}
			}
		}
	}
}

// Clip is the part of a straight line that lies in a rectangle; some is false where it
// passes by. What is in it whole stays as it is.
func Clip(in vg.Rectangle, from, to vg.Point) (a, b vg.Point, some bool) {
	way := to.Sub(from)
	first, last := partWithin(in, from, way)
	a, b = from, to
	if first > 0 {
		a = from.Add(way.Scale(vg.Length(first)))
	}
	if last < 1 {
		b = from.Add(way.Scale(vg.Length(last)))
	}
	return a, b, first <= last
}

// partWithin is the part of a way, of 0 to 1, that lies in a rectangle; none where last is
// before first.
func partWithin(in vg.Rectangle, from, way vg.Point) (first, last float64) {
	first, last = within(float64(from.X), float64(way.X), float64(in.Min.X), float64(in.Max.X))
	low, high := within(float64(from.Y), float64(way.Y), float64(in.Min.Y), float64(in.Max.Y))
	return max(first, low), min(last, high)
}

// within is the part of a way, of 0 to 1, that lies between two bounds; none where last is
// before first.
func within(from, way, low, high float64) (first, last float64) {
	if way == 0 {
		if from < low || from > high {
			return 1, 0
		}
		return 0, 1
	}
	a, b := (low-from)/way, (high-from)/way
	return max(0, min(a, b)), min(1, max(a, b))
}

// Find is the first center about which a box of half a size overlaps nothing taken and no
// line, else the one about which it overlaps the least of what is taken, then of lines;
// free is false where something is taken there.
func (f *FreeSpace) Find(half vg.Point, centers ...vg.Point) (at vg.Point, free bool) {
	least, fewest := math.Inf(1), math.Inf(1)
	for _, p := range centers {
		box := Around(p, half.X, half.Y)
		cost, crossed := f.taken.overlap(box), f.lines.overlap(box)+10*Overlaps(box, f.Frames)
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
