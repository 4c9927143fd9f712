package match

import (
	"math"

	"evenfall/photometry/uncertainty"
)

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
		r.warn("match.all_doubtful")
		for k := range r.Points {
			r.Points[k].Excluded = false
		}
		all = where(func(Point) bool { return true })
		pairs = all
	} else if len(pairs) == 0 {
		r.warn("match.none_in_shot")
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
	for k := range weight {
		weight[k] /= sum
	}
	return countedPairs{pairs, weight}
}

// levels finds the offset and the pattern, with the widest intervals under any noise
// model, and what scatter alone would leave.
//
// The offset is the mean of log2(today/before), by area. A median would bear a wild
// reading better, but data-entry errors are left out beforehand, and what remains
// is no contamination: where one lamp changed, half of the surface did, and the
// mean is the exposure that makes up for most of it. Its error follows from the
// scatter of the readings alone, however the light changed, which no robust
// estimate of spread would give.
func (m *matching) levels(counted countedPairs) {
	r, n := m.r, len(counted.pairs)
	half, lo, hi := 0.0, math.Inf(1), 0.0
	scatter := &PatternScatter{}
	drift := math.Hypot(m.before.driftStops(), m.after.driftStops())
	for _, noise := range m.noises() {
		d := m.stops(counted, noise)
		r.OffsetStops, scatter.PatternRMSStops = d.mean(), d.rms()
		half = max(half, d.half())
		if n >= 2 {
			l, h := d.spread(drift)
			lo, hi = min(lo, l), max(hi, h)
			mean := 0.0
			for _, v := range d.variances() {
				mean += v / float64(n)
			}
			scatter.PatternNoiseFloorStops = max(scatter.PatternNoiseFloorStops, uncertainty.MeanRange(n)*math.Sqrt(mean))
			scatter.PatternNoiseRMSStops = max(scatter.PatternNoiseRMSStops, math.Sqrt(mean*float64(n-1)/float64(n)))
		}
	}
	r.OffsetInterval = about(r.OffsetStops, half)
	r.OffsetSignificant = !holdsZero(r.OffsetInterval)
	for k := range r.Points {
		r.Points[k].Pattern = r.Points[k].Stops - r.OffsetStops
	}
	least, most := math.Inf(1), math.Inf(-1)
	r.Worst = r.Points[counted.pairs[0]]
	for _, k := range counted.pairs {
		p := r.Points[k]
		least, most = min(least, p.Stops), max(most, p.Stops)
		if math.Abs(p.Stops) > math.Abs(r.Worst.Stops) {
			r.Worst = p
		}
	}
	if n >= 2 {
		r.PatternStops, r.PatternInterval, r.PatternScatter = new(most-least), &[2]float64{lo, hi}, scatter
		r.PatternSignificant = lo > 0
	}
}

// stops are the differences of level at the pairs that decide.
func (m *matching) stops(counted countedPairs, noise pairNoise) *differences {
	d := &differences{a: noise.before.estimate(), b: noise.after.estimate()}
	for _, k := range counted.pairs {
		p := m.r.Points[k]
		d.add(p.Stops, counted.weight[k], m.before.repeats(p.before), m.after.repeats(p.after))
	}
	for _, day := range m.days() {
		lever := 0.0
		for _, k := range counted.pairs {
			lever += counted.weight[k] * day.lever(day.at(m.r.Points[k]))
		}
		d.carried = append(d.carried, estimate{lever * lever, day.driftFreedom()})
	}
	return d
}

// pairNoise is how the log ratios scatter under one pair of noise models.
type pairNoise struct{ before, after model }

// model is how single readings of one day scatter.
type model uncertainty.Model

func (m model) estimate() estimate { return estimate{m.Stops * m.Stops, m.Nu} }

// freedom is that of the sum of both days' variances.
func (n pairNoise) freedom() int { return freedom(n.before.estimate(), n.after.estimate()) }

// noises are all pairs of the two days' noise models.
func (m *matching) noises() []pairNoise {
	var out []pairNoise
	for _, a := range m.before.models {
		for _, b := range m.after.models {
			out = append(out, pairNoise{model(a), model(b)})
		}
	}
	return out
}

// widestNoise is the pair of models with the most scatter.
func (m *matching) widestNoise() (widest pairNoise) {
	for _, n := range m.noises() {
		if n.before.Stops+n.after.Stops >= widest.before.Stops+widest.after.Stops {
			widest = n
		}
	}
	return widest
}

// variance of the log ratio of a pair, in stops², without drift.
func (m *matching) variance(p Point, n pairNoise) float64 {
	return n.before.Stops*n.before.Stops/m.before.repeats(p.before) + n.after.Stops*n.after.Stops/m.after.repeats(p.after)
}

// judge judges each part.
func (m *matching) judge(counted countedPairs) {
	r := m.r
	r.Verdict.Offset = judgeMean(r.OffsetStops, r.OffsetInterval[1]-r.OffsetStops, r.Tolerance.OffsetStops)
	r.Verdict.Pattern = uncertainty.Unsure
	if r.PatternInterval != nil {
		r.Verdict.Pattern = uncertainty.Judge(r.PatternInterval[0], r.PatternInterval[1], r.Tolerance.PatternStops)
	}
	// Most of the surface that was read the day before has to be there, and a copy of
	// that day is no reading of this one.
	partly := 2*r.PairsInAll < r.PairsInAll+len(r.UnpairedBefore)
	if r.Verdict.Pattern == uncertainty.Pass && (partly || m.identical() || m.suspectsMatter(counted)) {
		r.Verdict.Pattern = uncertainty.Unsure
	}
	if c := r.Color; c != nil {
		r.Verdict.Color = uncertainty.WorstVerdict(c.VerdictMired, c.VerdictDuv)
		if c.VerdictDuv == "" && r.Verdict.Color == uncertainty.Pass {
			// Color temperatures alone say nothing of green and magenta.
			r.Verdict.Color = uncertainty.Unsure
			r.warn("match.green_not_read")
		}
	}
	r.Verdict.Overall = uncertainty.WorstVerdict(r.Verdict.Offset, r.Verdict.Pattern, r.Verdict.Color)
}

// suspectsMatter reports whether a suspect of either day, if it were true, would carry
// the pattern out of tolerance.
func (m *matching) suspectsMatter(counted countedPairs) bool {
	low, high := math.Inf(1), math.Inf(-1)
	for _, k := range counted.pairs {
		low, high = min(low, m.r.Points[k].Stops), max(high, m.r.Points[k].Stops)
	}
	for _, p := range m.r.Points {
		if p.Excluded && !p.OutOfShot && max(high, p.Stops)-min(low, p.Stops) > m.r.Tolerance.PatternStops {
			return true
		}
	}
	return false
}
