package spatial

import (
	"cmp"
	"iter"
	"math"
	"slices"
)

// Places are points on a plane, in meters, with what is asked of them again and
// again. X and Y are taken as they are and must not change.
type Places struct {
	X, Y []float64
	Box  Box // around all of them; zero for none

	near *cells // in which neighbors are looked for; nil until they are asked for
}

// NewPlaces are the places of two columns of equal length.
func NewPlaces(x, y []float64) *Places {
	box, _ := BoxOf(x, y)
	return &Places{X: x, Y: y, Box: box}
}

// Len is how many places there are.
func (p *Places) Len() int { return len(p.X) }

// Spacing is the side of the square that each place has to itself in the box; for
// places in a line, the step between them. In meters.
func (p *Places) Spacing() float64 { return p.Box.Spacing(p.Len()) }

// distance from place i to place j in meters.
func (p *Places) distance(i, j int) float64 { return math.Hypot(p.X[j]-p.X[i], p.Y[j]-p.Y[i]) }

func (p *Places) cells() *cells {
	if p.near == nil {
		p.near = newCells(p, p.Box, 4)
	}
	return p.near
}

// Nearest are the k places nearest to place i, itself left out, nearest first;
// fewer where there are not so many.
func (p *Places) Nearest(i, k int) []int32 {
	c := p.cells()
	var found []neighbor
	for ring := 0; ring <= max(c.columns, c.rows); ring++ {
		for j := range c.ring(c.column(p.X[i]), c.row(p.Y[i]), ring) {
			if int(j) != i {
				found = nearer(found, neighbor{j, p.distance(i, int(j))}, k)
			}
		}
		if len(found) == k && found[k-1].distance <= c.beyond(ring) {
			break
		}
	}
	out := make([]int32, len(found))
	for at, n := range found {
		out[at] = n.place
	}
	return out
}

type neighbor struct {
	place    int32
	distance float64
}

// nearer takes a neighbor into the list of the k nearest, which is sorted.
func nearer(list []neighbor, n neighbor, k int) []neighbor {
	if len(list) == k && n.distance > list[k-1].distance {
		return list
	}
	at, _ := slices.BinarySearchFunc(list, n, func(a, b neighbor) int {
		return cmp.Or(cmp.Compare(a.distance, b.distance), cmp.Compare(a.place, b.place))
	})
	list = slices.Insert(list, at, n)
	return list[:min(k, len(list))]
}

// Within yields every place within a distance of a point, and some a little
// farther off.
func (p *Places) Within(x, y, distance float64) iter.Seq[int32] {
	return func(yield func(int32) bool) {
		c := p.cells()
		for row := c.row(y - distance); row <= c.row(y+distance); row++ {
			for column := c.column(x - distance); column <= c.column(x+distance); column++ {
				for _, i := range c.members(column, row) {
					if !yield(i) {
						return
					}
				}
			}
		}
	}
}

// Closest is the place closest to a point within a distance, or -1.
func (p *Places) Closest(x, y, within float64) int32 {
	best, found := within, int32(-1)
	for i := range p.Within(x, y, within) {
		if d := math.Hypot(p.X[i]-x, p.Y[i]-y); d <= best {
			best, found = d, i
		}
	}
	return found
}

// Groups yields all places in groups of neighbors, about so many in each.
func (p *Places) Groups(size int) iter.Seq[[]int32] { return newCells(p, p.Box, size).groups() }

// cells sort places into equal cells of a box by counting, so that the neighbors
// of a place are found without looking at all of them.
type cells struct {
	box           Box
	columns, rows int
	start         []int32 // of each cell in order; one more than there are cells
	order         []int32 // places, cell by cell
}

// newCells makes cells that hold about size places each on average.
func newCells(p *Places, box Box, size int) *cells {
	n := p.Len()
	count := max(1, n/size)
	aspect := 1.0
	if box.Width() > 0 && box.Height() > 0 {
		aspect = box.Width() / box.Height()
	}
	c := &cells{box: box}
	c.columns = max(1, min(count, int(math.Round(math.Sqrt(float64(count)*aspect)))))
	c.rows = max(1, count/c.columns)
	c.start = make([]int32, c.columns*c.rows+1)
	of := func(i int) int { return c.row(p.Y[i])*c.columns + c.column(p.X[i]) }
	for i := range n {
		c.start[of(i)+1]++
	}
	for k := 1; k < len(c.start); k++ {
		c.start[k] += c.start[k-1]
	}
	c.order = make([]int32, n)
	next := slices.Clone(c.start)
	for i := range n {
		k := of(i)
		c.order[next[k]] = int32(i)
		next[k]++
	}
	return c
}

// column and row place a coordinate; what lies outside counts to the border.
func (c *cells) column(x float64) int { return along(x-c.box.X0, c.box.Width(), c.columns) }
func (c *cells) row(y float64) int    { return along(y-c.box.Y0, c.box.Height(), c.rows) }

// along is in which of n equal parts of a length a position lies.
func along(at, length float64, n int) int {
	if length <= 0 {
		return 0
	}
	return max(0, min(n-1, int(at/length*float64(n))))
}

func (c *cells) members(column, row int) []int32 {
	k := row*c.columns + column
	return c.order[c.start[k]:c.start[k+1]]
}

// groups yields the places of each cell that has any.
func (c *cells) groups() iter.Seq[[]int32] {
	return func(yield func([]int32) bool) {
		for k := range c.columns * c.rows {
			if in := c.order[c.start[k]:c.start[k+1]]; len(in) > 0 && !yield(in) {
				return
			}
		}
	}
}

// ring yields the places of the cells that lie so many cells away from one.
func (c *cells) ring(column, row, away int) iter.Seq[int32] {
	return func(yield func(int32) bool) {
		for r := max(0, row-away); r <= min(c.rows-1, row+away); r++ {
			step := 2 * away // between the two sides of the ring
			if away == 0 || r == row-away || r == row+away {
				step = 1
			}
			for k := column - away; k <= column+away; k += step {
				if k < 0 || k >= c.columns {
					continue
				}
				for _, i := range c.members(k, r) {
					if !yield(i) {
						return
					}
				}
			}
		}
	}
}

// beyond is how far from a place all others lie at least that are not in the rings
// of cells around it, up to so many cells away.
func (c *cells) beyond(ring int) float64 {
	clear := math.Inf(1)
	if c.columns > 1 {
		clear = float64(ring) * c.box.Width() / float64(c.columns)
	}
	if c.rows > 1 {
		clear = min(clear, float64(ring)*c.box.Height()/float64(c.rows))
	}
	return clear
}
