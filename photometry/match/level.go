package match

import (
	"math"

	"gonum.org/v1/gonum/floats"

	"evenfall/photometry/uncertainty"
)

// levels finds the offset and the pattern.
//
// The offset is the mean of log2(today/before), by area. A median would bear a wild
// reading better, but data-entry errors are left out beforehand, and what remains
// is no contamination: where one lamp changed, half of the surface did, and the
// mean is the exposure that makes up for most of it. Its error follows from the
// scatter of the readings alone, however the light changed, which no robust
// estimate of spread would give.
func (m *matching) levels(counted countedPairs) {
	r := m.r
	sum := 0.0
	for _, k := range counted.pairs {
		sum += counted.weight[k] * r.Points[k].Stops
	}
	r.OffsetStops = sum
	for k := range r.Points {
		r.Points[k].Pattern = r.Points[k].Stops - r.OffsetStops
	}
	r.Worst = r.Points[counted.pairs[0]]
	squares, low, high := 0.0, math.Inf(1), math.Inf(-1)
	for _, k := range counted.pairs {
		p := r.Points[k]
		squares += counted.weight[k] * p.Pattern * p.Pattern
		low, high = min(low, p.Stops), max(high, p.Stops)
		if math.Abs(p.Stops) > math.Abs(r.Worst.Stops) {
			r.Worst = p
		}
	}
	r.PatternStops, r.PatternScatter = high-low, &PatternScatter{PatternRMSStops: math.Sqrt(squares)}
	m.intervals(counted)
}

// countedPairs are the pairs that decide, and the weight of every pair by area, 1 in
// sum.
type countedPairs struct {
	pairs  []int
	weight []float64
}

// choose picks the pairs that decide: those in shot that are no suspects; where
// none is, all of them.
func (m *matching) choose() countedPairs {
	r := m.r
	where := func(counts func(Point) bool) (out []int) {
		for k, p := range r.Points {
			if counts(p) {
				out = append(out, k)
			}
		}
		return out
	}
	all := where(func(p Point) bool { return !p.Excluded })
	pairs := where(func(p Point) bool { return !p.Excluded && !p.OutOfShot })
	if len(all) == 0 {
		m.warn("match.all_doubtful")
		for k := range r.Points {
			r.Points[k].Excluded = false
		}
		all = where(func(Point) bool { return true })
		pairs = all
	} else if len(pairs) == 0 {
		m.warn("match.none_in_shot")
		for k := range r.Points {
			r.Points[k].OutOfShot = false
		}
		pairs = all
	}
	r.Pairs, r.PairsInAll = len(pairs), len(all)
	weight, sum := make([]float64, len(r.Points)), 0.0
	for _, k := range pairs {
		weight[k] = 1
		if area := m.before.r.Weights; area != nil {
			weight[k] = area[r.Points[k].before]
		}
		sum += weight[k]
	}
	floats.Scale(1/sum, weight)
	return countedPairs{pairs, weight}
}

// pairNoise is how the log ratios scatter under one pair of noise models.
type pairNoise struct{ before, after uncertainty.Model }

// freedom is that of the sum of both days' variances.
func (n pairNoise) freedom() int {
	return freedom(estimate{n.before.Stops * n.before.Stops, n.before.Nu}, estimate{n.after.Stops * n.after.Stops, n.after.Nu})
}

// noises are all pairs of the two days' noise models.
func (m *matching) noises() []pairNoise {
	var out []pairNoise
	for _, a := range m.before.models {
		for _, b := range m.after.models {
			out = append(out, pairNoise{a, b})
		}
	}
	return out
}

// variance of the log ratio of a pair, in stops², without drift.
func (m *matching) variance(p Point, n pairNoise) float64 {
	return n.before.Stops*n.before.Stops/m.before.repeats(p.before) + n.after.Stops*n.after.Stops/m.after.repeats(p.after)
}

// estimate is a variance with its degrees of freedom, 0 where it is known.
type estimate struct {
	variance float64
	nu       int
}

// freedom is the number of degrees of freedom of a sum of variances, after Welch
// and Satterthwaite; 0 where all are known.
func freedom(parts ...estimate) int {
	sum, per := 0.0, 0.0
	for _, p := range parts {
		sum += p.variance
		if p.nu > 0 {
			per += p.variance * p.variance / float64(p.nu)
		}
	}
	if per == 0 {
		return 0
	}
	return max(1, int(sum*sum/per))
}

