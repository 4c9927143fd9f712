package evenness

import (
	"math"
	"slices"

	"evenfall/photometry"
	"evenfall/photometry/survey"
	"evenfall/photometry/uncertainty"
)

// subset is a choice of a survey's points with their levels.
type subset struct {
	s              *survey.Survey
	level, weights []float64 // columns beside all points; weights are nil where all are equal
	chosen         []int32   // nil for all
	scatter        scatter
}

// scatter is how levels scatter: as readings do, or computed from some.
type scatter interface {
	// intervals gives the interval of the spread, or where a level is given of the
	// largest distance from it, for a model of how single readings scatter.
	intervals(p subset) func(m uncertainty.Model, f uncertainty.Factors, from *fromLevel) (lo, hi float64)
	// typical is the scatter of one level in stops.
	typical(p subset, models []uncertainty.Model) float64
	// ofReference is how many readings scatter as much as the reference does; more
	// is 1 where it is no point of the subset.
	ofReference(p subset, ref Reference, models []uncertainty.Model) (readings float64, more int)
}

// fromLevel is a level that points are compared with: log2 of it, and how many
// readings it scatters as.
type fromLevel struct{ stops, readings float64 }

// shiftOf is by how much a shift of each point changes the reference.
func (p subset) shiftOf(shift []float64) float64 {
	if i := p.s.Reference; i >= 0 {
		return shift[i]
	}
	return mean(p.of(shift), p.of(p.weights))
}

// of bounds the spread of classes, or their distance from the level.
func (from *fromLevel) of(c uncertainty.Classes, m uncertainty.Model, f uncertainty.Factors) (lo, hi float64) {
	if from == nil {
		return uncertainty.SpreadInterval(c, m, f)
	}
	return uncertainty.DeviationInterval(c, from.stops, from.readings, m, f)
}

// each calls f with every point.
func (p subset) each(f func(i int)) {
	if p.chosen == nil {
		for i := range p.level {
			f(i)
		}
		return
	}
	for _, i := range p.chosen {
		f(int(i))
	}
}

func (p subset) count() int {
	if p.chosen == nil {
		return len(p.level)
	}
	return len(p.chosen)
}

// where is the subset of the points that are to be kept.
func (p subset) where(keep func(i int) bool) subset {
	chosen := []int32{}
	p.each(func(i int) {
		if keep(i) {
			chosen = append(chosen, int32(i))
		}
	})
	p.chosen = chosen
	return p
}

// without is the subset without marked points, or all of it where nothing is left.
func (p subset) without(marked []bool) subset {
	if marked == nil {
		return p
	}
	if rest := p.where(func(i int) bool { return !marked[i] }); rest.count() > 0 {
		return rest
	}
	return p
}

// of are the entries of a column at the points; nil of nil. Without a choice it is
// the column itself.
func (p subset) of(column []float64) []float64 {
	if column == nil || p.chosen == nil {
		return column
	}
	out := make([]float64, len(p.chosen))
	for k, i := range p.chosen {
		out[k] = column[i]
	}
	return out
}

// withIntervals adds intervals and the noise floor to the figures of a subset and
// judges them by the limits and the reference of a result.
func (p subset) withIntervals(e *Statistics, r *Result) string {
	n := e.Points
	switch {
	case n < 2:
		return uncertainty.Unsure
	case !(e.Min > 0):
		return uncertainty.Fail
	}
	interval := p.scatter.intervals(p)
	widest := func(n int, from *fromLevel) *[2]float64 {
		lo, hi := uncertainty.Widest(r.Models, n, func(m uncertainty.Model, f uncertainty.Factors) (float64, float64) {
			return interval(m, f, from)
		})
		return &[2]float64{lo, hi}
	}
	e.NoiseFloorStops = uncertainty.MeanRange(n) * p.scatter.typical(p, r.Models)
	e.SpreadInterval = widest(n, nil)
	decisive := e.SpreadInterval
	if bounds := p.bounds(); len(bounds) > 0 {
		return p.withBounds(e, r, bounds)
	}
	if r.Limits.EachSide {
		readings, more := p.scatter.ofReference(p, r.Reference, r.Models)
		e.DeviationInterval = widest(n+more, &fromLevel{math.Log2(r.Reference.Level), readings})
		decisive = e.DeviationInterval
	}
	return uncertainty.Judge(decisive[0], decisive[1], r.Limits.Stops)
}

