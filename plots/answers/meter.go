package answers

import (
	"cmp"
	"fmt"
	"math"
	"strconv"
	"strings"

	"evenfall/falloff"
	"evenfall/photometry"
	"evenfall/photometry/survey"
	"evenfall/plots"
	"evenfall/plots/document"
)

// Meter shows a checked meter: the answer first, with every reading where
// Options ask for them.
func Meter(s *survey.Series, r *falloff.Meter, w document.Words, full bool) *document.Document {
	p := &meterPage{page: newPage(SeriesWords(w, s), full), series: s, r: r}
	p.answer()
	if plots.Angle(r, s.Date, false) != nil {
		p.drawn("angle", func(narrow bool) (*plots.Picture, error) { return plots.Angle(r, s.Date, narrow), nil })
	}
	if p.full {
		p.statistics()
	}
	return p.Document
}

// meterPage is the lines of one check of a meter.
type meterPage struct {
	*page
	series *survey.Series
	r      *falloff.Meter
}

// answer is the part that is always shown.
func (p *meterPage) answer() {
	r := p.r
	text := p.summary()
	switch {
	case r.Title != "":
		text = r.Title + ": " + text
	case !strings.HasPrefix(text, "f2"):
		text = Capital(text)
	}
	p.settled(r.Settled, "METER", text)
	p.Line("repeats", p.repeats())
	if r.RepeatabilityNote != "" {
		p.Add(document.Line{Key: "paste", Texts: []string{r.RepeatabilityNote}, Kind: document.Verbatim})
	}
	p.Line("cosine", p.cosine())
	p.Line("by angle", p.byAngle())
	p.Line("tilt", p.tilt())
	p.Line("linearity", p.linearity())
	because, notes := part(r.Warnings, func(f falloff.Finding) bool { return falloff.Unsettling[f.Code] })
	p.findings("because", because)
	_, advice := part(r.Advice, func(f falloff.Finding) bool { return f.Code == "note" }) // the line to paste is above
	p.findings("do", advice)
	p.findings("note", notes)
	p.readAs(r.ReadAs, len(p.series.Readings), "reading")
}

// summary is the check in one sentence.
func (p *meterPage) summary() string {
	r := p.r
	var parts []string
	if r.RepeatabilityPercent != nil {
		parts = append(parts, "one reading repeats to "+percentage(*r.RepeatabilityPercent))
	}
	if r.F2Percent != nil {
		parts = append(parts, p.f2())
	}
	if r.LinearityStops != nil {
		text, within := "linear within %s stop", *r.LinearityStops
		switch {
		case has(r.Warnings, "not_the_meter"):
			text = "the ladder is off by up to %s stop, because of the light rather than the meter"
		case has(r.Warnings, "offset_or_meter"):
			text = fmt.Sprintf("off by up to %s stop as written, linear within %%s stop with another zero of the distances", hundredths(r.Ladder.ZeroOffsetStops))
		case has(r.Causes, "not_linear"):
			text = "not linear, off by up to %s stop"
		default:
			within = max(within, *r.LinearityNoiseStops) // no surer than the readings
		}
		parts = append(parts, fmt.Sprintf(text, hundredths(within)))
	}
	switch {
	case len(parts) == 0 && has(r.Warnings, "dome"):
		return "these readings follow a dome, not a flat receptor"
	case len(parts) == 0:
		return "nothing that these readings can tell"
	}
	return strings.Join(parts, "; ")
}

func (p *meterPage) repeats() string {
	r := p.r
	if r.RepeatabilityPercent == nil {
		return ""
	}
	n, groups := 0, 0
	for _, x := range r.Points {
		if x.Part == "repeat" {
			n++
			groups = max(groups, x.Group)
		}
	}
	return fmt.Sprintf("%s from %d readings of %s", percentage(*r.RepeatabilityPercent), n, lightCount(groups)) +
		known(r.RepeatabilityIntervalPercent, func(iv falloff.Interval) string { return " (" + confidence("%.2g", iv.Lo, iv.Hi) + ")" })
}

// f2 is the directional response index, or what it is at most.
func (p *meterPage) f2() string {
	index := cmp.Or(known(p.r.F2AtMostPercent, func(most float64) string { return "at most " + percentage(most) }), percentage(*p.r.F2Percent))
	return fmt.Sprintf("f2 %s to %s°", index, degrees(*p.r.F2ToDeg))
}

