package match

import (
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/stat"

	"evenfall/photometry"
	"evenfall/photometry/uncertainty"
)

// color finds how color changed at the pairs that decide, and judges it: no
// place may have shifted by more than the tolerance.
//
// The mean shift's interval is from repeats of color where both days have some,
// else from how the shifts scatter about their mean, which includes their pattern
// and so errs on the wide side.
func (m *matching) color() {
	a, b := m.before.s, m.after.s
	if !a.HasColor() || !b.HasColor() {
		return
	}
	r := m.r
	m.shiftPoints()
	miredA, duvA, nuA := a.ColorScatter()
	miredB, duvB, nuB := b.ColorScatter()
	mired := m.shift(func(p Point) *float64 { return p.MiredShift }, estimate{miredA * miredA, nuA}, estimate{miredB * miredB, nuB}, r.Tolerance.Mired, 0)
	if mired == nil {
		return
	}
	c := &Color{Points: len(mired.values), PatternMired: mired.pattern, WorstMired: r.Points[mired.worst], VerdictMired: mired.verdict,
		OffsetMiredInterval: mired.interval, OffsetSignificant: !holdsZero(mired.interval), NoiseMired: mired.noise}
	r.Color, r.OffsetMired = c, new(mired.mean())
	meters := metersDisagreeDuv
	if m.sameMeter() {
		meters = 0
	}
	duv := m.shift(func(p Point) *float64 { return p.DuvShift }, estimate{duvA * duvA, nuA}, estimate{duvB * duvB, nuB}, r.Tolerance.Duv, meters)
	if duv != nil {
		c.PatternDuv, c.WorstDuv, c.VerdictDuv = duv.pattern, &r.Points[duv.worst], duv.verdict
		r.OffsetDuv, c.OffsetDuvInterval, c.NoiseDuv = new(duv.mean()), duv.interval, duv.noise
		c.OffsetSignificant = c.OffsetSignificant || !holdsZero(duv.interval)
	}
	if missing := len(m.pairs) - c.Points; missing > 0 {
		r.warn("match.color_missing", "missing", missing, "places", len(m.pairs))
	}
}

// metersDisagreeDuv is how far the Duv of two handheld meters, or of one that was
// adjusted since, may be apart: from memory, no source.
const metersDisagreeDuv = 0.003

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
		p.MiredShift = new(b.Mired() - a.Mired())
		if withDuv {
			p.DuvShift = new(b.Duv - a.Duv)
		}
		if p.before == r.Worst.before {
			r.Worst = *p
		}
	}
}

// colorShift is how one coordinate of color changed.
type colorShift struct {
	differences
	worst    int      // pair
	pattern  *float64 // nil for one place
	noise    *float64 // of one shift, from repeats; nil without
	interval *[2]float64
	verdict  string
}

// shift is that of one coordinate; nil where no pair has it. The estimates are of
// one reading on each day. A shift that excludes zero, and yet is within what two
// meters may disagree by, settles nothing.
func (m *matching) shift(of func(Point) *float64, before, after estimate, tolerance, meters float64) *colorShift {
	countA, countB := m.before.s.ColorCount(), m.after.s.ColorCount()
	c := &colorShift{differences: differences{a: before, b: after}, worst: -1}
	far := 0.0
	for _, k := range m.pairs {
		p := m.r.Points[k]
		v := of(p)
		if v == nil {
			continue
		}
		c.add(*v, m.weight[k], max(1, countA[int32(p.before)]), max(1, countB[int32(p.after)]))
		if c.worst < 0 || math.Abs(*v) > far {
			c.worst, far = k, math.Abs(*v)
		}
	}
	n := len(c.values)
	if n == 0 {
		return nil
	}
	c.scale()
	if n > 1 {
		c.pattern = new(floats.Max(c.values) - floats.Min(c.values))
	}
	lo, hi := far, far
	if before.nu > 0 && after.nu > 0 {
		c.noise, c.interval = new(math.Sqrt(before.variance+after.variance)), about(c.mean(), c.half())
		lo, hi = c.largest(0, 0)
	} else if n >= 3 {
		c.interval = about(c.mean(), uncertainty.Factor(n-1)*math.Sqrt(stat.MomentAbout(2, c.values, c.mean(), nil)/float64(n-1)))
	}
	c.verdict = judgeColor(lo, hi, tolerance)
	if meters > 0 && !holdsZero(c.interval) && judgeColor(lo, lo, meters) == uncertainty.Pass {
		m.r.warn("match.meters_disagree", "duv", photometry.Duv(meters))
		c.verdict = uncertainty.Unsure
	}
	return c
}

// judgeColor judges an interval of shifts; what differs in the last bits of a
// subtraction is no difference.
func judgeColor(lo, hi, tolerance float64) string {
	return uncertainty.Judge(lo, hi, tolerance*(1+1e-9))
}
