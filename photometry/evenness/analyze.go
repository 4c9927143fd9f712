package evenness

import (
	"errors"
	"fmt"
	"math"

	"evenfall/photometry"
	"evenfall/photometry/spatial"
	"evenfall/photometry/survey"
	"evenfall/photometry/uncertainty"
)

// Analyze judges a surface. It needs two points at least and, for a measured
// one, positive levels. The survey is not changed.
func Analyze(s *survey.Survey) (*Result, error) { return analyze(s, true) }

// Judge is Analyze without causes and what to change against them, in a fraction of its
// time.
func Judge(s *survey.Survey) (*Result, error) { return analyze(s, false) }

func analyze(s *survey.Survey, explain bool) (*Result, error) {
	switch s.Len() {
	case 0:
		return nil, errors.New("no readings: expected at least two places")
	case 1:
		return nil, errors.New("one place read: expected at least two, better nine, to judge evenness")
	}
	r := newResult(s)
	if zeros := s.Unlit(); zeros > 0 {
		if !s.Predicted {
			return nil, fmt.Errorf("%d places have a level of zero: expected light at every place of a measured surface", zeros)
		}
		r.unlit(zeros)
		return r, nil
	}
	cleaned := s.Clean(r.Places)
	r.take(cleaned)
	whole, deciding, err := r.subsets()
	if err != nil {
		return nil, err
	}
	excluded := r.findSuspects(cleaned.Suspects)
	trusted := deciding.without(excluded)
	r.Reference = r.reference(trusted, r.Clean, excluded)
	decisive := r.judge(whole, deciding)
	r.judgeWithoutSuspects(trusted)
	r.cover(s, deciding)
	r.checkReceptor()
	if s.Placing != survey.Nowhere {
		r.findSerpentine()
		if explain {
			r.findCauses(excluded)
		}
	}
	if s.Placing == survey.InMeters {
		if !s.Predicted {
			r.ToEdge = r.computeToEdge(trusted, excluded)
		}
		r.Sampling = sampling(s, r.Places)
	} else {
		r.Trend = nil // it is by the meter
	}
	r.warnCoverage()
	r.Exposure = s.Settings.Exposure(photometry.Level{Value: mean(trusted.of(r.Clean), trusted.of(r.Weights)), Quantity: s.Quantity})
	r.analyzeColor(deciding)
	r.checkQuestions(deciding)
	r.Verdict.Overall = uncertainty.WorstVerdict(r.Verdict.Evenness, r.Verdict.Color)
	r.advise(decisive)
	return r, nil
}

// newResult has what is known of a survey before it is judged.
func newResult(s *survey.Survey) *Result {
	r := &Result{
		Schema: Schema, Title: s.Title, Taken: s.Taken, Unit: s.Quantity.Unit(), ReadingCount: s.ReadingCount, Points: s.Len(), Missing: s.Missing,
		For: s.Settings.Kind.Name, Limits: s.Settings.InForce(), Levels: s.Level,
		Causes: []Cause{}, Inferred: append([]photometry.Remark{}, s.Inferred...), Suspects: []survey.Suspect{},
		Advice: []Advice{}, Warnings: append([]photometry.Finding{}, s.Warnings...),
		ReadAs: s.ReadAs, Bounds: s.Bounds, Notes: s.Notes, InDoubt: s.Doubts(), ParseLog: s.ParseLog, Survey: s, Places: spatial.NewPlaces(s.X, s.Y),
	}
	if s.Placing != survey.Nowhere {
		r.Weights = s.AreaWeights(r.Places, true)
	}
	if s.Placing != survey.InMeters {
		return r
	}
	if s.Extent.Width() > 0 || s.Extent.Height() > 0 {
		extent := s.Extent
		r.Surface = &extent
	}
	return r
}

func (r *Result) warn(key string, values ...any) {
	r.Warnings = append(r.Warnings, photometry.Found(key, values...))
}

// unlit reports a prediction with unlit places: levels but no stops.
func (r *Result) unlit(zeros int) {
	whole := subset{s: r.Survey, level: r.Levels, weights: r.Weights}
	r.Reference = Reference{Level: mean(r.Levels, r.Weights)}
	r.Evenness = whole.statistics(r.Limits, r.Reference)
	r.Verdict = Verdict{Evenness: uncertainty.Fail, Overall: uncertainty.Fail}
	r.Sampling = sampling(r.Survey, r.Places)
	r.warn("unlit", "unlit", zeros, "places", r.Points)
}

// take keeps what cleaning found, and says what the interval rests on.
func (r *Result) take(c *survey.Cleaned) {
	r.Levels, r.Clean, r.Drift, r.Models, r.Noise = c.Level, c.Clean, c.Drift, c.Models, c.Noise
	r.Warnings = append(r.Warnings, c.Warnings...)
	if r.Drift != nil {
		r.Inferred = append(r.Inferred, photometry.Remarked("light_between"))
	}
	if r.Noise.Source == "assumed" {
		r.Inferred = append(r.Inferred, photometry.Remarked("assumed_repeatability"))
	}
}

