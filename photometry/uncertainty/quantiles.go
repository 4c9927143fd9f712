package uncertainty

import (
	"math"
	"sync"

	"gonum.org/v1/gonum/interp"
	"gonum.org/v1/gonum/stat/distuv"
)

// The range of n readings is the largest less the smallest. What follows is
// its distribution where the readings are independent standard normals, and
// where they are divided by a standard deviation estimated from ν degrees of
// freedom (the studentized range). Sums replace integrals: for a smooth
// integrand that vanishes at both ends the trapezoid rule converges faster
// than any power of the step.

const (
	rangeLow  = -9.0
	rangeHigh = 9.0
	rangeStep = 0.1
)

// normalTail is the standard normal's upper tail, 1 - Φ(z).
func normalTail(z float64) float64 { return 0.5 * math.Erfc(z/math.Sqrt2) }

// RangeCDF is the probability that the range of n standard normals is at most
// w: n·∫φ(z)·[Φ(z+w) − Φ(z)]^(n−1) dz (David & Nagaraja, Order Statistics, 3rd
// ed., section 2.3). n is at least 2.
func RangeCDF(w float64, n int) float64 {
	if w <= 0 {
		return 0
	}
	sum := 0.0
	for z := rangeLow; z <= rangeHigh; z += rangeStep {
		outside := normalTail(-z) + normalTail(z+w) // Φ(z) + 1 − Φ(z+w)
		if outside >= 1 {
			continue
		}
		sum += math.Exp(-z*z/2 + float64(n-1)*math.Log1p(-outside))
	}
	return math.Min(1, float64(n)*sum*rangeStep/math.Sqrt(2*math.Pi))
}

// MeanRange is the expected range of n standard normals, the control charts'
// d₂: ∫1 − Φ^n − (1−Φ)^n dz (Tippett, Biometrika 17, 1925).
func MeanRange(n int) float64 {
	if n < 2 {
		return 0
	}
	sum := 0.0
	for z := rangeLow; z <= rangeHigh; z += rangeStep {
		above := normalTail(z)
		sum += 1 - math.Exp(float64(n)*math.Log1p(-above)) - math.Pow(above, float64(n))
	}
	return sum * rangeStep
}

// RangeQuantile is the range that n standard normals stay within with
// probability p, 0 < p < 1. It is exact to about 1e-9.
func RangeQuantile(p float64, n int) float64 {
	return invert(func(w float64) float64 { return RangeCDF(w, n) }, p, MeanRange(n))
}

// StudentizedRangeQuantile is the like for normals divided by an independent
// estimate of their standard deviation with nu degrees of freedom (Student
// 1927; tables in Harter, Ann. Math. Stat. 31, 1960). It is exact to about
// 1e-5 of its value.
func StudentizedRangeQuantile(p float64, n, nu int) float64 {
	cdf := tabulatedRangeCDF(n)
	half := float64(nu) / 2
	lgamma, _ := math.Lgamma(half)
	// Weights of the estimate's logarithm l = ln(s/σ), ν·s²/σ² being χ² with ν
	// degrees of freedom: density 2·half^half/Γ(half)·exp(ν·l − half·e^{2l}).
	const step = 0.02
	spread := 8 / math.Sqrt(2*float64(nu))
	var at, weight []float64
	for l := -spread - 24/float64(nu); l <= spread+1; l += step * math.Min(1, spread) {
		w := math.Exp(float64(nu)*l - half*math.Exp(2*l) + half*math.Log(half) - lgamma)
		if w > 1e-14 {
			at, weight = append(at, math.Exp(l)), append(weight, 2*w*step*math.Min(1, spread))
		}
	}
	return invert(func(w float64) float64 {
		sum := 0.0
		for i, s := range at {
			sum += weight[i] * cdf(w*s)
		}
		return sum
	}, p, MeanRange(n))
}

