package mesh

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/mat"

	"evenfall/photometry/spatial"
)

// ErrCollinear is the error for points on one line.
var ErrCollinear = errors.New("mesh: the points lie on one line")

// Spline is the thin-plate spline through scattered points: the smoothest
// surface, by the integral of its squared second derivatives, that passes
// through all of them.
//
//	f(x, y) = a0 + a1·x + a2·y + Σ w_i·r_i²·ln r_i²
//
// with Σ w_i = Σ w_i·x_i = Σ w_i·y_i = 0. It reproduces its points, and a
// plane everywhere. Source: J. Duchon, Splines minimizing rotation-invariant
// semi-norms in Sobolev spaces, Lecture Notes in Mathematics 571 (1977),
// 85–100.
type Spline struct {
	x, y, w    []float64 // in scaled coordinates
	a          [3]float64
	cx, cy     float64 // center of the points
	size, mean float64 // half of their longer side; mean of the values
}

// NewSpline fits z at (x, y). Points closer together than a millionth of the
// whole are taken as one, with the mean of their values. It fails for points
// on one line.
func NewSpline(x, y, z []float64) (*Spline, error) {
	if len(x) != len(y) || len(x) != len(z) {
		panic("mesh: lengths of x, y and z differ")
	}
	if len(x) < 3 {
		return nil, ErrCollinear
	}
	s := new(Spline)
	box, _ := spatial.BoxOf(x, y)
	s.cx, s.cy = box.Center()
	s.size = max(box.Width(), box.Height()) / 2
	if !(s.size > 0) || math.IsInf(s.size, 0) {
		return nil, ErrCollinear
	}
	type cell struct{ x, y int64 }
	first := make(map[cell]int, len(x))
	var values, count []float64
	for i := range x {
		px, py := (x[i]-s.cx)/s.size, (y[i]-s.cy)/s.size
		at := cell{int64(math.Round(px * 1e6)), int64(math.Round(py * 1e6))}
		k, seen := first[at]
		if !seen {
			k = len(values)
			first[at] = k
			s.x, s.y = append(s.x, px), append(s.y, py)
			values, count = append(values, 0), append(count, 0)
		}
		values[k] += z[i]
		count[k]++
	}
	n := len(values)
	if n < 3 || Area(Hull(s.x, s.y, nil)) < 1e-6 {
		return nil, ErrCollinear
	}
	for i := range values {
		values[i] /= count[i]
		s.mean += values[i] / float64(n)
	}

	a := mat.NewDense(n+3, n+3, nil)
	b := mat.NewVecDense(n+3, nil)
	for i := range n {
		for j := range i {
			k := thinPlateKernel(s.x[i]-s.x[j], s.y[i]-s.y[j])
			a.Set(i, j, k)
			a.Set(j, i, k)
		}
		for j, v := range [3]float64{1, s.x[i], s.y[i]} {
			a.Set(i, n+j, v)
			a.Set(n+j, i, v)
		}
		b.SetVec(i, values[i]-s.mean)
	}
	var solved mat.VecDense
	if err := solved.SolveVec(a, b); err != nil {
		if _, poor := err.(mat.Condition); !poor || math.IsInf(float64(err.(mat.Condition)), 0) {
			return nil, ErrCollinear
		}
	}
	s.w = make([]float64, n)
	for i := range n {
		s.w[i] = solved.AtVec(i)
	}
	for j := range s.a {
		s.a[j] = solved.AtVec(n + j)
	}
	return s, nil
}

// thinPlateKernel is r²·ln r², 0 at the origin.
func thinPlateKernel(dx, dy float64) float64 {
	r2 := dx*dx + dy*dy
	if r2 == 0 {
		return 0
	}
	return r2 * math.Log(r2)
}

// At is the value of the spline at a position.
func (s *Spline) At(x, y float64) float64 {
	px, py := (x-s.cx)/s.size, (y-s.cy)/s.size
	sum := s.mean + s.a[0] + s.a[1]*px + s.a[2]*py
	for i, w := range s.w {
		sum += w * thinPlateKernel(px-s.x[i], py-s.y[i])
	}
	return sum
}
