package answers

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"evenfall/falloff/plan"
	"evenfall/photometry"
	"evenfall/photometry/colorimetry"
	"evenfall/photometry/evenness"
	"evenfall/plots"
	"evenfall/plots/document"
)

// Plan shows a plan: what was asked and what to do first, then the predicted map,
// then figures, with every lamp and figure in full.
func Plan(r *plan.Result, w document.Words, full bool) *document.Document {
	p := &planPage{page: newPage(w, full), r: r}
	switch {
	case r.Score != nil:
		p.score()
	case r.Sweep != nil:
		p.sweep()
	case r.Surface != nil:
		p.surface()
	case r.Solution != nil:
		p.atMarks()
	}
	p.marks()
	p.Line("readings", known(p.r.Calibration, func(c plan.Calibration) string {
		return fmt.Sprintf("%s takes %s: it passes %.0f %%, and its lamp gives %.0f %% of its plan", c.Frame, photometry.FormatStops(c.LossStops), c.TransmissionPercent, c.LampPercent)
	}))
	p.lamps()
	p.notes()
	p.readAs(p.r.ReadAs, len(p.r.Lamps), "lamp")
	if p.full {
		p.everything()
	}
	return p.Document
}

// planPage is the lines of one plan.
type planPage struct {
	*page
	r *plan.Result
}

func (p *planPage) level(v float64) string {
	q := either(p.r.Unit == photometry.LuminousExposure.Unit(), photometry.LuminousExposure, photometry.Illuminance)
	return p.Level(photometry.Level{Value: v, Quantity: q})
}

// surface is the answer for a predicted surface, solved or not.
func (p *planPage) surface() {
	r := p.r.Surface
	decisive, where := decisive(r)
	verb := either(len(p.r.Solved) > 0, ", solved: ", ": ")
	within := p.r.Within != nil && *p.r.Within
	p.headline("PREDICTED", "", cmp.Or(r.Title, "Surface")+where+verb+headline(r, decisive)+"; "+either(within, "within tolerance", "out of tolerance"))
	p.solution()
	ofLevel, ofColor := causesByKind(r.Causes)
	advice, most := r.Advice, 1
	if len(p.r.Solved) > 0 {
		advice, most = nil, 0
	}
	if !p.full {
		ofLevel, ofColor, advice = ofLevel[:min(most, len(ofLevel))], nil, advice[:min(most, len(advice))]
	}
	p.Line("cause", texts(ofLevel, p.causeText)...)
	p.advice(advice)
	p.predicted()
	p.Line("brightest", p.extreme(r, decisive.Brightest))
	p.Line("darkest", p.extreme(r, decisive.Darkest))
	p.Line("color", append([]string{colorLine(r)}, texts(ofColor, p.causeText)...)...)
	if e := r.Exposure; p.full || e != nil && e.FNumber != nil {
		p.Line("exposure", exposureText(r))
	}
}

// solution is what to move and what it brings.
func (p *planPage) solution() {
	s := p.r.Solution
	if s == nil {
		return
	}
	if s.Starts > 0 {
		before := either(s.SpreadBeforeStops > 0, fmt.Sprintf("from %.2f ", s.SpreadBeforeStops), "")
		p.Line("brings", fmt.Sprintf("the spread %sto %.2f stop, the mean from %s to %s", before, s.SpreadStops, p.level(s.MeanBefore), p.level(s.Mean)))
	}
	if s.Wanted > 0 && s.OffStops != nil {
		text := p.level(s.Wanted) + " is reached"
		if !s.Reached() {
			missed := either(s.Starts > 0, "out of reach: "+p.level(s.Mean)+" is the nearest", "missed: the mean is "+p.level(s.Mean))
			text = fmt.Sprintf("%s is %s, %s", p.level(s.Wanted), missed, overUnder(*s.OffStops))
		}
		p.Line("level", text)
	}
	p.moves()
	p.fragile()
}

// atMarks is the answer for marks that a level was asked for at.
func (p *planPage) atMarks() {
	reached := true
	for _, m := range p.r.Marks {
		reached = reached && plan.AtLevel(m)
	}
	wanted := p.level(p.r.Solution.Wanted)
	has, misses := "every mark has "+wanted, wanted+" at the marks, as the lamps stand"
	if len(p.r.Marks) == 1 {
		has = p.r.Marks[0].Label + " has " + wanted
	}
	if len(p.r.Solved) > 0 {
		has, misses = has+", solved", wanted+" at the marks is out of reach in these ranges"
	}
	p.outcome(passed(reached), either(reached, has, misses))
	p.moves()
}

// moves lists what to move, a line a lamp.
func (p *planPage) moves() {
	var names []string
	changes := map[string][]string{}
	ends := 0
	for _, m := range p.r.Solved {
		if len(names) == 0 || names[len(names)-1] != m.Lamp {
			names = append(names, m.Lamp)
		}
		changes[m.Lamp] = append(changes[m.Lamp], moveText(p.Words, m))
		if m.AtEnd {
			ends++
		}
	}
	p.Line("move", texts(names, func(lamp string) string { return lamp + ": " + strings.Join(changes[lamp], ", ") })...)
	if ends > 0 {
		p.Line("", fmt.Sprintf("%d of %d stop%s at the end of the range: a wider one may do better.", ends, len(p.r.Solved), either(ends == 1, "s", "")))
	}
}

// fragile names the stand that has to be placed most carefully.
func (p *planPage) fragile() {
	if len(p.r.Sensitivity) > 0 {
		worst := slices.MaxFunc(p.r.Sensitivity, func(a, b plan.Sensitivity) int { return cmp.Compare(a.ChangeStops, b.ChangeStops) })
		p.Line("careful", fmt.Sprintf("%s %s %s makes the spread %.2f stop (%s), the most of all stands", worst.Lamp, p.say(worst.Off.Finding), worst.Direction, worst.SpreadStops, signed(worst.ChangeStops, 2)))
	}
}

