package mesh

import (
	"cmp"
	"iter"
	"slices"
)

// Point is a position in meters.
type Point struct{ X, Y float64 }

// Hull is the convex hull of the points that keep accepts (all where it is nil),
// counterclockwise, without points inside its sides. Of points on one line it is
// the two ends, of a single position one point.
//
// Andrew's monotone chain (Information Processing Letters 9, 1979), after
// excluding what is inside the polygon of the outermost points in eight directions
// (Akl and Toussaint, Information Processing Letters 7, 1978), so that a million
// points need no sorting.
func Hull(x, y []float64, keep func(int) bool) []Point {
	kept := func(yield func(Point) bool) {
		for i := range x {
			if (keep == nil || keep(i)) && !yield(Point{x[i], y[i]}) {
				return
			}
		}
	}
	rough := outermost(kept)
	left := slices.Clone(rough)
	for p := range kept {
		if len(rough) < 3 || !Inside(rough, p.X, p.Y) {
			left = append(left, p)
		}
	}
	return chain(left)
}

// outermost is the convex polygon of the points farthest in eight directions.
func outermost(points iter.Seq[Point]) []Point {
	var best [8]float64
	var corners []Point
	for p := range points {
		reach := [8]float64{p.X, p.X + p.Y, p.Y, p.Y - p.X, -p.X, -p.X - p.Y, -p.Y, p.X - p.Y}
		if corners == nil {
			best, corners = reach, slices.Repeat([]Point{p}, 8)
		}
		for k, r := range reach {
			if r > best[k] {
				best[k], corners[k] = r, p
			}
		}
	}
	return chain(corners)
}

// Inside reports whether a position is inside a convex polygon or on its border.
func Inside(polygon []Point, x, y float64) bool {
	p := Point{x, y}
	for i, a := range polygon {
		b := polygon[(i+1)%len(polygon)]
		if signedArea2(a, b, p) < 0 {
			return false
		}
	}
	return true
}

// signedArea2 is twice the area of the triangle a, b, c, positive if counterclockwise.
func signedArea2(a, b, c Point) float64 { return (b.X-a.X)*(c.Y-a.Y) - (b.Y-a.Y)*(c.X-a.X) }

// chain is the convex hull of points, which it sorts.
func chain(points []Point) []Point {
	slices.SortFunc(points, func(a, b Point) int {
		return cmp.Or(cmp.Compare(a.X, b.X), cmp.Compare(a.Y, b.Y))
	})
	points = slices.Compact(points)
	if len(points) < 3 {
		return points
	}
	half := func(from []Point) []Point {
		var side []Point
		for _, p := range from {
			for len(side) >= 2 && signedArea2(side[len(side)-2], side[len(side)-1], p) <= 0 {
				side = side[:len(side)-1]
			}
			side = append(side, p)
		}
		return side
	}
	lower := half(points)
	slices.Reverse(points)
	upper := half(points)
	return append(lower[:len(lower)-1], upper[:len(upper)-1]...)
}

// Area is the area of a polygon, positive if counterclockwise.
func Area(polygon []Point) float64 {
	sum := 0.0
	for i, a := range polygon {
		b := polygon[(i+1)%len(polygon)]
		sum += a.X*b.Y - b.X*a.Y
	}
	return sum / 2
}
