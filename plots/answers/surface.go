package answers

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/drift"
	"evenfall/photometry/entry"
	"evenfall/photometry/evenness"
	"evenfall/photometry/survey"
	"evenfall/photometry/tolerance"
	"evenfall/photometry/uncertainty"
	"evenfall/plots"
	"evenfall/plots/document"
)

// Surface is a judged surface: what it is like and what to do, then the maps, then
// figures, with all statistics on a full page.
func Surface(r *evenness.Result, w document.Words, full bool) *document.Document {
	w = AsRead(w, r.Survey)
	p := newPage(w, full)
	p.surfaceAnswer(r)
	p.Gap()
	p.maps(r)
	p.Gap()
	p.surfaceFigures(r)
	if r.Color != nil && r.Color.Points > 0 {
		p.drawn("uv", func(narrow bool) (*plots.Picture, error) { return plots.Chromaticity(r, w.Feet, narrow) })
	}
	if p.full {
		p.surfaceStatistics(r)
	}
	return p.Document
}

// surfaceAnswer is what is over the map: the verdict, why, and what to do.
func (p *page) surfaceAnswer(r *evenness.Result) {
	decisive, where := decisive(r)
	p.verdict(r.Verdict.Overall, cmp.Or(r.Title, "Surface")+where+": "+headline(r, decisive)+colorHeadline(r))
	if with, ok := r.WithSuspects(); ok {
		p.Line("without", fmt.Sprintf("the suspect reading%s: %s; with %s the spread is %s", plural(len(r.Suspects)), r.Without.Verdict, either(len(r.Suspects) > 1, "them", "it"), inStops("%.2f", with)))
	}
	p.Line("suspect", p.short(texts(r.Suspects, p.suspect), 3)...)
	shown := p.shownCauses(r)
	ofLevel, _ := causesByKind(r.Causes)
	if r.Verdict.Evenness != uncertainty.Pass || p.full {
		p.Line("cause", texts(ofLevel[:min(1, len(ofLevel))], p.causeText)...)
	}
	p.advice(r.Advice[:min(shown, len(r.Advice))])
}

// decisive is the part of a surface that decides, and how it is called.
func decisive(r *evenness.Result) (e evenness.Statistics, where string) {
	return r.Decisive(), either(r.Area != nil, " in shot", "")
}

// shownCauses is how many causes, and pieces of advice, are told.
func (p *page) shownCauses(r *evenness.Result) int {
	if p.full {
		return max(len(r.Causes), len(r.Advice))
	}
	return 2
}

// surfaceFigures is what is under the map: what the verdict rests on.
func (p *page) surfaceFigures(r *evenness.Result) {
	decisive, _ := decisive(r)
	p.Line("brightest", p.extreme(r, decisive.Brightest))
	p.Line("darkest", p.extreme(r, decisive.Darkest))
	if t := r.ToEdge; t != nil {
		p.Line("edge", fmt.Sprintf("spread %s with the edge, computed where nothing is read (±%.1f); it changes no verdict", inStops("%.1f", t.SpreadStops), t.ErrorStops))
	}
	p.Line("one-sided", p.short(texts(r.Bounds, func(b survey.Bound) string { return p.bound(r.Survey, b) }), 3)...)
	p.Line("in doubt", p.short(texts(r.InDoubt, func(d survey.Doubt) string { return p.doubt(r.Survey, d) }), 3)...)
	ofLevel, ofColor := causesByKind(r.Causes)
	if further := ofLevel[:min(p.shownCauses(r), len(ofLevel))]; len(further) > 1 && (r.Verdict.Evenness != uncertainty.Pass || p.full) {
		p.Line("also", texts(further[1:], p.causeText)...)
	}
	p.Line("color", append([]string{colorLine(r)}, texts(ofColor, p.causeText)...)...)
	p.Line("exposure", exposureText(r))
	p.allowed(r.Limits)
	p.Line("drift", driftText(r.Drift))
	p.placeNotes(r.Notes)
	p.findings("note", r.Warnings)
	p.readAs(r.ReadAs, r.Points+len(r.Bounds), "place")
}

// allowed says where a tolerance is from that nobody asked for.
func (p *page) allowed(l tolerance.Limits) {
	if l.Assumed {
		p.Line("allowed", fmt.Sprintf("%.2f stop, as usual where nothing is asked for; the notes “for” and “tolerance” ask for another (--for screen, cyc, backdrop or artwork, --tolerance 0.3)", l.Stops))
	}
}

