package spatial

import (
	"math"
	"slices"
)

func FirstStep(at []float64) float64 {
	if len(at) < 2 {
		return 1 // of a single row or column, any width
	}
	return at[1] - at[0]
}

// TypicalSpacing is the side of the square that each of n points in a box has
// to itself; for points in a line, the step between them.
func TypicalSpacing(box Box, n int) float64 {
	if area := box.Width() * box.Height(); area > 0 {
		return math.Sqrt(area / float64(n))
	}
	return max(box.Width(), box.Height()) / float64(max(1, n-1))
}

// StripWidths are the widths of the strips nearest to each of at (ascending).
// The outer strips end at the surface's border where it is known, else they
// reach as far out as in.
func StripWidths(at []float64, bounded bool, low, high float64) []float64 {
	n := len(at)
	widths := make([]float64, n)
	if n == 1 {
		return []float64{1}
	}
	for i := range at {
		left, right := at[i]-low, high-at[i]
		if i > 0 {
			left = (at[i] - at[i-1]) / 2
		}
		if i < n-1 {
			right = (at[i+1] - at[i]) / 2
		}
		if i == 0 && (!bounded || left < 0) {
			left = right
		}
		if i == n-1 && (!bounded || right < 0) {
			right = left
		}
		widths[i] = left + right
	}
	return widths
}

type vertex struct{ x, y float64 }

// VoronoiAreas are the areas of the parts of a box nearest to each point: the
// box clipped by the bisector to each neighbor, nearest first, until none can
// reach the cell.
func VoronoiAreas(x, y []float64, box Box) []float64 {
	n := len(x)
	// Near the origin, so that far coordinates keep their digits.
	x, y = shifted(x, box.X0), shifted(y, box.Y0)
	box = Box{0, 0, box.Width(), box.Height()}
	areas := make([]float64, n)
	order := make([]int, n)
	distance := make([]float64, n)
	for i := range n {
		for j := range n {
			order[j] = j
			distance[j] = math.Hypot(x[j]-x[i], y[j]-y[i])
		}
		slices.SortFunc(order, func(a, b int) int {
			switch {
			case distance[a] < distance[b]:
				return -1
			case distance[a] > distance[b]:
				return 1
			}
			return a - b
		})
		cell := []vertex{{box.X0, box.Y0}, {box.X1, box.Y0}, {box.X1, box.Y1}, {box.X0, box.Y1}}
		for _, j := range order {
			if distance[j] == 0 {
				continue
			}
			if distance[j] > 2*reach(cell, x[i], y[i]) {
				break
			}
			cell = clipNearer(cell, x[i], y[i], x[j], y[j])
		}
		areas[i] = polygonArea(cell)
	}
	return areas
}

func shifted(values []float64, by float64) []float64 {
	out := make([]float64, len(values))
	for i, v := range values {
		out[i] = v - by
	}
	return out
}

// reach is the largest distance from a place to a corner of a cell.
func reach(cell []vertex, x, y float64) float64 {
	far := 0.0
	for _, p := range cell {
		far = max(far, math.Hypot(p.x-x, p.y-y))
	}
	return far
}

// clipNearer keeps the part of a convex polygon nearer to (x, y) than to
// (ox, oy): Sutherland & Hodgman against the bisector.
func clipNearer(cell []vertex, x, y, ox, oy float64) []vertex {
	mx, my := (x+ox)/2, (y+oy)/2
	inside := func(p vertex) float64 { return (p.x-mx)*(x-ox) + (p.y-my)*(y-oy) }
	var kept []vertex
	for i, p := range cell {
		q := cell[(i+1)%len(cell)]
		dp, dq := inside(p), inside(q)
		if dp >= 0 {
			kept = append(kept, p)
		}
		if (dp > 0 && dq < 0) || (dp < 0 && dq > 0) {
			f := dp / (dp - dq)
			kept = append(kept, vertex{p.x + f*(q.x-p.x), p.y + f*(q.y-p.y)})
		}
	}
	return kept
}

// polygonArea is the shoelace formula for a counterclockwise polygon.
func polygonArea(cell []vertex) float64 {
	sum := 0.0
	for i, p := range cell {
		q := cell[(i+1)%len(cell)]
		sum += p.x*q.y - q.x*p.y
	}
	return sum / 2
}

// BinWeights share each bin's area among the points in it; bins hold about
// eight points each.
func BinWeights(x, y []float64, box Box) []float64 {
	bins := NewBins(x, y, box, 8)
	weights := make([]float64, len(x))
	for b := range bins.Cells() {
		members := bins.Members(b)
		for _, i := range members {
			weights[i] = 1 / float64(len(members))
		}
	}
	return weights
}
