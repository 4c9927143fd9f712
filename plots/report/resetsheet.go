package report

import (
	"cmp"
	_ "embed"
	"fmt"
	"html/template"
	"io"
	"slices"
	"strings"

	"evenfall/falloff/plan"
	"evenfall/photometry"
	"evenfall/photometry/dimmer"
	"evenfall/photometry/evenness"
	"evenfall/photometry/ratio"
	"evenfall/photometry/schema"
	"evenfall/photometry/setup"
	"evenfall/photometry/survey"
	"evenfall/photometry/uncertainty"
	"evenfall/plots"
	"evenfall/plots/answers"
	"evenfall/plots/document"
)

//go:embed resetsheet.gohtml
var resetText string

//go:embed resetsheet.css
var resetStyle string

var resetTemplate = template.Must(template.New("sheet").Funcs(template.FuncMap{"num": document.Unbroken}).Parse(resetText))

// SheetFormats are the formats of the reset sheet.
var SheetFormats = []string{"html", "svg", "pdf"}

// ResetSheet writes one page from which the lamps are put back: HTML that prints on one
// sheet of A4 or Letter with up to six lamps and reads on a phone, or SVG or PDF, A4, or
// Letter where lengths are in feet. It returns the texts of a PDF with letters that are
// drawn as empty squares, since its typeface lacks them.
func (r *Report) ResetSheet(to io.Writer, w document.Words, format string) (undrawable []string, err error) {
	s := r.resetSheet(w)
	if format != "html" {
		return s.write(to, format, w.Feet)
	}
	s.Alone = true
	text, err := s.markup()
	if err != nil {
		return nil, err
	}
	if _, err := io.WriteString(to, photometry.Visible(text)); err != nil {
		return nil, err
	}
	return nil, r.writeInputs(to)
}

// markup is the sheet as HTML: a page where it is alone, else the first part of one, with
// links to what it rests on.
func (s *sheet) markup() (string, error) {
	for _, p := range []*panel{s.Level, s.Difference, s.Marks} {
		if p != nil {
			p.Link = !s.Alone && p.Evidence != ""
		}
	}
	var text strings.Builder
	err := resetTemplate.Execute(&text, s)
	return text.String(), err
}

// sheet is the reset sheet as its template shows it.
type sheet struct {
	Alone       bool // a page of its own
	Style       template.CSS
	Title, Of   string
	Unit        string // of lengths
	Headline    document.Headline
	Checks      []check
	Exposure    string
	Exposed     []string
	Steps       []sheetStep
	Why         string
	Level       *panel
	Difference  *panel
	Plan, Marks *panel
	Left        bool // the difference is in the column of the plan
	Lamps       []sheetLamp
	NoScrims    bool     // in any lamp, as the table says
	Under       []string // lines under the table of lamps
	Missing     []string
	Contradicts []string
	Caution     string
	Foot        string
}

// Many reports whether the lamps have a page of their own in print.
func (s *sheet) Many() bool { return len(s.Lamps) > 6 }

// check is one thing that was judged.
type check struct{ Sign, Class, Text string }

// sheetStep is a step with what proves it.
type sheetStep struct{ Number, Text, Check, After, Interval string }

// panel is a picture with its title and what it is in, its legend below it or, of a
// small one, beside it. Evidence is the section of the report that has more of it.
type panel struct {
	Title, Note, Evidence string
	Picture               *plots.Picture // nil where there is none
	SVG                   template.HTML
	Legend                []string
	Link                  bool // that section is on the same page
}

// Beside reports whether the legend has room beside the picture.
func (p *panel) Beside() bool { return p.Picture != nil && p.Picture.Width < sheetColumn }

// sheetColumn is how wide a picture with a column to itself is in pixels: 92 mm in
// print, where type of 15 pixels is 8.2 pt, and 371 px on a phone, where it is 11.6 px.
const sheetColumn = 480

// sheetLamp is a lamp's row.
type sheetLamp struct {
	answers.ResetLamp
	Reads []answers.Note
	Today string
}

