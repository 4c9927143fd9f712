package evenness

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"

	"evenfall/photometry"
	"evenfall/photometry/causes"
	"evenfall/photometry/survey"
	"evenfall/photometry/uncertainty"
)

// Causes of a surface's color, and that there is none; those of its level are package
// causes's.
const (
	CauseNoise       = "meter_scatter" // no more than the meter's own scatter
	CauseWarmerSide  = "warmer_side"   // color temperature runs steadily
	CauseGreenerSide = "greener_side"  // green and magenta run steadily
	CauseLampColor   = "lamp_color"    // one lamp's color, fading with its share
)

// Cause is a likely reason for the unevenness that the readings support over
// its rival explanations, with the figures that speak for it.
type Cause struct {
	photometry.Finding
	Evidence photometry.Remark `json:"evidence"`
	// ExplainsStops is how far the light would differ without it, at most.
	ExplainsStops float64 `json:"explains_stops,omitempty"`
	// Weight is its probability among all that was compared, and Rivals what the
	// readings allow in its place.
	Weight float64 `json:"weight,omitempty"`
	Rivals []Rival `json:"rivals,omitempty"`
	// Test is the reading or switch that tells it from its rivals.
	Test *photometry.Remark `json:"test,omitempty"`
}

// Rival is another cause that the readings allow.
type Rival struct {
	photometry.Finding
	Weight float64 `json:"weight"`
}

// Advice is what to do, and where that changes the light the spread that it will bring, to
// the edge of the part in shot, with its 95 % confidence interval.
type Advice struct {
	photometry.Finding
	PredictedSpread   *float64       `json:"predicted_spread_stops,omitempty"`
	PredictedInterval *[2]float64    `json:"predicted_interval_stops,omitempty"`
	Change            *causes.Change `json:"-"`
}

// everyPlace is up to how many places each one is looked at alone.
const everyPlace = 2000

// explained is how many readings causes are looked for in at most: of more, every so
// many.
const explained = 20_000

// predictedScatter in stops is how well models of lamps describe a predicted surface.
const predictedScatter = 0.03

// findCauses looks for what explains the unevenness, the first cause first.
func (r *Result) findCauses(excluded []bool) {
	s := r.Survey
	defer r.changedMeanwhile()
	if s.Settings.Meter.Receptor == photometry.DomeReceptor && s.Quantity == photometry.Illuminance {
		return // it sees light that the surface does not
	}
	in, of := r.readings(excluded)
	r.explained = causes.Find(in).Causes
	for k := range r.explained {
		c := &r.explained[k]
		if c.Place >= 0 {
			c.Place = of[c.Place]
		}
		r.Causes = append(r.Causes, r.cause(c, of))
	}
	if len(r.Causes) == 0 && (r.Drift == nil || !r.Drift.Significant) && r.Noise.Stops > 0 && r.Evenness.SpreadInterval != nil && r.Evenness.SpreadInterval[0] == 0 {
		kept := subset{s: s, level: r.Clean}.without(excluded).of(r.Clean)
		r.Causes = append(r.Causes, Cause{Finding: photometry.Found(CauseNoise),
			Evidence: photometry.Remarked("evidence_scatter", "spread", photometry.Stop(photometry.Stops(floats.Max(kept), floats.Min(kept))), "readings", r.Points, "scatter", photometry.Stop(r.Noise.Stops))})
	}
}

// readings are what causes are looked for in, and which point each is.
func (r *Result) readings(excluded []bool) (in causes.Surface, of []int) {
	s := r.Survey
	in = causes.Surface{Extent: s.Extent, Frame: s.Extent, Scatter: r.Noise.Stops, Tolerance: r.Limits.Stops}
	if s.Area != nil {
		in.Frame = *s.Area
	}
	for _, m := range r.Models {
		in.Scatter = max(in.Scatter, math.Hypot(m.Stops, m.Half/math.Sqrt(3)))
	}
	if s.Predicted {
		in.Computed, in.Scatter = true, max(in.Scatter, predictedScatter)
	}
	order := r.order()
	for i := 0; i < r.Points; i += 1 + r.Points/explained {
		if excluded != nil && excluded[i] || !(r.Clean[i] > 0) {
			continue
		}
		in.X, in.Y, in.Stops, of = append(in.X, s.X[i]), append(in.Y, s.Y[i]), append(in.Stops, math.Log2(r.Clean[i])), append(of, i)
		if order != nil {
			in.Order = append(in.Order, order(i))
		}
	}
	return in, of
}

// order is when each point was read, from 0 to 1: by its time, else by its place in the
// file. It is nil where nothing was read, or where readings of the reference say how
// the light changed, which is taken out.
func (r *Result) order() func(i int) float64 {
	s := r.Survey
	if s.Predicted || r.Drift != nil && r.Drift.Readings >= 3 || r.Points < 2 {
		return nil
	}
	first, last := math.Inf(1), math.Inf(-1)
	for _, m := range s.Minutes {
		first, last = min(first, m), max(last, m) // NaN where one is unknown
	}
	if last > first {
		return func(i int) float64 { return (s.Minutes[i] - first) / (last - first) }
	}
	return func(i int) float64 { return float64(i) / float64(r.Points-1) }
}

