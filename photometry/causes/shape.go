package causes

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/stat"

	"evenfall/photometry/spatial"
)

// Surface is what was read of a surface.
type Surface struct {
	X, Y  []float64 // m, or steps of rows and columns
	Stops []float64 // log2 of each level
	// Order is when each place was read, from 0 to 1, where that is known and the light
	// may have changed meanwhile; nil where it is not.
	Order []float64
	// Extent is the surface, and Frame the part of it in shot.
	Extent, Frame spatial.Box
	// Scatter is the standard deviation of one reading, and Tolerance the spread that is
	// aimed at, in stops.
	Scatter, Tolerance float64
	// Computed is set where levels were not read, so that none can be off alone.
	Computed bool
}

// fewest is how many places models are fitted to, and most how many at once: beyond
// it medians of cells stand for them.
const (
	fewest = 5
	most   = 120
)

// The cells, across and up, whose medians stand for many places.
const (
	cellColumns = 11
	cellRows    = 9
)

// leastScatter in stops is how well a model of lamps describes light at best.
const leastScatter = 0.012

// shape is a surface as models see it: lengths in units of its width, the origin at
// its center, levels in stops about their mean.
type shape struct {
	u, v, t, stops        []float64
	halfWidth, halfHeight float64
	spacing, scatter      float64
	timed, computed       bool
	of                    []int  // the reading that each place is, or of a cell the one nearest to its middle
	all                   *shape // the readings, where places are cells
	center                [2]float64
	unit                  float64 // m
	seed                  uint64  // by the readings
}

// newShape is nil where the places are too few or do not span two directions.
func newShape(s Surface) *shape {
	box, ok := spatial.BoxOf(s.X, s.Y)
	if !ok || len(s.X) < fewest || !(box.Width() > 0 && box.Height() > 0) || onLine(s.X, s.Y, box) {
		return nil
	}
	if s.Extent.Width() > 0 && s.Extent.Height() > 0 {
		box = box.Union(s.Extent)
	} else {
		half := box.Spacing(len(s.X)) / 2
		box = box.Grow(half, half)
	}
	w, h := box.Width(), box.Height()
	out := &shape{unit: max(w, 0.6*h), scatter: max(s.Scatter, leastScatter), timed: s.Order != nil, computed: s.Computed}
	out.halfWidth, out.halfHeight = w/2/out.unit, h/2/out.unit
	out.center[0], out.center[1] = box.Center()
	for i := range s.X {
		u, v := out.local(s.X[i], s.Y[i])
		out.u, out.v, out.stops, out.of = append(out.u, u), append(out.v, v), append(out.stops, s.Stops[i]), append(out.of, i)
	}
	out.seed = seedOf(fmt.Sprintf("%.3f", about(s.Stops)))
	out.t = slices.Clone(s.Order)
	if len(out.u) > most {
		out.toCells()
	}
	for _, x := range []*shape{out, out.all} {
		if x != nil && x.t == nil {
			x.t = make([]float64, len(x.u))
		}
	}
	out.spacing = math.Sqrt(4 * out.halfWidth * out.halfHeight / float64(len(out.u)))
	return out
}

// onLine reports whether all places lie within a hundredth of the box of one line.
func onLine(x, y []float64, box spatial.Box) bool {
	far := 0.0
	for i := range x {
		for j := range min(i, 50) {
			u, v := (x[i]-x[0])/box.Width(), (y[i]-y[0])/box.Height()
			p, q := (x[j]-x[0])/box.Width(), (y[j]-y[0])/box.Height()
			far = max(far, math.Abs(u*q-v*p))
		}
		if far > 0.02 {
			return false
		}
	}
	return true
}

// local is a point of the surface in units of its width from its center.
func (s *shape) local(x, y float64) (u, v float64) {
	return (x - s.center[0]) / s.unit, (y - s.center[1]) / s.unit
}

// edge is how long the surface is from an edge on, and how long the edge is.
func (s *shape) edge(k kind) (side, length float64) {
	if k == lightLeft || k == lightRight {
		return 2 * s.halfWidth, 2 * s.halfHeight
	}
	return 2 * s.halfHeight, 2 * s.halfWidth
}

// fromEdge is how far a place is from an edge and from its middle.
func (s *shape) fromEdge(k kind, u, v float64) (distance, along float64) {
	switch k {
	case lightLeft:
		return u + s.halfWidth, v
	case lightRight:
		return s.halfWidth - u, v
	case lightBottom:
		return v + s.halfHeight, u
	}
	return s.halfHeight - v, u
}

// toCells puts medians of cells in place of the readings.
func (s *shape) toCells() {
	cells := make([][]int, cellColumns*cellRows)
	along := func(at, half float64, n int) int {
		return min(max(int((at+half)/(2*half)*float64(n)), 0), n-1)
	}
	for i := range s.u {
		k := along(s.v[i], s.halfHeight, cellRows)*cellColumns + along(s.u[i], s.halfWidth, cellColumns)
		cells[k] = append(cells[k], i)
	}
	out, all := *s, *s
	out.u, out.v, out.t, out.stops, out.of, out.all = nil, nil, nil, nil, nil, &all
	count := 0.0
	for _, cell := range cells {
		if len(cell) == 0 {
			continue
		}
		var u, v, t float64
		values := make([]float64, len(cell))
		for k, i := range cell {
			u, v, values[k] = u+s.u[i], v+s.v[i], s.stops[i]
			if s.t != nil {
				t += s.t[i]
			}
		}
		n := float64(len(cell))
		count++
		out.u, out.v, out.stops = append(out.u, u/n), append(out.v, v/n), append(out.stops, spatial.MedianInPlace(values))
		if s.t != nil {
			out.t = append(out.t, t/n)
		}
		out.of = append(out.of, slices.MinFunc(cell, func(i, j int) int {
			return cmp.Compare(math.Hypot(s.u[i]-u/n, s.v[i]-v/n), math.Hypot(s.u[j]-u/n, s.v[j]-v/n))
		}))
	}
	// A median of n scatters by about √(π/2n) of one reading.
	out.scatter = max(leastScatter, s.scatter*math.Sqrt(math.Pi/2*count/float64(len(s.u))))
	*s = out
}

// about are values less their mean.
func about(values []float64) []float64 {
	out := slices.Clone(values)
	floats.AddConst(-stat.Mean(values, nil), out)
	return out
}
