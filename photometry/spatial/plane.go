package spatial

import (
	"math"
	"slices"
)

// planeSums are the normal equations of a plane 1, x, y through values.
type planeSums struct {
	m [3][3]float64
	b [3]float64
}

func (s *planeSums) add(dx, dy, value, weight float64) {
	f := [3]float64{1, dx, dy}
	for p := range f {
		w := weight * f[p]
		s.b[p] += w * value
		for q := range f {
			s.m[p][q] += w * f[q]
		}
	}
}

// solve is the plane by Cramer's rule; ok is false where it is singular to a
// millionth.
func (s *planeSums) solve() (plane [3]float64, ok bool) {
	det := func(m [3][3]float64) float64 {
		return m[0][0]*(m[1][1]*m[2][2]-m[1][2]*m[2][1]) - m[0][1]*(m[1][0]*m[2][2]-m[1][2]*m[2][0]) + m[0][2]*(m[1][0]*m[2][1]-m[1][1]*m[2][0])
	}
	d := det(s.m)
	if !(d > 1e-6*s.m[0][0]*s.m[1][1]*s.m[2][2]) {
		return plane, false
	}
	for c := range plane {
		replaced := s.m
		for row := range s.b {
			replaced[row][c] = s.b[row]
		}
		plane[c] = det(replaced) / d
	}
	return plane, true
}

// Run is the change of a plane through values from the left to the right and from
// the bottom to the top of the box, in their unit; NaN is no value. A part under
// least or within four standard errors is nil.
func (p *Places) Run(values []float64, least float64) (right, up *float64) {
	cx, cy := p.Box.Center()
	var sums planeSums
	n := 0.0
	for i, v := range values {
		if !math.IsNaN(v) {
			sums.add(p.X[i]-cx, p.Y[i]-cy, v, 1)
			n++
		}
	}
	plane, ok := sums.solve()
	if n < 5 || !ok {
		return nil, nil
	}
	squares := 0.0
	for i, v := range values {
		if !math.IsNaN(v) {
			r := v - plane[0] - plane[1]*(p.X[i]-cx) - plane[2]*(p.Y[i]-cy)
			squares += r * r
		}
	}
	scatter := math.Sqrt(squares / (n - 3))
	change := func(slope, extent, sumSquares float64) *float64 {
		if math.Abs(slope*extent) < least || math.Abs(slope) < 4*scatter/math.Sqrt(sumSquares) {
			return nil
		}
		return new(slope * extent)
	}
	return change(plane[1], p.Box.Width(), sums.m[1][1]), change(plane[2], p.Box.Height(), sums.m[2][2])
}

// RobustPlane is the value at place i of a plane through the values of its
// neighbors by bisquare weights about their median, and the median absolute
// residual; the median alone where the neighbors are few or in a line.
func (p *Places) RobustPlane(i int, neighbors []int32, values []float64) (at, spread float64) {
	sizes := slices.Clone(values)
	at = MedianInPlace(sizes)
	for k, v := range values {
		sizes[k] = math.Abs(v - at)
	}
	spread = MedianInPlace(sizes)
	var slopes [2]float64
	for range 8 {
		weight := func(float64) float64 { return 1 }
		if cut := tukey * normalMAD * spread; cut > 1e-12 {
			weight = bisquare(cut)
		}
		var sums planeSums
		for k, j := range neighbors {
			dx, dy := p.X[j]-p.X[i], p.Y[j]-p.Y[i]
			if w := weight(values[k] - at - slopes[0]*dx - slopes[1]*dy); w > 0 {
				sums.add(dx, dy, values[k], w)
			}
		}
		plane, ok := sums.solve()
		if !ok || len(neighbors) < 6 {
			break
		}
		at, slopes = plane[0], [2]float64{plane[1], plane[2]}
		for k, j := range neighbors {
			sizes[k] = math.Abs(values[k] - at - slopes[0]*(p.X[j]-p.X[i]) - slopes[1]*(p.Y[j]-p.Y[i]))
		}
		spread = MedianInPlace(sizes)
	}
	return at, spread
}
