package answers

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/match"
	"evenfall/photometry/setup"
	"evenfall/photometry/survey"
	"evenfall/photometry/uncertainty"
	"evenfall/plots/document"
)

// Match is how today's light differs from another day's: the answer first, then
// the map of the difference, then the lamps, then what restores it.
func Match(r *match.Result, w document.Words, full bool) *document.Document {
	p := newPage(w, full)
	p.match(r)
	for i, more := range r.More {
		next := newPage(w, full)
		next.prefix = fmt.Sprintf("%d-", i+2)
		next.match(more)
		p.Gap()
		p.Add(next.Blocks...)
	}
	return p.Document
}

func (p *page) match(r *match.Result) {
	p.Words = AsRead(p.Words, r.Survey)
	if r.Survey == nil && r.Marks != nil {
		p.Words = atMarks(p.Words, r.Marks)
	}
	verdict, first := r.Verdict.Overall, failedFirst(r)
	if m := r.Marks; m != nil && len(r.Points) > 0 && m.Verdict.Overall != uncertainty.Pass && verdict != uncertainty.Fail {
		verdict, first = m.Verdict.Overall, "the lights at the marks are "+map[string]string{uncertainty.Fail: "out of tolerance", uncertainty.Unsure: "not settled"}[m.Verdict.Overall]+"; "
	}
	p.verdict(verdict, cmp.Or(r.Title, "Surface")+": "+first+matchHeadline(r))
	p.Line("pattern", p.patternText(r))
	p.Line("worst", p.worstText(r))
	p.Line("color", p.matchColorText(r))
	if judged := r.Difference(); judged != nil {
		p.Gap()
		p.maps(judged)
		p.Gap()
	}
	p.matchLamps(r)
	p.matchMarks(r)
	steps := p.stepTexts(r)
	p.Line("changed", slices.DeleteFunc(texts(r.Changes, func(c setup.Change) string { return p.say(c.Text.Finding) }), func(change string) bool {
		return slices.ContainsFunc(steps, func(step string) bool { return strings.Contains(step, change) }) // it says it itself
	})...)
	p.Line("excluded", p.short(texts(r.Suspects, p.suspectOf), 3)...)
	p.Line("do", steps...)
	p.Line("unpaired", p.unpairedText(r))
	p.findings("note", r.Warnings)
	p.cautions(r.Cautions)
	for _, day := range []match.Day{r.Before, r.After} {
		p.readAs(day.ReadAs, day.ReadingCount, "reading")
	}
	if p.full {
		p.matchStatistics(r)
	}
}

func (p *page) suspectOf(x match.Suspect) string { return dayOf(x.Day) + ", " + p.suspect(x.Suspect) }

// atMarks are the units of lights at marks: as they were read.
func atMarks(w document.Words, m *match.Marks) document.Words {
	w.Read = nil
	if w.Unit == photometry.NoUnit {
		w.Read = m.Format
	}
	return w
}

// stepTexts number the steps where there are several.
func (p *page) stepTexts(r *match.Result) (out []string) {
	for i, s := range r.Steps {
		w := p.Words
		if s.Values["light"] != nil {
			w = atMarks(w, r.Marks)
		}
		out = append(out, either(len(r.Steps) > 1, fmt.Sprintf("%d. ", i+1), "")+Sentence(w, s))
	}
	return out
}

// MatchVerdict is how today's light differs from another day's in one line.
func MatchVerdict(r *match.Result) string { return failedFirst(r) + matchHeadline(r) }

// dayName is what the day before is called.
func dayName(d match.Day) string { return cmp.Or(d.Date, "the day before") }

// failedFirst names what is out of tolerance where the offset is not.
func failedFirst(r *match.Result) string {
	v := r.Verdict
	failed := FilledIn(" and ", either(v.Pattern == uncertainty.Fail, "pattern", ""), either(v.Color == uncertainty.Fail, "color", ""))
	if failed == "" || v.Offset == uncertainty.Fail {
		return ""
	}
	return failed + " out of tolerance; "
}

// matchHeadline is the offset against its tolerance.
func matchHeadline(r *match.Result) string {
	low, high := r.OffsetInterval[0], r.OffsetInterval[1]
	if !r.OffsetSignificant {
		return fmt.Sprintf("today is level with %s, %s (%s)", dayName(r.Before), inStops("%+.2f", r.OffsetStops), signedConfidence(low, high)) + allowedText(r)
	}
	if r.OffsetStops < 0 {
		low, high = -high, -low
	}
	return fmt.Sprintf("today is %s %s %s (%s)", inStops("%.2f", math.Abs(r.OffsetStops)), either(r.OffsetStops < 0, "under", "over"), dayName(r.Before), confidence("%.2f", low, high)) + allowedText(r)
}

func allowedText(r *match.Result) string {
	return fmt.Sprintf(", ±%.2f allowed (%s)", r.Tolerance.OffsetStops, r.Verdict.Offset)
}

