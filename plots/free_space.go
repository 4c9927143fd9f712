package plots

import (
	"math"

	"gonum.org/v1/plot/vg"
)

// freeSpace is the part of a picture in which texts are placed, with the boxes that
// are taken.
type freeSpace struct {
	within vg.Rectangle
	taken  []vg.Rectangle
}

func (f *freeSpace) take(box vg.Rectangle) { f.taken = append(f.taken, box) }

// find is the box of half a size about the first center where nothing is taken, else
// about the one where it overlaps the least; free is false for that.
func (f *freeSpace) find(half vg.Point, centers ...vg.Point) (at vg.Point, free bool) {
	least := math.Inf(1)
	for _, p := range centers {
		box := around(p, half.X, half.Y)
		cost := 0.0
		for _, other := range f.taken {
			cost += overlap(box, other)
		}
		if overlap(box, f.within) < overlap(box, box)*(1-1e-9) {
			cost += 1e6 // outside
		}
		if cost < least {
			least, at = cost, p
		}
		if cost == 0 {
			break
		}
	}
	return at, least == 0
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
