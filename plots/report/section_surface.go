package report

import (
	"fmt"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/evenness"
	"evenfall/photometry/survey"
	"evenfall/photometry/uncertainty"
	"evenfall/plots"
)

// surfaceSection is each surface with its maps.
func (r *Report) surfaceSection(s *section) {
	for i := range r.Surfaces {
		x := &r.Surfaces[i]
		p := s.part(x.name())
		loss := 0.0
		if r.Exposure != nil {
			loss = r.Exposure.LossStops
		}
		p.facts(x.lines(r.options, loss))
		kinds := []plots.Kind{plots.Level}
		if c := x.Result.Color; c != nil && c.Points > 0 {
			if c.MaxMiredShift != nil {
				kinds = append(kinds, plots.Mired)
			}
			if c.MaxDuvShift != nil {
				kinds = append(kinds, plots.Duv)
			}
		}
		for _, kind := range kinds {
			picture, err := plots.Surface(x.Result, plots.SurfaceOptions{Kind: kind, Unit: x.Result.Survey.UnitFor(r.options.Unit), Feet: r.options.Feet})
			p.draw(picture, err, "")
		}
		if len(kinds) > 1 {
			picture, err := plots.Chromaticity(x.Result, plots.ChromaticityOptions{Feet: r.options.Feet})
			p.draw(picture, err, "")
		}
	}
}

// headline is the spread against the tolerance with what is known of it.
func (s *Surface) headline(o Options) string {
	r, e := s.Result, s.decisive()
	where := ""
	if r.Area != nil {
		where = "in shot "
	}
	if e.Min <= 0 {
		return where + "part of it gets no light at all"
	}
	text := fmt.Sprintf("%sspread %.2f stop, %.2f allowed", where, e.SpreadStops, r.Limits.Stops)
	interval := e.SpreadInterval
	if r.Limits.EachSide && e.AboveRefStops != nil {
		text = fmt.Sprintf("%s%s and %s stop about %s, ±%.2f allowed", where, signed(*e.AboveRefStops, 2), signed(-*e.BelowRefStops, 2), s.zero(), r.Limits.Stops)
		interval = e.DeviationInterval
	} else if r.Verdict.Evenness == uncertainty.Pass && r.Limits.GoodStops != nil && interval != nil && interval[1] <= *r.Limits.GoodStops {
		text += ", good"
	}
	if interval != nil {
		text += fmt.Sprintf(" (truly %.2f to %.2f)", interval[0], interval[1])
	}
	return text + s.colorHeadline()
}

// colorHeadline adds color where it decides.
func (s *Surface) colorHeadline() string {
	r := s.Result
	c := r.Color
	if c == nil || r.Verdict.Color == "" || r.Verdict.Color == uncertainty.Pass || c.MaxMiredShift == nil {
		return ""
	}
	var parts []string
	if c.VerdictMired != uncertainty.Pass {
		parts = append(parts, fmt.Sprintf("%.0f mired, %.0f allowed", *c.MaxMiredShift, r.Limits.Mired))
	}
	if c.VerdictDuv != "" && c.VerdictDuv != uncertainty.Pass {
		parts = append(parts, fmt.Sprintf("%.4f Duv, %g allowed", *c.MaxDuvShift, r.Limits.Duv))
	}
	verb := "; color off by "
	if r.Verdict.Color == uncertainty.Unsure {
		verb = "; color unsettled at "
	}
	return verb + and(parts)
}

// zero is what differences count from.
func (s *Surface) zero() string {
	if label := s.Result.Reference.Label; label != "" {
		return label
	}
	return "the mean"
}

// lines are the result in words; loss is what filters take, in stops.
func (s *Surface) lines(o Options, loss float64) (f facts) {
	r, e := s.Result, s.decisive()
	f.add("Verdict", verdictWords[r.Verdict.Overall]+": "+s.headline(o))
	if w := r.Without; w != nil && w.Verdict != "" {
		f.add("Without", fmt.Sprintf("%.2f stop without the doubtful reading%s (%s)", w.SpreadStops, plural(len(r.Suspects)), w.Verdict))
	}
	f.add("Surface", s.size(o))
	f.add("Mean", s.level(e.Mean, o))
	f.add("Brightest", s.extreme(e.Brightest, o))
	f.add("Darkest", s.extreme(e.Darkest, o))
	var doubtful []string
	for _, x := range r.Suspects {
		doubtful = append(doubtful, suspectText(x))
	}
	f.add("Doubtful", strings.Join(doubtful, " "))
	var causes []string
	for _, c := range r.Causes {
		causes = append(causes, c.Text)
	}
	f.add("Cause", strings.Join(causes, " "))
	f.findings("Do", r.Advice)
	f.add("Color", s.color())
	f.add("Exposure", s.exposure(loss))
	f.add("Drift", s.drift())
	f.findings("Note", r.Warnings)
	return f
}

// size tells how large the surface is, what of it is in shot and by what it is
// judged.
func (s *Surface) size(o Options) string {
	var parts []string
	if b := s.Result.Survey.Extent; b.Width() > 0 && b.Height() > 0 {
		parts = append(parts, o.bare(b.Width())+" × "+o.length(b.Height()))
	}
	if a := s.Result.Survey.Area; a != nil {
		parts = append(parts, fmt.Sprintf("in shot x %s to %s, y %s to %s", o.bare(a.X0), o.length(a.X1), o.bare(a.Y0), o.length(a.Y1)))
	}
	if s.Result.For != "" {
		parts = append(parts, "judged as "+s.Result.For)
	}
	if label := s.Result.Reference.Label; label != "" {
		parts = append(parts, "reference "+label)
	}
	parts = append(parts, fmt.Sprintf("%d readings at %d places", s.Result.Readings, s.Result.Points))
	return strings.Join(parts, "; ")
}

