package spatial

import (
	"cmp"
	"math"
	"slices"
)

// voronoiLimit is how many scattered places get exact cells; above it the
// surface is divided into equal cells.
const voronoiLimit = 1500

// Areas is the area that each place stands for, in any unit, nil where all are
// equal: places at the centers of even rows and columns. Rows and columns weigh by the
// strip around each within the surface, so that places on its border have half and
// quarter cells, which is the trapezoid rule; scattered places by their Voronoi cell, or
// above 1,500 by how many share a cell. lattice is nil for scattered places, surface
// where its size is not known.
func (p *Places) Areas(lattice *Lattice, surface *Box) []float64 {
	full := lattice != nil && lattice.Full()
	switch {
	case p.Len() < 3 || full && lattice.Even && surface == nil:
		return nil
	case !full && p.Len() <= voronoiLimit:
		return p.voronoi(p.domain(lattice, surface))
	case lattice != nil:
		return lattice.areas(p.Len(), surface)
	}
	areas := make([]float64, p.Len())
	for members := range newCells(p, p.domain(lattice, surface), 8).groups() {
		for _, i := range members {
			areas[i] = 1 / float64(len(members))
		}
	}
	return areas
}

// domain is the part of the plane that places stand for: all of the surface where
// its size is known, else their box grown by half of their spacing.
func (p *Places) domain(lattice *Lattice, surface *Box) Box {
	switch {
	case surface != nil:
		return p.Box.Union(*surface) // places outside would have no cell
	case lattice != nil:
		x, y := lattice.Xs, lattice.Ys
		return Box{x[0], y[0], x[len(x)-1], y[len(y)-1]}.Grow(firstStep(x)/2, firstStep(y)/2)
	}
	half := p.Spacing() / 2
	return p.Box.Grow(half, half)
}

func firstStep(at []float64) float64 {
	if len(at) < 2 {
		return 1 // of a single row or column, any width
	}
	return at[1] - at[0]
}

// areas are those of n places in rows and columns; nil where all are equal.
func (l *Lattice) areas(n int, surface *Box) []float64 {
	border := cmp.Or(surface, &Box{math.Inf(-1), math.Inf(-1), math.Inf(1), math.Inf(1)})
	wx, wy := stripWidths(l.Xs, border.X0, border.X1), stripWidths(l.Ys, border.Y0, border.Y1)
	areas := make([]float64, n)
	for r := range l.Ys {
		for c := range l.Xs {
			if i := l.At(c, r); i >= 0 {
				areas[i] = wx[c] * wy[r]
			}
		}
	}
	if low, high := slices.Min(areas), slices.Max(areas); high-low <= 2e-3*high { // even to a thousandth each way
		return nil
	}
	return areas
}

// stripWidths are the widths of the strips nearest to each of at (ascending), from low to
// high; where these are infinite the outer strips reach as far out as in.
func stripWidths(at []float64, low, high float64) []float64 {
	n := len(at)
	if n == 1 {
		return []float64{1}
	}
	if math.IsInf(low, 0) {
		low, high = at[0]-(at[1]-at[0])/2, at[n-1]+(at[n-1]-at[n-2])/2
	}
	widths := make([]float64, n)
	from := low
	for i := range at {
		to := high
		if i+1 < n {
			to = min(high, (at[i]+at[i+1])/2)
		}
		widths[i] = max(0, to-from)
		from = max(from, to)
	}
	return widths
}

type vertex struct{ x, y float64 }

// voronoi are the areas of the parts of a box nearest to each place: the box
// clipped by the bisector to each other place, nearest first, until none can
// reach the cell.
func (p *Places) voronoi(box Box) []float64 {
	n := p.Len()
	// Near the origin, so that far coordinates keep their digits.
	at := make([]vertex, n)
	for i := range at {
		at[i] = vertex{p.X[i] - box.X0, p.Y[i] - box.Y0}
	}
	w, h := box.Width(), box.Height()
	areas, others := make([]float64, n), make([]neighbor, n)
	for i, own := range at {
		for j, v := range at {
			others[j] = neighbor{int32(j), math.Hypot(v.x-own.x, v.y-own.y)}
		}
		slices.SortFunc(others, func(a, b neighbor) int {
			return cmp.Or(cmp.Compare(a.distance, b.distance), cmp.Compare(a.place, b.place))
		})
		cell := []vertex{{0, 0}, {w, 0}, {w, h}, {0, h}}
		for _, o := range others {
			if o.distance > 2*reach(cell, own) {
				break
			}
			if o.distance > 0 {
				cell = clipNearer(cell, own, at[o.place])
			}
		}
		for k, v := range cell { // the shoelace formula, counterclockwise
			next := cell[(k+1)%len(cell)]
			areas[i] += (v.x*next.y - next.x*v.y) / 2
		}
	}
	return areas
}

// reach is the largest distance from a point to a corner of a cell.
func reach(cell []vertex, from vertex) float64 {
	far := 0.0
	for _, v := range cell {
		far = max(far, math.Hypot(v.x-from.x, v.y-from.y))
	}
	return far
}

// clipNearer keeps the part of a convex polygon nearer to one point than to
// another: Sutherland & Hodgman against the bisector.
func clipNearer(cell []vertex, to, other vertex) []vertex {
	mx, my := (to.x+other.x)/2, (to.y+other.y)/2
	inside := func(v vertex) float64 { return (v.x-mx)*(to.x-other.x) + (v.y-my)*(to.y-other.y) }
	var kept []vertex
	for i, v := range cell {
		next := cell[(i+1)%len(cell)]
		dv, dn := inside(v), inside(next)
		if dv >= 0 {
			kept = append(kept, v)
		}
		if dv*dn < 0 {
			f := dv / (dv - dn)
			kept = append(kept, vertex{v.x + f*(next.x-v.x), v.y + f*(next.y-v.y)})
		}
	}
	return kept
}
