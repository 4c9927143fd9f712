package evenness

import (
	"math"
	"slices"

	"evenfall/photometry"
	"evenfall/photometry/drift"
	"evenfall/photometry/entry"
	"evenfall/photometry/survey"
	"evenfall/photometry/uncertainty"
)

// advise says what to do, most useful first.
func (r *Result) advise(decisive *Statistics) {
	if r.Verdict.Overall == uncertainty.Pass && len(r.Suspects) == 0 {
		r.add(photometry.Found("keep"))
	}
	if r.domed() {
		r.add(photometry.Found("dome_on_surface"))
	}
	r.adviseReadAgain()
	r.adviseRange()
	if f, ok := r.adviseRest(); ok {
		r.add(f)
	}
	if r.unsettled() {
		r.adviseChanges()
	}
	r.adviseColor()
	r.adviseRepeats(decisive)
	r.adviseSampling()
}

func (r *Result) add(f photometry.Finding) { r.Advice = append(r.Advice, Advice{Finding: f}) }

// adviseReadAgain names the suspects.
func (r *Result) adviseReadAgain() {
	if len(r.Suspects) == 0 {
		return
	}
	places := make([]string, len(r.Suspects))
	for i, x := range r.Suspects {
		places[i] = x.Label
	}
	rows := slices.ContainsFunc(r.Suspects, func(x survey.Suspect) bool { return x.Reasons[0] == entry.SerpentineAsRows })
	r.add(photometry.Found("read_again", "places", places, "rows", rows))
}

// adviseColor says what to do about a color that is not within tolerance.
func (r *Result) adviseColor() {
	switch c := r.Color; {
	case c == nil || r.Verdict.Color == "" || r.Verdict.Color == uncertainty.Pass:
	case r.fewColors:
		r.add(photometry.Found("read_colors"))
	case r.Verdict.Color == uncertainty.Unsure && c.VerdictMired == uncertainty.Pass && c.VerdictDuv == "": // for want of Duv alone
		r.add(photometry.Found("read_duv"))
	case r.Verdict.Color == uncertainty.Unsure && r.Survey.ColorReplicates == nil:
		r.add(photometry.Found("repeat_color", "mired", uncertainty.AssumedMired, "duv", uncertainty.AssumedDuv))
	default:
		r.add(photometry.Found("match_color", "worst", c.Worst.Label))
	}
}

// adviseRepeats says which readings would settle the verdict, and how many a place
// it takes at all.
func (r *Result) adviseRepeats(e *Statistics) {
	tolerance, model := r.Limits.Stops, r.Models[0]
	observed := e.SpreadStops
	if r.Limits.EachSide {
		observed = max(*e.AboveRefStops, *e.BelowRefStops)
	}
	tooFew := r.Noise.Source == "repeats" && r.Noise.DegreesOfFreedom < uncertainty.FewRepeats
	switch {
	case r.Verdict.Evenness != uncertainty.Unsure || r.drifting() || r.domed() || len(r.Suspects) > 0 || len(r.Bounds) > 0 || r.incomplete && observed <= tolerance:
	case r.fewReferences(*e):
		r.add(photometry.Found("few_references", "readings", r.Drift.Readings))
		return
	case tooFew:
		r.add(photometry.Found("repeat_some"))
	case math.Abs(observed-tolerance) < model.LeastPair(): // no repeats get past the rounding
		r.add(photometry.Found("read_finer", "step", photometry.Stop(2*model.Half), "tolerance", photometry.Stop(tolerance)))
		return
	default:
		r.add(settle(*e, observed, tolerance, model))
	}
	if f, ok := repeatsUpFront(tolerance, model.Stops, e.Points); ok && r.Verdict.Evenness != uncertainty.Fail && !tooFew {
		r.add(f)
	}
}

// fewReferences reports whether a verdict is open only since too few readings of the
// reference do not show whether the light changed.
func (r *Result) fewReferences(e Statistics) bool {
	if r.Drift == nil || r.Drift.Significant || r.Drift.Readings >= drift.FewestForLine {
		return false
	}
	steady := *r
	steady.Models = slices.DeleteFunc(slices.Clone(r.Models), func(m uncertainty.Model) bool { return m.Drift > 0 })
	_, deciding, err := r.subsets()
	return err == nil && deciding.withIntervals(&e, &steady) != uncertainty.Unsure
}

// adviseSampling says where to read more.
func (r *Result) adviseSampling() {
	switch p := r.Sampling; {
	case p == nil || r.Survey.Predicted:
	case !p.Enough:
		r.add(photometry.Found("read_closer", "spacing", photometry.Length(p.SpacingM), "advised", photometry.Length(p.AdvisedSpacingM)))
	case !p.EdgesRead:
		r.add(photometry.Found("read_edges"))
	}
}

// settle says which readings would turn unsure into a verdict, where the spread (or
// the deviation) observed lies within the interval.
func settle(e Statistics, observed, tolerance float64, m uncertainty.Model) photometry.Finding {
	f := uncertainty.FactorsFor(e.Points, m.Nu)
	close := photometry.Found("at_the_limit")
	if m.Stops <= 0 || observed == tolerance {
		return close
	}
	if observed < tolerance {
		k := uncertainty.RepeatsFor(f.Z*math.Sqrt2*m.Stops, tolerance-observed)
		if k > uncertainty.MostRepeats && observed < 0.75*tolerance {
			return photometry.Found("too_wide", "scatter", photometry.Stop(m.Stops))
		}
		if k > uncertainty.MostRepeats {
			return close
		}
		return photometry.Found("repeat_all", "times", photometry.Times(k))
	}
	k := uncertainty.RepeatsFor(f.Q*m.Stops, observed-tolerance)
	if k > uncertainty.MostRepeats {
		return close
	}
	return photometry.Found("repeat_extremes", "brightest", e.Brightest.Point(), "darkest", e.Darkest.Point(), "times", photometry.Times(k-1))
}

// repeatsUpFront says how many readings a place a tolerance needs before even
// a perfectly even surface could pass, where one is not enough.
func repeatsUpFront(tolerance, noiseStops float64, n int) (photometry.Finding, bool) {
	if noiseStops <= 0 || n < 2 {
		return photometry.Finding{}, false
	}
	f := uncertainty.FactorsFor(n, 0)
	k := int(math.Ceil(math.Pow((uncertainty.MeanRange(n)+f.Z*math.Sqrt2)*noiseStops/tolerance, 2) - 1e-9))
	if k < 2 {
		return photometry.Finding{}, false
	}
	return photometry.Found("needs_repeats", "scatter", photometry.Stop(noiseStops), "tolerance", photometry.Stop(tolerance), "readings", k, "places", n), true
}
