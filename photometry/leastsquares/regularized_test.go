package leastsquares

import (
	"math"
	"math/rand/v2"
	"testing"
)

// Of a linear model the posterior is known: with a large number of readings and a known
// scatter the estimate is ridge regression's, and draws have its covariance.
func TestRegularizedLinear(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 4))
	const n, scatter, slope = 4000, 0.5, 0.7
	x, y := make([]float64, n), make([]float64, n)
	for i := range x {
		x[i] = float64(i)/n - 0.5
		y[i] = 5 + slope*x[i] + scatter*random.NormFloat64()
	}
	p := Regularized{Count: n, Scatter: scatter, Prior: 10, Evaluate: func(r, jac, z []float64) {
		for i := range r {
			if r[i] = z[0]*x[i] - y[i]; jac != nil {
				jac[i] = x[i]
			}
		}
	}}
	e := p.Minimize([]float64{-2}, 20, math.Inf(1))
	// Σx(y − ȳ)/(Σx² + σ²) with the textbook's ridge, and σ²/(Σx² + σ²) as variance.
	mean, xy, xx := 0.0, 0.0, 0.0
	for i := range y {
		mean += y[i] / n
	}
	for i := range x {
		xy, xx = xy+x[i]*(y[i]-mean), xx+x[i]*x[i]
	}
	within(t, "scatter", e.Scatter(), scatter, 0.03)
	variance := e.Scatter() * e.Scatter()
	within(t, "slope", e.Z[0], xy/(xx+variance), 1e-3)
	squares := 0.0
	for range n {
		z := []float64{random.NormFloat64()}
		e.Draw(z)
		squares += (z[0] - e.Z[0]) * (z[0] - e.Z[0]) / n
	}
	within(t, "variance of the draws", squares, variance/(xx+variance), 0.1)
	if want := -e.Cost/2 - math.Log(1+xx/variance)/2; math.Abs(e.LogEvidence()-want) > 1e-6 {
		t.Errorf("evidence %g, by its formula %g", e.LogEvidence(), want)
	}
}