func (s *Surface) extreme(at evenness.Place, o Options) string {
	text := o.at(at.Label, at.X, at.Y) + ": " + s.level(at.Level, o)
	if at.Level > 0 && s.Result.Reference.Level > 0 {
		text += ", " + stops(photometry.Stops(at.Level, s.Result.Reference.Level)) + " to " + s.zero()
	}
	return text
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
	return x.Label + line + " " + x.Found + ": " + strings.Join(parts, "; ") + "."
}

func (s *Surface) color() string {
	c := s.Result.Color
	if c == nil || c.Points == 0 {
		return ""
	}
	text := ""
	if c.Reference.CCT != nil {
		text = fmt.Sprintf("%.0f K", *c.Reference.CCT)
		if c.Reference.Duv != nil {
			text += ", Duv " + signed(*c.Reference.Duv, 4)
		}
		if c.Reference.Label == "" {
			text += " in all; "
		} else {
			text += " at " + c.Reference.Label + "; "
		}
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

func (s *Surface) exposure(loss float64) string {
	e := s.Result.Exposure
	switch {
	case e == nil || e.FNumber == nil && e.EV100 == nil:
		return ""
	case e.FNumber == nil:
		return fmt.Sprintf("EV %.1f at ISO 100 for the mean; ISO and shutter in setup.csv give the f-number", *e.EV100)
	}
	text := fNumber(*e.FNumber)
	if e.ShutterS == 0 {
		text += " flash"
	}
	text = fmt.Sprintf("%s at %s for the mean (C = %s)", text, told(e.ISO, e.ShutterS), plain(e.Constant))
	if loss > 0 {
		text += ", before filters"
	}
	return text
}

func (s *Surface) drift() string {
	d := s.Result.Drift
	if d == nil {
		return ""
	}
	text := fmt.Sprintf("%s while reading, by %d readings of the reference", stops(d.TotalStops), d.Readings)
	switch {
	case d.Corrected:
		return text + "; taken out"
	case d.Significant:
		return text
	}
	return text + "; no more than scatter"
}

// readingSection is every reading as it was taken.
func (r *Report) readingSection(s *section) {
	r.markReadings(s)
	for i := range r.Surfaces {
		x := &r.Surfaces[i]
		r.surfaceReadings(s, x)
		if x.Before != nil && x.Before.read != nil {
			r.surfaceReadings(s, x.Before.read)
		}
	}
	for i := range r.Distances {
		r.seriesReadings(s, &r.Distances[i])
	}
}

// mostRows is how many places of a survey a page lists. JSON has them all.
const mostRows = 5000

func (r *Report) surfaceReadings(s *section, x *Surface) {
	p := s.part(x.name())
	unit := "m"
	if r.options.Feet {
		unit = "ft"
	}
	header := []string{"Place", "x (" + unit + ")", "y (" + unit + ")", "Level", "Stops to " + x.zero(), "CCT (K)", "Duv", "Time", "Readings"}
	right := []bool{false, true, true, true, true, true, true, true, true}
	points := &grid{Caption: "Places of " + x.name() + " (" + strings.Join(x.Files, ", ") + ")", Header: header, Right: right}
	again := &grid{Caption: "Readings at the same place again, " + x.name(), Header: []string{"Place", "Level", "Time"}, Right: []bool{false, true, true}}
	for _, got := range x.Readings {
		if got.Again {
			again.Rows = append(again.Rows, []cell{one(got.Label), one(x.level(got.Level, r.options)), one(got.Time)})
			continue
		}
		times, off := "", ""
		if got.Readings > 1 {
			times = fmt.Sprint(got.Readings)
		}
		if got.Level > 0 && x.Result.Reference.Level > 0 {
			off = signed(photometry.Stops(got.Level, x.Result.Reference.Level), 2)
		}
		points.Rows = append(points.Rows, []cell{one(got.Label), one(r.options.bare(got.X)), one(r.options.bare(got.Y)), one(x.level(got.Level, r.options)), one(off),
			one(optional(got.CCT, "%.0f")), one(duvText(got.Duv)), one(got.Time), one(times)})
	}
	if n := len(points.Rows); n > mostRows {
		p.text("%d places were read; the first %d are listed here, and all of them stand in %s.", n, mostRows, and(x.Files))
		points.Rows = points.Rows[:mostRows]
	}
	p.table(points.drop())
	p.table(again.drop())
	alone := &grid{Caption: "Each lamp alone, " + x.name(), Header: []string{"Lamp", "Place", "Level", "CCT (K)", "Duv"}, Right: []bool{false, false, true, true, true}}
	for _, l := range x.Alone {
		place := l.Label
		if place == "" {
			place = r.options.at("", l.X, l.Y)
		}
		alone.Rows = append(alone.Rows, []cell{one(l.Lamp), one(place), one(x.level(l.Level, r.options)), one(optional(l.CCT, "%.0f")), one(duvText(l.Duv))})
	}
	p.table(alone.drop())
}

func duvText(v *float64) string {
	if v == nil {
		return ""
	}
	return signed(*v, 4)
}
