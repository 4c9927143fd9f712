package answers

import (
	"cmp"
	"fmt"
	"math"
	"strings"

	"evenfall/falloff/balance"
	"evenfall/photometry/evenness"
	"evenfall/photometry/uncertainty"
	"evenfall/plots"
	"evenfall/plots/document"
)

// Balance shows the trims of lamps and what they make of a surface: the answer
// first with each lamp, then the map after, then what it rests on.
func Balance(r *balance.Result, w document.Words, full bool) *document.Document {
	p := newPage(AsRead(w, r.AfterMap.Survey), full)
	where := either(r.After.Whole != nil, " in shot", "")
	p.verdict(r.Verdict, cmp.Or(r.Title, "Surface")+where+": "+balanceHeadline(r))
	p.trims(r)
	shown := len(r.Advice)
	if !full {
		shown = min(2, shown)
	}
	p.findings("do", r.Advice[:shown])
	p.Gap()
	p.Add(p.mapOf("before", r.BeforeMap, plots.Level, r.AfterMap), document.Paragraph("After, computed:"))
	after := p.mapOf("after", r.AfterMap, plots.Level, r.BeforeMap)
	after.Characters = p.characters(r.AfterMap)
	p.Add(after)
	p.Gap()
	p.Line("suspect", p.short(texts(r.Suspects, p.lampSuspect), 3)...)
	p.Line("scrims", scrimsText(r))
	if p.full || r.After.Verdict.Color != uncertainty.Pass {
		p.Line("color", balanceColorText(r))
	}
	p.allowed(r.Limits)
	p.placeNotes(r.Notes)
	p.findings("note", r.Warnings)
	p.cautions(r.Cautions)
	p.readAs(r.ReadAs, r.Places, "place")
	if p.full {
		p.balanceStatistics(r)
	}
	return p.Document
}

func (p *page) lampSuspect(x balance.LampSuspect) string {
	return either(x.Lamp != "", x.Lamp+" alone, ", "") + p.suspect(x.Suspect)
}

// balanceHeadline is the spread before and after against the tolerance.
func balanceHeadline(r *balance.Result) string {
	after := r.After
	text := either(after.Verdict.Color == uncertainty.Fail && after.Verdict.Evenness == uncertainty.Pass, "color out of tolerance, ", "")
	if r.Verdict != after.Verdict.Overall { // it passes as it is
		text = fmt.Sprintf("within tolerance as it is, %.2f stop%s; ", r.Before.SpreadStops, intervalText(r.Before.SpreadInterval, r.BeforeMap))
	}
	text += fmt.Sprintf("spread %.2f → %.2f stop by %s", r.Before.SpreadStops, after.SpreadStops, proofText(r))
	if r.Kept != nil {
		text += fmt.Sprintf(", or %.2f with half the light kept", r.Kept.SpreadStops)
	}
	if r.Limits.EachSide && after.AboveRefStops != nil {
		return text + fmt.Sprintf("; %+.2f and %+.2f about %s, ±%.2f allowed%s",
			*after.AboveRefStops, -*after.BelowRefStops, aboutText(r.AfterMap), r.Limits.Stops, intervalText(after.DeviationInterval, r.AfterMap))
	}
	return text + fmt.Sprintf("; %.2f allowed%s", r.Limits.Stops, intervalText(after.SpreadInterval, r.AfterMap))
}

// aboutText names what stops count from.
func aboutText(r *evenness.Result) string { return cmp.Or(r.Reference.Label, "the mean") }

// proofText names the trims by what is known of better ones.
func proofText(r *balance.Result) string {
	what := either(r.StepStops > 0, "trims in half stops", "trims")
	return either(r.Optimal, "the best "+what+" (proved)", fmt.Sprintf("the best %s found (%.2f at best)", what, r.BoundStops))
}

// trims is the table of lamps, or a line a lamp on a narrow screen.
func (p *page) trims(r *balance.Result) {
	var narrow document.Lines
	heads := either(r.Kept != nil, "lamp|most even|stops|with light|stops|set by", "lamp|trim to|stops|set by")
	words := strings.Count(heads, "|")
	rows := document.Rows(heads+either(p.full, "|if 0.1 off", ""), r.Lamps, func(name string) []string {
		t := r.Trims[name]
		row, text := []string{name, percent(t.Percent), trimStops(t)}, trimText(t)
		if r.Kept != nil {
			t = r.Kept.Trims[name]
			text += "; with light " + trimText(t)
			row = append(row, percent(t.Percent), trimStops(t))
		}
		narrow = append(narrow, document.Line{Key: name, Texts: []string{text}})
		if row = append(row, trimWords(t)); p.full {
			row = append(row, Optional("%.3f", t.TenthOffStops))
		}
		return row
	})
	p.apart(document.Table{Caption: "Trims of the lamps", Rows: rows, Text: []int{0, words}, MinWidth: 56, Narrow: []document.Block{narrow}})
}

