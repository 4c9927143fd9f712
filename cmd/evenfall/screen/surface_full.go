package screen

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"charm.land/lipgloss/v2"
	"charm.land/lipgloss/v2/table"

	"evenfall/photometry/survey"
)

// surfaceStatistics is what --full adds.
func (p *page) surfaceStatistics(s *survey.Survey, r *survey.Result) {
	rows := [][]string{{"", "whole"}}
	parts := []survey.Evenness{r.Evenness}
	if r.Area != nil {
		rows[0] = append(rows[0], "in shot")
		parts = append(parts, *r.Area)
	}
	add := func(name string, show func(survey.Evenness) string) {
		row := []string{name}
		for _, e := range parts {
			row = append(row, show(e))
		}
		rows = append(rows, row)
	}
	level := func(v float64) string { return p.level(s, v) }
	add("places", func(e survey.Evenness) string { return strconv.Itoa(e.Points) })
	add("lowest", func(e survey.Evenness) string { return level(e.Min) })
	add("highest", func(e survey.Evenness) string { return level(e.Max) })
	add("mean (by area)", func(e survey.Evenness) string { return level(e.Mean) })
	add("median", func(e survey.Evenness) string { return level(e.Median) })
	add("lowest / mean, U_o", func(e survey.Evenness) string { return fmt.Sprintf("%.3f", e.MinOverMean) })
	add("lowest / highest", func(e survey.Evenness) string { return fmt.Sprintf("%.3f", e.MinOverMax) })
	add("spread", func(e survey.Evenness) string { return stops(e.SpreadStops) })
	add("spread, 95 % interval", func(e survey.Evenness) string {
		if e.SpreadInterval == nil {
			return ""
		}
		return fmt.Sprintf("%.3f to %.3f", e.SpreadInterval[0], e.SpreadInterval[1])
	})
	add("spread of meter scatter alone", func(e survey.Evenness) string { return stops(e.NoiseFloorStops) })
	add("above, below the mean", func(e survey.Evenness) string { return "+" + stops(e.AboveMeanStops) + ", -" + stops(e.BelowMeanStops) })
	add("variation (sd / mean)", func(e survey.Evenness) string { return fmt.Sprintf("%.1f %%", e.CVPercent) })
	add("area within tolerance", func(e survey.Evenness) string { return fmt.Sprintf("%.0f %%", e.WithinPercent) })
	p.blank()
	p.grid(rows)
	p.blank()
	if t := r.Trend; t != nil {
		p.line("trend", p.trend(t))
	}
	if n := r.Noise; n.Source != "predicted" {
		p.line("scatter", fmt.Sprintf("one reading ±%.3f stop (repeatability %.2g %%, %s)", n.Stops, n.RepeatabilityPercent, noiseSource(n)))
	}
	if q := r.Sampling; q != nil {
		enough := "close enough"
		if !q.Enough {
			enough = "too far"
		}
		p.line("sampling", fmt.Sprintf("%s apart, %s or less advised: %s", p.length(q.SpacingM), p.length(q.AdvisedSpacingM), enough))
	}
	for i, c := range r.Causes {
		p.line(labelOnce("evidence", i), c.Code+": "+c.Evidence)
	}
	for i, x := range r.Suspects {
		if i >= 3 {
			p.line("doubtful", suspectText(x))
		}
	}
	p.line("readings", fmt.Sprintf("%d, %d places left empty", r.Readings, r.Missing))
	for i, text := range r.Inferred {
		p.line(labelOnce("assumed", i), text)
	}
	for i, text := range r.Reading {
		p.line(labelOnce("read as", i), text)
	}
}

func noiseSource(n survey.Noise) string {
	switch n.Source {
	case "repeats":
		return fmt.Sprintf("from repeats, %d degrees of freedom", n.DegreesOfFreedom)
	case "stated":
		return "as the notes say"
	}
	return "assumed"
}

func (p *page) trend(t *survey.Trend) string {
	unit, per := "stop/m", 1.0
	if p.Feet {
		unit, per = "stop/ft", 0.3048
	}
	var parts []string
	if t.TiltX != nil {
		parts = append(parts, fmt.Sprintf("%+.3f %s to the right", *t.TiltX*per, unit))
	}
	if t.TiltY != nil {
		parts = append(parts, fmt.Sprintf("%+.3f %s upward", *t.TiltY*per, unit))
	}
	if t.Bow != nil {
		parts = append(parts, fmt.Sprintf("middle %+.2f stop over the edges", *t.Bow))
	}
	parts = append(parts, fmt.Sprintf("steepest %.2f %s", t.Steepest*per, unit), fmt.Sprintf("readings ±%.3f stop about it", t.Residual))
	return strings.Join(parts, ", ")
}

// grid lays rows out in columns, the first row as headers.
func (p *page) grid(rows [][]string) {
	for _, row := range rows {
		for i := range row {
			row[i] = p.plain(row[i])
		}
	}
	border := lipgloss.Border{}
	t := table.New().Headers(rows[0]...).Rows(rows[1:]...).Border(border).
		BorderTop(false).BorderBottom(false).BorderLeft(false).BorderRight(false).BorderHeader(false).BorderColumn(false).
		StyleFunc(func(_, column int) lipgloss.Style {
			style := lipgloss.NewStyle().PaddingRight(2)
			if column > 0 {
				style = style.Align(lipgloss.Right)
			}
			return style
		})
	for line := range strings.SplitSeq(t.String(), "\n") {
		p.raw(line)
	}
}

func stops(v float64) string {
	if math.IsInf(v, 0) || math.IsNaN(v) {
		return "none"
	}
	return strconv.FormatFloat(v, 'f', 3, 64)
}

// fixed prints a coordinate to the centimeter.
func fixed(v float64) string { return strconv.FormatFloat(v, 'f', 2, 64) }

func trimmed(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }
