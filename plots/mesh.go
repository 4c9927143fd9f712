package plots

import (
	"image"
	"image/color"
	"math"
	"slices"
)

// mesh is values at the crossings of lines of x and y: row after row from the
// bottom, NaN where there is none. Between the crossings it is bilinear.
type mesh struct {
	xs, ys []float64 // m, ascending
	z      []float64
	holes  bool // some value is absent
}

func newMesh(xs, ys []float64) *mesh {
	return &mesh{xs: xs, ys: ys, z: make([]float64, len(xs)*len(ys))}
}

// even is n numbers from a to b.
func even(a, b float64, n int) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = a + (b-a)*float64(i)/float64(n-1)
	}
	return out
}

// middles is the centers of n equal parts of a to b.
func middles(a, b float64, n int) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = a + (b-a)*(float64(i)+0.5)/float64(n)
	}
	return out
}

// station is where a coordinate lies on a mesh's lines: between line i and the
// next, a fraction of the way; near is the closer of the two.
type station struct {
	i    int
	part float64
	near int
}

// stations finds each of n pixels along an axis that runs from a to b on
// ascending lines. Pixels beyond the outer lines take the nearest place on
// them.
func stations(lines []float64, a, b float64, n int) []station {
	out := make([]station, n)
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
		out[p] = station{i, part, near}
	}
	return out
}

// reaching is the mesh with a line more on each side where its outer lines lie
// inside a box, so that values at the middles of bins reach to the border.
func (m *mesh) reaching(x0, y0, x1, y1 float64) *mesh {
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
	xs, fromX := stretch(m.xs, x0, x1)
	ys, fromY := stretch(m.ys, y0, y1)
	out := newMesh(xs, ys)
	out.holes = m.holes
	for j, fj := range fromY {
		for i, fi := range fromX {
			out.z[j*len(xs)+i] = m.z[fj*len(m.xs)+fi]
		}
	}
	return out
}

// bridged is the values with those next to a hole carried into it, by the mean
// of what is around, so that colors run on to the edge of what was read.
func (m *mesh) bridged() []float64 {
	if !m.holes {
		return m.z
	}
	nx, ny := len(m.xs), len(m.ys)
	out := slices.Clone(m.z)
	for k, v := range m.z {
		if v == v {
			continue
		}
		i, j := k%nx, k/nx
		sum, n := 0.0, 0.0
		for dj := max(j-1, 0); dj <= min(j+1, ny-1); dj++ {
			for di := max(i-1, 0); di <= min(i+1, nx-1); di++ {
				if v := m.z[dj*nx+di]; v == v {
					sum, n = sum+v, n+1
				}
			}
		}
		if n > 0 {
			out[k] = sum / n
		}
	}
	return out
}

// paint draws the mesh over a box in meters as an image of w by h pixels, with
// the colors of a palette from Min to Max of the scale. Places nearest to an
// absent value take the color of the surroundings.
func (m *mesh) paint(x0, y0, x1, y1 float64, w, h int, scale Scale, around color.Color) *image.Paletted {
	palette := append(color.Palette(PaletteOf(scale.Kind).Colors()), around)
	img := image.NewPaletted(image.Rect(0, 0, w, h), palette)
	columns, rows := stations(m.xs, x0, x1, w), stations(m.ys, y1, y0, h)
	nx := len(m.xs)
	line := make([]float64, nx) // the mesh's values along one row of pixels
	gain := (shades - 1) / (scale.Max - scale.Min)
	z := m.bridged()
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
					pixels[px] = shades
					continue
				}
			}
			at := (v-scale.Min)*gain + 0.5
			switch {
			case !(at > 0):
				pixels[px] = 0
			case at >= shades:
				pixels[px] = shades - 1
			default:
				pixels[px] = uint8(at)
			}
		}
	}
	return img
}

// sample is the value at a place; ok is false in a hole.
func (m *mesh) sample(x, y float64) (value float64, ok bool) {
	c := stations(m.xs, x, x, 1)[0]
	r := stations(m.ys, y, y, 1)[0]
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

// fillBetween gives an absent value the mean of its two neighbors left and
// right, or above and below, where both are there, and counts them. It looks
// at what was there before only, so that it closes gaps of one and never
// grows the outline.
func (m *mesh) fillBetween() (filled int) {
	if !m.holes {
		return 0
	}
	nx, ny := len(m.xs), len(m.ys)
	old := slices.Clone(m.z)
	m.holes = false
	for j := range ny {
		for i := range nx {
			k := j*nx + i
			if old[k] == old[k] {
				continue
			}
			sum, n := 0.0, 0.0
			if i > 0 && i < nx-1 {
				if v := old[k-1] + old[k+1]; v == v {
					sum, n = sum+v, n+2
				}
			}
			if j > 0 && j < ny-1 {
				if v := old[k-nx] + old[k+nx]; v == v {
					sum, n = sum+v, n+2
				}
			}
			if n == 0 {
				m.holes = true
				continue
			}
			m.z[k] = sum / n
			filled++
		}
	}
	return filled
}

// softened is a copy in which each value is the mean of itself and its
// neighbors, weighted 1, 2, 1 each way. It serves lines of equal value through
// means of noisy readings; holes stay holes.
func (m *mesh) softened() *mesh {
	out := &mesh{xs: m.xs, ys: m.ys, z: make([]float64, len(m.z)), holes: m.holes}
	nx, ny := len(m.xs), len(m.ys)
	for j := range ny {
		for i := range nx {
			k := j*nx + i
			if m.z[k] != m.z[k] {
				out.z[k] = math.NaN()
				continue
			}
			sum, weight := 0.0, 0.0
			for dj := max(j-1, 0); dj <= min(j+1, ny-1); dj++ {
				for di := max(i-1, 0); di <= min(i+1, nx-1); di++ {
					v := m.z[dj*nx+di]
					if v != v {
						continue
					}
					g := 1.0
					if di == i {
						g *= 2
					}
					if dj == j {
						g *= 2
					}
					sum, weight = sum+g*v, weight+g
				}
			}
			out.z[k] = sum / weight
		}
	}
	return out
}
