package match

import (
	"math"

	"gonum.org/v1/gonum/stat"

	"evenfall/photometry/uncertainty"
)

// color finds how color changed at the pairs that decide, and judges it: no
// place may have shifted by more than the tolerance.
//
// The mean shift's interval is from repeats of color where both days have some,
// else from how the shifts scatter about their mean, which holds their pattern
// and so errs on the wide side.
func (m *matching) color(counted countedPairs) {
	if !m.before.s.HasColor() || !m.after.s.HasColor() {
		return
	}
	r := m.r
	m.shiftPoints()
	beforeMired, beforeDuv, nuA := m.before.s.ColorScatter()
	afterMired, afterDuv, nuB := m.after.s.ColorScatter()
	mired := m.shift(counted, func(p Point) *float64 { return p.MiredShift }, estimate{beforeMired * beforeMired, nuA}, estimate{afterMired * afterMired, nuB}, r.Tolerance.Mired)
	if mired == nil {
		return
	}
	c := &Color{Points: mired.n, PatternMired: mired.pattern, WorstMired: r.Points[mired.worst], VerdictMired: mired.verdict,
		OffsetMiredInterval: mired.interval, OffsetSignificant: mired.significant(), NoiseMired: mired.noise}
	r.Color, r.OffsetMired = c, &mired.mean
	if duv := m.shift(counted, func(p Point) *float64 { return p.DuvShift }, estimate{beforeDuv * beforeDuv, nuA}, estimate{afterDuv * afterDuv, nuB}, r.Tolerance.Duv); duv != nil {
		c.PatternDuv, c.WorstDuv, c.VerdictDuv = &duv.pattern, &r.Points[duv.worst], duv.verdict
		r.OffsetDuv, c.OffsetDuvInterval, c.NoiseDuv = &duv.mean, duv.interval, duv.noise
		c.OffsetSignificant = c.OffsetSignificant || duv.significant()
	}
	if missing := len(counted.pairs) - c.Points; missing > 0 {
		m.warn("match.color_missing", "missing", missing, "places", len(counted.pairs))
	}
}

// shiftPoints notes each pair's shift of color.
func (m *matching) shiftPoints() {
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
		if p.before == r.Worst.before {
			r.Worst = *p
		}
	}
}

// colorShift is the mean shift of one coordinate of color, and what is left.
type colorShift struct {
	n, worst      int
	mean, pattern float64
	noise         *float64 // of one shift, from repeats; nil without
	interval      *[2]float64
	verdict       string
}

func (c *colorShift) significant() bool {
	return c.interval != nil && (c.interval[0] > 0 || c.interval[1] < 0)
}

// shift is that of one coordinate; nil where no pair has it. The estimates are of
// one reading on each day.
func (m *matching) shift(counted countedPairs, of func(Point) *float64, before, after estimate, tolerance float64) *colorShift {
	countA, countB := m.before.s.ColorCount(), m.after.s.ColorCount()
	c := &colorShift{worst: -1}
	low, high, weights, a, b, far := math.Inf(1), math.Inf(-1), 0.0, 0.0, 0.0, 0.0
	var classes uncertainty.Classes
	var values []float64
	for _, k := range counted.pairs {
		p := m.r.Points[k]
		v := of(p)
		if v == nil {
			continue
		}
		w := counted.weight[k]
		values = append(values, *v)
		c.mean, weights = c.mean+w**v, weights+w
		low, high = min(low, *v), max(high, *v)
		if c.worst < 0 || math.Abs(*v) > far {
			c.worst, far = k, math.Abs(*v)
		}
		va := before.variance / max(1, countA[int32(p.before)])
		vb := after.variance / max(1, countB[int32(p.after)])
		a, b = a+w*w*va, b+w*w*vb
		classes.Add(*v, inverse(va+vb))
	}
	if c.n = len(values); c.n == 0 {
		return nil
	}
	c.mean, c.pattern = c.mean/weights, high-low
	a, b = a/(weights*weights), b/(weights*weights)
	if before.nu == 0 || after.nu == 0 {
		c.verdict = uncertainty.Judge(far, far, tolerance)
		if c.n >= 3 {
			c.within(uncertainty.Factor(c.n-1) * math.Sqrt(stat.MomentAbout(2, values, c.mean, nil)/float64(c.n-1)))
		}
		return c
	}
	c.within(uncertainty.Factor(freedom(estimate{a, before.nu}, estimate{b, after.nu})) * math.Sqrt(a+b))
	noise := math.Sqrt(before.variance + after.variance)
	c.noise = &noise
	nu := freedom(before, after)
	lo, hi := uncertainty.DeviationInterval(classes, 0, math.Inf(1), uncertainty.Model{Stops: 1, Nu: nu}, uncertainty.FactorsFor(max(2, c.n), nu))
	c.verdict = uncertainty.Judge(lo, hi, tolerance)
	return c
}

// within sets the interval by half of its width.
func (c *colorShift) within(half float64) {
	c.interval = &[2]float64{c.mean - half, c.mean + half}
}
