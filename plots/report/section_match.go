package report

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"evenfall/photometry/match"
	"evenfall/photometry/uncertainty"
	"evenfall/plots"
	"evenfall/plots/answers"
)

// beforeSection compares each surface with the day before.
func (r *Report) beforeSection(s *section) {
	for i := range r.Surfaces {
		if b := r.Surfaces[i].Before; b != nil {
			b.tell(s.part(r.Surfaces[i].Title), &r.Surfaces[i], r.options)
		}
	}
}

// tell puts the comparison in words.
func (c *Comparison) tell(s *section, after *Surface, o Options) {
	var f facts
	e := after.decisive()
	if m := c.Match; m != nil {
		f.add("Verdict", verdictWords[m.Verdict.Overall]+": "+matchHeadline(m))
		f.add("Pattern", patternText(m))
		f.add("Most changed", o.at(m.Worst.Label, m.Worst.X, m.Worst.Y)+": "+stops(m.Worst.Stops)+", "+c.read.level(m.Worst.After, o)+" where it was "+c.read.level(m.Worst.Before, o))
		f.add("Color", matchColor(m))
	}
	f.add("Before", fmt.Sprintf("%s (%s): %s, spread %.2f stop, mean %s", c.From, strings.Join(c.Files, ", "), c.Verdict, c.SpreadStops, c.read.level(c.Mean, o)))
	f.add("Now", fmt.Sprintf("%s, spread %.2f stop, mean %s", after.Result.Verdict.Overall, e.SpreadStops, after.level(e.Mean, o)))
	if m := c.Match; m != nil {
		var doubtful []string
		for _, x := range m.Suspects {
			day := "today, "
			if x.Day == match.DayBefore {
				day = "the day before, "
			}
			doubtful = append(doubtful, day+suspectText(x.Suspect))
		}
		f.add("Left out", strings.Join(doubtful, " "))
		f.add("Not on both days", unpaired(m, o))
		f.findings("Note", m.Warnings)
	}
	s.facts(f)
	if m := c.Match; m != nil {
		s.table(lampLevels(m).drop())
		var changes, steps []string
		for _, change := range m.Changes {
			changes = append(changes, sentence(change.Text.Text))
		}
		if len(changes) > 0 {
			s.text("The tables of the two days differ:")
			s.list(changes)
		}
		w := answers.AsRead(o.words(), m.Survey)
		for _, step := range m.Steps {
			steps = append(steps, answers.Sentence(w, step))
		}
		if len(steps) > 0 {
			s.text("To get the light of the day before back, in this order:")
			s.Blocks = append(s.Blocks, block{Items: steps, Ordered: true})
		}
		drawDifference(s, m, o)
	}
	// Days of the folder beside the one that was compared with.
	further := slices.DeleteFunc(slices.Clone(after.Older), func(d Day) bool { return c.here && slices.Equal(d.Files, c.Files) })
	if len(further) > 0 {
		t := &grid{Caption: "Further days of " + after.Title, Header: []string{"Day", "Verdict", "Mean", "Spread", "Files"}, Right: []bool{false, false, true, true, false}}
		for _, d := range further {
			t.Rows = append(t.Rows, []cell{one(d.Date), one(d.Verdict), one(after.level(d.Mean, o)), one(fmt.Sprintf("%.2f stop", d.SpreadStops)), one(strings.Join(d.Files, ", "))})
		}
		s.table(t)
	}
}

// matchHeadline is the offset against its tolerance.
func matchHeadline(m *match.Result) string {
	day := m.Before.Date
	if day == "" {
		day = "the day before"
	}
	text := ""
	switch i := m.OffsetInterval; {
	case !m.OffsetSignificant:
		text = fmt.Sprintf("on the whole level with %s, %s", day, stops(m.OffsetStops))
		if i != nil {
			text += fmt.Sprintf(" (truly %s to %s)", signed(i[0], 2), signed(i[1], 2))
		}
	default:
		way := "over"
		if m.OffsetStops < 0 {
			way = "under"
		}
		text = fmt.Sprintf("%.2f stop %s %s", math.Abs(m.OffsetStops), way, day)
		if i != nil {
			low, high := math.Abs(i[0]), math.Abs(i[1])
			text += fmt.Sprintf(" (truly %.2f to %.2f)", min(low, high), max(low, high))
		}
	}
	text = fmt.Sprintf("%s, ±%.2f allowed (%s)", text, m.Tolerance.OffsetStops, m.Verdict.Offset)
	if m.Verdict.Pattern != uncertainty.Pass {
		text += "; the pattern differs by " + patternText(m)
	}
	if c := matchColor(m); c != "" && m.Verdict.Color != uncertainty.Pass {
		text += "; color " + c
	}
	return text
}

