package falloff

import (
	"math"
	"slices"

	"evenfall/photometry"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/lapack/lapack64"
)

// search is the working memory of one minimization; it is reused from fit to
// fit so that a profile costs no allocation.
type search struct {
	m, n       int
	x, trial   []float64
	r, rTrial  []float64
	jac        []float64 // m×n, all parameters
	scale      []float64 // D
	gradient   []float64
	norms      []float64
	free       []int
	ss         float64
	iterations int
	converged  bool
	flat       bool // some free parameter has lost all influence

	a     []float64 // m×k factor of the free columns
	small []float64 // 2k×k damped factor
	tau   []float64
	qr    []float64 // Qᵀr, then the damped right-hand side
	rhs   []float64
	work  []float64
	step  []float64
}

func newSearch(m, n int) *search {
	f := func(k int) []float64 { return make([]float64, k) }
	return &search{
		m: m, n: n, x: f(n), trial: f(n), r: f(m), rTrial: f(m), jac: f(m * n),
		scale: f(n), gradient: f(n), norms: f(n), free: make([]int, 0, n),
		a: f(m * n), small: f(2 * n * n), tau: f(n), qr: f(m), rhs: f(2 * n),
		work: f(64 * (m + n)), step: f(n),
	}
}

func (w *search) start(x []float64) {
	copy(w.x, x)
	clear(w.scale)
	w.iterations, w.converged, w.flat = 0, false, false
}

func (w *search) better(ss float64) bool { return w.ss < ss }

func sumSquares(r []float64) float64 {
	var s float64
	for _, v := range r {
		s += v * v
	}
	if math.IsNaN(s) {
		return math.Inf(1)
	}
	return s
}

// run searches from w.x. It reports false where the start itself is not
// finite.
func (w *search) run(p *Problem, damping float64, s Settings) bool {
	for j := range w.x {
		w.x[j] = math.Min(math.Max(w.x[j], p.lower(j)), p.upper(j))
	}
	p.Residuals(w.r, w.x)
	w.ss = sumSquares(w.r)
	if math.IsInf(w.ss, 1) {
		return false
	}
	lambda, growth := damping, 2.0
	fresh := true
	for w.iterations < s.MaxIterations {
		if fresh {
			w.linearize(p)
			if w.stationary(s.Tolerance) {
				w.converged = true
				return true
			}
			w.factor()
			fresh = false
		}
		w.iterations++
		foretold := w.damped(lambda)
		// Cut at the bounds; what the cut step foretells is not worked out
		// anew, which only makes the damping a little more careful.
		var moved float64
		copy(w.trial, w.x)
		for k, j := range w.free {
			w.trial[j] = math.Min(math.Max(w.x[j]+w.step[k], p.lower(j)), p.upper(j))
			size := math.Abs(w.trial[j]-w.x[j]) / (math.Abs(w.x[j]) + 1e-300)
			moved = math.Max(moved, size)
		}
		if moved <= s.Tolerance {
			w.converged = true
			return true
		}
		p.Residuals(w.rTrial, w.trial)
		trial := sumSquares(w.rTrial)
		gain := (w.ss - trial) / foretold
		if w.ss > trial && gain > 1e-4 {
			settled := w.ss-trial <= 1e-16*w.ss && foretold <= 1e-16*w.ss
			w.x, w.trial = w.trial, w.x
			w.r, w.rTrial = w.rTrial, w.r
			w.ss = trial
			if settled || w.ss == 0 {
				w.converged = true
				return true
			}
			u := 2*gain - 1
			lambda *= math.Max(1.0/3, 1-u*u*u)
			lambda = math.Max(lambda, 1e-300)
			growth, fresh = 2, true
			continue
		}
		// Near the end, rounding alone can refuse a step that is right.
		if foretold <= 1e-15*w.ss {
			w.converged = true
			return true
		}
		lambda *= growth
		growth *= 2
		if lambda > 1e100 {
			w.converged = true
			return true
		}
	}
	return true
}

// linearize fills the Jacobian, the gradient Jᵀr, the column norms and the list
// of parameters that are free to move.
func (w *search) linearize(p *Problem) {
	if p.Jacobian != nil {
		p.Jacobian(w.jac, w.x)
	} else {
		w.differences(p)
	}
	w.free = w.free[:0]
	w.flat = false
	for j := 0; j < w.n; j++ {
		var g, norm float64
		for i := 0; i < w.m; i++ {
			v := w.jac[i*w.n+j]
			g += v * w.r[i]
			norm += v * v
		}
		norm = math.Sqrt(norm)
		w.gradient[j], w.norms[j] = g, norm
		if p.lower(j) == p.upper(j) ||
			w.x[j] <= p.lower(j) && g >= 0 || w.x[j] >= p.upper(j) && g <= 0 {
			continue
		}
		if !photometry.Finite(norm) {
			continue
		}
		if norm < 1e-12*w.scale[j] {
			w.flat = true
		}
		w.scale[j] = math.Max(w.scale[j], norm)
		w.free = append(w.free, j)
	}
}

