package match

import (
	"math"

	"evenfall/photometry/uncertainty"
)

// color finds how color changed at the pairs that decide, and judges it: no
// place may have shifted by more than the tolerance.
//
// The mean shift's interval is from repeats of color where both days have some,
// else from how the shifts scatter about their mean, which holds their pattern
// and so errs on the wide side.
func (m *matching) color() {
	if !m.before.s.HasColor() || !m.after.s.HasColor() {
		return
	}
	r := m.r
	withDuv := m.before.s.DuvRead && m.after.s.DuvRead
	for k := range r.Points {
		p := &r.Points[k]
		a, ok1 := m.before.s.CCT(p.before)
		b, ok2 := m.after.s.CCT(p.after)
		if !ok1 || !ok2 {
			continue
		}
		mired := b.Mired() - a.Mired()
		p.MiredShift = &mired
		if withDuv {
			duv := b.Duv - a.Duv
			p.DuvShift = &duv
		}
	}
	r.Worst = r.Points[m.worst(r.Worst)]
	beforeMired, beforeDuv, nuA := m.before.s.ColorScatter()
	afterMired, afterDuv, nuB := m.after.s.ColorScatter()
	c := &Color{}
	known := nuA > 0 && nuB > 0
	mired := m.shift(func(p Point) *float64 { return p.MiredShift }, beforeMired, afterMired, nuA, nuB, r.Tolerance.Mired)
	if mired == nil {
		return
	}
	c.Points, c.PatternMired, c.WorstMired, c.VerdictMired = mired.n, mired.pattern, r.Points[mired.worst], mired.verdict
	r.OffsetMired, c.OffsetMiredInterval = &mired.mean, mired.interval
	c.OffsetSignificant = mired.significant()
	if known {
		c.NoiseMired = &mired.noise
	}
	if duv := m.shift(func(p Point) *float64 { return p.DuvShift }, beforeDuv, afterDuv, nuA, nuB, r.Tolerance.Duv); duv != nil {
		c.PatternDuv, c.WorstDuv, c.VerdictDuv = &duv.pattern, &r.Points[duv.worst], duv.verdict
		r.OffsetDuv, c.OffsetDuvInterval = &duv.mean, duv.interval
		c.OffsetSignificant = c.OffsetSignificant || duv.significant()
		if known {
			c.NoiseDuv = &duv.noise
		}
	}
	r.Color = c
	if missing := len(m.chosen) - c.Points; missing > 0 {
		m.warn("color_missing", "%d of %d places have no color on one of the days.", missing, len(m.chosen))
	}
}

// worst is the index of a pair.
func (m *matching) worst(p Point) int {
	for k := range m.r.Points {
		if m.r.Points[k].before == p.before {
			return k
		}
	}
	return 0
}

// colorShift is the mean shift of one coordinate of color, and what is left.
type colorShift struct {
	n, worst      int
	mean, pattern float64
	noise         float64 // of one shift, from repeats
	interval      *[2]float64
	verdict       string
}

func (c *colorShift) significant() bool {
	return c.interval != nil && (c.interval[0] > 0 || c.interval[1] < 0)
}

// shift is that of one coordinate; nil where no pair has it. scatter is of one
// reading on each day, with its degrees of freedom.
func (m *matching) shift(of func(Point) *float64, scatterA, scatterB float64, nuA, nuB int, tolerance float64) *colorShift {
	countA, countB := m.before.s.ColorCount(), m.after.s.ColorCount()
	c := &colorShift{worst: -1}
	low, high, weights, a, b, far := math.Inf(1), math.Inf(-1), 0.0, 0.0, 0.0, 0.0
	var classes uncertainty.Classes
	for _, k := range m.chosen {
		p := m.r.Points[k]
		v := of(p)
		if v == nil {
			continue
		}
		w := m.weight[k]
		c.n++
		c.mean, weights = c.mean+w**v, weights+w
		low, high = min(low, *v), max(high, *v)
		if c.worst < 0 || math.Abs(*v) > far {
			c.worst, far = k, math.Abs(*v)
		}
		va := scatterA * scatterA / max(1, countA[int32(p.before)])
		vb := scatterB * scatterB / max(1, countB[int32(p.after)])
		a, b = a+w*w*va, b+w*w*vb
		classes.Add(*v, inverse(va+vb))
	}
	if c.n == 0 {
		return nil
	}
	c.mean, c.pattern = c.mean/weights, high-low
	a, b = a/(weights*weights), b/(weights*weights)
	if nuA == 0 || nuB == 0 {
		c.verdict = uncertainty.Judge(far, far, tolerance)
		if c.n < 3 {
			return c
		}
		squares := 0.0
		for _, k := range m.chosen {
			if v := of(m.r.Points[k]); v != nil {
				squares += (*v - c.mean) * (*v - c.mean)
			}
		}
		half := uncertainty.Factor(c.n-1) * math.Sqrt(squares/float64(c.n-1)/float64(c.n))
		c.interval = &[2]float64{c.mean - half, c.mean + half}
		return c
	}
	half := uncertainty.Factor(freedom(estimate{a, nuA}, estimate{b, nuB})) * math.Sqrt(a+b)
	c.interval = &[2]float64{c.mean - half, c.mean + half}
	va, vb := scatterA*scatterA, scatterB*scatterB
	c.noise = math.Sqrt(va + vb)
	nu := freedom(estimate{va, nuA}, estimate{vb, nuB})
	lo, hi := uncertainty.DeviationInterval(classes, 0, math.Inf(1), uncertainty.Model{Stops: 1, Nu: nu}, uncertainty.FactorsFor(max(2, c.n), nu))
	c.verdict = uncertainty.Judge(lo, hi, tolerance)
	return c
}
