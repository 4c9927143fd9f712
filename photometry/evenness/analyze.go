package evenness

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"evenfall/photometry"
	"evenfall/photometry/spatial"
	"evenfall/photometry/survey"
	"evenfall/photometry/uncertainty"
)

// Analyze judges a surface. It needs two points at least and, for a measured
// one, positive levels. The survey is not changed.
func Analyze(s *survey.Survey) (*Result, error) {
	n := s.Len()
	switch {
	case n == 0:
		return nil, errors.New("no readings: expected at least two places")
	case n == 1:
		return nil, errors.New("one place read: expected at least two, better nine, to judge evenness")
	}
	limits := s.Settings.InForce()
	r := &Result{
		Survey: s, Places: spatial.NewPlaces(s.X, s.Y), Schema: Schema, Title: s.Title, Unit: s.Quantity.Unit(), Readings: s.Readings, Points: n, Missing: s.Missing,
		For: s.Settings.Kind.Name, Limits: limits,
		Causes: []Cause{}, Inferred: append([]string{}, s.Inferred...), Suspects: []survey.Suspect{},
		Advice: []photometry.Finding{}, Warnings: append([]photometry.Finding{}, s.Warnings...),
		Reading: s.Reading,
	}
	if s.Extent.Width() > 0 || s.Extent.Height() > 0 {
		extent := s.Extent
		r.Surface = &extent
	}
	if zeros := s.Unlit(); zeros > 0 {
		if !s.Predicted {
			return nil, fmt.Errorf("%d places have a level of zero: expected light at every place of a measured surface", zeros)
		}
		return analyzeWithZeros(r, zeros)
	}

	cleaned := s.Clean(r.Places)
	level, clean, drift, models, noise := cleaned.Level, cleaned.Clean, cleaned.Drift, cleaned.Models, cleaned.Noise
	r.Warnings = append(r.Warnings, cleaned.Warnings...)
	r.Drift, r.Levels, r.Noise, r.Models, r.Clean = drift, level, noise, models, clean
	r.noteNoise()
	weights := s.AreaWeights(r.Places)
	r.Weights = weights
	whole := newPart(s, level, weights, nil)
	deciding := whole
	if s.Area != nil {
		if deciding = newPart(s, level, weights, inside(s, *s.Area)); len(deciding.chosen) < 2 {
			return nil, fmt.Errorf("%d of the places read lie in the area %s: expected at least two", len(deciding.chosen), s.Area)
		}
	}
	r.Reference = reference(s, clean, deciding)
	r.Evenness = whole.evenness(limits, r.Reference)
	decisive := &r.Evenness
	if s.Area != nil {
		area := deciding.evenness(limits, r.Reference)
		r.Area, decisive = &area, &area
		whole.bound(&r.Evenness, limits, r.Reference, models)
	}
	r.Verdict.Evenness = deciding.bound(decisive, limits, r.Reference, models)

	r.Trend = r.Places.Trend(clean, nil)
	r.Sampling = sampling(s, r.Places)
	single := noise.Stops
	var alone []int
	if !s.Predicted {
		r.Suspects = append(r.Suspects, cleaned.Suspects...)
		var more []survey.Suspect
		more, alone = s.Suspects(r.Places, clean, r.Trend, single)
		r.Suspects = append(r.Suspects, more...)
	}
	left := survey.Marked(n, r.Suspects)
	if left != nil || len(cleaned.Suspects) > 0 {
		r.leaveOut(deciding, clean, left, models)
	}
	if left != nil {
		if without := r.Places.Fit(clean, left, spatial.Quadratic); without != nil {
			r.Trend = without
		}
	}
	r.warnAlone(s, alone, level)
	if snake, ok := s.Snake(r.Places, clean, r.Trend, single); ok && !s.Predicted {
		r.Suspects = append(r.Suspects, snake)
	}

	found, untold := causes(s, r.Places, clean, left, r.Trend, drift, single, limits, r.Evenness.SpreadInterval != nil && r.Evenness.SpreadInterval[0] == 0)
	for _, f := range found {
		r.Causes = append(r.Causes, f.Cause)
	}
	r.Warnings = append(r.Warnings, untold...)
	r.warnCoverage(s)
	r.Exposure = exposure(s, decisive.Mean)
	if s.HasColor() {
		analyzeColor(r, level, weights, deciding.chosen)
	}
	r.Verdict.Overall = uncertainty.WorstVerdict(r.Verdict.Evenness, r.Verdict.Color)
	r.advice(s, found, decisive, models)
	return r, nil
}

