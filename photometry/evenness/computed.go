package evenness

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"

	"evenfall/photometry/survey"
	"evenfall/photometry/uncertainty"
)

// Computed are levels that were computed from readings: a sum of lamps, each
// dimmed to some share.
type Computed struct {
	Level []float64 // one a point of the set's surface, SI unit, zero or more
	U, V  []float64 // CIE 1976 u′, v′; nil without color
	// DuvKnown is false where the colors lie on the Planckian locus by
	// assumption.
	DuvKnown bool
	// Of is how much of the scatter of one reading is in each level, as a
	// factor: √Σ(share²/readings) over the lamps that make it; nil is 1.
	Of []float64
	// Errors are errors that run smoothly over the surface, such as those of a fit: one
	// row for each independent error of one standard deviation, and in it what that
	// changes each level by, in stops; nil is none.
	Errors [][]float64
	// Chosen says that the levels were chosen, by these very readings, for
	// looking even.
	Chosen bool
	// Excluded marks points that the figures leave out because a reading behind
	// them looks like a data-entry error; nil leaves out none. Suspects are shown beside.
	Excluded []bool
	Suspects []survey.Suspect
}

// JudgeComputed makes a surface of computed levels and judges its evenness as Analyze
// does, with the scatter that the readings behind them pass on.
//
// The interval of the spread is that of readings with the standard deviation
// s·Of each, with the standard deviation that Errors add to the difference of each
// pair of places in quadrature.
// Where the levels were chosen for looking even, the truly brightest and
// darkest points are no longer one fixed pair, and both ends of the interval
// take the factor of the luckiest of all pairs that contend, at most q_n of all pairs;
// to first order in the scatter that is valid for any choice. Points that Left marks are left out of all figures, and
// where they would change the verdict it is unsure. The result has no causes,
// trend or exposure, and the advice alone to read what a pass needs.
func JudgeComputed(l *survey.LampSet, c Computed) *Result {
	s := l.Surface
	if len(c.Level) != s.Len() {
		panic("evenness: a column of computed levels of another length than the surface")
	}
	out := &survey.Survey{Title: s.Title, Quantity: s.Quantity, X: s.X, Y: s.Y, Level: c.Level, U: c.U, V: c.V, DuvRead: c.DuvKnown, Label: s.Label,
		ReadingCount: s.Len(), Missing: s.Missing, Extent: s.Extent, Area: s.Area, Reference: s.Reference, Lattice: s.Lattice, Settings: s.Settings, Predicted: c.Chosen || !l.Together}
	excluded := func(i int) bool { return c.Excluded != nil && c.Excluded[i] }
	if i := out.Reference; i >= 0 && (!(c.Level[i] > 0) || excluded(i)) {
		out.Reference = -1
	}
	r := newResult(out)
	r.Suspects = append(r.Suspects, c.Suspects...)
	r.Models, r.Noise = l.Scatter()
	inShot := func(i int) bool { return s.InShot(s.X[i], s.Y[i]) }
	all := subset{s: out, level: c.Level, weights: out.AreaWeights(r.Places, false), scatter: &c}
	whole := all.where(func(i int) bool { return !excluded(i) })
	deciding := whole.where(inShot)
	deciding.weights = r.Weights
	if deciding.count() == 0 {
		panic("evenness: every point of a computed surface that decides is left out")
	}
	r.Reference = r.reference(deciding, c.Level, nil)
	r.judge(whole, deciding)
	if c.Excluded != nil && slices.Contains(c.Excluded, true) {
		with := all.where(inShot)
		e := with.statistics(r.Limits, r.Reference)
		if with.withIntervals(&e, r) != r.Verdict.Evenness {
			r.Verdict.Evenness = uncertainty.Unsure
		}
	}
	if r.cover(s, deciding); r.incomplete {
		rest, _ := r.adviseRest()
		r.add(rest)
	}
	r.analyzeColor(deciding)
	if r.Color != nil && c.Excluded != nil && slices.Contains(c.Excluded, true) {
		with := *r // a doubtful level mixes the colors in doubtful parts
		if with.analyzeColor(all.where(inShot)); with.Verdict.Color != r.Verdict.Color {
			r.Verdict.Color = uncertainty.Unsure
		}
	}
	r.Verdict.Overall = uncertainty.WorstVerdict(r.Verdict.Evenness, r.Verdict.Color)
	return r
}

