package answers

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"evenfall/falloff"
	"evenfall/photometry"
	"evenfall/photometry/survey"
	"evenfall/plots"
	"evenfall/plots/document"
)

// SeriesWords write the levels of a series for a reader as they were read.
func SeriesWords(w document.Words, s *survey.Series) document.Words {
	unit := w.Unit
	w.Read = func(l photometry.Level) string { return s.FormatLevel(l.Value, unit) }
	w.Feet = w.Feet || w.AsTyped && (s.LengthUnit == "ft" || s.LengthUnit == "in")
	return w
}

// Distance shows a fitted distance series: the answer first, with models,
// parameters and readings where Options ask for them.
func Distance(s *survey.Series, r *falloff.Distance, w document.Words, full bool) *document.Document {
	w = SeriesWords(w, s)
	p := &distancePage{page: newPage(w, full), series: s, r: r}
	p.answer()
	p.drawn("distance", func(narrow bool) (*plots.Picture, error) {
		return plots.Distance(s, r, plots.SeriesOptions{Unit: s.UnitFor(w.Unit), Feet: w.Feet, Answer: p.say(r.Answer), Narrow: narrow}), nil
	})
	if p.full {
		p.statistics()
	}
	return p.Document
}

// distancePage is the lines of one distance series.
type distancePage struct {
	*page
	series *survey.Series
	r      *falloff.Distance
}

// level is a level of the series.
func (p *distancePage) level(v float64) string {
	return p.Level(photometry.Level{Value: v, Quantity: p.series.Quantity})
}

// answer is the part that is always shown.
func (p *distancePage) answer() {
	r := p.r
	suspects, rest := part(r.Warnings, func(f falloff.Finding) bool { return aboutSuspects[f.Code] })
	because, rest := part(rest, func(f falloff.Finding) bool { return against[f.Code] })
	_, notes := part(rest, p.inALine)
	p.settled(r.Settled, "FALL-OFF", strings.TrimPrefix(r.Title+". ", ". ")+p.say(r.Answer))
	p.findings("suspect", suspects)
	p.Line("lost", p.lost())
	p.Line("depth", p.depth())
	p.Line("exponent", p.exponent())
	p.Line("intensity", p.intensity())
	p.Line("source", p.source())
	p.Line("ambient", p.ambient())
	p.Line("exposure", p.exposure())
	p.Line("wanted", p.wanted())
	p.findings("because", because)
	_, advice := part(r.Advice, func(f falloff.Finding) bool { return f.Code == "depth" }) // which has a line of its own
	if !p.full {
		advice = advice[:min(2, len(advice))]
	}
	p.findings("do", advice)
	p.findings("note", notes)
	p.readAs(r.ReadAs, len(p.series.Readings), "reading")
}

// has tells whether there is a finding of a code.
func has(all []falloff.Finding, code string) bool {
	return slices.ContainsFunc(all, func(f falloff.Finding) bool { return f.Code == code })
}

// The warnings that name a suspect, and the others for which a series
// is not settled.
var (
	aboutSuspects = map[string]bool{"outlier": true, "lux_fc_swap": true, "decimal_slip": true}
	against       = map[string]bool{"few_readings": true, "short_range": true, "no_model_fits": true, "unsettled": true, "rising": true}
)

// inALine tells what the lines of the wanted level and the depth say already.
func (p *distancePage) inALine(f falloff.Finding) bool {
	return f.Code == "level_out_of_reach" || f.Code == "extrapolated" && !p.full
}

// upward tells whether the level rises with distance, so that no law fits.
func (p *distancePage) upward() bool { return p.r.Answer.Code == falloff.NoInverse }

func (p *distancePage) lost() string {
	l := p.r.Lost
	if p.behind() {
		return ""
	}
	verb := ""
	stops := l.Stops
	if stops < 0 {
		verb, stops = "none: it gains ", -stops
	}
	return fmt.Sprintf("%s%s from %s; the inverse square would lose %.1f", verb, photometry.FormatStops(stops), p.between(l.FromM, l.ToM), l.InverseSquareStops)
}

// behind tells whether the mark lies behind the place where the light seems to
// start, so that nothing can be said of it.
func (p *distancePage) behind() bool { return has(p.r.Warnings, "mark_behind_source") }

func (p *distancePage) exponent() string {
	r := p.r
	if p.upward() || p.behind() {
		return fmt.Sprintf("%+.2f over the series (-2 is the inverse square)", r.Exponent)
	}
	return fmt.Sprintf("%.2f at %s, %.2f over the series (-2 is the inverse square)", r.MarkExponent, p.Length(r.MarkM), r.Exponent)
}

// interval is a 95 % confidence interval, empty where both ends are open.
func interval(iv falloff.Interval, write func(float64) string) string {
	if text := between(iv, write); text != "" {
		return "95 % CI " + strings.Replace(text, " to ", "–", 1)
	}
	return ""
}

// span is an interval in brackets.
func span(iv falloff.Interval, write func(float64) string) string {
	if text := interval(iv, write); text != "" {
		return " (" + text + ")"
	}
	return ""
}