// marks are one line each.
func (p *planPage) marks() {
	for _, m := range p.r.Marks {
		text := p.level(m.Level)
		if m.CCT != nil {
			text += ", " + colorimetry.CCT{Kelvin: *m.CCT, Duv: *m.Duv}.String()
		}
		if m.OffStops != nil && !plan.AtLevel(m) {
			text += fmt.Sprintf(", %s %s", overUnder(*m.OffStops), p.level(p.r.Solution.Wanted))
		}
		if e := m.Exposure; e != nil {
			text += fmt.Sprintf(", %s at ISO %.0f", LensStop(*e.FNumber, e.ShutterS > 0), e.ISO) + either(e.ShutterS > 0, " and "+photometry.FormatShutter(e.ShutterS), "")
		}
		p.Line("mark", fmt.Sprintf("%s at %s, %s: %s", m.Label, p.Place(m.X, m.Y), p.Length(m.Z), FilledIn("; ", text, sharesText(m.From, 3))))
	}
}

// sharesText lists the largest parts of the light.
func sharesText(shares []plan.Share, most int) string {
	var parts []string
	for _, s := range shares {
		if s.Percent >= 0.5 && len(parts) < most {
			parts = append(parts, fmt.Sprintf("%s %.0f %%", s.Lamp, s.Percent))
		}
	}
	return strings.Join(parts, ", ")
}

// lamps tells whose light it is.
func (p *planPage) lamps() {
	if p.r.Surface == nil || p.r.Score != nil {
		return
	}
	var shares []plan.Share
	for _, l := range p.r.Lamps {
		if l.SharePercent != nil {
			shares = append(shares, plan.Share{Lamp: l.Name, Percent: *l.SharePercent})
		}
	}
	p.Line("light", sharesText(shares, 8))
}

// notes are warnings and cautions.
func (p *planPage) notes() {
	p.findings("note", p.r.Warnings)
	if p.r.Surface != nil {
		for _, f := range p.r.Surface.Warnings {
			if !slices.ContainsFunc(p.r.Warnings, f.Same) {
				p.Line("note", p.say(f))
			}
		}
	}
	p.cautions(p.r.Cautions)
}

// predicted draws the predicted surface, or the errors of a plan that was held to
// readings.
func (p *planPage) predicted() {
	r, before, name := p.r.Surface, p.r.Before, "level"
	if before != nil {
		before, r, name = inState(before, "as on file"), inState(r, "solved"), "after"
		p.Add(p.mapOf("before", before, plots.Level, r))
	}
	if c := p.r.Score; c != nil {
		judged, err := evenness.Analyze(c.ErrorSurvey())
		if err != nil {
			return
		}
		if r != nil {
			p.Add(p.mapOf(name, r, plots.Level, before))
		}
		r, name, before = judged, "error", nil
	}
	if r == nil {
		return
	}
	picture := p.mapOf(name, r, plots.Level, before)
	if p.r.Sweep == nil {
		p.Gap()
		picture.Characters = p.characters(r)
	}
	p.Add(picture)
	p.Gap()
}

// everything is what --full adds: every lamp, every stand's sensitivity, and what was
// assumed.
func (p *planPage) everything() {
	p.Gap()
	rows := document.Rows("|flux|on axis|beam|output|share|at", p.r.Lamps, func(l plan.Lamp) []string {
		return []string{l.Name, Optional("%.0f lm", l.FluxLM), Optional("%.0f cd", l.IntensityCD), Optional("%.0f°", l.BeamDeg),
			fmt.Sprintf("%.0f %%", l.OutputPercent), Optional("%.0f %%", l.SharePercent), p.Coordinate(l.X) + ", " + p.Coordinate(l.Y) + ", " + p.Length(l.Z)}
	})
	p.Add(document.Table{Caption: "Lamps of the plan", Rows: rows, Text: []int{0}})
	if len(p.r.Sensitivity) > 0 {
		p.Gap()
		rows := document.Rows("off its place|by|spread|change|level|worst way", p.r.Sensitivity, func(s plan.Sensitivity) []string {
			return []string{s.Lamp, p.say(s.Off.Finding), fmt.Sprintf("%.2f stop", s.SpreadStops), signed(s.ChangeStops, 2), signed(s.LevelStops, 2) + " stop", s.Direction}
		})
		p.Add(document.Table{Caption: "Stands that are off their places", Rows: rows, Text: []int{0, 5}})
	}
	p.Gap()
	if s := p.r.Solution; s != nil && s.Starts > 0 {
		p.Line("search", fmt.Sprintf("%d starts (seed %d), %d of them agree within 0.02 stop, %d set-ups tried", s.Starts, s.Seed, s.Agreeing, s.Evaluations))
	}
	if p.r.Surface != nil && p.r.Surface.Sampling != nil {
		p.Line("places", fmt.Sprintf("%d, %s apart, %s or less advised (EN 12464-1)", p.r.Surface.Points, p.Length(p.r.Surface.Sampling.SpacingM), p.Length(p.r.Surface.Sampling.AdvisedSpacingM)))
	}
	p.remarks("assumed", p.r.Inferred)
	p.Line("read as", p.r.Reading...)
}

// inState is a result under a title that says which state it is of.
func inState(r *evenness.Result, state string) *evenness.Result {
	if r == nil {
		return nil
	}
	titled := *r
	titled.Title = cmp.Or(r.Title, r.Survey.Title, "Surface") + ", " + state
	return &titled
}
