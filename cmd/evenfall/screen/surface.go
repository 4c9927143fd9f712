package screen

import (
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"charm.land/lipgloss/v2"
	"charm.land/lipgloss/v2/table"

	"evenfall/photometry"
	"evenfall/photometry/survey"
	"evenfall/plots"
)

// Surface shows a judged surface: the answer first, then the map, with all
// statistics where Options ask for them.
func Surface(w io.Writer, s *survey.Survey, r *survey.Result, o Options) error {
	p := newPage(o)
	p.surfaceAnswer(s, r)
	p.blank()
	drawn := plots.Terminal(s, r, plots.TerminalOptions{Width: o.Width, Color: o.colorMode(), Unicode: o.Unicode, Feet: o.Feet, Unit: s.UnitFor(o.Unit)})
	p.raw(strings.TrimRight(drawn, "\n"))
	if o.Full {
		p.surfaceStatistics(s, r)
	}
	_, err := io.WriteString(w, p.b.String())
	return err
}

// surfaceAnswer is the part that is always shown.
func (p *page) surfaceAnswer(s *survey.Survey, r *survey.Result) {
	decisive, where := r.Evenness, ""
	if r.Area != nil {
		decisive, where = *r.Area, " in shot"
	}
	title := r.Title
	if title == "" {
		title = "Surface"
	}
	p.styled(strings.ToUpper(r.Verdict.Overall), p.verdict, title+where+": "+p.headline(r, decisive)+colorHeadline(r))
	if r.Without != nil && r.Without.Verdict != "" {
		p.line("without", fmt.Sprintf("%.2f stop without the doubtful reading%s (%s)", r.Without.SpreadStops, plural(len(r.Suspects)), r.Without.Verdict))
	}
	p.line("brightest", p.extreme(s, r, decisive.Brightest))
	p.line("darkest", p.extreme(s, r, decisive.Darkest))
	for i, x := range r.Suspects {
		if i == 3 {
			p.line("", fmt.Sprintf("and %d more (--full lists them)", len(r.Suspects)-3))
			break
		}
		p.line(labelOnce("doubtful", i), suspectText(x))
	}
	shown := 2
	if p.Full {
		shown = max(len(r.Causes), len(r.Advice))
	}
	ofLevel, ofColor := causesByKind(r.Causes)
	for i, c := range ofLevel {
		if i == shown || (r.Verdict.Evenness == survey.Pass && !p.Full) {
			break
		}
		p.line(labelOnce("cause", i), c.Text)
	}
	for i, a := range r.Advice {
		if i < shown {
			p.line(labelOnce("do", i), p.advice(a, r))
		}
	}
	p.line("color", p.colorLine(r))
	for _, c := range ofColor {
		p.line("", c.Text)
	}
	p.line("exposure", exposureText(r))
	p.line("drift", driftText(r.Drift))
	p.findings("note", r.Warnings)
}

// advice is a piece of advice, its lengths in feet where they are wanted.
func (p *page) advice(a photometry.Finding, r *survey.Result) string {
	if p.Feet && a.Code == survey.AdviceReadCloser {
		return fmt.Sprintf("The readings stand up to %s apart; %s or less is advised for this size.", p.length(r.Sampling.SpacingM), p.length(r.Sampling.AdvisedSpacingM))
	}
	return a.Text
}

// causesByKind parts the causes of a color that runs from those of the level.
func causesByKind(all []survey.Cause) (level, color []survey.Cause) {
	for _, c := range all {
		switch c.Code {
		case survey.CauseWarmerSide, survey.CauseGreenerSide, survey.CauseLampColor:
			color = append(color, c)
		default:
			level = append(level, c)
		}
	}
	return level, color
}

func labelOnce(label string, i int) string {
	if i > 0 {
		return ""
	}
	return label
}

func plural(n int) string {
	if n == 1 {
		return ""
	}
	return "s"
}

// headline is the spread against the tolerance, with what is known of it.
func (p *page) headline(r *survey.Result, e survey.Evenness) string {
	if e.Min <= 0 {
		return "part of it gets no light at all"
	}
	if r.Limits.EachSide && e.AboveRefStops != nil {
		about := "the mean"
		if r.Reference.Label != "" {
			about = r.Reference.Label
		}
		return fmt.Sprintf("%+.2f and %+.2f stop about %s, ±%.2f allowed%s", *e.AboveRefStops, -*e.BelowRefStops, about,
			r.Limits.Stops, intervalText(e.DeviationInterval, r))
	}
	text := fmt.Sprintf("spread %.2f stop, %.2f allowed", e.SpreadStops, r.Limits.Stops)
	if r.Verdict.Evenness == survey.Pass && r.Limits.GoodStops != nil && e.SpreadInterval != nil && e.SpreadInterval[1] <= *r.Limits.GoodStops {
		text += ", good"
	}
	return text + intervalText(e.SpreadInterval, r)
}