func trimStops(t balance.Trim) string {
	switch {
	case t.Stops == nil:
		return "off"
	case *t.Stops > -0.005:
		return "0.00"
	}
	return fmt.Sprintf("%.2f", *t.Stops)
}

// trimText is a trim in one line.
func trimText(t balance.Trim) string {
	return fmt.Sprintf("%s, %s, %s", percent(t.Percent), trimStops(t), trimWords(t))
}

// trimWords says what makes a trim.
func trimWords(t balance.Trim) string {
	switch {
	case t.Fixed:
		return "fixed"
	case t.Stops == nil:
		return "switched off"
	case *t.Stops > -0.05:
		return "as it is"
	case t.Scrim == "":
		return "a dimmer"
	case math.Abs(t.ScrimStops+*t.Stops) < 0.05:
		return t.Scrim
	}
	return fmt.Sprintf("a dimmer; nearest %s (%.1f)", t.Scrim, t.ScrimStops)
}

// scrimsText is what scrims alone would make.
func scrimsText(r *balance.Result) string {
	if r.ScrimsStops == nil || r.StepStops > 0 {
		return ""
	}
	if s := *r.ScrimsStops; math.Abs(s-r.After.SpreadStops) < 0.005 || s > r.Before.SpreadStops-0.02 {
		return "" // the same, or no better than leaving the lamps alone
	}
	return fmt.Sprintf("with the nearest scrims in place of dimmers %.2f stop (--half-steps finds the best ones)", *r.ScrimsStops)
}

// balanceColorText is how color runs before and after, where lamps have one.
func balanceColorText(r *balance.Result) string {
	a, c := r.Before.Color, r.After.Color
	if a == nil || c == nil || a.MaxMiredShift == nil || c.MaxMiredShift == nil {
		return ""
	}
	text := fmt.Sprintf("by the lamps' colors off by up to %.0f → %.0f mired", *a.MaxMiredShift, *c.MaxMiredShift)
	if a.MaxDuvShift != nil && c.MaxDuvShift != nil {
		text += fmt.Sprintf(" and %.4f → %.4f Duv", *a.MaxDuvShift, *c.MaxDuvShift)
	}
	return text + " (" + r.After.Verdict.Color + ")"
}

// balanceStatistics is what --full adds.
func (p *page) balanceStatistics(r *balance.Result) {
	rows := p.statistics(r.AfterMap.Survey, evenness.Statistics(r.Before.Evenness), evenness.Statistics(r.After.Evenness))
	if before, after := r.Before.WithSuspects, r.After.WithSuspects; before != nil && after != nil {
		rows = append(rows, []string{"spread with the suspects", stops(*before), stops(*after)})
	}
	if before, after := r.Before.Whole, r.After.Whole; before != nil && after != nil {
		rows = append(rows, []string{"spread of the whole", stops(before.SpreadStops), stops(after.SpreadStops)})
	}
	p.statisticsTable([]string{"", "before", "after"}, append(rows, []string{"verdict", r.Before.Verdict.Evenness, r.After.Verdict.Evenness})...)
	p.Line("bound", fmt.Sprintf("no trims reach less than %.4f stop; these are %.1g stop above", r.BoundStops, r.Gap))
	p.Line("scatter", fmt.Sprintf("one reading ±%.3f stop (repeatability %.2g %%, %s)", r.Noise.Stops, r.Noise.RepeatabilityPercent, noiseSource(r.Noise)))
	p.Line("adding up", Optional("all lamps together read %+.3f stop to the sum of the lamps alone", r.AdditivityStops))
	p.Line("ambient", known(r.Ambient, func(v float64) string { return p.level(r.AfterMap.Survey, v) + " on the mean" }))
	for _, name := range r.Lamps {
		t := r.Trims[name]
		p.Line(name, Optional("%.0f K", t.CCT)+known(t.CCTAfter, func(after float64) string { return fmt.Sprintf(", dimmed %.0f K (%+.0f mired)", after, *t.MiredShift) }))
	}
	p.remarks("assumed", r.Inferred)
	p.remarks("read as", r.ParseLog)
}