// changedMeanwhile is the cause that the light changed, by readings of the reference.
func (r *Result) changedMeanwhile() {
	d := r.Drift
	if d == nil || !d.Significant || math.Abs(d.TotalStops) < math.Max(0.05, r.Noise.Stops) {
		return
	}
	at := len(r.Causes)
	if at > 0 && r.Causes[0].ExplainsStops < math.Abs(d.TotalStops) {
		at = 0
	}
	r.Causes = slices.Insert(r.Causes, at, Cause{Finding: photometry.Found(causes.Drift, "change", photometry.Stop(d.TotalStops)),
		Evidence:      photometry.Remarked("evidence_drift", "readings", d.Readings, "rate", photometry.Stop(d.StopsPerMinute)),
		ExplainsStops: math.Abs(d.TotalStops)})
}

// cause is one that was found, as a finding.
func (r *Result) cause(c *causes.Cause, of []int) Cause {
	out := Cause{Finding: r.named(c.Name, photometry.Stop(c.Stops), c.Darker), ExplainsStops: c.Stops, Weight: c.Weight,
		Evidence: photometry.Remarked("evidence_model", "explains", photometry.Stop(c.Stops), "weight", photometry.Percentage(100*c.Weight))}
	for _, rival := range c.Rivals {
		if rival.Place >= 0 {
			rival.Place = of[rival.Place]
		}
		out.Rivals = append(out.Rivals, Rival{r.rival(rival.Name), rival.Weight})
	}
	if t := c.Test; t != nil && !r.Survey.Predicted {
		if t.Place >= 0 {
			t.Place = of[t.Place]
		}
		remark := photometry.Remark{Finding: r.tested(c)}
		out.Test = &remark
	}
	return out
}

// testPlace is where a test reads.
func (r *Result) testPlace(t *causes.Test) photometry.Point {
	if t.Place >= 0 {
		return r.Survey.Point(t.Place)
	}
	if r.Survey.Placing != survey.InMeters {
		return photometry.Point{Label: r.between(t.X, t.Y), X: math.NaN(), Y: math.NaN()}
	}
	return photometry.Point{X: t.X, Y: t.Y}
}

// between names a place of a surface without lengths by the two places that have it in
// their middle, or the one that it is beside.
func (r *Result) between(x, y float64) string {
	s := r.Survey
	near := make([]int, s.Len())
	for i := range near {
		near[i] = i
	}
	off := func(i, j int) float64 { return math.Hypot((s.X[i]+s.X[j])/2-x, (s.Y[i]+s.Y[j])/2-y) }
	slices.SortStableFunc(near, func(i, j int) int { return cmp.Compare(off(i, i), off(j, j)) })
	a, b := near[0], near[0]
	for n, i := range near[:min(4, len(near))] {
		for _, j := range near[:n] {
			if off(i, j) < off(a, b) {
				a, b = j, i
			}
		}
	}
	if a == b {
		return "beside " + s.Name(a)
	}
	return "the middle of " + s.Name(a) + " and " + s.Name(b)
}

// likely is the weight from which a change against a cause is advised.
const likely = 0.5

// drifting reports whether readings of the reference say that the light changed.
func (r *Result) drifting() bool {
	return slices.ContainsFunc(r.Causes, func(c Cause) bool { return c.Code == causes.Drift && c.Weight == 0 })
}

// adviseChanges says what to change against the causes that are supported, and what it
// will bring; where the first has rivals, first what tells them apart.
func (r *Result) adviseChanges() {
	switch settle := photometry.Found("let_settle"); {
	case r.drifting() && r.Drift.GapStops > 0:
		r.add(settle) // where the light is not known causes are not sure either
	case r.drifting():
		defer r.add(settle)
	}
	for k, c := range r.explained {
		if k == 0 && len(c.Rivals) > 0 && c.Test != nil && !r.Survey.Predicted {
			r.add(photometry.Found("tell_apart", "test", r.tested(&c)))
		}
		if c.Change != nil && c.Weight >= likely {
			r.Advice = append(r.Advice, r.change(c))
		}
	}
}

// change is the change against a cause with what it will bring.
func (r *Result) change(c causes.Cause) Advice {
	x := *c.Change
	read := r.Decisive().SpreadStops
	brings := photometry.Found("brings", "before", photometry.Stop(x.Before), "edge", x.Before > read+leastToEdge, "spread", photometry.Stop(x.Spread),
		"lo", photometry.Stop(x.Interval[0]), "hi", photometry.Stop(x.Interval[1]), "allowed", photometry.Stop(r.Limits.Total()))
	out := Advice{Finding: r.against(c, x, brings), Change: &x}
	if x.Code != causes.LetSettle {
		out.PredictedSpread, out.PredictedInterval = &x.Spread, &x.Interval
	}
	return out
}

// unsettled reports whether the verdict on evenness asks for a change.
func (r *Result) unsettled() bool {
	return r.Verdict.Evenness != uncertainty.Pass && (r.Without == nil || r.Without.Verdict != uncertainty.Pass)
}
