package answers

import (
	"cmp"
	"fmt"
	"math"

	"evenfall/falloff/screen"
	"evenfall/photometry/evenness"
	"evenfall/photometry/match"
	"evenfall/photometry/ratio"
	"evenfall/photometry/uncertainty"
	"evenfall/plots/document"
	"evenfall/plots/steps"
)

// Judgement is one thing that was judged, in one short line.
type Judgement struct{ Verdict, Text string }

// SurfaceChecks are evenness and color of a surface, with what all steps leave where
// that is known.
func SurfaceChecks(r *evenness.Result, after *steps.Prediction) (out []Judgement) {
	bare := *r
	e, _ := decisive(&bare)
	e.SpreadInterval, e.DeviationInterval = nil, nil
	text := headline(&bare, e)
	if with, ok := r.WithSuspects(); ok {
		text += fmt.Sprintf(", %.2f with", with)
	}
	text += withEdge(r.ToEdge)
	out = append(out, Judgement{r.Verdict.Evenness, Capital(text)})
	if after != nil {
		out = append(out, Judgement{Text: fmt.Sprintf("After the list ≈%.2f", after.SpreadStops) + predictionInterval(*after) + withEdge(after.ToEdge)})
	}
	if c := r.Color; c != nil && r.Verdict.Color != "" && c.MaxMiredShift != nil {
		duv := known(c.MaxDuvShift, func(duv float64) string {
			return fmt.Sprintf(", %.4f Duv (%.0f, %g)", duv, r.Limits.Mired, r.Limits.Duv)
		})
		out = append(out, Judgement{r.Verdict.Color, fmt.Sprintf("Color even: %.0f mired", *c.MaxMiredShift) + cmp.Or(duv, fmt.Sprintf(" (%.0f); green–magenta not read", r.Limits.Mired))})
	}
	return out
}

// withEdge is the spread with the edge of the part in shot, where that differs.
func withEdge(e *evenness.ToEdge) string {
	return known(e, func(e evenness.ToEdge) string { return fmt.Sprintf(", ≈%.1f with the edge", e.SpreadStops) })
}

// MatchChecks are the light of a surface against the day before, and its color.
func MatchChecks(r *match.Result, w document.Words) (out []Judgement) {
	text := fmt.Sprintf("Day before: %s (±%.2f)", inStops("%+.2f", r.OffsetStops), r.Tolerance.OffsetStops) +
		known(r.PatternStops, func(v float64) string {
			return fmt.Sprintf(", %.2f between places (%.2f)", v, r.Tolerance.PatternStops)
		})
	out = append(out, Judgement{uncertainty.WorstVerdict(r.Verdict.Offset, r.Verdict.Pattern), text})
	if c := r.Color; c != nil && c.WorstDuv != nil && c.WorstDuv.DuvShift != nil {
		shift := *c.WorstDuv.DuvShift
		out = append(out, Judgement{r.Verdict.Color, fmt.Sprintf("Day before: %.4f Duv toward %s at %s (%g)", math.Abs(shift), either(shift < 0, "magenta", "green"), newPage(w, false).shortPlace(*c.WorstDuv), r.Tolerance.Duv)})
	}
	return out
}

// RatioChecks are how many marks reach their targets, none without targets.
func RatioChecks(r *ratio.Result) []Judgement {
	if r.Verdict == "" {
		return nil
	}
	return []Judgement{{r.Verdict, fmt.Sprintf("%d of %d mark%s within ±%.2f stop of target", passing(r), len(r.Marks), plural(len(r.Marks)), r.ToleranceStops) +
		either(r.Date != "", ", read "+r.Date, "")}}
}

// ScreenCheck is the screen against middle gray lit by the key, from mark to mark, and its
// spill where that is limited; ok is false where no mark has a key.
func ScreenCheck(r *screen.Result) (out Judgement, ok bool) {
	low, high, spill := math.Inf(1), math.Inf(-1), math.Inf(-1)
	for _, m := range r.Marks {
		if v := m.ScreenToKey; v != nil {
			low, high = min(low, *v), max(high, *v)
		}
		if v := m.SpillToKey; v != nil {
			spill = max(spill, *v)
		}
	}
	text := "Screen " + signed(low, 1) + either(signed(low, 1) != signed(high, 1), " to "+signed(high, 1), "") + " stops to middle gray at the key" +
		known(r.TargetStops, func(t float64) string { return fmt.Sprintf(" (%s ±%s)", signed(t, 1), hundredths(r.ToleranceStops)) })
	if t := r.SpillTarget; t != nil && !math.IsInf(spill, 0) {
		text += fmt.Sprintf(", spill %s (%s)", signed(spill, 1), signed(*t, 1))
	}
	return Judgement{r.Verdict, text}, low <= high
}