// intervals adds those of offset and pattern, the widest under any noise
// model, and what scatter alone would leave.
//
// Pattern: the log ratios of n places with standard deviations of their own are
// bounded as the levels of a surface are (spreadInterval), since an offset drops
// out of a spread.
func (m *matching) intervals(counted countedPairs) {
	r, n := m.r, len(counted.pairs)
	half, lo, hi := 0.0, math.Inf(1), 0.0
	for _, noise := range m.noises() {
		var a, b, leverA, leverB, mean float64
		var classes uncertainty.Classes
		for _, k := range counted.pairs {
			p, w := r.Points[k], counted.weight[k]
			a += w * w * noise.before.Stops * noise.before.Stops / m.before.repeats(p.before)
			b += w * w * noise.after.Stops * noise.after.Stops / m.after.repeats(p.after)
			leverA, leverB = leverA+w*m.before.lever(p.before), leverB+w*m.after.lever(p.after)
			v := m.variance(p, noise)
			mean += v / float64(n)
			classes.Add(p.Stops, inverse(v))
		}
		parts := []estimate{{a, noise.before.Nu}, {b, noise.after.Nu}, {leverA * leverA, m.before.driftFreedom()}, {leverB * leverB, m.after.driftFreedom()}}
		half = max(half, uncertainty.Factor(freedom(parts...))*math.Sqrt(a+b+leverA*leverA+leverB*leverB))
		one := uncertainty.Model{Stops: 1, Drift: math.Hypot(m.before.driftStops(), m.after.driftStops()),
			Nu: noise.freedom()}
		if n >= 2 {
			l, h := uncertainty.SpreadInterval(classes, one, uncertainty.FactorsFor(n, one.Nu))
			lo, hi = min(lo, l), max(hi, h)
			r.PatternNoiseFloorStops = max(r.PatternNoiseFloorStops, uncertainty.MeanRange(n)*math.Sqrt(mean))
			r.PatternNoiseRMSStops = max(r.PatternNoiseRMSStops, math.Sqrt(mean*float64(n-1)/float64(n)))
		}
	}
	r.OffsetInterval = &[2]float64{r.OffsetStops - half, r.OffsetStops + half}
	r.OffsetSignificant = math.Abs(r.OffsetStops) > half
	if n >= 2 {
		r.PatternInterval = &[2]float64{lo, hi}
		r.PatternSignificant = lo > 0
	}
}

func inverse(v float64) float64 {
	if v == 0 {
		return math.Inf(1)
	}
	return 1 / v
}

// judge judges each part.
func (m *matching) judge(counted countedPairs) {
	r := m.r
	size := math.Abs(r.OffsetStops)
	half := r.OffsetInterval[1] - r.OffsetStops
	r.Verdict.Offset = uncertainty.Judge(max(0, size-half), size+half, r.Tolerance.OffsetStops)
	r.Verdict.Pattern = uncertainty.Unsure
	if r.PatternInterval != nil {
		r.Verdict.Pattern = uncertainty.Judge(r.PatternInterval[0], r.PatternInterval[1], r.Tolerance.PatternStops)
	}
	if r.Verdict.Pattern == uncertainty.Pass && m.todayMatters(counted) {
		r.Verdict.Pattern = uncertainty.Unsure
	}
	if r.Color != nil {
		r.Verdict.Color = r.Color.VerdictMired
		if r.Color.VerdictDuv != "" {
			r.Verdict.Color = uncertainty.WorstVerdict(r.Color.VerdictMired, r.Color.VerdictDuv)
		}
	}
	// Most of the surface that was read the day before has to be there.
	if 2*r.PairsInAll < r.PairsInAll+len(r.UnpairedBefore) && r.Verdict.Pattern == uncertainty.Pass {
		r.Verdict.Pattern = uncertainty.Unsure
	}
	r.Verdict.Overall = uncertainty.WorstVerdict(r.Verdict.Offset, r.Verdict.Pattern)
	if r.Verdict.Color != "" {
		r.Verdict.Overall = uncertainty.WorstVerdict(r.Verdict.Overall, r.Verdict.Color)
	}
}

// todayMatters reports whether a suspect reading of today, if it were true, would
// carry the pattern out of tolerance.
func (m *matching) todayMatters(counted countedPairs) bool {
	low, high := math.Inf(1), math.Inf(-1)
	for _, k := range counted.pairs {
		low, high = min(low, m.r.Points[k].Stops), max(high, m.r.Points[k].Stops)
	}
	for _, p := range m.r.Points {
		if p.Excluded && !p.OutOfShot && !m.before.isExcluded(p.before) && max(high, p.Stops)-min(low, p.Stops) > m.r.Tolerance.PatternStops {
			return true
		}
	}
	return false
}