// leaveOut judges the surface again without its suspects. Where that changes
// the verdict, neither stands until the readings were taken again.
func (r *Result) leaveOut(deciding part, clean []float64, left []bool, models []uncertainty.Model) {
	if left == nil {
		left = make([]bool, len(clean))
	}
	deciding.level = clean
	without := deciding.without(left)
	if len(without.chosen) < 2 {
		return
	}
	e := without.evenness(r.Limits, r.Reference)
	verdict := without.bound(&e, r.Limits, r.Reference, models)
	r.Without = &Without{SpreadStops: e.SpreadStops, Verdict: verdict}
	if verdict != r.Verdict.Evenness {
		r.Verdict.Evenness = uncertainty.Unsure
	}
}

// warnAlone tells of readings far off that no slip explains.
func (r *Result) warnAlone(s *survey.Survey, alone []int, level []float64) {
	for _, i := range alone[:min(3, len(alone))] {
		r.warn("far_off", "place", s.Point(i), "level", photometry.Level{Value: level[i], Quantity: s.Quantity})
	}
}

// brightestLux is a level in lx that no place in daylight exceeds: direct sun
// gives about 100,000 lx (common practice, no source).
const brightestLux = 200_000

// warnCoverage tells of places that were not read and of figures that look like
// a wrong unit.
func (r *Result) warnCoverage(s *survey.Survey) {
	if s.Missing > 0 {
		r.warn("missing", "missing", s.Missing, "places", s.Missing+s.Len())
	}
	if s.Quantity == photometry.Illuminance && r.Evenness.Max > brightestLux {
		r.warn("too_bright", "level", photometry.Level{Value: r.Evenness.Max, Quantity: s.Quantity})
	}
	if box := r.Places.Box; s.Len() > 2 && max(box.Width(), box.Height()) < 0.05 {
		r.warn("tiny", "size", photometry.Length(max(box.Width(), box.Height())))
	}
}

// part is a choice of points with its levels in stops by how often each was
// read.
type part struct {
	s              *survey.Survey
	level, weights []float64
	chosen         []int32 // nil for all
	classes        uncertainty.Classes
}

func newPart(s *survey.Survey, level, weights []float64, chosen []int32) part {
	p := part{s: s, level: level, weights: weights, chosen: chosen}
	each(len(level), chosen, func(i int) {
		k := 1.0
		if s.Repeats != nil {
			k = float64(s.Repeats[i])
		}
		p.classes.Add(level[i], k)
	})
	p.classes.InStops()
	return p
}

// without is the part less the marked points.
func (p part) without(left []bool) part {
	kept := []int32{}
	each(len(left), p.chosen, func(i int) {
		if !left[i] {
			kept = append(kept, int32(i))
		}
	})
	return newPart(p.s, p.level, p.weights, kept)
}

func (p part) evenness(limits survey.Limits, ref Reference) Statistics {
	return evenness(p.s, p.level, p.weights, p.chosen, limits, ref)
}

// bound adds intervals and the noise floor to e and judges them.
func (p part) bound(e *Statistics, limits survey.Limits, ref Reference, models []uncertainty.Model) string {
	n := e.Points
	if n < 2 {
		return uncertainty.Unsure
	}
	lo, hi := uncertainty.Widest(models, n, func(m uncertainty.Model, f uncertainty.Factors) (float64, float64) {
		return uncertainty.SpreadInterval(p.classes, m, f)
	})
	e.SpreadInterval = &[2]float64{lo, hi}
	e.NoiseFloorStops = uncertainty.MeanRange(n) * widestNoise(models) * math.Sqrt(p.classes.PerReading())
	if !limits.EachSide {
		return uncertainty.Judge(lo, hi, limits.Stops)
	}
	kRef := p.readingsInMean()
	if ref.Label != "" {
		kRef = 1
		if p.s.Repeats != nil {
			kRef = float64(p.s.Repeats[p.s.Reference])
		}
		if p.chosen != nil && !slices.Contains(p.chosen, int32(p.s.Reference)) {
			n++ // the reference scatters as one more place
		}
	}
	lo, hi = uncertainty.Widest(models, n, func(m uncertainty.Model, f uncertainty.Factors) (float64, float64) {
		return uncertainty.DeviationInterval(p.classes, math.Log2(ref.Level), kRef, m, f)
	})
	e.DeviationInterval = &[2]float64{lo, hi}
	return uncertainty.Judge(lo, hi, limits.Stops)
}

// readingsInMean is how many equal readings scatter as much as the weighted mean
// of the part.
func (p part) readingsInMean() float64 {
	if p.weights == nil {
		return float64(max(1, p.count()))
	}
	sum, squares := 0.0, 0.0
	each(len(p.level), p.chosen, func(i int) {
		sum += p.weights[i]
		squares += p.weights[i] * p.weights[i]
	})
	return sum * sum / squares
}

func (p part) count() int {
	if p.chosen == nil {
		return len(p.level)
	}
	return len(p.chosen)
}

// widestNoise is the largest scatter of one reading among models.
func widestNoise(models []uncertainty.Model) float64 {
	widest := 0.0
	for _, m := range models {
		widest = max(widest, m.Stops)
	}
	return widest
}

// reference is the level that counts as zero stops.
func reference(s *survey.Survey, level []float64, deciding part) Reference {
	if s.Reference >= 0 {
		return Reference{Label: s.Name(s.Reference), Level: level[s.Reference]}
	}
	sum, all := 0.0, 0.0
	each(len(level), deciding.chosen, func(i int) {
		w := 1.0
		if deciding.weights != nil {
			w = deciding.weights[i]
		}
		sum, all = sum+w*level[i], all+w
	})
	return Reference{Level: sum / all}
}

// inside lists the points in a box.
func inside(s *survey.Survey, b spatial.Box) []int32 {
	chosen := []int32{}
	for i := range s.X {
		if b.Contains(s.X[i], s.Y[i]) {
			chosen = append(chosen, int32(i))
		}
	}
	return chosen
}

// analyzeWithZeros reports a prediction with unlit places: levels but no stops.
func analyzeWithZeros(r *Result, zeros int) (*Result, error) {
	s := r.Survey
	r.Levels = s.Level
	whole := part{s: s, level: s.Level, weights: s.AreaWeights(r.Places)}
	r.Reference = Reference{Level: mean(s.Level, whole.weights)}
	r.Evenness = whole.evenness(r.Limits, r.Reference)
	r.Verdict = Verdict{Evenness: uncertainty.Fail, Overall: uncertainty.Fail}
	r.Sampling = sampling(s, r.Places)
	r.warn("unlit", "unlit", zeros, "places", s.Len())
	return r, nil
}

func (r *Result) warn(key string, values ...any) {
	r.Warnings = append(r.Warnings, photometry.Found(key, values...))
}

// noteNoise says what the interval rests on.
func (r *Result) noteNoise() {
	if r.Noise.Source == "assumed" {
		r.Inferred = append(r.Inferred, "repeatability 2 % of one reading to the next, an assumption: repeat a few readings or give a note to replace it")
	}
}

// exposure is what a camera is set to for a mean level, where enough is known.
func exposure(s *survey.Survey, mean float64) *survey.Exposure {
	return s.Settings.Exposure(photometry.Level{Value: mean, Quantity: s.Quantity})
}

// advice fills in what to do, most useful first.
func (r *Result) advice(s *survey.Survey, found []finding, e *Statistics, models []uncertainty.Model) {
	add := func(f photometry.Finding) { r.Advice = append(r.Advice, f) }
	if len(r.Suspects) > 0 {
		places := make([]string, len(r.Suspects))
		for i, x := range r.Suspects {
			places[i] = x.Label
		}
		snake := slices.ContainsFunc(r.Suspects, func(x survey.Suspect) bool { return x.Reasons[0] == survey.SnakeAsRows })
		add(photometry.Found("read_again", "places", places, "rows", snake))
	}
	observed := e.SpreadStops
	if r.Limits.EachSide {
		observed = max(*e.AboveRefStops, *e.BelowRefStops)
	}
	if r.Verdict.Evenness != uncertainty.Pass && (r.Without == nil || r.Without.Verdict != uncertainty.Pass) {
		r.Advice = append(r.Advice, advise(found)...)
	}
	r.Advice = append(r.Advice, r.colorAdvice()...)
	fewRepeatsKnown := r.Noise.Source == "repeats" && r.Noise.DegreesOfFreedom < uncertainty.FewRepeats
	switch {
	case r.Verdict.Evenness != uncertainty.Unsure || len(r.Suspects) > 0:
	case fewRepeatsKnown:
		add(photometry.Found("repeat_some"))
	default:
		add(settle(s, *e, observed, r.Limits.Stops, models[0], e.Points))
	}
	if f, ok := repeatsUpFront(r.Limits.Stops, models[0].Stops, e.Points); ok && r.Verdict.Evenness != uncertainty.Fail && !fewRepeatsKnown {
		add(f)
	}
	if p := r.Sampling; p != nil && !s.Predicted {
		switch {
		case !p.Enough:
			add(photometry.Found("read_closer", "spacing", photometry.Length(p.SpacingM), "advised", photometry.Length(p.AdvisedSpacingM)))
		case !p.EdgesRead:
			add(photometry.Found("read_edges"))
		}
	}
	if r.Verdict.Overall == uncertainty.Pass && len(r.Suspects) == 0 {
		r.Advice = slices.Insert(r.Advice, 0, photometry.Found("keep"))
	}
}
