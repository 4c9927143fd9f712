package leastsquares

import (
	"math"
	"slices"

	"evenfall/photometry"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
)

// search is one minimization: where it is, and the linear model there.
type search struct {
	p          *Problem
	x, r       []float64
	ss         float64
	jac        *mat.Dense // a row a residual, all parameters
	scale      []float64  // D, the largest column norms of J so far
	size       []float64  // the largest sizes of the parameters so far
	norms      []float64
	gradient   []float64 // Jᵀr
	free       []int     // the parameters that may move
	iterations int
	converged  bool
	flat       bool // some free parameter has lost all influence
}

// newSearch begins at x, moved within the bounds. It reports false where the
// residuals there are not finite.
func newSearch(p *Problem, x []float64) (*search, bool) {
	n := len(x)
	w := &search{
		p: p, x: slices.Clone(x), r: make([]float64, p.Count), jac: mat.NewDense(p.Count, n, nil),
		scale: make([]float64, n), size: make([]float64, n), norms: make([]float64, n), gradient: make([]float64, n),
	}
	w.clip(w.x)
	p.Residuals(w.r, w.x)
	w.ss = sumSquares(w.r)
	return w, !math.IsInf(w.ss, 1)
}

// clip moves x within the bounds.
func (w *search) clip(x []float64) {
	for j := range x {
		x[j] = math.Min(math.Max(x[j], w.p.lower(j)), w.p.upper(j))
	}
}

func sumSquares(r []float64) float64 {
	s := floats.Dot(r, r)
	if math.IsNaN(s) {
		return math.Inf(1)
	}
	return s
}

// run searches until it has converged or the iterations have run out.
func (w *search) run(damping float64, s Settings) {
	lambda, growth, fresh := damping, 2.0, true
	trial, r := make([]float64, len(w.x)), make([]float64, len(w.r))
	for w.iterations < s.MaxIterations {
		if fresh {
			w.linearize()
			if w.stationary(s.Tolerance) {
				w.converged = true
				return
			}
			fresh = false
		}
		w.iterations++
		foretold := w.boundedStep(lambda, trial)
		moved := 0.0
		for _, j := range w.free {
			moved = math.Max(moved, math.Abs(trial[j]-w.x[j])/(math.Abs(w.x[j])+1e-300))
		}
		w.p.Residuals(r, trial)
		gained := w.ss - sumSquares(r)
		switch {
		// Near the end, rounding alone can refuse a step that is right.
		case moved <= s.Tolerance, gained <= 1e-4*foretold && (foretold <= 1e-15*w.ss || lambda > 1e100):
			w.converged = true
			return
		case gained > 1e-4*foretold:
			settled := gained <= 1e-16*w.ss && foretold <= 1e-16*w.ss
			w.x, trial, w.r, r = trial, w.x, r, w.r
			w.ss = sumSquares(w.r)
			if settled || w.ss == 0 {
				w.converged = true
				return
			}
			u := 2*gained/foretold - 1
			lambda = math.Max(lambda*math.Max(1.0/3, 1-u*u*u), 1e-300)
			growth, fresh = 2, true
		default:
			lambda *= growth
			growth *= 2
		}
	}
}

// linearize fills the Jacobian, the gradient, the column norms and the list of
// parameters that are free to move.
func (w *search) linearize() {
	for j, v := range w.x {
		w.size[j] = math.Max(w.size[j], math.Abs(v))
	}
	if w.p.Jacobian != nil {
		w.p.Jacobian(w.jac.RawMatrix().Data, w.x)
	} else {
		w.differences()
	}
	w.free, w.flat = w.free[:0], false
	for j := range w.x {
		column := mat.Col(nil, j, w.jac)
		g, norm := floats.Dot(column, w.r), floats.Norm(column, 2)
		w.gradient[j], w.norms[j] = g, norm
		lower, upper := w.p.lower(j), w.p.upper(j)
		if lower == upper || w.x[j] <= lower && g >= 0 || w.x[j] >= upper && g <= 0 || !photometry.Finite(norm) {
			continue
		}
		w.flat = w.flat || norm < 1e-12*w.scale[j]
		w.scale[j] = math.Max(w.scale[j], norm)
		w.free = append(w.free, j)
	}
}

// differences fills the Jacobian by central differences, one-sided at a bound. Their
// width heeds the largest size of a parameter: one that has come next to zero would
// drown in rounding.
func (w *search) differences() {
	x := slices.Clone(w.x)
	plus, minus := make([]float64, len(w.r)), make([]float64, len(w.r))
	for j := range x {
		h := 6e-6 * math.Max(math.Max(math.Abs(w.x[j]), 1e-3*w.size[j]), 1e-8)
		hi, lo := math.Min(w.x[j]+h, w.p.upper(j)), math.Max(w.x[j]-h, w.p.lower(j))
		x[j] = hi
		w.p.Residuals(plus, x)
		x[j] = lo
		w.p.Residuals(minus, x)
		x[j] = w.x[j]
		floats.Sub(plus, minus)
		if hi > lo {
			floats.Scale(1/(hi-lo), plus)
		}
		w.jac.SetCol(j, plus)
	}
}

// stationary says whether the residuals are at right angles to every free
// column, which is what a minimum is.
func (w *search) stationary(tolerance float64) bool {
	norm := math.Sqrt(w.ss)
	for _, j := range w.free {
		if math.Abs(w.gradient[j]) > tolerance*w.norms[j]*norm {
			return false
		}
	}
	return true
}

// columns is the Jacobian of some parameters with so many rows of zeros below.
func (w *search) columns(of []int, below int) *mat.Dense {
	a := mat.NewDense(len(w.r)+below, len(of), nil)
	for i := range w.r {
		for c, j := range of {
			a.Set(i, c, w.jac.At(i, j))
		}
	}
	return a
}

// boundedStep fills trial with where a step leads, and returns the fall of the sum
// of squares that the linear model foretells. Where the step leaves the bounds, it
// ends there for the parameters that do, and is solved anew for the others:
// otherwise they would go where it is right only together.
func (w *search) boundedStep(lambda float64, trial []float64) (foretold float64) {
	copy(trial, w.x)
	r, moving := slices.Clone(w.r), slices.Clone(w.free)
	for len(moving) > 0 {
		step, fall := w.step(lambda, moving, r)
		var inside []int
		for k, j := range moving {
			trial[j] = w.x[j] + step.AtVec(k)
			if bounded := w.bounded(j, trial[j]); bounded != trial[j] {
				trial[j] = bounded
				floats.AddScaled(r, bounded-w.x[j], mat.Col(nil, j, w.jac))
			} else {
				inside = append(inside, j)
			}
		}
		if len(inside) == len(moving) {
			return math.Max(w.ss-sumSquares(r)+fall, 1e-300)
		}
		moving = inside
	}
	return math.Max(w.ss-sumSquares(r), 1e-300)
}

// bounded moves a value of parameter j within its bounds, and onto one that it is
// next to.
func (w *search) bounded(j int, v float64) float64 {
	lower, upper, near := w.p.lower(j), w.p.upper(j), 1e-9*w.size[j]
	switch {
	case v <= lower+near:
		return lower
	case v >= upper-near:
		return upper
	}
	return v
}

// step solves min |J·δ + r|² + λ·|D·δ|² for some parameters and returns δ with the
// fall of the sum of squares |r|² − |r + Jδ|². For that δ it is
// |J·δ|² + 2λ·|D·δ|², a sum in which nothing cancels.
func (w *search) step(lambda float64, of []int, r []float64) (*mat.VecDense, float64) {
	m, k := len(r), len(of)
	a, b := w.columns(of, k), mat.NewVecDense(m+k, nil)
	for c, j := range of {
		d := w.scale[j]
		if d == 0 {
			d = 1
		}
		a.Set(m+c, c, math.Sqrt(lambda)*d)
	}
	for i, v := range r {
		b.SetVec(i, -v)
	}
	var qr mat.QR
	qr.Factorize(a)
	step := mat.NewVecDense(k, nil)
	// A condition that is bad even so is met by more damping.
	_ = qr.SolveVecTo(step, false, b)
	var along mat.VecDense
	along.MulVec(a, step)
	straight := along.SliceVec(0, m)
	return step, 2*mat.Dot(&along, &along) - mat.Dot(straight, straight)
}

func (w *search) solution() Solution {
	s := Solution{Params: w.x, SumSquares: w.ss, AtBound: make([]bool, len(w.x)), Iterations: w.iterations, Converged: w.converged}
	for j := range s.AtBound {
		s.AtBound[j] = w.x[j] <= w.p.lower(j) || w.x[j] >= w.p.upper(j)
	}
	if s.UnitErr = w.unitErrors(); s.UnitErr == nil {
		return s
	}
	if dof := len(w.r) - len(w.free); dof > 0 {
		s.StdErr = slices.Clone(s.UnitErr)
		floats.Scale(math.Sqrt(w.ss/float64(dof)), s.StdErr)
	}
	return s
}

// unitErrors returns √diag (JᵀJ)⁻¹ of the free parameters, the lengths of the rows
// of R⁻¹ with J = Q·R, or nil where J has no full rank.
func (w *search) unitErrors() []float64 {
	w.linearize()
	errs := make([]float64, len(w.x))
	k := len(w.free)
	if k == 0 {
		return errs
	}
	var qr mat.QR
	qr.Factorize(w.columns(w.free, 0))
	var full mat.Dense
	qr.RTo(&full)
	r := mat.NewTriDense(k, mat.Upper, nil)
	for i, j := range w.free {
		for c := i; c < k; c++ {
			r.SetTri(i, c, full.At(i, c))
		}
		if d := math.Abs(r.At(i, i)); d == 0 || d < 1e-14*w.norms[j] {
			return nil
		}
	}
	var inverse mat.TriDense
	_ = inverse.InverseTri(r) // its rank is full
	for i, j := range w.free {
		errs[j] = floats.Norm(mat.Row(nil, i, &inverse), 2)
	}
	return errs
}
