package mesh

import "math"

// Isolines traces the lines along which a mesh has a value. Each is a chain of points
// with the higher values on its left; a closed one ends where it began.
func (m *Mesh) Isolines(value float64) (lines [][]Point) {
	for _, ring := range m.Rings(value) {
		// Start behind a place at the border, so that no line is cut in two.
		start := 0
		for i, c := range ring {
			if c.Border {
				start = i
			}
		}
		var line []Point
		for i := range len(ring) + 1 {
			c := ring[(start+i)%len(ring)]
			if !c.Border {
				line = append(line, c.Point)
				continue
			}
			if len(line) > 1 {
				lines = append(lines, line)
			}
			line = nil
		}
		if len(line) > 1 {
			lines = append(lines, line)
		}
	}
	return lines
}

// Crossing is a point of the border of a region: of an isoline, or of the border of
// the mesh or of a hole in it.
type Crossing struct {
	Point
	Border bool
}

// Rings traces the borders of the part of a mesh whose values are at least a value, by
// marching squares; the mean of the four corners decides saddles. Outer borders run
// counterclockwise, those of holes clockwise. What is outside the mesh, or missing,
// is below every value.
func (m *Mesh) Rings(value float64) (out [][]Crossing) {
	t := tracer{mesh: m.surrounded(), value: value, next: map[edge]edge{}}
	for j := range len(t.mesh.Ys) - 1 {
		for i := range len(t.mesh.Xs) - 1 {
			t.square(i, j)
		}
	}
	done := make(map[edge]bool, len(t.next))
	for _, first := range t.order {
		var ring []Crossing
		for e := first; !done[e]; e = t.next[e] {
			done[e] = true
			ring = append(ring, t.place(e))
		}
		if len(ring) > 2 {
			out = append(out, ring)
		}
	}
	return out
}

// surrounded is a mesh within a ring of nodes of −Inf at its border, where missing
// values are −Inf too.
func (m *Mesh) surrounded() *Mesh {
	around := func(lines []float64) []float64 {
		return append(append([]float64{lines[0]}, lines...), lines[len(lines)-1])
	}
	out := New(around(m.Xs), around(m.Ys))
	nx := len(out.Xs)
	for k := range out.Z {
		out.Z[k] = math.Inf(-1)
		if i, j := k%nx-1, k/nx-1; i >= 0 && j >= 0 && i < len(m.Xs) && j < len(m.Ys) {
			if v := m.Z[j*len(m.Xs)+i]; v == v {
				out.Z[k] = v
			}
		}
	}
	return out
}

// edge is a side of a square: the one that runs right (or up) from a node.
type edge struct {
	i, j int32
	up   bool
}

// tracer links the pieces of lines through the edges that they share.
type tracer struct {
	mesh  *Mesh
	value float64
	next  map[edge]edge
	order []edge // in the order found, so that the result does not vary
}

// square adds the pieces of line in one square. Going counterclockwise around it, a
// piece starts on a side that falls below the value and ends on one that rises.
func (t *tracer) square(i, j int) {
	nx := len(t.mesh.Xs)
	k := j*nx + i
	z := [4]float64{t.mesh.Z[k], t.mesh.Z[k+1], t.mesh.Z[k+nx+1], t.mesh.Z[k+nx]}
	high := func(corner int) bool { return z[corner%4] >= t.value }
	a, b := int32(i), int32(j)
	// Sides: bottom, right, top, left.
	side := [4]edge{{a, b, false}, {a + 1, b, true}, {a, b + 1, false}, {a, b, true}}
	saddle := high(0) == high(2) && high(1) == high(3) && high(0) != high(1)
	for n := range 4 {
		if !high(n) || high(n+1) {
			continue
		}
		end := n + 1
		if saddle && (z[0]+z[1]+z[2]+z[3])/4 < t.value {
			end = n + 3 // around the high corner rather than the low one
		}
		for high(end) || !high(end+1) {
			end++
		}
		t.next[side[n]] = side[end%4]
		t.order = append(t.order, side[n])
	}
}

// place is the point where the line crosses an edge.
func (t *tracer) place(e edge) Crossing {
	m, nx := t.mesh, len(t.mesh.Xs)
	k := int(e.j)*nx + int(e.i)
	other := k + 1
	if e.up {
		other = k + nx
	}
	c := Crossing{Point{m.Xs[e.i], m.Ys[e.j]}, math.IsInf(m.Z[k], 0) || math.IsInf(m.Z[other], 0)}
	part := 0.5
	if !c.Border {
		part = (t.value - m.Z[k]) / (m.Z[other] - m.Z[k])
	}
	if e.up {
		c.Y += part * (m.Ys[e.j+1] - m.Ys[e.j])
	} else {
		c.X += part * (m.Xs[e.i+1] - m.Xs[e.i])
	}
	return c
}
