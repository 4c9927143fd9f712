// Package mesh holds values between scattered readings: on a rectilinear mesh, through a
// thin-plate spline, with isolines and the outline of the readings. It draws nothing.
package mesh

import (
	"slices"

	"gonum.org/v1/gonum/floats"

	"evenfall/photometry/spatial"
)

// Mesh is values at the nodes of a rectilinear grid: row by row from the bottom,
// NaN where missing. Between the nodes it is bilinear.
type Mesh struct {
	Xs, Ys []float64 // m, ascending
	Z      []float64
	Holes  bool // some value is absent
}

// New is a mesh of zeros at the crossings of lines, ascending, in meters.
func New(xs, ys []float64) *Mesh {
	return &Mesh{Xs: xs, Ys: ys, Z: make([]float64, len(xs)*len(ys))}
}

// EvenlySpaced is n evenly spaced numbers from a to b.
func EvenlySpaced(a, b float64, n int) []float64 { return floats.Span(make([]float64, n), a, b) }

// BinCenters is the centers of n equal bins from a to b.
func BinCenters(a, b float64, n int) []float64 {
	half := (b - a) / float64(2*n)
	return EvenlySpaced(a+half, b-half, n)
}

// axisPosition is the position of a coordinate among ascending lines: a fraction of
// the way from line i to the next; near is the closer of the two. Beyond the outer
// lines it is on the nearest.
type axisPosition struct {
	i    int
	part float64
	near int
}

func axisPositionOf(lines []float64, v float64) axisPosition {
	i, _ := slices.BinarySearch(lines, v)
	i = max(0, min(i-1, len(lines)-2))
	part := max(0, min((v-lines[i])/(lines[i+1]-lines[i]), 1))
	near := i
	if part > 0.5 {
		near++
	}
	return axisPosition{i, part, near}
}

// ExtendedTo is the mesh with one more line on each side where its outer lines are
// inside a box, so that values at the centers of bins extend to the border.
func (m *Mesh) ExtendedTo(box spatial.Box) *Mesh {
	stretch := func(lines []float64, a, b float64) (longer []float64, from []int) {
		for i, v := range lines {
			if i == 0 && a < v {
				longer, from = append(longer, a), append(from, 0)
			}
			longer, from = append(longer, v), append(from, i)
			if i == len(lines)-1 && b > v {
				longer, from = append(longer, b), append(from, i)
			}
		}
		return longer, from
	}
	xs, fromX := stretch(m.Xs, box.X0, box.X1)
	ys, fromY := stretch(m.Ys, box.Y0, box.Y1)
	out := New(xs, ys)
	out.Holes = m.Holes
	for j, fj := range fromY {
		for i, fi := range fromX {
			out.Z[j*len(xs)+i] = m.Z[fj*len(m.Xs)+fi]
		}
	}
	return out
}

// meanAbout is the mean of the values at a node and next to it, those on its own line
// or column with a weight, the others with 1; NaN where all are missing.
func (m *Mesh) meanAbout(k int, own float64) float64 {
	nx, ny := len(m.Xs), len(m.Ys)
	i, j := k%nx, k/nx
	sum, weight := 0.0, 0.0
	for dj := max(j-1, 0); dj <= min(j+1, ny-1); dj++ {
		for di := max(i-1, 0); di <= min(i+1, nx-1); di++ {
			v := m.Z[dj*nx+di]
			if v != v {
				continue
			}
			g := 1.0
			if di == i {
				g *= own
			}
			if dj == j {
				g *= own
			}
			sum, weight = sum+g*v, weight+g
		}
	}
	return sum / weight
}

// Sample is the value at a position; ok is false where it is missing.
func (m *Mesh) Sample(x, y float64) (value float64, ok bool) {
	c := axisPositionOf(m.Xs, x)
	r := axisPositionOf(m.Ys, y)
	nx := len(m.Xs)
	z := func(i, j int) float64 { return m.Z[j*nx+i] }
	own := z(c.near, r.near)
	if own != own {
		return 0, false
	}
	low := z(c.i, r.i) + (z(c.i, r.i+1)-z(c.i, r.i))*r.part
	high := z(c.i+1, r.i) + (z(c.i+1, r.i+1)-z(c.i+1, r.i))*r.part
	if v := low + (high-low)*c.part; v == v {
		return v, true
	}
	return own, true
}

// Negated is a copy with the sign of each value turned.
func (m *Mesh) Negated() *Mesh {
	out := &Mesh{Xs: m.Xs, Ys: m.Ys, Z: slices.Clone(m.Z), Holes: m.Holes}
	floats.Scale(-1, out.Z)
	return out
}

// FillSingleGaps replaces a missing value by the mean of its two neighbors left and
// right, or above and below, where both are present, and counts these. It uses only
// the original values, so that it closes gaps of one and never extends the outline.
func (m *Mesh) FillSingleGaps() (filled int) {
	if !m.Holes {
		return 0
	}
	nx, ny := len(m.Xs), len(m.Ys)
	old := slices.Clone(m.Z)
	m.Holes = false
	for k, v := range old {
		if v == v {
			continue
		}
		sum, n := 0.0, 0.0
		between := func(at, of, step int) {
			if at == 0 || at == of-1 {
				return
			}
			if v := old[k-step] + old[k+step]; v == v {
				sum, n = sum+v, n+2
			}
		}
		between(k%nx, nx, 1)
		between(k/nx, ny, nx)
		if n == 0 {
			m.Holes = true
			continue
		}
		m.Z[k] = sum / n
		filled++
	}
	return filled
}

// Smoothed is a copy in which each value is the mean of itself and its neighbors,
// with weights 1, 2, 1 in each direction, for isolines through means of noisy
// readings. Missing values stay missing.
func (m *Mesh) Smoothed() *Mesh {
	out := &Mesh{Xs: m.Xs, Ys: m.Ys, Z: slices.Clone(m.Z), Holes: m.Holes}
	for k, v := range m.Z {
		if v == v {
			out.Z[k] = m.meanAbout(k, 2)
		}
	}
	return out
}