// between is a range of lengths.
func (p *page) between(near, far float64) string { return photometry.FromTo(near, far, p.Length) }

func (p *distancePage) depth() string {
	r := p.r
	d := r.Depth
	if d == nil {
		return ""
	}
	text := fmt.Sprintf("within ±%s of %s at %s: ", inStops("%.2f", d.WithinStops), p.level(r.MarkLevel), p.Length(r.MarkM))
	switch {
	case d.FarM == nil && d.NearM == 0:
		text += "everywhere"
	case d.FarM == nil:
		text += "from " + p.Length(d.NearM) + " on without end"
	case d.NearM == 0:
		text += "up to " + p.Length(*d.FarM)
	default:
		text += fmt.Sprintf("%s, %s deep", p.between(d.NearM, *d.FarM), p.Length(*d.FarM-d.NearM))
	}
	switch {
	case r.MarkAssumed:
		text += " (--mark sets another)"
	case r.MarkExtrapolated, d.NearExtrapolated && d.FarExtrapolated:
		text += "; extrapolated"
	}
	if d.NearExtrapolated != d.FarExtrapolated && !r.MarkExtrapolated {
		text += "; the " + either(d.NearExtrapolated, "near", "far") + " end is extrapolated"
	}
	return text
}

func (p *distancePage) intensity() string {
	r := p.r
	if r.Best == nil || r.RelativeIntensity != nil {
		return ""
	}
	if iv := r.Intervals.Intensity(); !(iv.Hi <= 10*iv.Lo) {
		return "cannot be told from these readings"
	}
	return rounded(r.Best.Intensity()) + either(r.IntensityCD != nil, " cd", " cd·s") + span(r.Intervals.Intensity(), rounded) + ", as seen from far away"
}

// source says how large the source looks and where its light seems to start.
func (p *distancePage) source() string {
	r := p.r
	if r.Best == nil {
		return ""
	}
	across := r.Intervals.SourceRadiusM
	across.Lo, across.Hi = 2*across.Lo, 2*across.Hi
	text := "its size cannot be told from these readings"
	switch {
	case across.Lo > 0:
		text = "looks " + p.Length(2*r.SourceRadiusM) + " across" + span(across, p.Bare)
	case !math.IsInf(across.Hi, 1):
		text = "at most " + p.Length(across.Hi) + " across"
	}
	switch offset := r.Intervals.OffsetM; {
	case offset.Contains(0) && r.TapeChecked:
		return text + "; starts at the tape's zero"
	case offset.Contains(0):
		return fmt.Sprintf("%s; starts within %s of the tape's zero", text, p.Length(max(-offset.Lo, offset.Hi)))
	case offset.Hi < 0:
		return fmt.Sprintf("%s; starts %s%s ahead of the tape's zero", text, p.Length(-r.OffsetM), span(falloff.Interval{Lo: -offset.Hi, Hi: -offset.Lo}, p.Bare))
	default:
		return fmt.Sprintf("%s; starts %s%s behind the tape's zero", text, p.Length(r.OffsetM), span(offset, p.Bare))
	}
}

func (p *distancePage) ambient() string {
	r := p.r
	if r.Best == nil {
		return ""
	}
	iv := r.Intervals.Ambient
	if !(iv.Lo > 0) {
		return "none that is sure; at most " + p.level(iv.Hi)
	}
	share := func(m float64) string { return percent(100*r.Ambient/r.Law().Level(m)) + " at " + p.Length(m) }
	return fmt.Sprintf("%s%s, ambient light or bounce: %s, %s", p.level(r.Ambient), span(iv, p.level), share(r.NearM), share(r.FarM))
}

// exposure is the f-number at the mark, where the levels are not f-numbers
// already and the notes say what is needed.
func (p *distancePage) exposure() string {
	n, ok := p.series.FNumber(p.r.MarkLevel)
	if !ok || p.series.Unit == photometry.FStop && p.series.Quantity == photometry.LuminousExposure {
		return ""
	}
	set := p.series.Settings
	continuous := set.ShutterS > 0 && p.series.Quantity == photometry.Illuminance
	return fmt.Sprintf("%s at ISO %.0f%s at %s (C = %s)", LensStop(n, continuous), set.Meter.Speed(), either(continuous, ", "+photometry.FormatShutter(set.ShutterS), ""),
		p.Length(p.r.MarkM), trimmed(set.Meter.IncidentConstant()))
}

func (p *distancePage) wanted() string {
	w := p.r.Wanted
	switch {
	case w == nil:
		return ""
	case w.DistanceM == nil:
		return p.adviceText(p.r.Warnings, "level_out_of_reach")
	}
	text := p.level(w.Level)
	if n, ok := p.series.FNumber(w.Level); ok && p.series.Unit != photometry.FStop {
		text += ", " + LensStop(n, p.series.Quantity == photometry.Illuminance) + ","
	}
	return fmt.Sprintf("%s is at %s%s", text, p.Length(*w.DistanceM), span(*w.IntervalM, p.Bare)) + either(w.Extrapolated, "; extrapolated", "")
}