// signs are what verdicts are shown as beside their words.
var signs = map[string]check{uncertainty.Pass: {"✓", "pass", ""}, uncertainty.Fail: {"✗", "fail", ""}, uncertainty.Unsure: {"?", "unsure", ""}, "": {"→", "", ""}}

// resetSheet gathers the sheet from the report.
func (r *Report) resetSheet(w document.Words) *sheet {
	s := &sheet{Style: template.CSS(resetStyle), Title: r.title(), Unit: w.LengthUnit()}
	subject := r.subject()
	s.judged(r, w)
	s.exposure(r, w)
	s.todo(r, w)
	if s.Level = (&panel{Title: "Level", Note: "no survey"}); subject != nil {
		s.Of = subject.name()
		if strings.Contains(s.Title, subject.Title) { // the title is there already
			s.Of = subject.Date
		}
		s.pictures(subject, w)
	}
	s.views(r, w)
	s.marks(r, w)
	s.lamps(r, w)
	s.lastLines(r, w)
	s.balance()
	return s
}

// balance puts the day's difference into the column that is shorter.
func (s *sheet) balance() {
	const line, step = 17, 60 // of text, in pixels of a picture
	left := line*len(s.Checks) + step*len(s.Steps) + s.Plan.high()
	right := line*len(s.Exposed) + s.Level.high() + s.Marks.high()
	s.Left = left < right
}

// high is the height of a panel's picture in pixels.
func (p *panel) high() int {
	if p != nil && p.Picture != nil {
		return p.Picture.Height
	}
	return 0
}

// subject is the surface that the sheet is of: that of the list, else the first.
func (r *Report) subject() *Surface {
	if len(r.Surfaces) == 0 {
		return nil
	}
	return &r.Surfaces[max(0, slices.IndexFunc(r.Surfaces, func(s Surface) bool { return s.Title == r.ToDoOf }))]
}

// judged is the worst in one line, and a line each for the rest.
func (s *sheet) judged(r *Report, w document.Words) {
	var all []answers.Judgement
	if subject := r.subject(); subject != nil {
		all = answers.SurfaceChecks(subject.Result, r.afterList())
		if b := subject.Before; b != nil && b.Match != nil {
			all = append(all, answers.MatchChecks(b.Match, w)...)
		}
	}
	if r.Ratios != nil {
		all = append(all, answers.RatioChecks(r.Ratios.Result)...)
	}
	if r.Screen != nil {
		if c, ok := answers.ScreenCheck(r.Screen); ok {
			all = append(all, c)
		}
	}
	// What is not well in the whole, and is not of this surface, has a line as well.
	for _, p := range r.Verdict.Parts {
		elsewhere := p.on != nil && p.on != r.subject()
		if p.Verdict != uncertainty.Pass && p.What != partFiles && (elsewhere || !p.light) {
			text := answers.Sentence(w, p.Text.Finding)
			if !strings.Contains(text, p.What+" ") { // as the plan's has
				text = p.line(w)
			}
			all = append(all, answers.Judgement{Verdict: p.Verdict, Text: answers.Capital(text)})
		}
	}
	if n := len(r.Problems); n > 0 {
		all = append(all, answers.Judgement{Verdict: uncertainty.Unsure, Text: fmt.Sprintf("%d file%s not read", n, map[bool]string{true: "s"}[n > 1])})
	}
	if len(all) == 0 {
		s.Headline = document.Headline{Word: "NOT YET", Text: "nothing was judged"}
		return
	}
	worst := slices.MaxFunc(all, func(a, b answers.Judgement) int { return cmp.Compare(severity[a.Verdict], severity[b.Verdict]) }) // the first of them
	s.Headline = answers.Verdict(r.Verdict.Overall, worst.Text)
	at := slices.Index(all, worst)
	for _, c := range slices.Delete(all, at, at+1) {
		s.Checks = append(s.Checks, check{signs[c.Verdict].Sign, signs[c.Verdict].Class, c.Text})
	}
}