func (p *meterPage) cosine() string {
	r := p.r
	if r.F2Percent == nil {
		return ""
	}
	return p.f2() + either(r.F2AtMostPercent != nil, ", read as "+percentage(*r.F2Percent), "") + fmt.Sprintf(" (scatter alone would show about %s)", percentage(*r.F2NoisePercent)) +
		known(r.TenthStopToDeg, func(deg float64) string {
			return fmt.Sprintf("; within a tenth of a stop of the cosine law out to %s°", degrees(deg))
		})
}

// shownAngles is how many angles the short answer names.
const shownAngles = 7

// byAngle lists the deviation from the cosine.
func (p *meterPage) byAngle() string {
	angles, deviations := p.r.AngleTable()
	if len(angles) == 0 {
		return ""
	}
	var keep []int
	for i, a := range angles {
		if a > 1 && math.Abs(a-15*math.Round(a/15)) < 0.01 {
			keep = append(keep, i)
		}
	}
	if len(keep) < 3 {
		keep = keep[:0]
		step := (len(angles) + shownAngles - 1) / shownAngles
		for i := len(angles) - 1; i >= 0; i -= step {
			keep = append([]int{i}, keep...)
		}
	}
	var parts []string
	for _, i := range keep {
		parts = append(parts, fmt.Sprintf("%+.1f at %s°", deviations[i], degrees(angles[i])))
	}
	return "deviation from the cosine law in percent: " + strings.Join(parts, ", ")
}

func (p *meterPage) tilt() string {
	r := p.r
	if r.TiltDeg == nil {
		return ""
	}
	iv := known(r.TiltIntervalDeg, func(i falloff.Interval) string { return fmt.Sprintf(" (95 %% CI %+.1f to %+.1f°)", i.Lo, i.Hi) })
	if r.TiltIntervalDeg != nil && r.TiltIntervalDeg.Contains(0) {
		return "none that is sure" + iv
	}
	return fmt.Sprintf("%+.1f°%s: the receptor's axis was that far from the zero of the angles; corrected for", *r.TiltDeg, iv)
}

func (p *meterPage) linearity() string {
	r := p.r
	if r.LinearityStops == nil {
		return ""
	}
	level := func(v float64) string { return p.series.FormatLevel(v, p.Unit) }
	word := either(has(r.Causes, "not_linear"), "off by up to", "within")
	text := fmt.Sprintf("%s %s stop from %s; scatter alone would show about %s", word, hundredths(*r.LinearityStops),
		photometry.FromTo(*r.LinearityFrom, *r.LinearityTo, level), hundredths(*r.LinearityNoiseStops))
	if l := r.Ladder; l != nil && !has(r.Warnings, "bent") && !has(r.Warnings, "offset_or_meter") && !has(r.Warnings, "not_the_meter") {
		text += fmt.Sprintf("; by a source %s %s where the distances count from, %s stop without that", p.Length(math.Abs(l.OffsetM)), either(l.OffsetM < 0, "in front of", "behind"), hundredths(l.ZeroOffsetStops))
	}
	return text
}

// statistics is what --full adds.
func (p *meterPage) statistics() {
	r := p.r
	level := func(v float64) string { return p.series.FormatLevel(v, p.Unit) }
	rows := document.Rows("reading|at|level|expected|off by %|off by stops", r.Points, func(x falloff.MeterPoint) []string {
		at := cmp.Or(known(x.AngleDeg, func(deg float64) string { return trimmed(deg) + "°" }), known(x.DistanceM, p.Length),
			known(x.FilterStops, func(nd float64) string { return "ND " + trimmed(math.Round(30*nd)/100) }), "light "+strconv.Itoa(x.Group))
		return []string{x.Part + " " + strconv.Itoa(x.Reading), at, p.series.FormatReading(x.Level, p.Unit), known(x.Expected, level),
			OptionalSigned(x.DeviationPercent, 1), OptionalSigned(x.DeviationStops, 3)}
	})
	p.apart(document.Table{Caption: "Readings", Rows: rows, Long: true})
	p.findings("cause", r.Causes)
	p.remarks("assumed", r.Inferred)
	p.remarks("read as", r.ParseLog)
}