// invert finds where an increasing function reaches p: a bracket from a start,
// then Illinois steps (false position that cannot stall).
func invert(f func(float64) float64, p, start float64) float64 {
	low, high := start/2, start*2
	for f(low) > p {
		low /= 2
	}
	for f(high) < p && high < 1e9 {
		high *= 2
	}
	fl, fh := f(low)-p, f(high)-p
	side := 0
	for range 200 {
		x := high - fh*(high-low)/(fh-fl)
		if !(x > low && x < high) {
			x = (low + high) / 2
		}
		fx := f(x) - p
		switch {
		case fx == 0 || high-low < 1e-12*high:
			return x
		case fx > 0:
			if high-x < 1e-13*x {
				return x
			}
			high, fh = x, fx
			if side == 1 {
				fl /= 2
			}
			side = 1
		default:
			if x-low < 1e-13*x {
				return x
			}
			low, fl = x, fx
			if side == -1 {
				fh /= 2
			}
			side = -1
		}
	}
	return (low + high) / 2
}

var rangeTables sync.Map // n → func(float64) float64

// tabulatedRangeCDF is RangeCDF of one n from a table, since a studentized
// quantile asks for it tens of thousands of times.
func tabulatedRangeCDF(n int) func(float64) float64 {
	if f, ok := rangeTables.Load(n); ok {
		return f.(func(float64) float64)
	}
	const nodes = 160
	top := MeanRange(n) + 8
	xs, ys := make([]float64, nodes+1), make([]float64, nodes+1)
	for i := range xs {
		xs[i] = top * float64(i) / nodes
		ys[i] = RangeCDF(xs[i], n)
	}
	var curve interp.FritschButland
	if err := curve.Fit(xs, ys); err != nil {
		panic("survey: range table: " + err.Error())
	}
	f := func(w float64) float64 {
		switch {
		case w <= 0:
			return 0
		case w >= top:
			return 1
		}
		return curve.Predict(w)
	}
	rangeTables.Store(n, f)
	return f
}

const OneSided = 0.975 // leaves 2.5 % for a wrong pass and 2.5 % for a wrong fail

// Factors are the two factors of a spread's interval: z bounds the
// difference of one pair, q that of the largest pair of n.
type Factors struct {
	Z, Q float64
	N    int
}

// FactorsFor gives the normal factors for nu = 0 (noise known) and Student's
// and the studentized ones for noise estimated with nu degrees of freedom.
func FactorsFor(n, nu int) Factors {
	key := [2]int{n, nu}
	if pair, ok := quantilePairs.Load(key); ok {
		return pair.(Factors)
	}
	pair := Factors{Z: Factor(nu), N: n}
	if nu <= 0 {
		pair.Q = RangeQuantile(OneSided, n)
	} else {
		pair.Q = StudentizedRangeQuantile(OneSided, n, nu)
	}
	quantilePairs.Store(key, pair)
	return pair
}

// quantilePairs keeps what was computed: a page judges the same places again
// with every reading.
var quantilePairs sync.Map

// Factor is the two-sided 95 % point of a normal variable whose standard
// deviation is known (nu 0), or has nu degrees of freedom.
func Factor(nu int) float64 { return FactorOfPairs(1, nu) }

// FactorOfPairs is what none of so many differences exceeds, in standard deviations of
// one, with a probability of 97.5 % at least (Bonferroni); nu as in Factor.
func FactorOfPairs(pairs, nu int) float64 {
	return Quantile(1-(1-OneSided)/float64(pairs), nu)
}

// Quantile is what a normal variable stays under with probability p, in units of its
// standard deviation, which is known (nu 0) or estimated with nu degrees of freedom.
func Quantile(p float64, nu int) float64 {
	if nu <= 0 {
		return distuv.UnitNormal.Quantile(p)
	}
	return distuv.StudentsT{Mu: 0, Sigma: 1, Nu: float64(nu)}.Quantile(p)
}
