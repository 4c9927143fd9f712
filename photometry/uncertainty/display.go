package uncertainty

import (
	"math"
	"sync"

	"gonum.org/v1/gonum/stat/distuv"
)

// A display rounds what the meter measures: one reading errs by a normal variable
// of standard deviation s and one that is uniform within half a step h either
// way. With Ψ(z) = zΦ(z) + φ(z), whose derivative is Φ, the distribution of the sum
// is F(x) = [Ψ((x+h)/s) − Ψ((x−h)/s)]·s/(2h).

// half is how far rounding moves the mean of k readings at most, in stops. Readings
// that scatter by half a step or more round differently and their mean gets nearer
// to the truth; below that they all round the same way.
func (m Model) half(k float64) float64 {
	if m.Half == 0 || m.normal() < m.Half {
		return m.Half
	}
	return m.Half / math.Sqrt(max(1, k))
}

// rounds reports whether the display's steps have to be looked at: where the scatter
// is ten times as wide, the two together are as good as normal.
func (m Model) rounds() bool { return m.Half > 0 && m.normal() < 10*m.Half }

// LeastPair is what no number of readings brings the difference of two means under,
// with a probability of 97.5 %, in stops: 0 where rounding averages out.
func (m Model) LeastPair() float64 {
	if m.half(4) < m.Half || m.Half == 0 {
		return 0
	}
	return pairQuantile(0, m.Half, m.Half)
}

// normal is the scatter of one reading before the display rounds it.
func (m Model) normal() float64 { return math.Sqrt(math.Max(0, m.Stops*m.Stops-m.Half*m.Half/3)) }

// pair is what the difference of two means stays under with a probability of 97.5 %:
// of ka and kb readings, with a further normal error of its own.
func (m Model) pair(ka, kb, further float64, f Factors) float64 {
	if !m.rounds() {
		return f.Z * math.Hypot(m.Stops*math.Sqrt(1/ka+1/kb), further)
	}
	sd := math.Hypot(m.normal()*math.Sqrt(1/ka+1/kb), further) * f.Z / distuv.UnitNormal.Quantile(OneSided)
	return pairQuantile(sd, m.half(ka), m.half(kb))
}

// luckiest is what the range of n such means stays under with a probability of
// 97.5 %, by the scatter of a pair of them (Tukey and Kramer).
func (m Model) luckiest(ka, kb float64, f Factors) float64 {
	mean := math.Sqrt((1/ka + 1/kb) / 2)
	if !m.rounds() {
		return f.Q * m.Stops * mean
	}
	half := max(m.half(ka), m.half(kb))
	sd := m.normal() * mean * f.Q / FactorsFor(f.N, 0).Q
	return half * roundedRangeQuantile(sd/half, f.N)
}

// pairQuantile is the 97.5 % point of the sum of a normal and two uniform variables:
// the distribution is the third integral of the normal one, differenced twice.
func pairQuantile(sd, a, b float64) float64 {
	a, b = max(a, 1e-3*b), max(b, 1e-3*a)
	sd = max(sd, 1e-3*(a+b))              // a hair of each, against 0/0
	integral := func(z float64) float64 { // of Ψ
		return ((z*z+1)*normalTail(-z) + z*distuv.UnitNormal.Prob(z)) / 2
	}
	cdf := func(x float64) float64 {
		return sd * sd / (4 * a * b) * (integral((x+a+b)/sd) - integral((x+a-b)/sd) - integral((x-a+b)/sd) + integral((x-a-b)/sd))
	}
	return invert(cdf, OneSided, math.Hypot(sd, math.Hypot(a, b)))
}

// roundedRangeQuantile is the 97.5 % point of the range of n readings that scatter by
// sd and are rounded to steps of 2: n·∫f(x)·[F(x+w) − F(x)]^(n−1) dx. The scatter is
// taken 2 % too large at most, so that few of them have to be computed.
func roundedRangeQuantile(sd float64, n int) float64 {
	class := math.Ceil(50 * math.Log(max(sd, 0.02)))
	key := [2]int{n, int(class)}
	if q, ok := roundedRanges.Load(key); ok {
		return q.(float64)
	}
	sd = math.Exp(class / 50)
	psi := func(z float64) float64 { return z*normalTail(-z) + distuv.UnitNormal.Prob(z) }
	cdf := func(x float64) float64 { return (psi((x+1)/sd) - psi((x-1)/sd)) * sd / 2 }
	density := func(x float64) float64 { return (normalTail((x-1)/sd) - normalTail((x+1)/sd)) / 2 }
	edge, step := 1+8*sd, min(sd, 1)/8
	rangeCDF := func(w float64) float64 {
		sum := 0.0
		for x := -edge; x <= edge; x += step {
			sum += density(x) * math.Pow(max(0, cdf(x+w)-cdf(x)), float64(n-1))
		}
		return min(1, float64(n)*sum*step)
	}
	q := invert(rangeCDF, OneSided, 2+MeanRange(n)*sd)
	roundedRanges.Store(key, q)
	return q
}

var roundedRanges sync.Map // [n, class of scatter] → 97.5 % point, in half steps
