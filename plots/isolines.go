package plots

import "math"

// isolines traces the lines along which a mesh has a value. Each is a chain of points
// with the higher values on its left; a closed one ends where it began.
func (m *mesh) isolines(value float64) (lines [][]point) {
	for _, ring := range m.rings(value) {
		// Start behind a place at the border, so that no line is cut in two.
		start := 0
		for i, c := range ring {
			if c.border {
				start = i
			}
		}
		var line []point
		for i := range len(ring) + 1 {
			c := ring[(start+i)%len(ring)]
			if !c.border {
				line = append(line, c.point)
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

// crossing is a point of the border of a region: of an isoline, or of the border of
// the mesh or of a hole in it.
type crossing struct {
	point
	border bool
}

// rings traces the borders of the part of a mesh whose values are at least a value, by
// marching squares; the mean of the four corners decides saddles. Outer borders run
// counterclockwise, those of holes clockwise. What is outside the mesh, or missing,
// is below every value.
func (m *mesh) rings(value float64) (out [][]crossing) {
	t := tracer{mesh: m.surrounded(), value: value, next: map[edge]edge{}}
	for j := range len(t.mesh.ys) - 1 {
		for i := range len(t.mesh.xs) - 1 {
			t.square(i, j)
		}
	}
	done := make(map[edge]bool, len(t.next))
	for _, first := range t.order {
		var ring []crossing
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
func (m *mesh) surrounded() *mesh {
	around := func(lines []float64) []float64 {
		return append(append([]float64{lines[0]}, lines...), lines[len(lines)-1])
	}
	out := newMesh(around(m.xs), around(m.ys))
	nx := len(out.xs)
	for k := range out.z {
		out.z[k] = math.Inf(-1)
		if i, j := k%nx-1, k/nx-1; i >= 0 && j >= 0 && i < len(m.xs) && j < len(m.ys) {
			if v := m.z[j*len(m.xs)+i]; v == v {
				out.z[k] = v
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
	mesh  *mesh
	value float64
	next  map[edge]edge
	order []edge // in the order found, so that the result does not vary
}

// square adds the pieces of line in one square. Going counterclockwise around it, a
// piece starts on a side that falls below the value and ends on one that rises.
func (t *tracer) square(i, j int) {
	nx := len(t.mesh.xs)
	k := j*nx + i
	z := [4]float64{t.mesh.z[k], t.mesh.z[k+1], t.mesh.z[k+nx+1], t.mesh.z[k+nx]}
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
func (t *tracer) place(e edge) crossing {
	m, nx := t.mesh, len(t.mesh.xs)
	k := int(e.j)*nx + int(e.i)
	other := k + 1
	if e.up {
		other = k + nx
	}
	c := crossing{point{m.xs[e.i], m.ys[e.j]}, math.IsInf(m.z[k], 0) || math.IsInf(m.z[other], 0)}
	part := 0.5
	if !c.border {
		part = (t.value - m.z[k]) / (m.z[other] - m.z[k])
	}
	if e.up {
		c.y += part * (m.ys[e.j+1] - m.ys[e.j])
	} else {
		c.x += part * (m.xs[e.i+1] - m.xs[e.i])
	}
	return c
}