// colorHeadline adds color to the first line where it decides.
func colorHeadline(r *survey.Result) string {
	c := r.Color
	if r.Verdict.Color == "" || r.Verdict.Color == survey.Pass || c.MaxMiredShift == nil {
		return ""
	}
	var parts []string
	if c.VerdictMired != survey.Pass {
		parts = append(parts, fmt.Sprintf("%.0f mired, %.0f allowed", *c.MaxMiredShift, r.Limits.Mired))
	}
	if c.VerdictDuv != "" && c.VerdictDuv != survey.Pass {
		parts = append(parts, fmt.Sprintf("%.4f Duv, %g allowed", *c.MaxDuvShift, r.Limits.Duv))
	}
	if r.Verdict.Color == survey.Unsure {
		return "; color unsettled at " + strings.Join(parts, " and ")
	}
	return "; color off by " + strings.Join(parts, " and ")
}

// intervalText tells between which sizes the truth lies.
func intervalText(interval *[2]float64, r *survey.Result) string {
	if interval == nil || r.Noise.Source == "predicted" {
		return ""
	}
	return fmt.Sprintf(" (truly %.2f to %.2f)", interval[0], interval[1])
}

func (p *page) extreme(s *survey.Survey, r *survey.Result, at survey.Place) string {
	text := p.level(s, at.Level)
	if at.Level > 0 && r.Reference.Level > 0 {
		about := "the mean"
		if r.Reference.Label != "" {
			about = r.Reference.Label
		}
		text += fmt.Sprintf(", %+.2f stop to %s", photometry.Stops(at.Level, r.Reference.Level), about)
	}
	where := "at " + p.place(at.X, at.Y)
	if at.Label != "" {
		where = at.Label + " " + where
	}
	return where + ": " + text
}

// level is a level for people: in the unit that they asked for, else as it was
// read.
func (p *page) level(s *survey.Survey, v float64) string {
	if p.Unit != photometry.NoUnit && s.Quantity == photometry.Illuminance {
		return photometry.FormatLevel(photometry.Level{Value: v, Quantity: s.Quantity}, p.Unit)
	}
	return s.Shown(v)
}

// reasonWords are the slips in words.
var reasonWords = map[string]string{
	survey.LuxFootcandleSwap: "lux and footcandles swapped?", survey.DecimalSlip: "a decimal slipped?", survey.DigitsTransposed: "digits transposed?",
	survey.OwnShadow: "your own shadow?", survey.SnakeAsRows: "a snake walk typed as rows?",
}

func suspectText(x survey.Suspect) string {
	var parts []string
	for i, reason := range x.Reasons {
		parts = append(parts, reasonWords[reason]+" "+x.Suggestions[i])
	}
	line := ""
	if x.Line > 0 {
		line = fmt.Sprintf(" (line %d)", x.Line)
	}
	return x.Label + line + " " + x.Found + ": " + strings.Join(parts, "; ")
}

func (p *page) colorLine(r *survey.Result) string {
	c := r.Color
	if c == nil || c.Points == 0 {
		return ""
	}
	text := ""
	if c.Reference.CCT != nil {
		text = fmt.Sprintf("%.0f K", *c.Reference.CCT)
		if c.Reference.Duv != nil {
			text += ", Duv " + duv(*c.Reference.Duv)
		}
		if c.Reference.Label == "" {
			text += " in all"
		} else {
			text += " at " + c.Reference.Label
		}
		text += "; "
	}
	if c.MaxMiredShift != nil {
		text += fmt.Sprintf("off by up to %.0f mired (%s)", *c.MaxMiredShift, c.VerdictMired)
		if c.MaxDuvShift != nil {
			text += fmt.Sprintf(" and %.4f Duv (%s)", *c.MaxDuvShift, c.VerdictDuv)
		}
		text += ", "
	}
	text += fmt.Sprintf("%.1f steps", c.Steps)
	if c.Worst.Label != "" {
		text += " at " + c.Worst.Label
	}
	return text
}

// duv prints a signed Duv to four places, never minus nothing.
func duv(v float64) string { return fmt.Sprintf("%+.4f", math.Round(v*1e4)/1e4+0) }

func exposureText(r *survey.Result) string {
	e := r.Exposure
	if e == nil {
		return ""
	}
	if e.FNumber == nil {
		if e.EV100 == nil {
			return ""
		}
		return fmt.Sprintf("EV %.1f at ISO 100 for the mean; notes iso and shutter give the f-number", *e.EV100)
	}
	text := photometry.FormatFNumber(*e.FNumber)
	if e.ShutterS > 0 {
		return fmt.Sprintf("%s at ISO %.0f, %s for the mean (C = %s)", text, e.ISO, photometry.FormatShutter(e.ShutterS), trimmed(e.Constant))
	}
	return fmt.Sprintf("%s flash at ISO %.0f for the mean (C = %s)", text, e.ISO, trimmed(e.Constant))
}

func driftText(d *survey.Drift) string {
	if d == nil {
		return ""
	}
	text := fmt.Sprintf("%+.2f stop while reading, by %d readings of the reference", d.TotalStops, d.Readings)
	switch {
	case d.Corrected:
		return text + "; taken out"
	case d.Significant:
		return text
	}
	return text + "; no more than scatter"
}

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
