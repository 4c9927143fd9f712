package leastsquares

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/lapack/lapack64"
)

// Regularized is a problem whose parameters have independent standard normal priors
// and whose residuals scatter by an unknown standard deviation, known beforehand to be
// about Scatter with the weight of Prior readings. Its solution minimizes
//
//	(n − 1 + Prior)·ln(Prior·Scatter² + RSS) + |z|²
//
// over the parameters z, where RSS is the sum of squares of n residuals with their
// mean taken out: twice the negative logarithm of the posterior density with the
// constant and the scatter integrated out.
type Regularized struct {
	// Evaluate fills r with the residuals at z, means and all, and, where jac is not
	// nil, jac with their derivatives, a row a residual: jac[i*len(z)+j] = ∂r[i]/∂z[j].
	Evaluate func(r, jac, z []float64)
	Count    int     // of residuals
	Scatter  float64 // expected standard deviation of a residual
	Prior    float64 // how many residuals that expectation is worth
}

// Estimate is a point of the parameters with what the residuals say there.
type Estimate struct {
	Z    []float64
	RSS  float64 // with the mean taken out
	Cost float64 // what is minimized

	variance float64           // of a residual
	chol     blas64.Triangular // of I + JᵀJ/variance
	gradient []float64
}

// Cost is what a sum of squares and parameters come to.
func (p *Regularized) Cost(rss float64, z []float64) float64 {
	cost := (float64(p.Count) - 1 + p.Prior) * math.Log(p.Prior*p.Scatter*p.Scatter+rss)
	for _, v := range z {
		cost += v * v
	}
	if math.IsNaN(cost) {
		return math.Inf(1)
	}
	return cost
}

// At is the cost at z alone; r is room for the residuals.
func (p *Regularized) At(r, z []float64) float64 {
	p.Evaluate(r, nil, z)
	return p.Cost(center(r, 1), z)
}

// center takes the mean out of each of k interleaved columns and returns the sum of
// squares of the first.
func center(values []float64, k int) float64 {
	n := len(values) / k
	squares := 0.0
	for j := range k {
		mean := 0.0
		for i := j; i < len(values); i += k {
			mean += values[i]
		}
		mean /= float64(n)
		for i := j; i < len(values); i += k {
			values[i] -= mean
			if j == 0 {
				squares += values[i] * values[i]
			}
		}
	}
	return squares
}

// Minimize steps from z by the Levenberg–Marquardt method, at most so many steps. It
// ends early where a step gains next to nothing, and at the fourth where the cost
// exceeds giveUp. The result is never worse than z.
func (p *Regularized) Minimize(z []float64, steps int, giveUp float64) *Estimate {
	k := len(z)
	r, jac := make([]float64, p.Count), make([]float64, p.Count*k)
	here, trial := p.linearize(r, jac, z, p.differentiated(r, jac, z)), make([]float64, k)
	hessian := make([]float64, k*k)
	lambda := 0.01
	for step := range steps {
		if step == 4 && here.Cost > giveUp {
			break
		}
		copy(hessian, here.chol.Data)
		moved := p.step(here, hessian, lambda, trial)
		if !moved {
			lambda *= 10
			continue
		}
		// Most steps are taken: the derivatives come with the residuals.
		rss := p.differentiated(r, jac, trial)
		if cost := p.Cost(rss, trial); cost < here.Cost {
			gain := here.Cost - cost
			here = p.linearize(r, jac, trial, rss)
			lambda = max(lambda/8, 1e-6)
			if gain < 0.01 {
				break
			}
		} else if lambda *= 6; lambda > 1e4 {
			break
		}
	}
	here.factorize()
	return here
}

// differentiated fills r with the residuals at z less their mean and jac with their
// derivatives, and returns the sum of squares of r.
func (p *Regularized) differentiated(r, jac, z []float64) float64 {
	p.Evaluate(r, jac, z)
	return center(r, 1)
}

// linearize is the estimate at z of what is differentiated there; it has JᵀJ/variance + I
// in place of its factor.
func (p *Regularized) linearize(r, jac, z []float64, rss float64) *Estimate {
	k := len(z)
	e := &Estimate{Z: slices.Clone(z), RSS: rss, gradient: slices.Clone(z)}
	e.Cost = p.Cost(e.RSS, z)
	e.variance = (p.Prior*p.Scatter*p.Scatter + e.RSS) / (float64(p.Count) - 1 + p.Prior)
	e.chol = blas64.Triangular{Uplo: blas.Upper, Diag: blas.NonUnit, N: k, Stride: max(1, k), Data: make([]float64, k*k)}
	if k == 0 {
		return e
	}
	center(jac, k)
	a := blas64.General{Rows: p.Count, Cols: k, Stride: k, Data: jac}
	for j := range k {
		e.chol.Data[j*k+j] = 1
	}
	blas64.Syrk(blas.Trans, 1/e.variance, a, 1, blas64.Symmetric{Uplo: blas.Upper, N: k, Stride: k, Data: e.chol.Data})
	blas64.Gemv(blas.Trans, 1/e.variance, a, blas64.Vector{N: p.Count, Inc: 1, Data: r}, 1, blas64.Vector{N: k, Inc: 1, Data: e.gradient})
	return e
}

// step fills trial with where the damped step leads.
func (p *Regularized) step(e *Estimate, hessian []float64, lambda float64, trial []float64) bool {
	k := len(trial)
	if k == 0 {
		return false
	}
	for j := range k {
		hessian[j*k+j] *= 1 + lambda
	}
	t, ok := lapack64.Potrf(blas64.Symmetric{Uplo: blas.Upper, N: k, Stride: k, Data: hessian})
	if !ok {
		return false
	}
	copy(trial, e.gradient)
	lapack64.Potrs(t, blas64.General{Rows: k, Cols: 1, Stride: 1, Data: trial})
	for j := range trial {
		// Priors are standard normal: nothing is to be found far from them.
		trial[j] = min(max(e.Z[j]-min(max(trial[j], -2), 2), -4), 4)
	}
	return true
}

// factorize puts the factor in place of the matrix.
func (e *Estimate) factorize() {
	if k := e.chol.N; k > 0 {
		lapack64.Potrf(blas64.Symmetric{Uplo: blas.Upper, N: k, Stride: k, Data: e.chol.Data})
	}
}

// Scatter is the standard deviation of a residual about the model.
func (e *Estimate) Scatter() float64 { return math.Sqrt(e.variance) }

// LogEvidence is the logarithm of the model's evidence by Laplace's method, but for
// what all models of the same residuals have in common: −½·Cost − ½·ln det(I + JᵀJ/σ²).
func (e *Estimate) LogEvidence() float64 {
	half := 0.0
	for j := range e.chol.N {
		half += math.Log(e.chol.Data[j*e.chol.Stride+j])
	}
	return -e.Cost/2 - half
}

// Draw turns independent standard normals into a draw of the posterior's normal
// approximation, in place.
func (e *Estimate) Draw(z []float64) {
	if e.chol.N > 0 {
		blas64.Trsv(blas.NoTrans, e.chol, blas64.Vector{N: len(z), Inc: 1, Data: z})
	}
	for j := range z {
		z[j] = min(max(z[j]+e.Z[j], -4), 4)
	}
}
