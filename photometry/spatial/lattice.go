package spatial

import (
	"math"
	"slices"
	"sort"
)

// Lattice says that points stand in rows and columns, evenly spaced or not.
type Lattice struct {
	Xs, Ys []float64 // m, ascending
	// Index is the point at column c and row r (from the bottom) at
	// r*len(Xs)+c, or -1 where nothing was read.
	Index []int32
	Even  bool // equal steps within a thousandth
}

// FullLattice is the lattice of columns and rows with a point at each place, numbered
// row by row from the lower left.
func FullLattice(xs, ys []float64) *Lattice {
	l := &Lattice{Xs: xs, Ys: ys, Index: make([]int32, len(xs)*len(ys)), Even: even(xs) && even(ys)}
	for i := range l.Index {
		l.Index[i] = int32(i)
	}
	return l
}

// At is the index of the point in a column and row, both from the lower left,
// or -1.
func (l *Lattice) At(column, row int) int { return int(l.Index[row*len(l.Xs)+column]) }

// NearestIndex is the index of the entry of ascending nearest to v.
func NearestIndex(ascending []float64, v float64) int {
	high := min(sort.SearchFloat64s(ascending, v), len(ascending)-1)
	low := max(0, high-1)
	if v-ascending[low] <= ascending[high]-v {
		return low
	}
	return high
}

// FullEnough is the share of a lattice's places that must be there for points
// to count as rows and columns with gaps, not as scattered.
const FullEnough = 0.8

// FindLattice recognizes points in rows and columns. Positions that differ by
// under a millionth of the extent are one row or column. Index is left for
// Fill.
func FindLattice(x, y []float64) *Lattice {
	if l := SparseLattice(x, y); l != nil && float64(len(x)) >= FullEnough*float64(len(l.Xs))*float64(len(l.Ys)) {
		return l
	}
	return nil
}

// SparseLattice is FindLattice for points that are said to be in rows and columns,
// however few of the places are there.
func SparseLattice(x, y []float64) *Lattice {
	if len(x) < 2 {
		return nil
	}
	xs, okX := distinctSteps(x)
	ys, okY := distinctSteps(y)
	if !okX || !okY {
		return nil
	}
	l := &Lattice{Xs: xs, Ys: ys}
	l.Even = even(xs) && even(ys)
	return l
}

// distinctSteps are the distinct values, ascending; ok is false where there
// are too many for rows or columns of a lattice of so many points.
func distinctSteps(values []float64) (steps []float64, ok bool) {
	n := len(values)
	low, high := slices.Min(values), slices.Max(values)
	same := 1e-6 * (high - low)
	if n > 4096 {
		// A look at a few thousand tells scattered points apart cheaply.
		sample := make([]float64, 0, 4096)
		for i := 0; i < n; i += n / 4096 {
			sample = append(sample, values[i])
		}
		if few := merge(sample, same); len(few) > len(sample)/2 && len(sample) < n/2 {
			return nil, false
		}
	}
	steps = merge(slices.Clone(values), same)
	return steps, true
}

// merge sorts values and keeps one of each run closer than same.
func merge(values []float64, same float64) []float64 {
	slices.Sort(values)
	kept := values[:1]
	for _, v := range values[1:] {
		if v-kept[len(kept)-1] > same {
			kept = append(kept, v)
		}
	}
	return kept
}

// even reports whether steps are equal within a thousandth; places are usually
// typed to the millimeter, so a millimeter counts as equal too.
func even(at []float64) bool {
	if len(at) < 3 {
		return true
	}
	mean := (at[len(at)-1] - at[0]) / float64(len(at)-1)
	allowed := math.Max(1e-3*mean, math.Min(0.0011, 0.02*mean))
	for i, v := range at {
		if math.Abs(v-(at[0]+mean*float64(i))) > allowed {
			return false
		}
	}
	return true
}

// Fill sets Index from the points; it reports false where two points share a
// place.
func (l *Lattice) Fill(x, y []float64) bool {
	l.Index = make([]int32, len(l.Xs)*len(l.Ys))
	for i := range l.Index {
		l.Index[i] = -1
	}
	for i := range x {
		at := NearestIndex(l.Ys, y[i])*len(l.Xs) + NearestIndex(l.Xs, x[i])
		if l.Index[at] >= 0 {
			return false
		}
		l.Index[at] = int32(i)
	}
	return true
}

// Full reports whether every place of the lattice was read.
func (l *Lattice) Full() bool { return !slices.Contains(l.Index, -1) }

// Renumbered is the lattice with each point under its new number, and without those
// that have none; nil of nil.
func (l *Lattice) Renumbered(to map[int]int32) *Lattice {
	if l == nil {
		return nil
	}
	out := &Lattice{Xs: l.Xs, Ys: l.Ys, Even: l.Even, Index: make([]int32, len(l.Index))}
	for at, point := range l.Index {
		out.Index[at] = -1
		if k, ok := to[int(point)]; ok {
			out.Index[at] = k
		}
	}
	return out
}