// exposure is what the camera is set to, and how each part sits to it.
func (s *sheet) exposure(r *Report, w document.Words) {
	e := r.Exposure
	if e == nil || len(e.Areas) == 0 {
		return
	}
	first, areas := e.Areas[0], e.Areas
	if r.Ratios != nil {
		shown, _ := r.Ratios.Result.Decisive(sheetMarks)
		areas = e.areasOf(shown.Marks)
	}
	s.Exposure = "Expose at " + first.stop() + ", " + told(e.ISO, e.ShutterS)
	if e.LossStops > 0 {
		s.Exposure += ", filters " + photometry.FormatStops(e.LossStops)
	}
	for i, a := range areas {
		text := a.Name + " " + a.level(w)
		if a.Computed { // below the same as read
			text = afterListed + " " + a.level(w)
		}
		if i > 0 {
			text += ": " + inStops(a.fromFirst) + " (" + a.stop() + ")"
		} else {
			text = "for " + text
		}
		s.Exposed = append(s.Exposed, text)
	}
	if left := len(e.Areas) - len(areas); left > 0 {
		s.Exposed = append(s.Exposed, r.Ratios.more(left))
	}
	if r.Setup != nil {
		if set := r.Setup.cameraSet(); set != "" {
			if r.Setup.Camera != "" && !repeats("camera", r.Setup.Camera) {
				set = "camera " + set
			}
			s.Exposed = append(s.Exposed, set)
		}
	}
}

// todo is the list with a check and a spread each.
func (s *sheet) todo(r *Report, w document.Words) {
	if r.ToDo == nil {
		return
	}
	switch why := r.ToDo.Why; {
	case r.ToDo.Short != nil:
		s.Why = answers.Sentence(w, *r.ToDo.Short)
	case why.Key == "steps.not_approved": // paper takes no notes and flags
		s.Why = answers.Sentence(w, photometry.Found("report.sheet_not_approved", "day", why.Values["day"]))
	case r.ToDo.IsChoice():
		s.Why = answers.Sentence(w, why)
	}
	s.Why = answers.Capital(s.Why)
	for i, step := range r.ToDo.Steps {
		row := sheetStep{Number: fmt.Sprint(i + 1), Text: answers.Sentence(w, step.Finding)}
		if c := step.Check; c != nil {
			row.Check = r.subject().level(c.From, w) + " to " + r.subject().level(c.To, w) + " will do"
			row.Text = answers.FilledIn(" ", row.Text, r.gelMissing(c.Lamp, w))
		}
		if a := step.After; a != nil {
			row.After = fmt.Sprintf("≈%.2f", a.SpreadStops)
			if a.IntervalStops != nil {
				row.Interval = fmt.Sprintf("%.2f–%.2f", a.IntervalStops[0], a.IntervalStops[1])
			}
		}
		s.Steps = append(s.Steps, row)
	}
}

// gelMissing asks whether a lamp's gel hangs, where its color has changed since the day
// before and a gel would take that back; empty where not.
func (r *Report) gelMissing(lamp string, w document.Words) string {
	b := r.subject().Before
	i := slices.IndexFunc(r.lampRows, func(l setup.Lamp) bool { return strings.EqualFold(l.Name, lamp) && l.Gel != "" })
	if i < 0 || b == nil || b.Match == nil {
		return ""
	}
	if shift := b.Match.Lamps[r.lampRows[i].Name].Color; shift != nil && shift.Gel != "" {
		return answers.Sentence(w, photometry.Found("report.sheet_gel", "duv", photometry.Duv(shift.DuvShift), "gel", r.lampRows[i].Gel))
	}
	return ""
}

// pictures are the maps of the surface and of what changed.
func (s *sheet) pictures(subject *Surface, w document.Words) {
	state := ", as read"
	if d := subject.Result.Drift; d != nil && d.Corrected {
		state += ", drift taken out"
	}
	s.Level = mapPanel("Level, "+subject.day()+state, "", "surfaces", subject.Result, w, sheetColumn)
	if p := s.Level.Picture; p != nil {
		s.Level.Note = p.Aside
		s.Level.Legend = []string{strings.Join(append(p.Legend, "solid over, hatched under", "heavy line: limit"), " · ")}
	}
	b := subject.Before
	if b == nil || b.Match == nil || b.Match.Difference() == nil {
		return
	}
	s.Difference = mapPanel(subject.day()+" minus "+b.From, "stops", "compared-with-the-day-before", b.Match.Difference(), w, 0.66*sheetColumn)
	if s.Difference.Picture != nil {
		s.Difference.Legend = append(s.Difference.Legend, inStops(b.Match.OffsetStops)+" on the whole")
	}
}

