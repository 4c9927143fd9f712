package spatial

import "math"

// Bins sorts points into equal cells of a box by counting, so that the
// neighbors of a place are found without looking at all points.
type Bins struct {
	box           Box
	columns, rows int
	start         []int32 // of each cell in order; one more than there are cells
	order         []int32 // point indices, cell by cell
}

// NewBins makes cells that hold about perCell points each on average.
func NewBins(x, y []float64, box Box, perCell int) *Bins {
	n := len(x)
	cells := max(1, n/perCell)
	aspect := 1.0
	if box.Width() > 0 && box.Height() > 0 {
		aspect = box.Width() / box.Height()
	}
	b := &Bins{box: box}
	b.columns = max(1, min(cells, int(math.Round(math.Sqrt(float64(cells)*aspect)))))
	b.rows = max(1, cells/b.columns)
	b.start = make([]int32, b.columns*b.rows+1)
	for i := range n {
		b.start[b.cell(x[i], y[i])+1]++
	}
	for c := 1; c < len(b.start); c++ {
		b.start[c] += b.start[c-1]
	}
	b.order = make([]int32, n)
	next := make([]int32, len(b.start)-1)
	copy(next, b.start)
	for i := range n {
		c := b.cell(x[i], y[i])
		b.order[next[c]] = int32(i)
		next[c]++
	}
	return b
}

// column and row place a coordinate; what lies outside counts to the border.
func (b *Bins) column(x float64) int {
	if b.box.Width() <= 0 {
		return 0
	}
	return max(0, min(b.columns-1, int((x-b.box.X0)/b.box.Width()*float64(b.columns))))
}

func (b *Bins) row(y float64) int {
	if b.box.Height() <= 0 {
		return 0
	}
	return max(0, min(b.rows-1, int((y-b.box.Y0)/b.box.Height()*float64(b.rows))))
}

func (b *Bins) cell(x, y float64) int { return b.row(y)*b.columns + b.column(x) }

func (b *Bins) Members(cell int) []int32 { return b.order[b.start[cell]:b.start[cell+1]] }

// Nearest appends to out the k points nearest to point i, itself left out,
// nearest first.
func (b *Bins) Nearest(x, y []float64, i, k int, out []int32) []int32 {
	out = out[:0]
	cx, cy := b.column(x[i]), b.row(y[i])
	cw, ch := b.box.Width()/float64(b.columns), b.box.Height()/float64(b.rows)
	distance := func(j int32) float64 {
		return math.Hypot(x[j]-x[i], y[j]-y[i])
	}
	for ring := 0; ring <= max(b.columns, b.rows); ring++ {
		for r := cy - ring; r <= cy+ring; r++ {
			for c := cx - ring; c <= cx+ring; c++ {
				onRing := r == cy-ring || r == cy+ring || c == cx-ring || c == cx+ring
				if !onRing || r < 0 || c < 0 || r >= b.rows || c >= b.columns {
					continue
				}
				for _, j := range b.Members(r*b.columns + c) {
					if int(j) == i {
						continue
					}
					// Insertion into the short sorted list.
					d := distance(j)
					at := len(out)
					for at > 0 && (distance(out[at-1]) > d || (distance(out[at-1]) == d && out[at-1] > j)) {
						at--
					}
					if at == k {
						continue
					}
					if len(out) < k {
						out = append(out, 0)
					}
					copy(out[at+1:], out[at:])
					out[at] = j
				}
			}
		}
		// Nothing outside this ring is nearer than its inner distance.
		if len(out) == k {
			clear := math.Inf(1)
			if b.columns > 1 {
				clear = min(clear, float64(ring)*cw)
			}
			if b.rows > 1 {
				clear = min(clear, float64(ring)*ch)
			}
			if distance(out[k-1]) <= clear {
				break
			}
		}
	}
	return out
}

// Within calls f with every point of the cells that lie within a distance of a
// place, those a little farther off among them.
func (b *Bins) Within(x, y, distance float64, f func(i int32)) {
	for r := b.row(y - distance); r <= b.row(y+distance); r++ {
		for c := b.column(x - distance); c <= b.column(x+distance); c++ {
			for _, i := range b.Members(r*b.columns + c) {
				f(i)
			}
		}
	}
}

// Closest is the point nearest to a place within a distance, or -1.
func (b *Bins) Closest(x, y []float64, px, py, within float64) int32 {
	best, found := within, int32(-1)
	b.Within(px, py, within, func(i int32) {
		if d := math.Hypot(x[i]-px, y[i]-py); d <= best {
			best, found = d, i
		}
	})
	return found
}

// Cells is how many cells there are.
func (b *Bins) Cells() int { return b.columns * b.rows }