// subsets are all points, and those that decide: the ones in shot where an area is
// set.
func (r *Result) subsets() (whole, deciding subset, err error) {
	s := r.Survey
	whole = subset{s: s, level: r.Levels, weights: r.Weights, scatter: readings{}}
	if s.Area == nil {
		return whole, whole, nil
	}
	deciding, whole.weights = whole, s.AreaWeights(r.Places, false)
	deciding = deciding.where(func(i int) bool { return s.Area.Contains(s.X[i], s.Y[i]) })
	if n := deciding.count(); n < 2 {
		return whole, deciding, fmt.Errorf("%d of the places read lie in the area %s: expected at least two", n, s.Area)
	}
	return whole, deciding, nil
}

// reference is the level that counts as zero stops: of a column of levels, the one
// at the reference point, else, and where that is a suspect, the mean of the points
// that decide.
func (r *Result) reference(deciding subset, level []float64, excluded []bool) Reference {
	if i := r.Survey.Reference; i >= 0 && (excluded == nil || !excluded[i]) {
		return Reference{Label: r.Survey.Name(i), Level: level[i]}
	}
	return Reference{Level: mean(deciding.of(level), deciding.of(r.Weights))}
}

// judge computes the figures of all points and, where an area is set, of those in
// it, with their intervals, and the verdict on the ones that decide.
func (r *Result) judge(whole, deciding subset) (decisive *Statistics) {
	r.Evenness = whole.statistics(r.Limits, r.Reference)
	decisive = &r.Evenness
	if r.Survey.Area != nil {
		area := deciding.statistics(r.Limits, r.Reference)
		r.Area, decisive = &area, &area
		whole.withIntervals(&r.Evenness, r)
	}
	r.Verdict.Evenness = deciding.withIntervals(decisive, r)
	return decisive
}

// findSuspects fits the trend and looks for readings that are off it. The trend
// is then that of the points without them; excluded marks these, nil for none.
func (r *Result) findSuspects(amongRepeats []survey.Suspect) (excluded []bool) {
	s := r.Survey
	if s.Placing == survey.Nowhere {
		r.Suspects = append(r.Suspects, amongRepeats...)
		return survey.Marked(r.Points, r.Suspects)
	}
	r.Trend = r.Places.Trend(r.Clean, nil)
	if s.Predicted {
		return nil
	}
	more, alone := s.Suspects(r.Places, r.Clean, r.Trend, r.Noise.Stops)
	r.Suspects = append(append(r.Suspects, amongRepeats...), more...)
	if excluded = survey.Marked(r.Points, r.Suspects); excluded != nil {
		if without := r.Places.Fit(r.Clean, excluded, spatial.Quadratic); without != nil {
			r.Trend = without
		}
	}
	// Far off, and no error explains it.
	for _, i := range alone[:min(3, len(alone))] {
		r.warn("far_off", "place", s.Point(i), "level", photometry.Level{Value: r.Levels[i], Quantity: s.Quantity})
	}
	return excluded
}

// judgeWithoutSuspects judges the surface again without its suspects. Where that
// changes the verdict, neither counts until the readings were taken again.
func (r *Result) judgeWithoutSuspects(without subset) {
	if len(r.Suspects) == 0 {
		return
	}
	without.level = r.Clean
	if without.count() < 2 {
		return
	}
	e := without.statistics(r.Limits, r.Reference)
	r.Without = &Without{SpreadStops: e.SpreadStops, Verdict: without.withIntervals(&e, r), Brightest: e.Brightest, Darkest: e.Darkest}
	r.Without.statistics = e
	if r.Without.Verdict != r.Verdict.Evenness {
		r.Verdict.Evenness = uncertainty.Unsure
	}
}

// brightestLux is a level in lx that no place in daylight exceeds: direct sun
// gives about 100,000 lx (common practice, no source).
const brightestLux = 200_000

// warnCoverage warns of places that were not read and of figures that look like
// a wrong unit.
func (r *Result) warnCoverage() {
	s := r.Survey
	if s.Missing > 0 && r.Progress == nil {
		r.warn("missing", "missing", s.Missing, "places", s.Missing+s.Len()+len(s.Bounds))
	}
	if r.Evenness.Max == r.Evenness.Min && !s.Predicted && s.Len() > 2 {
		r.warn("all_equal")
	}
	if s.Quantity == photometry.Illuminance && r.Evenness.Max > brightestLux {
		r.warn("too_bright", "level", photometry.Level{Value: r.Evenness.Max, Quantity: s.Quantity})
	}
	if size := math.Max(r.Places.Box.Width(), r.Places.Box.Height()); s.Len() > 2 && size < 0.05 && s.Placing == survey.InMeters {
		r.warn("tiny", "size", photometry.Length(size))
	}
}