// mapPanel is the map of a surface in a panel.
func mapPanel(title, note, evidence string, r *evenness.Result, w document.Words, wide float64) *panel {
	return drawn(title, note, evidence, func() (*plots.Picture, error) {
		return plots.Surface(r, plots.SurfaceOptions{Unit: r.Survey.UnitFor(w.Unit), Feet: w.Feet, Narrow: true, Sheet: wide})
	})
}

// drawn is a picture in a panel with its legend, or why there is none.
func drawn(title, note, evidence string, draw func() (*plots.Picture, error)) *panel {
	var svg strings.Builder
	p, err := draw()
	if err == nil {
		p.ID = "sheet-" + evidence
		err = p.Write(&svg, "svg")
	}
	if err != nil {
		return &panel{Title: title, Note: "no picture: " + strings.TrimPrefix(err.Error(), "plots: ")}
	}
	return &panel{Title: title, Note: note, Evidence: evidence, Picture: p, SVG: template.HTML(svg.String()), Legend: p.Legend}
}

// views are the plan and the elevation.
func (s *sheet) views(r *Report, w document.Words) {
	if r.plan == nil {
		return
	}
	views := r.plan.views
	views.Feet, views.Narrow = w.Feet, true
	s.Plan = drawn("", "", "plan-view-and-elevation", func() (*plots.Picture, error) { return plots.Set(r.plan.scene, views), nil })
}

// sheetMarks is how many marks have room on the sheet.
const sheetMarks = 9

// some are those marks of which something is to be said, as many as have room on the
// sheet, and how many more there are.
func (r *Ratios) some(said func(ratio.Mark) bool) (shown []ratio.Mark, left int) {
	of := *r.Result
	of.Marks = slices.DeleteFunc(slices.Clone(of.Marks), func(m ratio.Mark) bool { return !said(m) })
	listed, left := of.Decisive(sheetMarks)
	return listed.Marks, left
}

// more says where other marks are found.
func (r *Ratios) more(marks int) string {
	return fmt.Sprintf("%d more mark%s in %s", marks, map[bool]string{true: "s"}[marks > 1], r.File)
}

// marks are the lights at each mark in stops from its key, as bars.
func (s *sheet) marks(r *Report, w document.Words) {
	if r.Ratios == nil {
		return
	}
	opt := plots.RatioOptions{Narrow: true, Key: func(m ratio.Mark) string {
		if m.Key == nil {
			return ""
		}
		quantity, _ := photometry.QuantityOf(m.Unit)
		return r.Ratios.level(*m.Key, quantity, w)
	}}
	shown, left := r.Ratios.Result.Decisive(sheetMarks)
	title, said := "Marks", "stops from key"
	if shown.Date != "" {
		said = "read " + shown.Date + "; " + said
	}
	if left > 0 {
		title = fmt.Sprintf("%d decisive of %d marks", len(shown.Marks), len(shown.Marks)+left)
		said += "; all are in " + r.Ratios.File
	}
	s.Marks = drawn(title, said, "ratios", func() (*plots.Picture, error) { return plots.Ratio(shown, opt), nil })
}