// patternText is what an offset leaves, against its tolerance.
func (p *page) patternText(r *match.Result) string {
	if r.PatternStops == nil {
		return fmt.Sprintf("not known from one place (%s)", r.Verdict.Pattern)
	}
	stops := inStops("%.2f", *r.PatternStops)
	text := either(len(r.Points) > 0, stops+" from place to place", "one light is "+stops+" off that") + known(r.PatternInterval, func(i [2]float64) string { return " (" + confidence("%.2f", i[0], i[1]) + ")" })
	text += fmt.Sprintf(", %.2f allowed (%s)", r.Tolerance.PatternStops, r.Verdict.Pattern)
	if !r.PatternSignificant && r.PatternScatter != nil && r.PatternNoiseFloorStops > 0 {
		text += fmt.Sprintf("; scatter alone leaves %.2f", r.PatternNoiseFloorStops)
	}
	return text
}

// worstText is the place whose light changed most.
func (p *page) worstText(r *match.Result) string {
	w := r.Worst
	return fmt.Sprintf("%s: %s, %s where it was %s", p.matchPlace(w, r), inStops("%+.2f", w.Stops), p.inUnit(w.After, r.Unit), p.inUnit(w.Before, r.Unit))
}

func (p *page) matchPlace(w match.Point, r *match.Result) string {
	switch {
	case w.Label == "":
		return p.Place(w.X, w.Y)
	case w.Position == nil, r.Survey != nil && r.Survey.Placing != survey.InMeters:
		return w.Label // a light at a mark, or a place without lengths
	}
	return w.Label + " at " + p.Place(w.X, w.Y)
}

// matchColorText is the shift of color over all, and the worst place.
func (p *page) matchColorText(r *match.Result) string {
	c := r.Color
	if c == nil {
		return ""
	}
	text := signed(*r.OffsetMired, 0) + " mired"
	worst := fmt.Sprintf("%s mired at %s (%s)", signed(*c.WorstMired.MiredShift, 0), p.shortPlace(c.WorstMired), c.VerdictMired)
	if r.OffsetDuv != nil {
		text += " and " + signed(*r.OffsetDuv, 4) + " Duv"
		worst += fmt.Sprintf(", %s Duv at %s (%s)", signed(*c.WorstDuv.DuvShift, 4), p.shortPlace(*c.WorstDuv), c.VerdictDuv)
	}
	return text + " on the whole; at most " + worst
}

func (p *page) shortPlace(w match.Point) string { return cmp.Or(w.Label, p.BarePlace(w.X, w.Y)) }

// matchLamps is the table of lamps, or a line a lamp on a narrow screen.
func (p *page) matchLamps(r *match.Result) {
	if len(r.LampOrder) == 0 {
		return
	}
	var narrow document.Lines
	rows := document.Rows("lamp|today|95 % CI|stops|of the light|changed", r.LampOrder, func(name string) []string {
		l := r.Lamps[name]
		percent, interval := lampFigures(l)
		narrow = append(narrow, document.Line{Key: name, Texts: []string{percent + either(interval != "", " (95 % CI "+interval+")", "") + "; " + p.lampWords(l)}})
		return []string{name, percent, interval, OptionalSigned(l.Stops, 2), fmt.Sprintf("%.0f %%", l.SharePercent), p.lampWords(l)}
	})
	p.apart(document.Table{Caption: "Each lamp today, in percent of the day before", Rows: rows, Text: []int{0, 5}, MinWidth: 56, Narrow: []document.Block{narrow}})
}

// matchMarks is the table of lights at marks.
func (p *page) matchMarks(r *match.Result) {
	m := r.Marks
	if m == nil {
		return
	}
	p.Gap()
	surface := p.Words
	p.Words = atMarks(p.Words, m)
	defer func() { p.Words = surface }()
	rows := document.Rows("mark|before|today|stops|mired", m.Pairs, func(pair match.MarkPair) []string {
		return []string{pair.Name(), p.inUnit(pair.Before, pair.Unit), p.inUnit(pair.After, pair.Unit), OptionalSigned(pair.Stops, 2), OptionalSigned(pair.MiredShift, 0)}
	})
	p.Add(document.Table{Caption: "Lights at marks", Rows: rows, Text: []int{0}})
	p.Gap()
	if len(r.Points) > 0 {
		p.Line("marks", marksText(m))
	}
	p.Line("unpaired", strings.Join(slices.Concat(m.UnpairedBefore, m.UnpairedAfter), ", "))
}

// marksText is how the lights at marks differ on the whole.
func marksText(m *match.Marks) string {
	return inStops("%+.2f", m.OffsetStops) + " on the whole" + Optional(", one light %.2f off that", m.PatternStops) +
		fmt.Sprintf(", ±%.2f allowed (%s)", m.ToleranceStops, m.Verdict.Overall)
}

// lampFigures are a lamp's level, or that of all lamps it goes with, and its interval.
func lampFigures(l match.LampLevel) (percent, interval string) {
	value, low, high := l.Percent, l.Low, l.High
	if value == nil {
		value, low, high = l.GroupPercent, l.GroupLow, l.GroupHigh
	}
	if value == nil {
		return "?", ""
	}
	return fmt.Sprintf("%.0f %%", *value), wholePercents(*low, *high)
}