// causesByKind parts the causes of a color that runs from those of the level.
func causesByKind(all []evenness.Cause) (level, color []evenness.Cause) {
	color, level = part(all, func(c evenness.Cause) bool {
		return c.Code == evenness.CauseWarmerSide || c.Code == evenness.CauseGreenerSide || c.Code == evenness.CauseLampColor
	})
	return level, color
}

// causeText is a cause with what may be true in its place.
func (p *page) causeText(c evenness.Cause) string {
	rivals := strings.Join(texts(c.Rivals, func(r evenness.Rival) string { return p.say(r.Finding) }), " or ")
	return p.say(c.Finding) + either(rivals != "", " It may also be "+rivals+".", "")
}

// advice says what to do on a surface.
func (p *page) advice(all []evenness.Advice) {
	p.Line("do", texts(all, func(a evenness.Advice) string { return p.say(a.Finding) })...)
}

// SurfaceVerdict is a judged surface in one line.
func SurfaceVerdict(r *evenness.Result) string {
	decisive, where := decisive(r)
	return strings.TrimPrefix(where+" ", " ") + headline(r, decisive) + colorHeadline(r)
}

// headline is the spread against the tolerance, with what is known of it.
func headline(r *evenness.Result, e evenness.Statistics) string {
	leftOut := ""
	if _, ok := r.WithSuspects(); ok {
		leftOut = " without the suspect" + plural(len(r.Suspects))
	}
	if e.Min <= 0 {
		return "part of it gets no light at all"
	}
	if e.SpreadAtLeast != nil {
		allowed := either(r.Limits.EachSide, fmt.Sprintf("±%.2f about %s allowed", r.Limits.Stops, aboutText(r)), fmt.Sprintf("%.2f allowed", r.Limits.Stops))
		return fmt.Sprintf("spread at least %s%s, %s", inStops("%.2f", *e.SpreadAtLeast), leftOut, allowed)
	}
	if r.Limits.EachSide && e.AboveRefStops != nil {
		return fmt.Sprintf("%+.2f and %s about %s%s, ±%.2f allowed%s", *e.AboveRefStops, inStops("%+.2f", -*e.BelowRefStops), aboutText(r), leftOut,
			r.Limits.Stops, intervalText(e.DeviationInterval, r))
	}
	if p := r.Progress; p != nil && p.Read < p.Planned && r.Verdict.Evenness != uncertainty.Fail {
		return fmt.Sprintf("%d of %d read, spread so far %s%s, %.2f allowed%s", p.Read, p.Planned, inStops("%.2f", e.SpreadStops), leftOut, r.Limits.Stops, intervalText(e.SpreadInterval, r))
	}
	text := fmt.Sprintf("spread %s%s, %.2f allowed", inStops("%.2f", e.SpreadStops), leftOut, r.Limits.Stops)
	if r.Verdict.Evenness == uncertainty.Pass && r.Limits.GoodStops != nil && e.SpreadInterval != nil && e.SpreadInterval[1] <= *r.Limits.GoodStops {
		text += ", good"
	}
	return text + intervalText(e.SpreadInterval, r)
}

// colorHeadline adds color to the first line where it decides.
func colorHeadline(r *evenness.Result) string {
	c := r.Color
	if r.Verdict.Color == "" || r.Verdict.Color == uncertainty.Pass || c.MaxMiredShift == nil {
		return ""
	}
	if c.VerdictMired == uncertainty.Pass && c.VerdictDuv == "" {
		return "; warm and cool within tolerance, green–magenta not read"
	}
	var parts []string
	if c.VerdictMired != uncertainty.Pass {
		parts = append(parts, fmt.Sprintf("%.0f mired, %.0f allowed", *c.MaxMiredShift, r.Limits.Mired))
	}
	if c.VerdictDuv != "" && c.VerdictDuv != uncertainty.Pass {
		parts = append(parts, fmt.Sprintf("%.4f Duv, %g allowed", *c.MaxDuvShift, r.Limits.Duv))
	}
	if len(parts) == 0 {
		return "; color read at too few places"
	}
	if r.Verdict.Color == uncertainty.Unsure {
		return "; color unsettled at " + strings.Join(parts, " and ")
	}
	return "; color off by " + strings.Join(parts, " and ")
}

// confidence is a 95 % confidence interval, its ends in a format of package fmt.
func confidence(format string, lo, hi float64) string {
	return "95 % CI " + fmt.Sprintf(format, lo) + "–" + fmt.Sprintf(format, hi)
}

// intervalText is the 95 % confidence interval of a spread in brackets.
func intervalText(interval *[2]float64, r *evenness.Result) string {
	if interval == nil || r.Noise.Source == "predicted" {
		return ""
	}
	return " (" + confidence("%.2f", interval[0], interval[1]) + ")"
}