// lamps are a row each, with what each reads alone.
func (s *sheet) lamps(r *Report, w document.Words) {
	set := answers.Resetter{Words: w, Gels: slices.ContainsFunc(r.lampRows, func(l setup.Lamp) bool { return l.Gel != "" })}
	if r.plan != nil {
		set.Surface, set.FloorY = r.plan.views.Surface, r.plan.views.FloorY
	}
	number, scrims, said := 0, false, false
	var notes, dials []string
	for i, row := range r.lampRows {
		var placed *plan.Lamp
		if r.Plan != nil && i < len(r.Plan.Lamps) {
			placed = &r.Plan.Lamps[i]
		}
		if row.Kind == setup.Flag || row.Kind == setup.Net {
			s.Under = append(s.Under, flagText(set.Lamp(0, row, placed), row.Note))
			continue
		}
		number++
		if !repeats(row.Note, "diffusion "+row.Diffusion) {
			notes = append(notes, fmt.Sprintf("%d %s", number, row.Note))
		}
		if text := r.dial(row, w); text != "" {
			dials = append(dials, fmt.Sprintf("%d: %s", number, text))
		}
		scrims = scrims || row.Scrims != "" && !strings.EqualFold(row.Scrims, "none")
		said = said || row.Scrims != ""
		s.Lamps = append(s.Lamps, sheetLamp{ResetLamp: set.Lamp(number, row, placed), Reads: r.reads(row, w), Today: r.foundToday(row.Name, w)})
	}
	s.NoScrims = said && !scrims
	checks, places := r.checkPlaces(set)
	marks, stand := r.markPlaces(set)
	for _, of := range []struct {
		name  string
		texts []string
	}{{"Dials, a stop less each", dials}, {"Notes", notes}, {marks, stand}, {checks, places}} {
		if len(of.texts) > 0 {
			s.Under = append(s.Under, of.name+": "+strings.Join(of.texts, "; ")+".")
		}
	}
	if len(s.Lamps) > 0 && set.Surface != nil {
		s.Under = append(s.Under, answers.Sentence(w, photometry.Found("report.sheet_measured")))
	}
}

// markPlaces are where marks stand before the surface, as far as that is on file, with
// what they have in common in the head.
func (r *Report) markPlaces(set answers.Resetter) (head string, places []string) {
	if r.Ratios == nil || r.marks == nil {
		return "", nil
	}
	var sides, rests []string
	marks, left := r.Ratios.some(func(m ratio.Mark) bool { return r.marks.Marks[photometry.NameKey(m.Label)].ToScreenM > 0 })
	for _, m := range marks {
		at := r.marks.Marks[photometry.NameKey(m.Label)]
		side, rest := "", set.Coordinate(at.ToScreenM)+" out"
		if at.X != nil {
			side = set.Side(*at.X)
		}
		if at.Y != nil {
			rest += " · " + set.High(*at.Y)
		}
		sides, rests = append(sides, answers.FilledIn(" ", m.Label, side)), append(rests, rest)
	}
	head, places = "Marks", sides
	if len(slices.Compact(slices.Clone(rests))) == 1 {
		head += ", " + rests[0]
	} else {
		for i := range places {
			places[i] += " · " + rests[i]
		}
	}
	if left > 0 {
		places = append(places, r.Ratios.more(left))
	}
	return head, places
}

// repeats reports whether a note says nothing that another text does not.
func repeats(note, text string) bool {
	said, words := schema.Words(text), schema.Words(note)
	return note == "" || len(words) > 0 && !slices.ContainsFunc(words, func(word string) bool { return !slices.Contains(said, word) })
}

// checkPlaces are where lamps were read alone, as a person measures it, or what the meter
// faced at a mark, with the receptor: all in the head where it is one.
func (r *Report) checkPlaces(set answers.Resetter) (head string, places []string) {
	var receptors []string
	for _, row := range r.lampRows {
		place, receptor := "", "receptor not on file"
		if best, of := r.subject().alone(row.Name); best != nil {
			read := of.Result.Survey
			if place = best.Label; place != "" && read.Placing == survey.InMeters {
				place += " " + set.Side(best.X) + " · " + set.High(best.Y)
			}
			if meter := read.Settings; meter.ReceptorNoted {
				receptor = meter.Meter.Receptor.String() + " receptor"
			}
		} else if m := r.atMark(row.Name); m != nil {
			if m.Aim != "" {
				place = joined(m.Mark, m.Role) + " toward " + m.Aim
			}
			if !m.Assumed {
				receptor = m.Receptor + " receptor"
			}
		}
		if place != "" && !slices.Contains(places, place) {
			places, receptors = append(places, place), append(receptors, receptor)
		}
	}
	if len(slices.Compact(slices.Clone(receptors))) == 1 {
		return "Checks, " + receptors[0], places
	}
	for i := range places {
		places[i] += ", " + receptors[i]
	}
	return "Checks", places
}

