package plots

import (
	"image"
	"image/color"
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

// axisPosition is the position of a coordinate among the lines of a mesh: a fraction
// of the way from line i to the next; near is the closer of the two.
type axisPosition struct {
	i    int
	part float64
	near int
}

// axisPositions finds each of n pixels from a to b among ascending lines. Pixels
// beyond the outer lines take the nearest line.
func axisPositions(lines []float64, a, b float64, n int) []axisPosition {
	out := make([]axisPosition, n)
	last := len(lines) - 1
	for p := range out {
		v := a + (b-a)*(float64(p)+0.5)/float64(n)
		i, _ := slices.BinarySearch(lines, v)
		i = max(0, min(i-1, last-1))
		part := (v - lines[i]) / (lines[i+1] - lines[i])
		part = max(0, min(part, 1))
		near := i
		if part > 0.5 {
			near++
		}
		out[p] = axisPosition{i, part, near}
	}
	return out
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

// fillEdges is the values with missing ones next to present ones filled by the mean
// of their neighbors, so that colors extend to the edge of the readings.
func (m *mesh) fillEdges() []float64 {
	if !m.holes {
		return m.z
	}
	out := slices.Clone(m.z)
	for k, v := range m.z {
		if v != v {
			out[k] = m.meanAbout(k, 1)
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

// paint draws the mesh over a box as an image of w by h pixels, with
// the colors of a palette from Min to Max of the scale. Pixels nearest to a missing
// value take the color around.
func (m *mesh) paint(box spatial.Box, w, h int, scale Scale, around color.Color) *image.Paletted {
	palette := append(color.Palette(PaletteOf(scale.Kind).Colors()), around)
	img := image.NewPaletted(image.Rect(0, 0, w, h), palette)
	columns, rows := axisPositions(m.xs, box.X0, box.X1, w), axisPositions(m.ys, box.Y1, box.Y0, h)
	nx := len(m.xs)
	line := make([]float64, nx) // the mesh's values along one row of pixels
	gain := (paletteSize - 1) / (scale.Max - scale.Min)
	z := m.fillEdges()
	for py, row := range rows {
		below, above := z[row.i*nx:][:nx], z[(row.i+1)*nx:][:nx]
		near := m.z[row.near*nx:][:nx]
		for i := range line {
			line[i] = below[i] + (above[i]-below[i])*row.part
		}
		pixels := img.Pix[py*img.Stride:][:w]
		for px := range pixels {
			c := &columns[px]
			v := line[c.i] + (line[c.i+1]-line[c.i])*c.part
			if m.holes {
				if own := near[c.near]; own != own {
					pixels[px] = paletteSize
					continue
				}
			}
			at := (v-scale.Min)*gain + 0.5
			switch {
			case !(at > 0):
				pixels[px] = 0
			case at >= paletteSize:
				pixels[px] = paletteSize - 1
			default:
				pixels[px] = uint8(at)
			}
		}
	}
	return img
}

// sample is the value at a position; ok is false where it is missing.
func (m *mesh) sample(x, y float64) (value float64, ok bool) {
	c := axisPositions(m.xs, x, x, 1)[0]
	r := axisPositions(m.ys, y, y, 1)[0]
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
