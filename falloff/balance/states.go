package balance

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/stat"

	"evenfall/photometry"
	"evenfall/photometry/evenness"
	"evenfall/photometry/spatial"
	"evenfall/photometry/survey"
	"evenfall/photometry/uncertainty"
)

// judge judges the surface before and after.
func (b *balancing) judge(trims []float64) {
	r := b.r
	r.Suspects = append(r.Suspects, b.suspects...)
	if n := b.set.OneSided; n > 0 {
		b.warn("lamps_one_sided", "readings", n)
	}
	r.BeforeMap, r.Before = b.judged(ones(len(b.lamp)), false)
	// Lamps that all stay as they are were not chosen by these readings.
	chosen := floats.Min(trims) < 1
	if r.AfterMap, r.After = b.judged(trims, chosen); chosen && b.fit != nil {
		r.Shares.LevelErrorStops = b.levelError(trims)
	}
	r.BeforeMap.Title, r.AfterMap.Title = "Before", "After trimming"
	if title := b.set.Surface.Title; title != "" {
		r.BeforeMap.Title, r.AfterMap.Title = title+", before", title+", after trimming"
	}
	r.Limits = r.AfterMap.Limits
	r.Verdict = r.After.Verdict.Overall
	if r.Before.Verdict.Overall == uncertainty.Pass {
		r.Verdict = uncertainty.Pass // leave the lamps alone
	}
	if before, after := r.Before.Mean, r.After.Mean; before > 0 && after > 0 {
		r.LightStops = new(photometry.Stops(after, before))
	}
	if b.ambient != nil || b.other {
		r.Ambient = new(stat.Mean(b.rest, nil))
	}
}

// judged is the surface with trims, chosen by these readings or as it was read.
func (b *balancing) judged(trims []float64, chosen bool) (*evenness.Result, State) {
	levels := b.levels(trims)
	c := evenness.Computed{Level: levels, Chosen: chosen, Excluded: b.excluded, Suspects: b.suspectPoints()}
	c.Of, c.Errors = b.scatter(trims, levels), b.shareErrors(trims, levels)
	b.color(&c, trims)
	r := evenness.JudgeComputed(b.set, c)
	if b.fit != nil && chosen {
		if b.fit.Missed == nil { // how well the shares are known is not
			r.Evenness.SpreadInterval, r.Evenness.DeviationInterval = nil, nil
			if r.Area != nil {
				r.Area.SpreadInterval, r.Area.DeviationInterval = nil, nil
			}
			unsettle(&r.Verdict)
		}
		if few := b.fit.Places < nineAlone; few || b.reachesShort() {
			unsettle(&r.Verdict)
			b.fewAlone = true
		}
	}
	if b.set.OneSided+b.set.Open > 0 {
		unsettle(&r.Verdict)
	}
	return r, b.stateOf(r, levels)
}

// nineAlone is at how many places each lamp has to be read alone, the outermost of those
// that decide among them, before shares prove a pass: six places inside do not show a
// flag beyond them (9 % of simulated surfaces were then worse than said).
const nineAlone = 9

// reachesShort reports whether some place that decides lies beyond those where lamps were
// read alone.
func (b *balancing) reachesShort() bool {
	s := b.set.Surface
	box, _ := spatial.BoxOf(s.X, s.Y)
	u, v := b.reach(box)
	return slices.ContainsFunc(b.decide, func(i int) bool {
		x, y := box.Local(s.X[i], s.Y[i])
		return math.Abs(x) > u+1e-9 || math.Abs(y) > v+1e-9
	})
}

// levelError is the largest standard deviation that the fitted shares add to the level of
// a place that decides, in stops.
func (b *balancing) levelError(trims []float64) float64 {
	largest := 0.0
	rows := b.shareErrors(trims, b.levels(trims))
	for _, i := range b.decide {
		squares := 0.0
		for _, row := range rows {
			squares += row[i] * row[i]
		}
		largest = max(largest, math.Sqrt(squares))
	}
	return largest
}

// unsettle takes back a pass.
func unsettle(v *evenness.Verdict) {
	v.Evenness = uncertainty.WorstVerdict(v.Evenness, uncertainty.Unsure)
	v.Overall = uncertainty.WorstVerdict(v.Overall, uncertainty.Unsure)
}

// suspectPoints are the suspects that count, each point once.
func (b *balancing) suspectPoints() (points []survey.Suspect) {
	for _, x := range b.suspects {
		if b.excluded[x.Point] && !slices.ContainsFunc(points, func(p survey.Suspect) bool { return p.Point == x.Point }) {
			points = append(points, x.Suspect)
		}
	}
	return points
}

// stateOf takes the figures of the part that decides.
func (b *balancing) stateOf(r *evenness.Result, levels []float64) State {
	out := State{Evenness: Evenness(r.Evenness), Verdict: r.Verdict}
	if r.Area != nil {
		out.Evenness, out.Whole = Evenness(*r.Area), new(r.Evenness)
	}
	if slices.Contains(b.excluded, true) {
		var with []float64
		for _, i := range b.set.Judgeable(nil) {
			with = append(with, levels[i])
		}
		if floats.Min(with) > 0 {
			out.WithSuspects = new(spreadOf(with))
		}
	}
	if c := r.Color; c != nil && c.Points > 0 {
		out.Color = &Color{CCT: c.Reference.CCT, Duv: c.Reference.Duv, MaxMiredShift: c.MaxMiredShift, MaxDuvShift: c.MaxDuvShift}
	}
	return out
}
