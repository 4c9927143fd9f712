package match

import (
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"

	"evenfall/photometry/lamps"
)

// equations are a weighted linear fit of what changed between two days, of levels as
// of color. Every row is divided by the standard deviation of its error, so that
// errors are independent and of size one. An error that many rows share (of a drift
// that was taken out, of a fitted share, of a lamp's level) is an unknown of its own
// with one row more, which says 0 ± 1: the fit and its covariance reckon with it as
// generalized least squares do.
type equations struct {
	y       []float64
	columns [][]float64 // by unknown; what a column has no entry for is zero
	signed  int         // the last columns, that may be negative
}

// add takes in columns of unknowns that may be negative.
func (e *equations) add(columns ...[]float64) {
	e.columns, e.signed = append(e.columns, columns...), e.signed+len(columns)
}

// share takes in errors that rows share, each a column by one standard deviation.
func (e *equations) share(errors [][]float64) {
	for _, column := range errors {
		e.add(column)
		e.expect(len(e.columns)-1, 0, 1)
	}
}

// expect adds a row that says what an unknown is, with a standard deviation.
func (e *equations) expect(unknown int, value, deviation float64) {
	column := make([]float64, len(e.y)+1)
	copy(column, e.columns[unknown])
	column[len(e.y)] = 1 / deviation
	e.columns[unknown] = column
	e.y = append(e.y, value/deviation)
}

// solution is what a set of equations leads to.
type solution struct {
	x    []float64
	cov  *mat.SymDense // of x where errors are of size one; nil where the columns are not independent
	rest []float64     // of each row
	chi2 float64       // sum of squares of the rest
	free int           // degrees of freedom left
}

// solve fits by least squares; nil where there are fewer rows than unknowns.
func (e *equations) solve() *solution {
	n, p := len(e.y), len(e.columns)
	if n < p || p == 0 {
		return nil
	}
	a := mat.NewDense(n, p, nil)
	for j, column := range e.columns {
		for i, v := range column {
			a.Set(i, j, v)
		}
	}
	x, _ := lamps.NonnegativeLeastSquares(a, e.y, e.signed)
	s := &solution{x: x, free: n - p, rest: make([]float64, n)}
	var model mat.VecDense
	model.MulVec(a, mat.NewVecDense(p, x))
	floats.SubTo(s.rest, e.y, model.RawVector().Data)
	s.chi2 = floats.Dot(s.rest, s.rest)
	s.cov = covariance(a)
	return s
}

// covariance is (AᵀA)⁻¹, that of the plain least-squares solution with all columns
// free, also of those that ended at zero: it errs on the wide side there, since a
// lamp that may give a little leaves the others uncertain. It is nil where the
// columns are not independent.
func covariance(a *mat.Dense) *mat.SymDense {
	scaled, size := lamps.UnitColumns(a)
	p := len(size)
	var normal, inverse mat.SymDense
	normal.SymOuterK(1, scaled.T())
	var chol mat.Cholesky
	if !chol.Factorize(&normal) || chol.Cond() > 1e10 || chol.InverseTo(&inverse) != nil {
		return nil
	}
	for i := range p {
		for j := i; j < p; j++ {
			inverse.SetSym(i, j, inverse.At(i, j)/size[i]/size[j])
		}
	}
	return &inverse
}

// misfit is by how much the rest exceeds what the rows' errors allow, as a variance
// ratio, at least 1.
func (s *solution) misfit() float64 {
	if s.free <= 0 {
		return 1
	}
	return math.Max(1, s.chi2/float64(s.free))
}

// fisherAt is the quantile of an F ratio; with nu 0 the denominator is known.
func fisherAt(p float64, numerator, nu int) float64 {
	if nu <= 0 {
		return distuv.ChiSquared{K: float64(numerator)}.Quantile(p) / float64(numerator)
	}
	return distuv.F{D1: float64(numerator), D2: float64(nu)}.Quantile(p)
}

// claimAt is the probability that a single one of n tests must reach so that all of
// them together err in at most a part of the cases (Bonferroni's inequality).
func claimAt(part float64, n int) float64 { return 1 - part/float64(max(1, n)) }

// falseClaims is the most surveys in which some light is said to have moved, been
// added or changed its color by chance. Their sum with that of changed levels, which
// is 5 %, stays under that in simulations, since levels must change by 3 % at least.
const falseClaims = 0.005

// leastOf is where the least of some scores is, -1 for none that is finite, and how
// far above it the next one is.
func leastOf(scores []float64) (at int, margin float64) {
	at, least, next := -1, math.Inf(1), math.Inf(1)
	for k, v := range scores {
		switch {
		case v < least:
			at, least, next = k, v, least
		case v < next:
			next = v
		}
	}
	return at, next - least
}

// rivalMargin is by how much χ² must favor one explanation over the next best, the
// 99 % point of two degrees of freedom.
const rivalMargin = 9.21
