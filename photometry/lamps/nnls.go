package lamps

import (
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
)

// NonnegativeLeastSquares finds the x that makes |A·x − b| least, none of its
// entries below zero but the last, signed ones: algorithm NNLS of Lawson and
// Hanson, Solving Least Squares Problems (1974), chapter 23. b is as long as A has
// rows, of which there may be fewer than columns. passive tells which entries of x
// are free; the others are held at zero.
//
// Columns are scaled to length one first, so that lamps of any strength and any
// unit fare alike; a column of zeros, or one that the free ones make up to 1e-10
// of its length, stays at zero. It panics where b is of another length.
func NonnegativeLeastSquares(a mat.Matrix, b []float64, signed int) (x []float64, passive []bool) {
	m, n := a.Dims()
	if len(b) != m {
		panic("lamps: a right-hand side of another length than the matrix has rows")
	}
	scaled, length := UnitColumns(a)
	s := activeSet{a: scaled, b: b, x: make([]float64, n), passive: make([]bool, n), refused: make([]bool, n), signed: n - signed}
	s.freeSigned(length)
	for range 30 * (n + 1) { // far more than it ever takes
		enter := s.enter(1e-12 * floats.Norm(b, 2))
		if enter < 0 {
			break
		}
		s.take(enter)
	}
	for j := range s.x {
		if length[j] > 0 {
			s.x[j] /= length[j]
		}
	}
	return s.x, s.passive
}

// UnitColumns are the columns of a matrix at length one, but for those of zeros, and their
// lengths.
func UnitColumns(a mat.Matrix) (scaled *mat.Dense, length []float64) {
	scaled = mat.DenseCopyOf(a)
	_, n := a.Dims()
	length = make([]float64, n)
	for j := range n {
		column := mat.Col(nil, j, a)
		if length[j] = floats.Norm(column, 2); length[j] > 0 {
			floats.Scale(1/length[j], column)
		}
		scaled.SetCol(j, column)
	}
	return scaled, length
}

// activeSet is a search for the entries of x that are free.
type activeSet struct {
	a                *mat.Dense
	b, x             []float64
	passive, refused []bool // refused since the last change: they would not come in
	signed           int    // the first entry that may be negative
}

// freeSigned frees the entries that may be negative, which stay so.
func (s *activeSet) freeSigned(length []float64) {
	for j := s.signed; j < len(s.x); j++ {
		s.passive[j] = length[j] > 0
	}
	if start, ok := solvePassive(s.a, s.b, s.passive); ok {
		copy(s.x, start)
		return
	}
	clear(s.passive)
}

// bounded reports whether an entry that is free may not be negative.
func (s *activeSet) bounded(j int) bool { return s.passive[j] && j < s.signed }

// enter is the held entry whose growth lowers the residual most, or -1. Columns of
// zeros have a dual of zero.
func (s *activeSet) enter(tolerance float64) int {
	enter := -1
	dual := dualOf(s.a, s.b, s.x)
	for j, w := range dual[:s.signed] {
		if !s.passive[j] && !s.refused[j] && w > tolerance && (enter < 0 || w > dual[enter]) {
			enter = j
		}
	}
	return enter
}

// take frees an entry and steps to the solution on the free columns, from where
// entries that would fall below zero are held again, one at least in each step.
func (s *activeSet) take(enter int) {
	s.passive[enter] = true
	target, ok := solvePassive(s.a, s.b, s.passive)
	if !ok || target[enter] <= 0 {
		s.passive[enter], s.refused[enter] = false, true
		return
	}
	for ok && s.stepToward(target) < 1 {
		target, ok = solvePassive(s.a, s.b, s.passive)
	}
	if ok {
		copy(s.x, target)
	}
	clear(s.refused)
}

// stepToward goes as far toward a target as all entries stay at zero or more, and
// holds those that stop the step; 1 is all of the way, which is not gone.
func (s *activeSet) stepToward(target []float64) (step float64) {
	step = 1
	for j := range target {
		if s.bounded(j) && target[j] <= 0 {
			step = min(step, s.x[j]/(s.x[j]-target[j]))
		}
	}
	if step == 1 {
		return step
	}
	for j, free := range s.passive {
		if !free {
			continue
		}
		// The one that stops the step, or a rounding error, goes out.
		if s.x[j] += step * (target[j] - s.x[j]); s.bounded(j) && target[j] <= 0 && s.x[j] <= 1e-14*math.Abs(target[j]) {
			s.x[j], s.passive[j] = 0, false
		}
	}
	return step
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