func (p *page) extreme(r *evenness.Result, at evenness.Place) string {
	s := r.Survey
	text := p.level(s, at.Level)
	if at.Level > 0 && r.Reference.Level > 0 {
		text += ", " + inStops("%+.2f", photometry.Stops(at.Level, r.Reference.Level)) + " to " + aboutText(r)
	}
	where := at.Label
	if !math.IsNaN(at.X) {
		where = strings.TrimSpace(where + " at " + p.Place(at.X, at.Y))
	}
	return where + ": " + text
}

// level is a level of a survey.
func (p *page) level(s *survey.Survey, v float64) string {
	return p.Level(photometry.Level{Value: v, Quantity: s.Quantity})
}

// reasonWords are the data-entry errors in words.
var reasonWords = map[string]string{
	entry.LuxFootcandleSwap: "lux and footcandles swapped?", entry.MisplacedDecimal: "decimal point misplaced?", entry.DigitsTransposed: "digits transposed?",
	entry.OwnShadow: "your own shadow?", entry.SerpentineAsRows: "serpentine order typed as rows?",
}

// Reasons are the data-entry errors that a suspect may be, in words: "lux and footcandles
// swapped?".
func Reasons(x survey.Suspect) string {
	var parts []string
	for _, reason := range x.Reasons {
		if words := reasonWords[reason]; !slices.Contains(parts, words) {
			parts = append(parts, words)
		}
	}
	return strings.Join(parts, " ")
}

func (p *page) suspect(x survey.Suspect) string {
	var parts []string
	for i, reason := range x.Reasons {
		parts = append(parts, reasonWords[reason]+" "+p.say(x.Suggestions[i].Finding))
	}
	return x.Label + either(x.Line > 0, fmt.Sprintf(" (line %d)", x.Line), "") + " " + x.Found + ": " + strings.Join(parts, "; ")
}

func colorLine(r *evenness.Result) string {
	c := r.Color
	if c == nil || c.Points == 0 {
		return ""
	}
	text := known(c.Reference.CCT, func(k float64) string {
		return fmt.Sprintf("%.0f K", k) + known(c.Reference.Duv, func(duv float64) string { return ", Duv " + signed(duv, 4) }) +
			either(c.Reference.Label == "", " in all; ", " at "+c.Reference.Label+"; ")
	})
	text += known(c.MaxMiredShift, func(mired float64) string {
		return fmt.Sprintf("off by up to %.0f mired (%s)", mired, c.VerdictMired) +
			known(c.MaxDuvShift, func(duv float64) string { return fmt.Sprintf(" and %.4f Duv (%s)", duv, c.VerdictDuv) }) + ", "
	})
	return text + fmt.Sprintf("%.1f steps", c.Steps) + either(c.Worst.Label != "", " at "+c.Worst.Label, "")
}

func exposureText(r *evenness.Result) string {
	e := r.Exposure
	if e == nil {
		return ""
	}
	if e.FNumber == nil {
		return Optional("EV %.1f at ISO 100 for the mean; notes iso and shutter give the f-number", e.EV100)
	}
	if e.ShutterS > 0 {
		return fmt.Sprintf("%s at ISO %.0f, %s for the mean (C = %s)", photometry.FormatLensStop(*e.FNumber), e.ISO, photometry.FormatShutter(e.ShutterS), trimmed(e.Constant))
	}
	return fmt.Sprintf("%s flash at ISO %.0f for the mean (C = %s)", photometry.FormatFNumber(*e.FNumber), e.ISO, trimmed(e.Constant))
}

// takenOut says how a drift was taken out.
func takenOut(d *drift.Drift) string {
	gap := inStops("%.2f", d.GapStops)
	switch shape := d.Changes[0].Shape; {
	case shape == drift.Line:
		return "taken out as a steady change"
	case shape == drift.WarmUp:
		return "taken out as a warm-up"
	case shape == drift.Step:
		return "taken out as one step of " + gap + ", at any time between two of them"
	case d.GapStops > 0:
		return "no steady change: up to " + gap + " between two of them, where the light is not known"
	}
	return "taken out from one to the next"
}

func driftText(d *drift.Drift) string {
	if d == nil {
		return ""
	}
	text := fmt.Sprintf("%s while reading, by %d readings of the reference", inStops("%+.2f", d.TotalStops), d.Readings)
	switch {
	case d.Corrected:
		return text + "; " + takenOut(d)
	case d.Significant:
		return text
	}
	return text + "; no more than scatter"
}
