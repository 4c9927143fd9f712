package report

import (
	"cmp"
	"context"
	"slices"
	"strings"

	"evenfall/falloff/balance"
	"evenfall/photometry/survey"
	"evenfall/photometry/uncertainty"
	"evenfall/plots/steps"
)

// steps makes the list of what to do for the first surface that is not well, or where
// all are for the first.
func (g *gatherer) steps() {
	if len(g.Surfaces) == 0 {
		return
	}
	s := &g.Surfaces[max(0, slices.IndexFunc(g.Surfaces, func(s Surface) bool { return !s.well() }))]
	in := steps.Inputs{Surface: s.Result, Lamps: g.lampRows, Dimmers: g.Dimmers, Intent: cmp.Or(g.options.Intent, g.settings.Intent)}
	if g.Ratios != nil {
		in.Ratios = g.Ratios.Result
	}
	if g.Gels != nil {
		in.Gels = g.Gels.Gels
	}
	alone := s
	if b := s.Before; b != nil && b.Match != nil {
		in.Match, in.Approved = b.Match, b.approved || b.read.Result.Survey.Settings.Approved != "" || g.settings.Approved != "" && g.settings.Approved == b.Date
		if len(s.Alone) == 0 {
			alone = b.read
		}
	}
	if len(alone.Alone) > 0 {
		in.Trims, in.AloneToday = g.trims(alone), alone == s
	}
	g.ToDo, g.ToDoOf = steps.Make(in), s.Title
}

// afterList is the surface of the list once all of it is done, nil where that is not known.
func (r *Report) afterList() *steps.Prediction {
	if l := r.ToDo; l != nil && len(l.Steps) > 0 {
		return l.Steps[len(l.Steps)-1].After
	}
	return nil
}

// well reports whether a surface passes, on its own and against the day before.
func (s *Surface) well() bool {
	return s.Result.Verdict.Overall == uncertainty.Pass && (s.Before == nil || s.Before.Match == nil || s.Before.Match.Verdict.Overall == uncertainty.Pass)
}

// trims balances the lamps that were read alone on a surface; nil where that cannot be.
func (g *gatherer) trims(s *Surface) *balance.Result {
	var inputs []survey.LampInput
	for _, in := range s.inputs("") {
		inputs = append(inputs, survey.LampInput{Input: in})
	}
	set, err := survey.ReadLampSet(inputs, survey.ReadOptions{})
	if err != nil {
		g.problem(strings.Join(s.Files, ", "), err)
		return nil
	}
	best, err := balance.Solve(context.Background(), set, balance.Options{})
	if err != nil {
		g.problem(strings.Join(s.Files, ", "), err)
		return nil
	}
	// Most of the light for almost the same evenness.
	for _, keep := range []float64{0.95, 0.8, 0.65, 0.5} {
		r, err := balance.Solve(context.Background(), set, balance.Options{Least: keep * best.Before.Min})
		if err == nil && (r.After.SpreadStops < best.After.SpreadStops+almost || r.After.SpreadStops < enough*r.Limits.Stops) {
			return r
		}
	}
	return best
}

const (
	almost = 0.05 // stops of spread that are given for more light
	enough = 0.75 // of the tolerance, which leaves room for the error of setting the lamps
)
