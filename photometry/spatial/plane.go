package spatial

import (
	"math"
	"slices"
)

// PlaneOver is the change of a plane through values from the left to the right
// and from the bottom to the top of a box; parts under least or within four
// standard errors are nil.
func PlaneOver(x, y, values []float64, box Box, least float64) (right, up *float64, ok bool) {
	cx, cy := box.Center()
	var m [3][3]float64
	var b [3]float64
	n := 0.0
	for i, v := range values {
		if math.IsNaN(v) {
			continue
		}
		f := [3]float64{1, x[i] - cx, y[i] - cy}
		for p := range f {
			b[p] += f[p] * v
			for q := range f {
				m[p][q] += f[p] * f[q]
			}
		}
		n++
	}
	if n < 5 {
		return nil, nil, false
	}
	plane, solved := solve3(m, b)
	if !solved {
		return nil, nil, false
	}
	squares := 0.0
	for i, v := range values {
		if !math.IsNaN(v) {
			r := v - plane[0] - plane[1]*(x[i]-cx) - plane[2]*(y[i]-cy)
			squares += r * r
		}
	}
	scatter := math.Sqrt(squares / (n - 3))
	told := func(slope, extent, sumSquares float64) *float64 {
		change := slope * extent
		if math.Abs(change) < least || math.Abs(slope) < 4*scatter/math.Sqrt(sumSquares) {
			return nil
		}
		return &change
	}
	right = told(plane[1], box.Width(), m[1][1])
	up = told(plane[2], box.Height(), m[2][2])
	return right, up, right != nil || up != nil
}

// RobustPlane is the value at point i of a plane through its neighbors' values
// by bisquare weights about their median, and the median absolute residual.
func RobustPlane(x, y []float64, i int, near []int32, values []float64) (at, spread float64) {
	sorted := slices.Clone(values)
	center := MedianInPlace(sorted)
	for k, v := range values {
		sorted[k] = math.Abs(v - center)
	}
	mad := MedianInPlace(sorted)
	var a, b float64 // slopes
	for range 8 {
		c := 4.685 * 1.4826 * mad
		var m [3][3]float64
		var r [3]float64
		for k, j := range near {
			f := [3]float64{1, x[j] - x[i], y[j] - y[i]}
			z := 0.0
			if c > 1e-12 {
				z = (values[k] - center - a*f[1] - b*f[2]) / c
			}
			if math.Abs(z) >= 1 {
				continue
			}
			w := (1 - z*z) * (1 - z*z)
			for p := range f {
				r[p] += w * f[p] * values[k]
				for q := range f {
					m[p][q] += w * f[p] * f[q]
				}
			}
		}
		solution, ok := solve3(m, r)
		if !ok || len(near) < 6 {
			break
		}
		center, a, b = solution[0], solution[1], solution[2]
		for k, j := range near {
			sorted[k] = math.Abs(values[k] - center - a*(x[j]-x[i]) - b*(y[j]-y[i]))
		}
		mad = MedianInPlace(sorted)
	}
	return center, mad
}

// solve3 solves a symmetric positive system of three by Cramer's rule; ok is
// false where it is singular to a millionth.
func solve3(m [3][3]float64, r [3]float64) (x [3]float64, ok bool) {
	det := func(m [3][3]float64) float64 {
		return m[0][0]*(m[1][1]*m[2][2]-m[1][2]*m[2][1]) - m[0][1]*(m[1][0]*m[2][2]-m[1][2]*m[2][0]) + m[0][2]*(m[1][0]*m[2][1]-m[1][1]*m[2][0])
	}
	d := det(m)
	if !(d > 1e-6*m[0][0]*m[1][1]*m[2][2]) {
		return x, false
	}
	for c := range x {
		replaced := m
		for row := range r {
			replaced[row][c] = r[row]
		}
		x[c] = det(replaced) / d
	}
	return x, true
}
