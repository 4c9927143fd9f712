// Package leastsquares fits the parameters of a model that is not linear in them:
// it makes a sum of squares least, within bounds, by the Levenberg–Marquardt
// method.
//
// It promises that parameters stay within their bounds, that the sum of squares at the
// end is no greater than at the start moved into the bounds, and that a search that ran
// out of iterations says so (Solution.Converged). A figure that the residuals do not
// determine is absent. The minimum found need not be the least of several.
package leastsquares

import (
	"errors"
	"fmt"
	"math"

	"evenfall/photometry"
)

// Problem is a nonlinear least-squares problem: find the parameters that make
// the sum of the squared residuals least.
type Problem struct {
	// Residuals fills r, of length Count, with the residuals at params. It may
	// return values that are not finite: such a point counts as infinitely bad.
	Residuals func(r, params []float64)
	// Jacobian fills jac with the derivatives of the residuals at params, a row
	// per residual: jac[i*len(params)+j] = ∂r[i]/∂params[j]. Where it is nil,
	// central differences stand in.
	Jacobian func(jac, params []float64)
	// Count is the number of residuals, at least the number of parameters.
	Count int
	// Lower and Upper bound the parameters; nil means no bound. A parameter
	// whose bounds are equal is held there.
	Lower, Upper []float64
}

// Settings steer Solve. The zero value is useful.
type Settings struct {
	// Tolerance is the relative step, and the cosine between the residuals and
	// each column of the Jacobian, below which the search ends. Zero means 1e-12.
	Tolerance float64
	// MaxIterations bounds the accepted and refused steps together. Zero means
	// 2000.
	MaxIterations int
}

// Solution is what Solve found.
type Solution struct {
	// Params are the parameters of the least sum of squares found.
	Params []float64
	// SumSquares is the sum of the squared residuals there.
	SumSquares float64
	// UnitErr are the standard errors of the parameters where the residuals' own
	// standard deviation is one, √diag (JᵀJ)⁻¹; that of a parameter on a bound is
	// zero. It is nil where the Jacobian has no full rank.
	UnitErr []float64
	// StdErr are the standard errors by the residuals' scatter, UnitErr times
	// √(SumSquares/(Count − free parameters)). It is nil where there are no
	// degrees of freedom.
	StdErr []float64
	// AtBound says which parameters ended on a bound.
	AtBound []bool
	// Iterations counts the steps tried.
	Iterations int
	// Converged is false where the iterations ran out first.
	Converged bool
}

// Solve minimizes the sum of squares of p from start by the
// Levenberg–Marquardt method: each step solves
//
//	min |J·δ + r|² + λ·|D·δ|²
//
// by orthogonal factorization (never by the normal equations, whose condition
// is the square), with D the largest column norms of J seen so far and λ led by
// the ratio of the gain found to the gain foretold. Steps are cut at the
// bounds, and a parameter on a bound whose gradient points outward is held.
//
// A sum of squares can have several minima, and a far start can run off to
// infinity, where every residual flattens. So where the plain search ends
// without convergence or with residuals that no parameter influences any more,
// it is repeated from the same start with heavier first damping; the best end
// stands.
//
// It returns an error where the problem is malformed or where the residuals at
// start are not finite.
//
// Sources: K. Levenberg, Quart. Appl. Math. 2 (1944) 164; D. W. Marquardt,
// J. SIAM 11 (1963) 431; J. J. Moré, Lecture Notes in Mathematics 630 (1978)
// 105 (scaling); H. B. Nielsen, report IMM-REP-1999-05, Technical University of
// Denmark (damping). Its answers are held to NIST's certified values.
func Solve(p Problem, start []float64, s Settings) (Solution, error) {
	if err := p.check(start); err != nil {
		return Solution{}, err
	}
	if s.Tolerance <= 0 {
		s.Tolerance = 1e-12
	}
	if s.MaxIterations <= 0 {
		s.MaxIterations = 2000
	}
	var best *search
	for _, damping := range []float64{1e-3, 1, 1e3} {
		w, finite := newSearch(&p, start)
		if !finite {
			return Solution{}, errors.New("leastsquares: the residuals at the start are not finite")
		}
		w.run(damping, s)
		if best == nil || w.ss < best.ss {
			best = w
		}
		if best.converged && !w.flat {
			break
		}
	}
	return best.solution(), nil
}

func (p *Problem) check(start []float64) error {
	n := len(start)
	switch {
	case p.Residuals == nil:
		panic("leastsquares: Problem without Residuals")
	case n == 0:
		panic("leastsquares: Solve without parameters")
	case p.Lower != nil && len(p.Lower) != n, p.Upper != nil && len(p.Upper) != n:
		panic("leastsquares: bounds and start differ in length")
	case p.Count < n:
		return fmt.Errorf("leastsquares: %d residuals cannot determine %d parameters", p.Count, n)
	}
	for j, v := range start {
		if !photometry.Finite(v) {
			return fmt.Errorf("leastsquares: start of parameter %d is not finite", j+1)
		}
		if p.lower(j) > p.upper(j) {
			return fmt.Errorf("leastsquares: bounds of parameter %d are crossed", j+1)
		}
	}
	return nil
}

func (p *Problem) lower(j int) float64 {
	if p.Lower == nil {
		return math.Inf(-1)
	}
	return p.Lower[j]
}

func (p *Problem) upper(j int) float64 {
	if p.Upper == nil {
		return math.Inf(1)
	}
	return p.Upper[j]
}