// flagText is a flag in one line.
func flagText(l answers.ResetLamp, note string) string {
	parts := []string{}
	for _, n := range slices.Concat(l.Stands, l.Set) {
		parts = append(parts, n.Text)
	}
	if turned := l.Points[0]; !turned.Missing {
		parts = append(parts, "turned "+strings.TrimSuffix(turned.Text, ", 0°"))
	}
	if note != "" {
		parts = append(parts, note)
	}
	return l.Name + ": " + strings.TrimSuffix(strings.Join(parts, " · "), ".") + "."
}

// alone is the reading of a lamp alone on a surface where it is brightest, today or the
// day before; nil where there is none.
func (of *Surface) alone(name string) (*LampReading, *Surface) {
	if of == nil {
		return nil, nil
	}
	var best *LampReading
	if len(of.Alone) == 0 && of.Before != nil {
		of = of.Before.read
	}
	for i := range of.Alone {
		if a := &of.Alone[i]; strings.EqualFold(a.Lamp, name) && (best == nil || a.Level > best.Level) {
			best = a
		}
	}
	return best, of
}

// reads is what a lamp alone read.
func (r *Report) reads(row setup.Lamp, w document.Words) []answers.Note {
	if level, show, at := r.aloneLevel(row.Name, w); at != "" {
		out := []answers.Note{{Text: show(level) + " at " + at, Strong: true}}
		if best, _ := r.subject().alone(row.Name); best != nil && best.CCT != nil {
			out = append(out, answers.Note{Text: answers.FilledIn(" ", fmt.Sprintf("%.0f K", *best.CCT), answers.OptionalSigned(best.Duv, 4))})
		}
		return out
	}
	if before := r.litBy(row.Name); before != "" {
		return []answers.Note{{Text: "read with " + before}}
	}
	return []answers.Note{{Text: "not read alone", Missing: true}}
}

// aloneLevel is what a lamp alone reads, how such levels are written, and where: on the
// surface where it is brightest, else at the first mark; nowhere where it was not read.
func (r *Report) aloneLevel(name string, w document.Words) (level float64, show func(float64) string, at string) {
	if best, of := r.subject().alone(name); best != nil {
		return best.Level, func(v float64) string { return of.level(v, w) }, cmp.Or(best.Label, w.Place(best.X, best.Y))
	}
	if m := r.atMark(name); m != nil {
		return m.Level, func(v float64) string { return r.Ratios.level(v, m.quantity, w) }, joined(m.Mark, m.Role)
	}
	return 0, nil, ""
}

// litBy is the frame or bounce that a lamp lights, "" where there is none.
func (r *Report) litBy(name string) string {
	for _, other := range r.lampRows {
		if strings.EqualFold(other.Behind, name) {
			return other.Name
		}
	}
	return ""
}

// dial is how a lamp's own dimmer is set for less than at the setting on file, with the
// levels at the place where it is read alone or with what it lights; "" where that is not
// known.
func (r *Report) dial(row setup.Lamp, w document.Words) string {
	level, show, at := r.aloneLevel(row.Name, w)
	if at == "" {
		level, show, at = r.aloneLevel(r.litBy(row.Name), w)
	}
	if at == "" || !row.Dimmer.Set {
		return ""
	}
	return dialed(r.Dimmers.Lamp(row.Name), row.Dimmer.At, func(share float64) string { return show(level * share) })
}

