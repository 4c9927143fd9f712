package plan

import (
	"iter"
	"math"
	"sync"
	"sync/atomic"

	"gonum.org/v1/gonum/spatial/r3"
)

// grid is what leaves a sheet, on cells that halve from level to level. Each is
// filled when it is first asked for: a receiver looks closely at few of them.
type grid struct {
	nx, ny int // cells of level 0
	fill   func(p r3.Vec, t *tally) float64
	of     *sheet
	effort *effort // that filling a cell is added to; nil for none
	levels [deepest]*level
	// sums are coarser ones, for a receiver far off: each cell the sum of four of the
	// level before, the first of them of level 0.
	sums []*level
}

// level is the cells of one size, row by row, each nil until it is filled.
type level struct {
	once  sync.Once
	cells []atomic.Pointer[cell]
}

// deepest is how many levels of cells there are.
const deepest = 6

func newGrid(of *sheet, nx, ny int, fill func(p r3.Vec, t *tally) float64) *grid {
	g := &grid{nx: nx, ny: ny, fill: fill, of: of}
	for k := range g.levels {
		g.levels[k] = &level{}
	}
	return g
}

// halve makes level 1 the first one.
func (g *grid) halve() {
	g.nx, g.ny = 2*g.nx, 2*g.ny
	copy(g.levels[:], g.levels[1:])
	g.levels[deepest-1] = &level{}
}

// cell is a part of a sheet: four places and what leaves each, in lm.
type cell struct {
	center r3.Vec
	place  [4]r3.Vec
	lumens [4]float64
	total  float64 // lm
	even   bool    // its parts differ by less than a fiftieth
}

// count is how many cells across and up a level has, level the one itself.
func (g *grid) count(level int) (nx, ny int) {
	if level < 0 {
		return g.nx >> -level, g.ny >> -level
	}
	return g.nx << level, g.ny << level
}

func (g *grid) level(level int) *level {
	if level < 0 {
		return g.sums[-level-1]
	}
	return g.levels[level]
}

// fewCells is how many cells a side a receiver far off looks at, at least.
const fewCells = 16

// sumUp adds coarser levels to a grid of many cells.
func (g *grid) sumUp() {
	for nx, ny := g.nx, g.ny; max(nx, ny) > fewCells && nx%2 == 0 && ny%2 == 0; nx, ny = nx/2, ny/2 {
		g.sums = append(g.sums, &level{})
	}
}

// summed is a cell of a coarser level: its places are the middles of the light of the
// four cells that it holds.
func (g *grid) summed(level, i, j int) *cell {
	c := &cell{}
	for k := range c.place {
		part := g.cell(level+1, 2*i+k%2, 2*j+k/2)
		c.lumens[k], c.place[k] = part.total, part.center
		if part.total > 0 {
			var sum r3.Vec
			for n, p := range part.place {
				sum = r3.Add(sum, r3.Scale(part.lumens[n], p))
			}
			c.place[k] = r3.Scale(1/part.total, sum)
		}
		c.total += part.total
	}
	nx, ny := g.count(level)
	corners := g.outlineOf(i, j, g.of.w/float64(nx), g.of.h/float64(ny))
	c.center = r3.Scale(0.5, r3.Add(corners[0], corners[2]))
	return c
}

// cell is the one at column i and row j of a level. Two goroutines that need it
// at once both fill it, with the same figures.
func (g *grid) cell(level, i, j int) *cell {
	nx, ny := g.count(level)
	l := g.level(level)
	l.once.Do(func() { l.cells = make([]atomic.Pointer[cell], nx*ny) })
	at := &l.cells[j*nx+i]
	c := at.Load()
	if c == nil {
		var own tally
		if g.effort.over() {
			return &cell{}
		}
		if level < 0 {
			c = g.summed(level, i, j)
		} else {
			c = g.filled(&own, i, j, g.of.w/float64(nx), g.of.h/float64(ny))
		}
		if at.CompareAndSwap(nil, c) && g.effort != nil {
			g.effort.spent.Add(own.n)
		}
	}
	return c
}

// filled is the cell of w by h meters at column i and row j.
func (g *grid) filled(t *tally, i, j int, w, h float64) *cell {
	s, c := g.of, &cell{}
	u, v := float64(i)*w-s.w/2, float64(j)*h-s.h/2
	c.center = s.point(u+w/2, v+h/2)
	low, high := math.Inf(1), 0.0
	for j, b := range pair {
		for i, a := range pair {
			p := s.point(u+a*w, v+b*h)
			e := g.fill(p, t)
			low, high = math.Min(low, e), math.Max(high, e)
			c.place[2*j+i], c.lumens[2*j+i] = p, e*w*h/4
			c.total += c.lumens[2*j+i]
		}
	}
	c.even = low >= 0.98*high
	return c
}

// outlineOf is the corners of the cell of w by h meters at column i and row j.
func (g *grid) outlineOf(i, j int, w, h float64) [4]r3.Vec {
	s, u, v := g.of, float64(i)*w-g.of.w/2, float64(j)*h-g.of.h/2
	return [4]r3.Vec{s.point(u, v), s.point(u+w, v), s.point(u+w, v+h), s.point(u, v+h)}
}

// exitance is what leaves a place of a cell of w by h meters in lm/m², bilinear
// between its four places; from is the place seen from its first corner.
func (c *cell) exitance(from r3.Vec, w, h float64) float64 {
	along := func(x float64) float64 { return (x - pair[0]) / (pair[1] - pair[0]) }
	u, v := along(from.X/w), along(from.Y/h)
	return math.Max(0, 4/(w*h)*((1-v)*((1-u)*c.lumens[0]+u*c.lumens[1])+v*((1-u)*c.lumens[2]+u*c.lumens[3])))
}

// all are the cells of a level, row by row.
func (g *grid) all(level int) iter.Seq2[int, *cell] {
	return func(yield func(int, *cell) bool) {
		nx := g.nx << level
		for k := range nx * (g.ny << level) {
			if !yield(k, g.cell(level, k%nx, k/nx)) {
				return
			}
		}
	}
}
