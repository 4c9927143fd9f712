package answers

import (
	"cmp"
	"fmt"
	"strconv"
	"strings"

	"evenfall/photometry/evenness"
	"evenfall/photometry/spatial"
	"evenfall/photometry/survey"
	"evenfall/photometry/uncertainty"
	"evenfall/plots/document"
)

// statistics are rows of figures of a survey's parts, or of one part in several
// states, a column each.
func (p *page) statistics(s *survey.Survey, parts ...evenness.Statistics) (rows [][]string) {
	add := func(name string, show func(evenness.Statistics) string) {
		rows = append(rows, append([]string{name}, texts(parts, show)...))
	}
	level := func(v float64) string { return p.level(s, v) }
	add("places", func(e evenness.Statistics) string { return strconv.Itoa(e.Points) })
	add("lowest", func(e evenness.Statistics) string { return level(e.Min) })
	add("highest", func(e evenness.Statistics) string { return level(e.Max) })
	add("mean (by area)", func(e evenness.Statistics) string { return level(e.Mean) })
	add("median", func(e evenness.Statistics) string { return level(e.Median) })
	add("lowest / mean, U_o", func(e evenness.Statistics) string { return fmt.Sprintf("%.3f", e.MinOverMean) })
	add("lowest / highest", func(e evenness.Statistics) string { return fmt.Sprintf("%.3f", e.MinOverMax) })
	add("spread", func(e evenness.Statistics) string { return stops(e.SpreadStops) })
	add("spread, 95 % CI", func(e evenness.Statistics) string {
		return known(e.SpreadInterval, func(i [2]float64) string { return fmt.Sprintf("%.3f–%.3f", i[0], i[1]) })
	})
	add("spread of meter scatter alone", func(e evenness.Statistics) string { return stops(e.NoiseFloorStops) })
	add("above, below the mean", func(e evenness.Statistics) string {
		return "+" + stops(e.AboveMeanStops) + ", -" + stops(e.BelowMeanStops)
	})
	add("variation (sd / mean)", func(e evenness.Statistics) string { return fmt.Sprintf("%.1f %%", e.CVPercent) })
	add("area within tolerance", func(e evenness.Statistics) string { return fmt.Sprintf("%.0f %%", e.WithinPercent) })
	return rows
}

// statisticsTable adds such rows under their heads.
func (p *page) statisticsTable(heads []string, rows ...[]string) {
	p.apart(document.Table{Caption: "Statistics", Rows: append([][]string{heads}, rows...), Text: []int{0}})
}

// surfaceStatistics is what --full adds.
func (p *page) surfaceStatistics(r *evenness.Result) {
	_, suspect := r.WithSuspects()
	heads, all := []string{either(suspect, "suspects too", ""), "whole"}, []evenness.Statistics{r.Evenness}
	if r.Area != nil {
		heads, all = append(heads, "in shot"), append(all, *r.Area)
	}
	p.statisticsTable(heads, p.statistics(r.Survey, all...)...)
	p.Line("trend", known(r.Trend, p.trend))
	if n := r.Noise; n.Source != "predicted" {
		p.Line("scatter", fmt.Sprintf("one reading ±%.3f stop (repeatability %.2g %%, %s)", n.Stops, n.RepeatabilityPercent, noiseSource(n)))
		p.Line("CI", "95 % confidence interval")
	}
	if q := r.Sampling; q != nil {
		p.Line("sampling", fmt.Sprintf("%s apart, %s or less advised: %s", p.Figure(q.SpacingM), p.Figure(q.AdvisedSpacingM), either(q.Enough, "close enough", "too far")))
	}
	p.Line("evidence", texts(r.Causes, func(c evenness.Cause) string {
		what, _, _ := strings.Cut(strings.TrimSuffix(p.say(c.Finding), "."), ": ") // before what it comes of
		return what + ": " + p.say(c.Evidence.Finding)
	})...)
	p.Line("readings", fmt.Sprintf("%d, %d places left empty", r.ReadingCount, r.Missing))
	p.Line("taken", Taken(r.Taken))
	p.remarks("assumed", r.Inferred)
	p.remarks("read as", r.ParseLog)
}

func noiseSource(n uncertainty.Noise) string {
	return cmp.Or(map[string]string{"repeats": fmt.Sprintf("from repeats, %d degrees of freedom", n.DegreesOfFreedom), "stated": "as the notes say"}[n.Source], "assumed")
}

func (p *page) trend(t spatial.Trend) string {
	per, unit := p.PerLength(1)
	slope := func(way string) func(float64) string {
		return func(v float64) string { return fmt.Sprintf("%+.3f stop/%s %s", v*per, unit, way) }
	}
	return FilledIn(", ", known(t.TiltX, slope("to the right")), known(t.TiltY, slope("upward")),
		known(t.Curvature, func(v float64) string { return "middle " + inStops("%+.2f", v) + " over the edges" }),
		fmt.Sprintf("steepest %.2f stop/%s", t.Steepest*per, unit), fmt.Sprintf("readings ±%.3f stop about it", t.Residual))
}
