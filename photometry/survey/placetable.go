package survey

import (
	"math"
	"math/bits"
)

// placeTable numbers places by their exact position: an open-addressed hash
// table, since a map of a million positions costs several times its memory.
type placeTable struct {
	x, y  []float64
	slots []int32 // index + 1 of a place, 0 for none
	shift uint
}

func newPlaceTable(x, y []float64, expected int) *placeTable {
	size := bits.Len(uint(2*expected + 16))
	return &placeTable{x: x, y: y, slots: make([]int32, 1<<size), shift: uint(64 - size)}
}

func (t *placeTable) slot(x, y float64) uint64 {
	h := math.Float64bits(x+0)*0x9e3779b97f4a7c15 ^ bits.RotateLeft64(math.Float64bits(y+0)*0xc2b2ae3d27d4eb4f, 31)
	return (h * 0x9e3779b97f4a7c15) >> t.shift
}

// find is the first index at the position of i among those added, or -1 after
// adding i itself.
func (t *placeTable) find(i int) int {
	x, y := t.x[i], t.y[i]
	for at := t.slot(x, y); ; at = (at + 1) & uint64(len(t.slots)-1) {
		j := t.slots[at]
		if j == 0 {
			t.slots[at] = int32(i + 1)
			return -1
		}
		if t.x[j-1] == x && t.y[j-1] == y {
			return int(j - 1)
		}
	}
}
