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

// between is where a coordinate lies among ascending lines: a fraction of the way from line
// i to the next; near is the closer of the two. Beyond the outer lines it is on the nearest.
func between(lines []float64, v float64) (i, near int, part float64) {
	i, _ = slices.BinarySearch(lines, v)
	i = max(0, min(i-1, len(lines)-2))
	part = max(0, min((v-lines[i])/(lines[i+1]-lines[i]), 1))
	if part > 0.5 {
		return i, i + 1, part
	}
	return i, i, part
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

// Sample is the value at a position; ok is false where it is missing.
func (m *Mesh) Sample(x, y float64) (value float64, ok bool) {
	i, nearX, right := between(m.Xs, x)
	j, nearY, up := between(m.Ys, y)
	nx := len(m.Xs)
	z := func(i, j int) float64 { return m.Z[j*nx+i] }
	own := z(nearX, nearY)
	if own != own {
		return 0, false
	}
	low := z(i, j) + (z(i, j+1)-z(i, j))*up
	high := z(i+1, j) + (z(i+1, j+1)-z(i+1, j))*up
	if v := low + (high-low)*right; v == v {
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
		pair := func(at, of, step int) {
			if at == 0 || at == of-1 {
				return
			}
			if v := old[k-step] + old[k+step]; v == v {
				sum, n = sum+v, n+2
			}
		}
		pair(k%nx, nx, 1)
		pair(k/nx, ny, nx)
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
	nx, ny := len(m.Xs), len(m.Ys)
	for k, v := range m.Z {
		if v != v {
			continue
		}
		sum, weight := 0.0, 0.0
		for j := max(k/nx-1, 0); j <= min(k/nx+1, ny-1); j++ {
			for i := max(k%nx-1, 0); i <= min(k%nx+1, nx-1); i++ {
				if v := m.Z[j*nx+i]; v == v {
					g := float64((2 - abs(i-k%nx)) * (2 - abs(j-k/nx)))
					sum, weight = sum+g*v, weight+g
				}
			}
		}
		out.Z[k] = sum / weight
	}
	return out
}

func abs(n int) int { return max(n, -n) }