// bounds are the readings of the subset that are known only to one side.
func (p subset) bounds() []survey.Bound {
	if p.chosen == nil || p.s.Area == nil {
		return p.s.Bounds
	}
	var inside []survey.Bound
	for _, b := range p.s.Bounds {
		if p.s.InShot(b.X, b.Y) {
			inside = append(inside, b)
		}
	}
	return inside
}

// withBounds judges a subset with readings that are known only to one side: the least
// spread counts with their limits, the greatest has none, so that the surface may fail
// and never pass. Levels in doubt prove nothing beside a limit, and a limit is as it was
// read: where the light changed meanwhile, by as much less.
func (p subset) withBounds(e *Statistics, r *Result, bounds []survey.Bound) string {
	low, high := math.Inf(1), math.Inf(-1)
	p.each(func(i int) {
		if !p.s.InDoubt(i) {
			low, high = min(low, p.level[i]), max(high, p.level[i])
		}
	})
	changed := 0.0
	if d := r.Drift; d != nil && (d.Significant || d.GapStops > 0) {
		changed = max(math.Abs(d.TotalStops), d.GapStops)
	}
	for _, b := range bounds {
		if b.Over {
			high = max(high, b.Level)
		} else if b.Level > 0 {
			low = min(low, b.Level)
		}
	}
	least := math.Inf(1)
	for _, m := range r.Models {
		f := uncertainty.FactorsFor(e.Points+len(bounds), m.Nu)
		least = min(least, photometry.Stops(high, low)-f.Q*m.Stops-f.Z*m.Drift-changed)
	}
	least = max(0, least, e.SpreadInterval[0])
	e.SpreadInterval, e.SpreadAtLeast = nil, &least
	tolerance := r.Limits.Stops
	if r.Limits.EachSide {
		tolerance *= 2 // a spread wider than both sides together is outside of one
	}
	return uncertainty.Judge(least, math.Inf(1), tolerance)
}

// readings scatter by how often each point was read.
type readings struct{}

// classes are the levels in stops by how often each was read.
func (readings) classes(p subset, m uncertainty.Model) uncertainty.Classes {
	var classes uncertainty.Classes
	p.each(func(i int) {
		level := p.level[i]
		if m.Shift != nil {
			level *= math.Exp2(m.Shift[i])
		}
		classes.Add(level, p.s.ReadingsBehind(i, m.Stops), m.SlackAt(i))
	})
	return classes.InStops()
}

func (r readings) intervals(p subset) func(m uncertainty.Model, f uncertainty.Factors, from *fromLevel) (lo, hi float64) {
	return func(m uncertainty.Model, f uncertainty.Factors, from *fromLevel) (lo, hi float64) {
		if from != nil && m.Shift != nil {
			from = &fromLevel{from.stops + p.shiftOf(m.Shift), from.readings}
		}
		return from.of(r.classes(p, m), m, f)
	}
}

func (r readings) typical(p subset, models []uncertainty.Model) float64 {
	var widest uncertainty.Model
	for _, m := range models {
		if m.Stops >= widest.Stops {
			widest = m
		}
	}
	return widest.Stops * math.Sqrt(r.classes(p, widest).PerReading())
}

// ofReference: a mean scatters as as many equal readings as its weights allow.
func (readings) ofReference(p subset, ref Reference, _ []uncertainty.Model) (readings float64, more int) {
	if ref.Label == "" {
		if p.weights == nil {
			return float64(max(1, p.count())), 0
		}
		sum, squares := 0.0, 0.0
		p.each(func(i int) {
			sum += p.weights[i]
			squares += p.weights[i] * p.weights[i]
		})
		return sum * sum / squares, 0
	}
	readings = 1
	if p.s.Repeats != nil {
		readings = float64(p.s.Repeats[p.s.Reference])
	}
	if p.chosen != nil && !slices.Contains(p.chosen, int32(p.s.Reference)) {
		more = 1 // the reference scatters as one more place
	}
	return readings, more
}
