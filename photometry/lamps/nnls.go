package lamps

import (
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
)

// NonnegativeLeastSquares finds the x ≥ 0 that makes |A·x − b| least: algorithm
// NNLS of Lawson and Hanson, Solving Least Squares Problems (1974), chapter 23.
// b is as long as A has rows, of which there may be fewer than columns. passive
// tells which entries of x are free; the others are held at zero.
//
// Columns are scaled to length one first, so that lamps of any strength and any
// unit fare alike; a column of zeros, or one that the free ones make up to 1e-10
// of its length, stays at zero. It panics where b is of another length.
func NonnegativeLeastSquares(a mat.Matrix, b []float64) (x []float64, passive []bool) {
	m, n := a.Dims()
	if len(b) != m {
		panic("survey: a right-hand side of another length than the matrix has rows")
	}
	scaled, length := mat.NewDense(m, n, nil), make([]float64, n)
	for j := range n {
		column := mat.Col(nil, j, a)
		length[j] = floats.Norm(column, 2)
		if length[j] > 0 {
			floats.Scale(1/length[j], column)
		}
		scaled.SetCol(j, column)
	}
	x, passive = make([]float64, n), make([]bool, n)
	tolerance := 1e-12 * floats.Norm(b, 2)
	refused := make([]bool, n) // since the last change: they would not come in
	for range 30 * (n + 1) {   // far more than it ever takes
		dual := dualOf(scaled, b, x)
		enter := -1
		for j, w := range dual {
			if !passive[j] && !refused[j] && length[j] > 0 && w > tolerance && (enter < 0 || w > dual[enter]) {
				enter = j
			}
		}
		if enter < 0 {
			break
		}
		passive[enter] = true
		s, ok := solvePassive(scaled, b, passive)
		if !ok || s[enter] <= 0 {
			passive[enter], refused[enter] = false, true
			continue
		}
		for {
			// The largest step toward s that keeps all entries at zero or more.
			step := 1.0
			for j, free := range passive {
				if free && s[j] <= 0 {
					step = min(step, x[j]/(x[j]-s[j]))
				}
			}
			if step == 1 {
				break
			}
			for j, free := range passive {
				if free {
					// The one that stops the step, or a rounding error, goes out.
					if x[j] += step * (s[j] - x[j]); s[j] <= 0 && x[j] <= 1e-14*math.Abs(s[j]) {
						x[j], passive[j] = 0, false
					}
				}
			}
			if s, ok = solvePassive(scaled, b, passive); !ok {
				break
			}
		}
		if ok {
			copy(x, s)
		}
		clear(refused)
	}
	for j := range x {
		if length[j] > 0 {
			x[j] /= length[j]
		}
	}
	return x, passive
}

// dualOf is Aᵀ(b − A·x): at the solution zero where x is free, zero or less
// where it is held (the conditions of Karush, Kuhn and Tucker).
func dualOf(a *mat.Dense, b, x []float64) []float64 {
	var rest, dual mat.VecDense
	rest.MulVec(a, mat.NewVecDense(len(x), x))
	rest.SubVec(mat.NewVecDense(len(b), b), &rest)
	dual.MulVec(a.T(), &rest)
	return dual.RawVector().Data
}

// solvePassive is the plain least-squares solution on the free columns, zero
// elsewhere; ok is false where these do not determine it.
func solvePassive(a *mat.Dense, b []float64, passive []bool) (s []float64, ok bool) {
	m, n := a.Dims()
	var free []int
	for j, p := range passive {
		if p {
			free = append(free, j)
		}
	}
	s = make([]float64, n)
	switch {
	case len(free) == 0:
		return s, true
	case len(free) > m:
		return nil, false
	}
	part := mat.NewDense(m, len(free), nil)
	for k, j := range free {
		part.SetCol(k, mat.Col(nil, j, a))
	}
	var qr mat.QR
	qr.Factorize(part)
	if qr.Cond() > 1e10 {
		return nil, false
	}
	var solution mat.VecDense
	if qr.SolveVecTo(&solution, false, mat.NewVecDense(m, b)) != nil {
		return nil, false
	}
	for k, j := range free {
		s[j] = solution.AtVec(k)
	}
	return s, true
}