// intervals bound levels whose scatter is a factor of that of a reading.
func (c *Computed) intervals(p subset) func(uncertainty.Model, uncertainty.Factors, *fromLevel) (lo, hi float64) {
	return func(m uncertainty.Model, f uncertainty.Factors, from *fromLevel) (lo, hi float64) {
		one := uncertainty.Model{Stops: 1, Nu: m.Nu, Drift: m.Drift}
		if c.Chosen {
			z := f.Z
			f.Z = f.Q / math.Sqrt2
			if from == nil {
				f.Z = min(f.Z, uncertainty.FactorOfPairs(c.contending(p, m, f.Z), m.Nu))
				f.Q = math.Sqrt2 * f.Z
			}
			one.Drift *= z / f.Z // one drift was taken out of all levels: no choice adds to that
		}
		if c.Errors != nil {
			return c.inPairs(p, m, one.Drift, f, from)
		}
		return from.of(c.classes(p, m), one, f)
	}
}

// contending is how many pairs may be the truly brightest and darkest places: those as
// far apart as the observed ones, but for what z times their scatter makes up for.
func (c *Computed) contending(p subset, m uncertainty.Model, z float64) int {
	stops, scatter := make([]float64, len(p.chosen)), 0.0
	for n, i := range p.chosen {
		stops[n], scatter = math.Log2(c.Level[i]), max(scatter, c.deviation(int(i), m))
	}
	slices.Sort(stops)
	least, pairs := stops[len(stops)-1]-stops[0]-z*math.Sqrt2*scatter, 0
	for _, bright := range slices.Backward(stops) {
		dark, _ := slices.BinarySearch(stops, math.Nextafter(bright-least, math.Inf(1)))
		if least <= 0 {
			dark-- // itself
		}
		if dark == 0 {
			break
		}
		pairs += dark
	}
	return max(1, pairs)
}

// erring is a level in stops with its own standard deviation and what each of the
// smooth errors changes it by; reach is the size of these.
type erring struct {
	value, deviation, reach float64
	errors                  []float64
}

// apart is how far a true difference of two levels may be from theirs, by factors of
// the scatter and of the smooth errors.
func (a *erring) apart(b *erring, scatter, drift, smooth float64) float64 {
	between := smooth * floats.Distance(a.errors, b.errors, 2)
	return math.Sqrt(scatter*scatter*(a.deviation*a.deviation+b.deviation*b.deviation+drift*drift) + between*between)
}

// inPairs bounds the spread, or the distance from a level, over all pairs of places,
// since smooth errors that two places have in common leave their difference alone.
func (c *Computed) inPairs(p subset, m uncertainty.Model, drift float64, f uncertainty.Factors, from *fromLevel) (lo, hi float64) {
	points, mean, smooth := make([]erring, len(p.chosen)), make([]float64, len(c.Errors)), uncertainty.Factor(0)
	for n, i := range p.chosen {
		points[n] = erring{value: math.Log2(c.Level[i]), deviation: c.deviation(int(i), m), errors: c.errorsAt(int(i))}
		floats.AddScaled(mean, 1/float64(len(p.chosen)), points[n].errors)
	}
	for n := range points {
		points[n].reach = f.Z*math.Hypot(points[n].deviation, drift) + smooth*floats.Distance(points[n].errors, mean, 2)
	}
	others := points
	if from != nil {
		others = []erring{{value: from.stops, deviation: 1 / math.Sqrt(from.readings), errors: mean}}
		if i := p.s.Reference; i >= 0 {
			others[0].errors = c.errorsAt(i)
		}
	}
	for _, sign := range []float64{1, -1} { // of the level over or under that it is compared with
		hi = max(hi, widestPair(points, others, sign, 1, func(a, b *erring) float64 { return a.apart(b, f.Z, drift, smooth) }))
		lo = max(lo, widestPair(points, others, sign, 0, func(a, b *erring) float64 { return -a.apart(b, f.Q/math.Sqrt2, 0, smooth) - f.Z*drift }))
		if from == nil {
			break // each pair is met from either side
		}
	}
	return lo, hi
}