// patternText is what an offset leaves, against its tolerance.
func patternText(m *match.Result) string {
	if m.Pairs < 2 {
		return fmt.Sprintf("cannot be told from one place (%s)", m.Verdict.Pattern)
	}
	text := fmt.Sprintf("%.2f stop from place to place", m.PatternStops)
	if i := m.PatternInterval; i != nil {
		text += fmt.Sprintf(" (truly %.2f to %.2f)", i[0], i[1])
	}
	text += fmt.Sprintf(", %.2f allowed (%s)", m.Tolerance.PatternStops, m.Verdict.Pattern)
	if !m.PatternSignificant {
		text += fmt.Sprintf("; scatter alone leaves %.2f", m.PatternNoiseFloorStops)
	}
	return text
}

// matchColor is the shift of color over all, and the worst place.
func matchColor(m *match.Result) string {
	c := m.Color
	if c == nil || m.OffsetMired == nil || c.WorstMired.MiredShift == nil {
		return ""
	}
	text := signed(*m.OffsetMired, 0) + " mired"
	worst := fmt.Sprintf("%s mired at %s (%s)", signed(*c.WorstMired.MiredShift, 0), placeName(c.WorstMired), c.VerdictMired)
	if m.OffsetDuv != nil && c.WorstDuv != nil && c.WorstDuv.DuvShift != nil {
		text += " and " + signed(*m.OffsetDuv, 4) + " Duv"
		worst += fmt.Sprintf(", %s Duv at %s (%s)", signed(*c.WorstDuv.DuvShift, 4), placeName(*c.WorstDuv), c.VerdictDuv)
	}
	return text + " on the whole; at most " + worst
}

func placeName(p match.Point) string {
	if p.Label != "" {
		return p.Label
	}
	return fmt.Sprintf("(%.2f, %.2f) m", p.X, p.Y)
}

// unpaired lists the places that only one day has.
func unpaired(m *match.Result, o Options) string {
	names := func(all []match.Place) string {
		var out []string
		for _, p := range all {
			if len(out) == mostNames {
				out = append(out, fmt.Sprintf("%d more", len(all)-mostNames))
				break
			}
			name := p.Label
			if name == "" {
				name = o.at("", p.X, p.Y)
			}
			out = append(out, name)
		}
		return strings.Join(out, ", ")
	}
	var parts []string
	if len(m.UnpairedBefore) > 0 {
		parts = append(parts, "only the day before "+names(m.UnpairedBefore))
	}
	if len(m.UnpairedAfter) > 0 {
		parts = append(parts, "only today "+names(m.UnpairedAfter))
	}
	return strings.Join(parts, "; ")
}

// mostNames is how many places are named in a line.
const mostNames = 12

// lampLevels is each lamp today in percent of the day before.
func lampLevels(m *match.Result) *grid {
	t := &grid{Caption: "Each lamp today, in percent of the day before", Stacked: true, Header: []string{"Lamp", "Today", "Truly", "Stops", "Of the light", "What changed"}, Right: []bool{false, true, true, true, true, false}}
	for _, name := range m.LampOrder {
		l := m.Lamps[name]
		percent, low, high := l.Percent, l.Low, l.High
		if percent == nil {
			percent, low, high = l.GroupPercent, l.GroupLow, l.GroupHigh
		}
		row := []cell{one(name), one(optional(percent, "%.0f %%")), nil, nil, one(fmt.Sprintf("%.0f %%", l.SharePercent)), one(lampWords(l))}
		if low != nil && high != nil {
			row[2] = one(fmt.Sprintf("%.0f to %.0f", math.Floor(*low), math.Ceil(*high)))
		}
		if l.Stops != nil {
			row[3] = one(signed(*l.Stops, 2))
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

// lampWords says what changed of a lamp.
func lampWords(l match.LampLevel) string {
	var words []string
	switch {
	case l.GroupPercent != nil:
		words = append(words, "with "+and(l.With)+": "+l.Untold.Text)
	case l.Untold != nil:
		words = append(words, l.Untold.Text)
	case l.Changed:
		words = append(words, "level")
	}
	if l.Moved != nil {
		words = append(words, "place or aim")
	}
	if c := l.Color; c != nil {
		words = append(words, fmt.Sprintf("color, %s mired and %s Duv", signed(c.MiredShift, 0), signed(c.DuvShift, 4)))
	}
	if len(words) == 0 {
		return "nothing that shows"
	}
	return strings.Join(words, "; ")
}

// drawDifference draws today over the day before.
func drawDifference(s *section, m *match.Result, o Options) {
	judged := m.Difference()
	if judged == nil {
		return
	}
	over := judged.Survey
	for _, d := range []struct {
		kind plots.Kind
		want bool
	}{{plots.Level, true}, {plots.Mired, over.HasColor()}, {plots.Duv, over.HasColor() && over.DuvRead}} {
		if d.want {
			picture, err := plots.Surface(judged, plots.SurfaceOptions{Kind: d.kind, Feet: o.Feet})
			s.draw(picture, err, "")
		}
	}
}
