package plots

import (
	"slices"

	"gonum.org/v1/gonum/floats"

	"evenfall/photometry/spatial"
)

// mesh is values at the nodes of a rectilinear grid: row by row from the bottom,
// NaN where missing. Between the nodes it is bilinear.
type mesh struct {
	xs, ys []float64 // m, ascending
	z      []float64
	holes  bool // some value is absent
}

func newMesh(xs, ys []float64) *mesh {
	return &mesh{xs: xs, ys: ys, z: make([]float64, len(xs)*len(ys))}
}

// evenlySpaced is n evenly spaced numbers from a to b.
func evenlySpaced(a, b float64, n int) []float64 { return floats.Span(make([]float64, n), a, b) }

// binCenters is the centers of n equal bins from a to b.
func binCenters(a, b float64, n int) []float64 {
	half := (b - a) / float64(2*n)
	return evenlySpaced(a+half, b-half, n)
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

// extendedTo is the mesh with one more line on each side where its outer lines are
// inside a box, so that values at the centers of bins extend to the border.
func (m *mesh) extendedTo(box spatial.Box) *mesh {
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
	xs, fromX := stretch(m.xs, box.X0, box.X1)
	ys, fromY := stretch(m.ys, box.Y0, box.Y1)
	out := newMesh(xs, ys)
	out.holes = m.holes
	for j, fj := range fromY {
		for i, fi := range fromX {
			out.z[j*len(xs)+i] = m.z[fj*len(m.xs)+fi]
		}
	}
	return out
}

// meanAbout is the mean of the values at a node and next to it, those on its own line
// or column with a weight, the others with 1; NaN where all are missing.
func (m *mesh) meanAbout(k int, own float64) float64 {
	nx, ny := len(m.xs), len(m.ys)
	i, j := k%nx, k/nx
	sum, weight := 0.0, 0.0
	for dj := max(j-1, 0); dj <= min(j+1, ny-1); dj++ {
		for di := max(i-1, 0); di <= min(i+1, nx-1); di++ {
			v := m.z[dj*nx+di]
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

// sample is the value at a position; ok is false where it is missing.
func (m *mesh) sample(x, y float64) (value float64, ok bool) {
	c := axisPositionOf(m.xs, x)
	r := axisPositionOf(m.ys, y)
	nx := len(m.xs)
	z := func(i, j int) float64 { return m.z[j*nx+i] }
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

// negated is a copy with the sign of each value turned.
func (m *mesh) negated() *mesh {
	out := &mesh{xs: m.xs, ys: m.ys, z: slices.Clone(m.z), holes: m.holes}
	floats.Scale(-1, out.z)
	return out
}

// fillSingleGaps replaces a missing value by the mean of its two neighbors left and
// right, or above and below, where both are present, and counts these. It uses only
// the original values, so that it closes gaps of one and never extends the outline.
func (m *mesh) fillSingleGaps() (filled int) {
	if !m.holes {
		return 0
	}
	nx, ny := len(m.xs), len(m.ys)
	old := slices.Clone(m.z)
	m.holes = false
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
			m.holes = true
			continue
		}
		m.z[k] = sum / n
		filled++
	}
	return filled
}

// smoothed is a copy in which each value is the mean of itself and its neighbors,
// with weights 1, 2, 1 in each direction, for isolines through means of noisy
// readings. Missing values stay missing.
func (m *mesh) smoothed() *mesh {
	out := &mesh{xs: m.xs, ys: m.ys, z: slices.Clone(m.z), holes: m.holes}
	for k, v := range m.z {
		if v == v {
			out.z[k] = m.meanAbout(k, 2)
		}
	}
	return out
}