// errorsAt are the smooth errors at point i.
func (c *Computed) errorsAt(i int) []float64 {
	out := make([]float64, len(c.Errors))
	for k, row := range c.Errors {
		out[k] = row[i]
	}
	return out
}

// widestPair is the largest signed difference of two levels with what is added to it,
// which is at most reach times the reaches of both. It meets pairs in the order of
// what they can come to, and few of them.
func widestPair(points, others []erring, sign, reach float64, added func(a, b *erring) float64) float64 {
	top := func(e *erring) float64 { return sign*e.value + reach*e.reach }
	bottom := func(e *erring) float64 { return sign*e.value - reach*e.reach }
	order := func(all []erring, key func(*erring) float64) []*erring {
		out := make([]*erring, len(all))
		for i := range all {
			out[i] = &all[i]
		}
		slices.SortFunc(out, func(a, b *erring) int { return cmp.Compare(key(a), key(b)) })
		return out
	}
	high, low := order(points, func(e *erring) float64 { return -top(e) }), order(others, bottom)
	widest := 0.0
	for _, a := range high {
		for _, b := range low {
			if top(a)-bottom(b) <= widest {
				break
			}
			if a != b {
				widest = max(widest, sign*(a.value-b.value)+added(a, b))
			}
		}
	}
	return widest
}

// ofReference: a mean of all points is as good as exact.
func (c *Computed) ofReference(p subset, _ Reference, models []uncertainty.Model) (readings float64, more int) {
	if i := p.s.Reference; i >= 0 {
		return inverseSquare(c.deviation(i, models[0])), 0
	}
	return math.Inf(1), 0
}

// deviation is the standard deviation of point i in stops by the scatter of
// readings.
func (c *Computed) deviation(i int, m uncertainty.Model) float64 {
	d := m.Stops
	if c.Of != nil {
		d *= c.Of[i]
	}
	return d
}

// inverseSquare is how many readings of unit scatter give a deviation.
func inverseSquare(deviation float64) float64 {
	if deviation == 0 {
		return math.Inf(1)
	}
	return 1 / (deviation * deviation)
}

// typical is the root of the mean square of the points' deviations.
func (c *Computed) typical(p subset, models []uncertainty.Model) float64 {
	sum := 0.0
	for _, i := range p.chosen {
		d := c.deviation(int(i), models[0])
		sum += d * d
	}
	return math.Sqrt(sum / float64(len(p.chosen)))
}

// deviationClasses is how many classes of like scatter points are put into.
const deviationClasses = 12

// classes groups points by their standard deviation, each class with
// the largest of its own, so that its bounds are valid for all of them.
func (c *Computed) classes(p subset, m uncertainty.Model) uncertainty.Classes {
	low, high := math.Inf(1), 0.0
	for _, i := range p.chosen {
		d := c.deviation(int(i), m)
		low, high = min(low, d), max(high, d)
	}
	step := (high - low) / deviationClasses
	classes := make([]uncertainty.Class, deviationClasses)
	for _, i := range p.chosen {
		d := c.deviation(int(i), m)
		k := deviationClasses - 1
		if step > 0 {
			k = min(k, int((d-low)/step))
		}
		class, value := &classes[k], math.Log2(c.Level[i])
		if class.N == 0 {
			*class = uncertainty.Class{Low: math.Inf(1), High: math.Inf(-1)}
		}
		class.N++
		class.K = max(class.K, d)
		class.Low, class.High = min(class.Low, value), max(class.High, value)
	}
	classes = slices.DeleteFunc(classes, func(class uncertainty.Class) bool { return class.N == 0 })
	for k := range classes {
		classes[k].K = inverseSquare(classes[k].K)
	}
	return classes
}
