package match

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/stat"

	"evenfall/photometry"
	"evenfall/photometry/evenness"
	"evenfall/photometry/uncertainty"
)

// choose picks the pairs that decide, with their weights by area, 1 in sum: those in
// shot that are no suspects; where none is, all of them.
func (m *matching) choose() {
	r := m.r
	decides := func(p Point) bool { return !p.Excluded && !p.OutOfShot }
	if !slices.ContainsFunc(r.Points, func(p Point) bool { return !p.Excluded }) {
		r.warn("match.all_doubtful")
		for k := range r.Points {
			r.Points[k].Excluded = false
		}
	}
	if !slices.ContainsFunc(r.Points, decides) {
		r.warn("match.none_in_shot")
		for k := range r.Points {
			r.Points[k].OutOfShot = false
		}
	}
	m.weight = make([]float64, len(r.Points))
	for k, p := range r.Points {
		if !p.Excluded {
			r.PairsInAll++
		}
		if decides(p) {
			m.pairs = append(m.pairs, k)
			if m.weight[k] = 1; m.before.r.Weights != nil {
				m.weight[k] = m.before.r.Weights[p.before]
			}
		}
	}
	if r.Pairs = len(m.pairs); floats.Sum(m.weight) == 0 { // none is in shot
		for _, k := range m.pairs {
			m.weight[k] = 1
		}
	}
	floats.Scale(1/floats.Sum(m.weight), m.weight)
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
func (m *matching) levels() {
	r, n := m.r, len(m.pairs)
	half, lo, hi := 0.0, math.Inf(1), 0.0
	scatter := &PatternScatter{}
	for i, noise := range m.noises() {
		d := m.stops(noise)
		if i == 0 {
			r.OffsetStops, scatter.PatternRMSStops = d.mean(), d.rms()
		}
		half = max(half, math.Abs(d.mean()-r.OffsetStops)+d.half())
		if n >= 2 {
			l, h := d.spread(math.Hypot(noise.a.Drift, noise.b.Drift))
			lo, hi = min(lo, l), max(hi, h)
			mean := stat.Mean(d.variances(), nil)
			scatter.PatternNoiseFloorStops = max(scatter.PatternNoiseFloorStops, uncertainty.MeanRange(n)*math.Sqrt(mean))
			scatter.PatternNoiseRMSStops = max(scatter.PatternNoiseRMSStops, math.Sqrt(mean*float64(n-1)/float64(n)))
		}
	}
	r.OffsetInterval = about(r.OffsetStops, half)
	r.OffsetSignificant = !holdsZero(r.OffsetInterval)
	for k := range r.Points {
		r.Points[k].Pattern = r.Points[k].Stops - r.OffsetStops
	}
	m.low, m.high = math.Inf(1), math.Inf(-1)
	for _, k := range m.pairs {
		p := r.Points[k]
		m.low, m.high = min(m.low, p.Stops), max(m.high, p.Stops)
		if r.Worst.Position == nil || math.Abs(p.Stops) > math.Abs(r.Worst.Stops) {
			r.Worst = p
		}
	}
	if n >= 2 {
		r.PatternStops, r.PatternInterval, r.PatternScatter = new(m.high-m.low), &[2]float64{lo, hi}, scatter
		r.PatternSignificant = lo > 0
	}
}

// stops are the differences of level at the pairs that decide.
func (m *matching) stops(noise pairNoise) *differences {
	d := &differences{a: noise.before, b: noise.after}
	for _, k := range m.pairs {
		p := m.r.Points[k]
		d.add(p.Stops+noise.b.ShiftAt(p.after)-noise.a.ShiftAt(p.before), m.weight[k], m.before.s.ReadingsBehind(p.before, noise.a.Stops), m.after.s.ReadingsBehind(p.after, noise.b.Stops))
		d.slack = append(d.slack, noise.a.SlackAt(p.before)+noise.b.SlackAt(p.after))
	}
	for _, day := range m.days() {
		mean := make([]float64, len(day.driftErrors(0)))
		for _, k := range m.pairs {
			floats.AddScaled(mean, m.weight[k], day.driftErrors(day.at(m.r.Points[k])))
		}
		d.carried = append(d.carried, estimate{variance: floats.Dot(mean, mean)})
	}
	return d
}

// pairNoise is how single readings of the two days scatter: the models, and their
// variances in stops².
type pairNoise struct {
	a, b          uncertainty.Model
	before, after estimate
}

// noises are all pairs of the two days' models of the scatter, the one with the most
// scatter first, with the changes of the light that were taken out.
func (m *matching) noises() (out []pairNoise) {
	of := func(x uncertainty.Model) estimate { return estimate{x.Stops * x.Stops, x.Nu} }
	for _, a := range m.before.models {
		for _, b := range m.after.models {
			out = append(out, pairNoise{a, b, of(a), of(b)})
		}
	}
	slices.SortStableFunc(out, func(p, q pairNoise) int {
		return cmp.Compare(q.before.variance+q.after.variance, p.before.variance+p.after.variance)
	})
	return out
}

// variance of the log ratio of a pair, in stops², without drift; what the light between
// two readings of the reference may be off by counts as a deviation.
func (m *matching) variance(p Point, n pairNoise) float64 {
	slack := math.Hypot(n.a.SlackAt(p.before), n.b.SlackAt(p.after))
	return n.before.variance/m.before.s.ReadingsBehind(p.before, n.a.Stops) + n.after.variance/m.after.s.ReadingsBehind(p.after, n.b.Stops) + slack*slack
}

// unitsMixed reports whether the days differ by the factor of lux and footcandles, so that
// one of them may be read in the other's unit; a tenth of a stop is left for the light.
func (m *matching) unitsMixed() bool {
	swapped := photometry.Stops(photometry.LuxPerFootcandle, 1)
	return m.before.s.Quantity == photometry.Illuminance && math.Abs(math.Abs(m.r.OffsetStops)-swapped) < 0.1
}

// judge judges each part.
func (m *matching) judge() {
	r := m.r
	r.Verdict.Offset = judgeMean(r.OffsetStops, r.OffsetInterval[1]-r.OffsetStops, r.Tolerance.OffsetStops)
	if m.unitsMixed() {
		r.Verdict.Offset = uncertainty.Unsure
	}
	r.Verdict.Pattern = uncertainty.Unsure
	if r.PatternInterval != nil {
		r.Verdict.Pattern = uncertainty.Judge(r.PatternInterval[0], r.PatternInterval[1], r.Tolerance.PatternStops)
	}
	// A copy of the day before is no reading of today.
	bounds := len(m.before.s.Bounds) + len(m.after.s.Bounds)
	if bounds > 0 {
		r.warn("match.one_sided", "readings", bounds)
	}
	if r.Verdict.Pattern == uncertainty.Pass && (bounds > 0 || m.partly() || m.identical() || m.suspectsMatter()) {
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
	if m.inConflict() {
		r.Verdict.unsettle()
	}
}

// inConflict reports whether it is open which reading of a pair counts.
func (m *matching) inConflict() bool {
	return slices.ContainsFunc(m.pairs, func(k int) bool {
		p := m.r.Points[k]
		return m.before.s.InConflict(p.before) || m.after.s.InConflict(p.after)
	})
}

// partly reports whether less than half of the places that were planned or read the day
// before were read on both days, or without a plan fewer than a pass needs: most of the
// surface has to be there.
func (m *matching) partly() bool {
	both := m.r.PairsInAll
	if p := m.before.r.Progress; p != nil {
		return 2*both < p.Planned
	}
	return both < max(evenness.FewestPlaces, len(m.r.UnpairedBefore))
}

// suspectsMatter reports whether a suspect of either day, if it were true, would carry
// the pattern out of tolerance.
func (m *matching) suspectsMatter() bool {
	return slices.ContainsFunc(m.r.Points, func(p Point) bool {
		return p.Excluded && !p.OutOfShot && max(m.high, p.Stops)-min(m.low, p.Stops) > m.r.Tolerance.PatternStops
	})
}
