package mesh

import (
	"cmp"
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
	rough := outermost(x, y, keep)
	var left []Point
	for i := range x {
		if keep != nil && !keep(i) {
			continue
		}
		if len(rough) < 3 || !Inside(rough, x[i], y[i]) {
			left = append(left, Point{x[i], y[i]})
		}
	}
	return chain(append(left, rough...))
}

// outermost is the convex polygon of the points farthest in eight directions.
func outermost(x, y []float64, keep func(int) bool) []Point {
	var best [8]float64
	var at [8]int
	none := true
	for i := range x {
		if keep != nil && !keep(i) {
			continue
		}
		px, py := x[i], y[i]
		reach := [8]float64{px, px + py, py, py - px, -px, -px - py, -py, px - py}
		if none {
			none, best = false, reach
			at = [8]int{i, i, i, i, i, i, i, i}
			continue
		}
		for k, r := range reach {
			if r > best[k] {
				best[k], at[k] = r, i
			}
		}
	}
	if none {
		return nil
	}
	var corners []Point
	for _, i := range at {
		corners = append(corners, Point{x[i], y[i]})
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
