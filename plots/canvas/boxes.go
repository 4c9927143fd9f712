package canvas

import (
	"math"
	"slices"

	"gonum.org/v1/plot/vg"
)

// boxes are rectangles that are looked up by where they are: a picture can have thousands.
type boxes struct {
	all   []vg.Rectangle
	cells map[[2]int32][]int32 // by square of the picture; nil while there are few
	found []int32
}

const (
	fewBoxes = 128
	cellSide = 32 // pixels
)

func (b *boxes) add(box vg.Rectangle) {
	b.all = append(b.all, box)
	switch {
	case b.cells != nil:
		b.index(len(b.all) - 1)
	case len(b.all) > fewBoxes:
		b.cells = map[[2]int32][]int32{}
		for i := range b.all {
			b.index(i)
		}
	}
}

func (b *boxes) index(i int) {
	for cell := range cellsOf(b.all[i]) {
		b.cells[cell] = append(b.cells[cell], int32(i))
	}
}

// cellsOf are the squares in which a box is.
func cellsOf(box vg.Rectangle) func(yield func([2]int32) bool) {
	at := func(l vg.Length) int32 { return int32(math.Floor(float64(l) / cellSide)) }
	return func(yield func([2]int32) bool) {
		for x := at(box.Min.X); x <= at(box.Max.X); x++ {
			for y := at(box.Min.Y); y <= at(box.Max.Y); y++ {
				if !yield([2]int32{x, y}) {
					return
				}
			}
		}
	}
}

// meets reports whether a box overlaps one of them.
func (b *boxes) meets(box vg.Rectangle) bool {
	overlaps := func(other vg.Rectangle) bool { return Overlap(box, other) > 0 }
	if b.cells == nil {
		return slices.ContainsFunc(b.all, overlaps)
	}
	for cell := range cellsOf(box) {
		if slices.ContainsFunc(b.cells[cell], func(i int32) bool { return overlaps(b.all[i]) }) {
			return true
		}
	}
	return false
}

// overlap is the area that a box shares with each of them.
func (b *boxes) overlap(box vg.Rectangle) (sum float64) {
	if b.cells == nil {
		return Overlaps(box, b.all)
	}
	b.found = b.found[:0]
	for cell := range cellsOf(box) {
		b.found = append(b.found, b.cells[cell]...)
	}
	slices.Sort(b.found)
	for _, i := range slices.Compact(b.found) {
		sum += Overlap(box, b.all[i])
	}
	return sum
}