// lampWords says what changed of a lamp.
func (p *page) lampWords(l match.LampLevel) string {
	level := either(l.Changed, "level", "")
	switch {
	case l.GroupPercent != nil:
		level = "with " + strings.Join(l.With, ", ") + ": the places read do not separate them"
	case l.Ambiguous != nil:
		level = p.say(l.Ambiguous.Finding)
	}
	color := known(l.Color, func(c match.LampShift) string { return "color, " + lampShiftText(&c) })
	return cmp.Or(FilledIn("; ", level, either(l.Moved != nil, "place or aim", ""), color), "no change found")
}

// lampShiftText is a lamp's shift of color, less what is none.
func lampShiftText(c *match.LampShift) string {
	mired, duv := signed(c.MiredShift, 0)+" mired", signed(c.DuvShift, 4)+" Duv"
	noMired, noDuv := math.Abs(c.MiredShift) < 0.5, math.Abs(c.DuvShift) < 0.0005
	return FilledIn(" and ", either(noMired, "", mired), either(noDuv && !noMired, "", duv))
}

// unpairedText lists the places that only one day has.
func (p *page) unpairedText(r *match.Result) string {
	only := func(day string, places []match.Place) string {
		names := texts(places, func(m match.Place) string {
			return cmp.Or(m.Label, "("+photometry.FormatFigure(m.X)+", "+photometry.FormatFigure(m.Y)+")")
		})
		if more := len(names) - 6; more > 0 && !p.full {
			names = append(names[:6], fmt.Sprintf("%d more", more))
		}
		return either(len(names) > 0, day+strings.Join(names, ", "), "")
	}
	return FilledIn("; ", only("only the day before ", r.UnpairedBefore), only("only today ", r.UnpairedAfter))
}

// matchStatistics is what --full adds.
func (p *page) matchStatistics(r *match.Result) {
	p.Gap()
	if by := r.PairedBy; by != nil {
		p.Line("paired", fmt.Sprintf("%d places, %d by label and %d by position, within %s (at most %s apart); %d of them decide", by.Label+by.Position,
			by.Label, by.Position, p.Figure(by.WithinM), p.Figure(by.MaxDistanceM), r.Pairs))
	}
	p.Line("tolerance", p.say(r.Tolerance.Source.Finding))
	if s := r.PatternScatter; s != nil {
		p.Line("rms", fmt.Sprintf("%.3f stop about the offset; scatter alone leaves %.3f stop", s.PatternRMSStops, s.PatternNoiseRMSStops))
	}
	p.Line("scatter", fmt.Sprintf("one reading ±%.3f stop the day before (%.2g %%, %s), ±%.3f today (%.2g %%, %s)", r.Before.Noise.Stops, r.Before.Noise.RepeatabilityPercent, noiseSource(r.Before.Noise),
		r.After.Noise.Stops, r.After.Noise.RepeatabilityPercent, noiseSource(r.After.Noise)))
	if f := r.LampFit; f != nil {
		p.Line("lamps", fmt.Sprintf("%s of %d places; %.3f stop rms left, scatter leaves %.3f", map[string]string{"full": "maps of each lamp", "shares": "smooth shares by readings"}[f.Maps], f.Places, f.ResidualStops, f.NoiseStops)+
			known(f.ShareErrorPercent, func(v float64) string { return fmt.Sprintf("; shares good to %.1f %% of the light", max(0.1, v)) }))
	}
	for _, name := range r.LampOrder {
		if c := r.Lamps[name].Color; c != nil {
			shift := known(c.MiredInterval, func(i [2]float64) string {
				return fmt.Sprintf("; shift 95 %% CI %+.1f to %+.1f mired, %s to %s Duv", i[0], i[1], signed(c.DuvInterval[0], 4), signed(c.DuvInterval[1], 4))
			})
			p.Line("", fmt.Sprintf("%s: %.0f K, Duv %s, where it was %.0f K, Duv %s%s", name, c.CCT, signed(c.Duv, 4), c.CCTBefore, signed(c.DuvBefore, 4), shift))
		}
	}
	p.matchPoints(r)
	p.remarks("inferred", r.Inferred)
}

// matchPoints is the table of all places of both days.
func (p *page) matchPoints(r *match.Result) {
	if len(r.Points) == 0 {
		return
	}
	rows := document.Rows("place|before|today|stops|pattern|mired|Duv|", r.Points, func(m match.Point) []string {
		return []string{p.shortPlace(m), p.inUnit(m.Before, r.Unit), p.inUnit(m.After, r.Unit), signed(m.Stops, 2), signed(m.Pattern, 2),
			OptionalSigned(m.MiredShift, 0), OptionalSigned(m.DuvShift, 4), either(m.Excluded, "excluded", either(m.OutOfShot, "out of shot", ""))}
	})
	p.apart(document.Table{Caption: "Places of both days", Rows: rows, Text: []int{0, 7}})
}
