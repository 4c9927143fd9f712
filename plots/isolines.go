package plots

// isolines traces the lines along which a mesh has a value, by marching squares;
// the mean of the four corners decides saddles. Each line is a chain of points; a
// closed one ends where it began. Squares with a missing corner are skipped, which
// the plot library's contours cannot do.
func (m *mesh) isolines(value float64) [][]point {
	t := tracer{mesh: m, value: value, next: map[edge][2]edge{}}
	for j := range len(m.ys) - 1 {
		for i := range len(m.xs) - 1 {
			t.square(i, j)
		}
	}
	return t.chains()
}

// edge is a side of a square: the one that runs right (or up) from a crossing.
type edge struct {
	i, j int32
	up   bool
}

// nowhere marks the end of a chain.
var nowhere = edge{-1, -1, false}

// tracer links the pieces of a line through the edges that they share. Each
// edge is shared by two squares, so it has at most two pieces.
type tracer struct {
	mesh  *mesh
	value float64
	next  map[edge][2]edge
	order []edge // in the order found, so that the result does not vary
}

// square adds the pieces of line in one square.
func (t *tracer) square(i, j int) {
	nx := len(t.mesh.xs)
	k := j*nx + i
	z := [4]float64{t.mesh.z[k], t.mesh.z[k+1], t.mesh.z[k+nx+1], t.mesh.z[k+nx]}
	index := 0
	for c, v := range z {
		if v != v {
			return
		}
		if v >= t.value {
			index |= 1 << c
		}
	}
	if index == 0 || index == 15 {
		return
	}
	a, b := int32(i), int32(j)
	// Sides: bottom, right, top, left.
	side := [4]edge{{a, b, false}, {a + 1, b, true}, {a, b + 1, false}, {a, b, true}}
	var crossed []int
	for n := range side {
		if (index>>n)&1 != (index>>((n+1)%4))&1 {
			crossed = append(crossed, n)
		}
	}
	if len(crossed) == 2 {
		t.link(side[crossed[0]], side[crossed[1]])
		return
	}
	high := (z[0]+z[1]+z[2]+z[3])/4 >= t.value
	if high == (index&1 == 1) {
		// The lower left corner is joined to the upper right one.
		t.link(side[0], side[1])
		t.link(side[2], side[3])
	} else {
		t.link(side[3], side[0])
		t.link(side[1], side[2])
	}
}

func (t *tracer) link(a, b edge) {
	for _, pair := range [2][2]edge{{a, b}, {b, a}} {
		ends, seen := t.next[pair[0]]
		if !seen {
			ends = [2]edge{nowhere, nowhere}
			t.order = append(t.order, pair[0])
		}
		if ends[0] == nowhere {
			ends[0] = pair[1]
		} else {
			ends[1] = pair[1]
		}
		t.next[pair[0]] = ends
	}
}

// chains follows the links, first from ends at a border, then around loops.
func (t *tracer) chains() [][]point {
	done := make(map[edge]bool, len(t.next))
	var out [][]point
	walk := func(from edge) {
		chain := []point{t.place(from)}
		done[from] = true
		at := from
		for {
			ends := t.next[at]
			to := ends[0]
			if to == nowhere || done[to] {
				to = ends[1]
			}
			if to == nowhere || done[to] {
				if len(chain) > 2 && (ends[0] == from || ends[1] == from) {
					chain = append(chain, chain[0])
				}
				break
			}
			chain = append(chain, t.place(to))
			done[to] = true
			at = to
		}
		out = append(out, chain)
	}
	for _, e := range t.order {
		if !done[e] && t.next[e][1] == nowhere {
			walk(e)
		}
	}
	for _, e := range t.order {
		if !done[e] {
			walk(e)
		}
	}
	return out
}

// place is the point where the line crosses an edge.
func (t *tracer) place(e edge) point {
	m, nx := t.mesh, len(t.mesh.xs)
	k := int(e.j)*nx + int(e.i)
	other := k + 1
	if e.up {
		other = k + nx
	}
	part := (t.value - m.z[k]) / (m.z[other] - m.z[k])
	p := point{m.xs[e.i], m.ys[e.j]}
	if e.up {
		p.y += part * (m.ys[e.j+1] - m.ys[e.j])
	} else {
		p.x += part * (m.xs[e.i+1] - m.xs[e.i])
	}
	return p
}
