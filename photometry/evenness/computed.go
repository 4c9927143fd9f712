package evenness

import (
	"math"
	"slices"

	"evenfall/photometry/spatial"
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
	// Smooth is the standard deviation in stops of an error that runs smoothly
	// over the surface, such as that of a fit, so that two places far apart may
	// err the opposite way and many places do so no more than two; nil is none.
	Smooth []float64
	// Chosen says that the levels were chosen, by these very readings, for
	// looking even.
	Chosen bool
	// Left marks points that the figures leave out because a reading behind
	// them looks like a slip; nil leaves out none. Suspects are shown beside.
	Left     []bool
	Suspects []survey.Suspect
}

// JudgeComputed makes a surface of computed levels and judges its evenness as Analyze
// does, with the scatter that the readings behind them pass on.
//
// The interval of the spread is that of readings with the standard deviation
// s·Of each, and each of a pair of places may be off by 1.95996·Smooth beside.
// Where the levels were chosen for looking even, the truly brightest and
// darkest points are no longer one fixed pair, and both ends of the interval
// take the factor q_n of the luckiest pair of all; to first order in the scatter
// that holds for any choice. Doubtful points are left out of all figures, and
// where they would change the verdict it is unsure. The result has no causes,
// advice, trend or exposure.
func JudgeComputed(l *survey.LampSet, c Computed) *Result {
	s := l.Surface
	if len(c.Level) != s.Len() {
		panic("survey: a column of computed levels of another length than the surface")
	}
	out := &survey.Survey{Title: s.Title, Quantity: s.Quantity, X: s.X, Y: s.Y, Level: c.Level, U: c.U, V: c.V, DuvRead: c.DuvKnown, Label: s.Label,
		Readings: s.Len(), Missing: s.Missing, Extent: s.Extent, Area: s.Area, Reference: s.Reference, Lattice: s.Lattice, Settings: s.Settings, Predicted: c.Chosen || !l.Together}
	if out.Reference >= 0 && (!(c.Level[out.Reference] > 0) || c.Left != nil && c.Left[out.Reference]) {
		out.Reference = -1
	}
	limits := s.Settings.InForce()
	r := &Result{Survey: out, Places: spatial.NewPlaces(s.X, s.Y), Schema: Schema, Title: s.Title, Unit: s.Quantity.Unit(), Readings: s.Len(), Points: s.Len(), Missing: s.Missing,
		For: s.Settings.Kind.Name, Limits: limits, Levels: c.Level, Suspects: append([]survey.Suspect{}, c.Suspects...), Causes: []Cause{}, Inferred: []string{}}
	if s.Extent.Width() > 0 || s.Extent.Height() > 0 {
		extent := s.Extent
		r.Surface = &extent
	}
	models, noise := l.Scatter()
	r.Noise = noise

	weights := s.AreaWeights(r.Places)
	r.Weights = weights
	part := func(with bool, area *spatial.Box) part {
		chosen := []int32{}
		for i := range s.Len() {
			if (with || c.Left == nil || !c.Left[i]) && (area == nil || area.Contains(s.X[i], s.Y[i])) {
				chosen = append(chosen, int32(i))
			}
		}
		return newPart(out, c.Level, weights, chosen)
	}
	whole := part(false, nil)
	deciding := whole
	if s.Area != nil {
		deciding = part(false, s.Area)
	}
	if len(deciding.chosen) == 0 {
		panic("survey: every point of a computed surface that decides is left out")
	}
	r.Reference = Reference{Level: mean(deciding.values(c.Level), deciding.values(weights))}
	if i := out.Reference; i >= 0 {
		r.Reference = Reference{Label: s.Name(i), Level: c.Level[i]}
	}
	r.Evenness = whole.evenness(limits, r.Reference)
	decisive := &r.Evenness
	if s.Area != nil {
		area := deciding.evenness(limits, r.Reference)
		r.Area, decisive = &area, &area
		c.bound(whole, &r.Evenness, r, models)
	}
	r.Verdict.Evenness = c.bound(deciding, decisive, r, models)
	if c.Left != nil && slices.Contains(c.Left, true) {
		with := part(true, s.Area)
		e := with.evenness(limits, r.Reference)
		if v := c.bound(with, &e, r, models); v != r.Verdict.Evenness {
			r.Verdict.Evenness = uncertainty.Unsure
		}
	}
	if out.HasColor() {
		analyzeColor(r, c.Level, weights, deciding.chosen)
	}
	r.Verdict.Overall = uncertainty.WorstVerdict(r.Verdict.Evenness, r.Verdict.Color)
	return r
}

