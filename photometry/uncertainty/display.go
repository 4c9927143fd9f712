package uncertainty

import (
	"math"
	"sync"

	"gonum.org/v1/gonum/stat/distuv"
)

// A display rounds what the meter measures to steps. Two readings whose true difference
// is d are shown k steps apart or k + 1, and where between two steps the level lies is
// not known: what they are shown apart errs from d by a variable that is uniform over one
// whole step, on the side that is the less lucky for some d, besides their scatter. The
// bounds below hold for that d. Two independent roundings, which err by less together,
// would not do: the surfaces that a step hides are those just short of it.

// half is how far rounding moves the mean of k readings at most, in stops. Readings
// that scatter by half a step or more round differently and their mean gets nearer
// to the truth; below that they all round the same way.
func (m Model) half(k float64) float64 {
	if m.Half == 0 || m.normal() < m.Half {
		return m.Half
	}
	return m.Half / math.Sqrt(max(1, k))
}

// rounds reports whether the display's steps have to be looked at: not where the scatter
// is ten times as wide.
func (m Model) rounds() bool { return m.Half > 0 && m.normal() < 10*m.Half }

// LeastPair is what no number of readings brings the difference of two means under,
// with a probability of 97.5 %, in stops: 0 where rounding averages out.
func (m Model) LeastPair() float64 {
	if m.half(4) < m.Half || m.Half == 0 {
		return 0
	}
	return pairQuantile(0, 2*m.Half)
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
	return pairQuantile(sd, m.half(ka)+m.half(kb))
}

// luckiest is what the range of n such means stays under with a probability of
// 97.5 %, by the scatter of a pair of them (Tukey and Kramer).
func (m Model) luckiest(ka, kb float64, f Factors) float64 {
	mean := math.Sqrt((1/ka + 1/kb) / 2)
	if !m.rounds() {
		return f.Q * m.Stops * mean
	}
	step := m.half(ka) + m.half(kb)
	sd := m.normal() * mean * f.Q / FactorsFor(f.N, 0).Q
	return step * roundedRangeQuantile(sd/step, f.N)
}

// pairQuantile is the 97.5 % point of the sum of a normal variable and one that is
// uniform from 0 to a step: with Ψ(z) = zΦ(z) + φ(z), whose derivative is Φ, its
// distribution is [Ψ(x/sd) − Ψ((x−step)/sd)]·sd/step.
func pairQuantile(sd, step float64) float64 {
	sd = max(sd, 1e-3*step) // a hair, against 0/0
	psi := func(z float64) float64 { return z*normalTail(-z) + distuv.UnitNormal.Prob(z) }
	cdf := func(x float64) float64 { return (psi(x/sd) - psi((x-step)/sd)) * sd / step }
	return invert(cdf, OneSided, math.Hypot(sd, step))
}

// roundedRangeQuantile is the like for the range of n normals of a standard deviation of
// sd steps. The scatter is taken 2 % too large at most, so that few of them have to be
// computed.
func roundedRangeQuantile(sd float64, n int) float64 {
	class := math.Ceil(50 * math.Log(max(sd, 0.01)))
	key := [2]int{n, int(class)}
	if q, ok := roundedRanges.Load(key); ok {
		return q.(float64)
	}
	sd = math.Exp(class / 50)
	ofRange := tabulatedRangeCDF(n)
	cdf := func(x float64) float64 {
		const parts = 200 // of the step
		sum := 0.0
		for i := range parts {
			sum += ofRange((x-(float64(i)+0.5)/parts)/sd) / parts
		}
		return sum
	}
	q := invert(cdf, OneSided, 1+MeanRange(n)*sd)
	roundedRanges.Store(key, q)
	return q
}

var roundedRanges sync.Map // [n, class of scatter] → 97.5 % point, in steps