// differences fills the Jacobian by central differences, one-sided at a bound.
func (w *search) differences(p *Problem) {
	copy(w.trial, w.x)
	plus, minus := make([]float64, w.m), make([]float64, w.m)
	for j := 0; j < w.n; j++ {
		h := 6e-6 * math.Max(math.Abs(w.x[j]), 1e-8)
		hi := math.Min(w.x[j]+h, p.upper(j))
		lo := math.Max(w.x[j]-h, p.lower(j))
		w.trial[j] = hi
		p.Residuals(plus, w.trial)
		w.trial[j] = lo
		p.Residuals(minus, w.trial)
		w.trial[j] = w.x[j]
		for i := 0; i < w.m; i++ {
			d := 0.0
			if hi > lo {
				d = (plus[i] - minus[i]) / (hi - lo)
			}
			w.jac[i*w.n+j] = d
		}
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

// factor reduces the free columns of J to a triangle and the residuals with
// them.
func (w *search) factor() {
	k := len(w.free)
	if k == 0 {
		return
	}
	for i := 0; i < w.m; i++ {
		for c, j := range w.free {
			w.a[i*k+c] = w.jac[i*w.n+j]
		}
	}
	a := blas64.General{Rows: w.m, Cols: k, Stride: k, Data: w.a[:w.m*k]}
	lapack64.Geqrf(a, w.tau[:k], w.work, len(w.work))
	copy(w.qr, w.r)
	b := blas64.General{Rows: w.m, Cols: 1, Stride: 1, Data: w.qr}
	lapack64.Ormqr(blas.Left, blas.Trans, a, w.tau[:k], b, w.work, len(w.work))
}

// damped solves the damped triangle for the step and returns the fall of the
// sum of squares that the linear model foretells, |r|² − |r + Jδ|².
func (w *search) damped(lambda float64) float64 {
	k := len(w.free)
	root := math.Sqrt(lambda)
	s := w.small[:2*k*k]
	clear(s)
	for i := 0; i < k; i++ {
		for c := i; c < k; c++ {
			s[i*k+c] = w.a[i*k+c]
		}
		d := w.scale[w.free[i]]
		if d == 0 {
			d = 1
		}
		s[(k+i)*k+i] = root * d
		w.rhs[i] = -w.qr[i]
		w.rhs[k+i] = 0
	}
	a := blas64.General{Rows: 2 * k, Cols: k, Stride: k, Data: s}
	lapack64.Geqrf(a, w.tau[:k], w.work, len(w.work))
	b := blas64.General{Rows: 2 * k, Cols: 1, Stride: 1, Data: w.rhs[:2*k]}
	lapack64.Ormqr(blas.Left, blas.Trans, a, w.tau[:k], b, w.work, len(w.work))
	for i := k - 1; i >= 0; i-- {
		v := w.rhs[i]
		for c := i + 1; c < k; c++ {
			v -= s[i*k+c] * w.step[c]
		}
		if s[i*k+i] == 0 {
			w.step[i] = 0
			continue
		}
		w.step[i] = v / s[i*k+i]
	}
	// |r|² − |r+Jδ|² = −2δᵀJᵀr − |Jδ|², with Jδ = Q·R·δ.
	var gain float64
	for i := 0; i < k; i++ {
		var v float64
		for c := i; c < k; c++ {
			v += w.a[i*k+c] * w.step[c]
		}
		gain -= v * (2*w.qr[i] + v)
	}
	return math.Max(gain, 1e-300)
}

func (w *search) solution(p *Problem) Solution {
	s := Solution{
		Params:     slices.Clone(w.x),
		SumSquares: w.ss,
		AtBound:    make([]bool, w.n),
		Iterations: w.iterations,
		Converged:  w.converged,
	}
	for j := range s.AtBound {
		s.AtBound[j] = w.x[j] <= p.lower(j) || w.x[j] >= p.upper(j)
	}
	cov := w.covariance(p)
	if cov == nil {
		return s
	}
	s.UnitErr = make([]float64, w.n)
	for k, j := range w.free {
		s.UnitErr[j] = math.Sqrt(cov[k*len(w.free)+k])
	}
	if dof := w.m - len(w.free); dof > 0 {
		s.StdErr = slices.Clone(s.UnitErr)
		floats.Scale(math.Sqrt(w.ss/float64(dof)), s.StdErr)
	}
	return s
}

// covariance returns (JᵀJ)⁻¹ of the free parameters at w.x, k×k, or nil where J
// has no full rank.
func (w *search) covariance(p *Problem) []float64 {
	w.linearize(p)
	w.factor()
	k := len(w.free)
	inv := make([]float64, k*k)
	for c := 0; c < k; c++ {
		if d := math.Abs(w.a[c*k+c]); d == 0 || d < 1e-14*w.norms[w.free[c]] {
			return nil
		}
		for i := c; i >= 0; i-- {
			var v float64
			if i == c {
				v = 1
			}
			for l := i + 1; l <= c; l++ {
				v -= w.a[i*k+l] * inv[l*k+c]
			}
			inv[i*k+c] = v / w.a[i*k+i]
		}
	}
	cov := make([]float64, k*k)
	for i := 0; i < k; i++ {
		for j := 0; j < k; j++ {
			for l := max(i, j); l < k; l++ {
				cov[i*k+j] += inv[i*k+l] * inv[j*k+l]
			}
		}
	}
	return cov
}