// bound adds the intervals of a part to its figures and judges them.
func (c *Computed) bound(p part, e *Statistics, r *Result, models []uncertainty.Model) string {
	n := e.Points
	if n < 2 {
		return uncertainty.Unsure
	}
	if !(e.Min > 0) {
		return uncertainty.Fail
	}
	interval := func(bound func(uncertainty.Classes, uncertainty.Model, uncertainty.Factors) (lo, hi float64)) (lo, hi float64) {
		return uncertainty.Widest(models, n, func(m uncertainty.Model, f uncertainty.Factors) (float64, float64) {
			one := uncertainty.Model{Stops: 1, Nu: m.Nu, Drift: m.Drift}
			if c.Chosen {
				// One drift was taken out of all levels: no choice adds to that.
				one.Drift *= f.Z / (f.Q / math.Sqrt2)
				f.Z = f.Q / math.Sqrt2
			}
			lo, _ := bound(c.classes(p, m, -1), one, f)
			_, hi := bound(c.classes(p, m, 1), one, f)
			return lo, hi
		})
	}
	e.NoiseFloorStops = uncertainty.MeanRange(n) * c.typical(p, models[0])
	lo, hi := interval(uncertainty.SpreadInterval)
	e.SpreadInterval = &[2]float64{lo, hi}
	if !r.Limits.EachSide {
		return uncertainty.Judge(lo, hi, r.Limits.Stops)
	}
	lo, hi = interval(func(classes uncertainty.Classes, one uncertainty.Model, f uncertainty.Factors) (float64, float64) {
		kRef := math.Inf(1)
		if i := p.s.Reference; i >= 0 {
			kRef = inverseSquare(c.deviation(i, models[0]))
		}
		return uncertainty.DeviationInterval(classes, math.Log2(r.Reference.Level), kRef, one, f)
	})
	e.DeviationInterval = &[2]float64{lo, hi}
	return uncertainty.Judge(lo, hi, r.Limits.Stops)
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

// smoothly is how far point i may be off by the smooth error, in stops.
func (c *Computed) smoothly(i int) float64 {
	if c.Smooth == nil {
		return 0
	}
	return uncertainty.Factor(0) * c.Smooth[i]
}

// inverseSquare is how many readings of unit scatter give a deviation.
func inverseSquare(deviation float64) float64 {
	if deviation == 0 {
		return math.Inf(1)
	}
	return 1 / (deviation * deviation)
}

// typical is the root of the mean square of a part's deviations.
func (c *Computed) typical(p part, m uncertainty.Model) float64 {
	sum := 0.0
	for _, i := range p.chosen {
		d := c.deviation(int(i), m)
		sum += d * d
	}
	return math.Sqrt(sum / float64(len(p.chosen)))
}

// deviationClasses is how many classes of like scatter points are put into.
const deviationClasses = 12

// classes groups a part's points by their standard deviation, each class with
// the largest of its own, so that its bounds hold for all of them. The levels
// that are highest and lowest are those with the smooth error away from each
// other (apart 1) or toward each other (−1).
func (c *Computed) classes(p part, m uncertainty.Model, apart float64) uncertainty.Classes {
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
		class, value, off := &classes[k], math.Log2(c.Level[i]), apart*c.smoothly(int(i))
		if class.N == 0 {
			*class = uncertainty.Class{Low: math.Inf(1), High: math.Inf(-1)}
		}
		class.N++
		class.K = max(class.K, d)
		class.Low, class.High = min(class.Low, value-off), max(class.High, value+off)
	}
	classes = slices.DeleteFunc(classes, func(class uncertainty.Class) bool { return class.N == 0 })
	for k := range classes {
		classes[k].K = inverseSquare(classes[k].K)
	}
	return classes
}

// values are those of the part's points; nil of nil.
func (p part) values(column []float64) []float64 {
	if column == nil {
		return nil
	}
	out := make([]float64, 0, p.count())
	each(len(column), p.chosen, func(i int) { out = append(out, column[i]) })
	return out
}