// dialed is how a lamp's dimmer is set for a stop less light than at a setting, for two and
// for three, with their levels, as far as it was read and without flicker there; show
// writes the level that is a share of the one at that setting. It is "" where nothing was
// read that far.
func dialed(l *dimmer.Lamp, from float64, show func(share float64) string) string {
	var parts []string
	for stops := -1.0; stops >= -3; stops-- {
		s := l.Change(from, stops)
		if s == nil || s.Flickers {
			break
		}
		parts = append(parts, fmt.Sprintf("%.0f %% ", s.Percent)+show(photometry.Factor(stops)))
	}
	if len(parts) == 0 {
		return ""
	}
	return answers.FilledIn(", ", strings.Join(parts, ", "), answers.Optional("flicker at %.0f %%", l.FlickerAt))
}

// foundToday is what a lamp gives today at the place of its reading alone: as the list
// has it, else by its share of the day before.
func (r *Report) foundToday(name string, w document.Words) string {
	best, of := r.subject().alone(name)
	subject := r.subject()
	if best == nil || of == subject || subject.Before == nil || subject.Before.Match == nil {
		return ""
	}
	l, ok := subject.Before.Match.Lamps[name]
	if !ok || l.Percent == nil || !l.Changed {
		return ""
	}
	today := best.Level * *l.Percent / 100
	if r.ToDo != nil {
		for _, step := range r.ToDo.Steps {
			if c := step.Check; c != nil && c.Today != nil && strings.EqualFold(c.Lamp, name) {
				today = *c.Today
			}
		}
	}
	return "≈" + subject.level(today, w)
}

// lastLines are what is not on file, what contradicts itself, and the cautions.
func (s *sheet) lastLines(r *Report, w document.Words) {
	missing := func(there bool, what string) {
		if !there {
			s.Missing = append(s.Missing, what)
		}
	}
	missing(len(r.Surfaces) > 0, "readings of a surface")
	missing(len(r.lampRows) > 0, "lamps")
	missing(r.plan == nil || r.plan.views.FloorY != nil, "where the floor is (floor y)")
	missing(r.Ratios != nil, "lights at marks")
	missing(r.Ratios == nil || r.plan != nil && len(r.plan.views.Marks) > 0 || r.marks != nil && len(r.marks.Marks) > 0, "where the marks stand")
	missing(r.Exposure != nil, "how the camera is set")
	if r.Ratios != nil {
		marks, left := r.Ratios.some(func(m ratio.Mark) bool { return len(m.Warnings) > 0 })
		for _, m := range marks {
			for _, f := range m.Warnings {
				first, _, _ := strings.Cut(answers.Sentence(w, f), ". ") // the rest is in the report
				s.Contradicts = append(s.Contradicts, answers.FilledIn(": ", m.Label, strings.TrimSuffix(first, ".")+"."))
			}
		}
		if left > 0 {
			s.Contradicts = append(s.Contradicts, r.Ratios.more(left)+".")
		}
	}
	for _, p := range r.Problems {
		s.Contradicts = append(s.Contradicts, p.File+": "+strings.TrimSuffix(strings.ReplaceAll(p.Text, "\n", "; "), ".")+".")
	}
	s.Caution = strings.Join(answers.Sentences(w, append([]photometry.Finding{photometry.Found("report.sheet_caution")}, r.overhead()...)), " ")
	var names []string
	for _, f := range r.Files {
		if setup.IsTable(f.Name) {
			names = append(names, strings.TrimSuffix(f.Name, ".csv")) // which most are
		}
	}
	var foot []string
	if r.Setup != nil { // what the title does not say
		foot = slices.DeleteFunc([]string{r.Setup.Date, r.Setup.Scene}, func(text string) bool { return strings.Contains(s.Title, text) })
	}
	var taken [2]string
	if of := r.subject(); of != nil {
		taken[0] = labeled("read ", answers.Taken(of.Result.Taken))
	}
	if r.Ratios != nil {
		taken[1] = labeled("read ", answers.Taken(r.Ratios.Result.Taken))
	}
	foot = append(foot, slices.Compact(taken[:])...)
	if len(names) > 0 {
		foot = append(foot, "tables: "+strings.Join(names, ", "))
	}
	s.Foot = answers.FilledIn(" · ", foot...)
}
