package report

import (
	"fmt"
	"slices"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/survey"
	"evenfall/plots"
	"evenfall/plots/answers"
	"evenfall/plots/document"
)

// exposed tells what the camera is set to, and what exposes each area.
func (p *paper) exposed() {
	p.dialsAndScreen()
	e := p.Exposure
	if e == nil {
		return
	}
	p.Line("camera", told(e.ISO, e.ShutterS))
	if e.LossStops > 0 {
		p.Line("filters", photometry.FormatStops(e.LossStops)+", counted in every stop here")
	}
	if e.SetFNumber != nil {
		p.Line("lens", p.Setup.TStop+", as the set-up says")
	}
	p.Line("from", strings.Join(e.From, "; "))
	rows := [][]string{{"area", "level", "stop", "light to the first", "against the lens"}}
	areas, constants := e.Areas, []string(nil)
	if p.Ratios != nil {
		listed, which := answers.ListedMarks(p.Ratios.Result, p.Ratios.File)
		areas = e.areasOf(listed.Marks)
		p.Line("listed", which)
	}
	for i, a := range areas {
		row := []string{a.Name, a.level(p.Words), a.stop(), "", ""}
		if i > 0 {
			row[3] = inStops(a.fromFirst)
		}
		if a.OverStops != nil {
			row[4] = inStops(*a.OverStops)
		}
		rows = append(rows, row)
		name := "C"
		if a.quantity == photometry.Luminance {
			name = "K"
		}
		if text := fmt.Sprintf("%s = %g", name, a.Constant); !slices.Contains(constants, text) {
			constants = append(constants, text)
		}
	}
	if len(constants) > 0 {
		p.Line("calibration", strings.Join(constants, " and ")+" (ISO 2720)")
	}
	p.table("What would expose each area as a mid gray", rows, 0)
}

// inStops is a difference in stops with its sign.
func inStops(v float64) string { return photometry.FormatSigned(v, 2) + " stop" }

// ratios compares the lights at each mark.
func (p *paper) ratios() {
	if p.Ratios == nil {
		return
	}
	p.Line("scene", p.Ratios.Result.Title)
	p.Line("read on", p.Ratios.Result.Date)
	w := p.Words
	w.Unit = p.Ratios.unitFor(w.Unit)
	p.advised(p.ToDoOf, answers.RatioPart(p.Ratios.Result, p.Ratios.File, w), "bars")
}

// surfaces is each surface with its maps.
func (p *paper) surfaces() {
	for i := range p.Surfaces {
		s := &p.Surfaces[i]
		p.part(s.name())
		d := answers.Surface(s.Result, p.Words, true)
		if p.Exposure != nil { // with what filters take, a section of its own
			d.Without("exposure")
		}
		p.Line("surface", s.size(p.Words))
		p.advised(s.Title, d, p.onFront(s, "level"))
	}
}

// onFront is a picture's name where that is of the first page's surface.
func (p *paper) onFront(s *Surface, name string) string {
	if s != p.subject() {
		return ""
	}
	return name
}

// size tells how large the surface is, what of it is in shot and by what it is
// judged.
func (s *Surface) size(w document.Words) string {
	read, whole, shot := s.Result.Survey, "", ""
	if b := read.Extent; b.Width() > 0 && b.Height() > 0 && read.Placing == survey.InMeters {
		whole = w.Bare(b.Width()) + " × " + w.Length(b.Height())
	}
	if a := read.Area; a != nil {
		shot = fmt.Sprintf("in shot x %s to %s, y %s to %s", w.Bare(a.X0), w.Length(a.X1), w.Bare(a.Y0), w.Length(a.Y1))
	}
	return answers.FilledIn("; ", whole, shot, labeled("judged as ", s.Result.For), labeled("reference ", s.Result.Reference.Label),
		fmt.Sprintf("%d readings at %d places", s.Result.ReadingCount, s.Result.Points))
}

// labeled is a text behind its label, empty where there is none.
func labeled(label, text string) string {
	if text == "" {
		return ""
	}
	return label + text
}

// distances is each series along a light with its curve.
func (p *paper) distances() {
	for i := range p.Distances {
		d := &p.Distances[i]
		p.part(d.title())
		p.add(answers.Distance(d.series, d.Result, p.Words, true))
	}
}

// meters is each check of a meter.
func (p *paper) meters() {
	for i := range p.Meters {
		m := &p.Meters[i]
		p.part(m.title())
		p.add(answers.Meter(m.series, m.Result, p.Words, true))
	}
}

// lampSheet is all that it takes to put the lamps back.
func (p *paper) lampSheet() {
	var floorY *float64
	if p.plan != nil {
		floorY = p.plan.views.FloorY
	}
	if len(p.lampRows) > 0 {
		p.add(answers.LampSheet(p.lampsFile, p.lampRows, p.Plan, floorY, p.Words))
	}
}

// planned draws where everything stands, and tells how well the plan explains the
// readings.
func (p *paper) planned() {
	if p.plan == nil {
		return
	}
	views := document.Drawn("set", func(narrow bool) (*plots.Picture, error) {
		views := p.plan.views
		views.Feet, views.Narrow = p.Feet, narrow
		return plots.Set(p.plan.scene, views), nil
	})
	views.OnFront = true
	p.Add(views)
	p.add(answers.Plan(p.Plan, p.Words, true))
}

// compared holds each surface against the day before.
func (p *paper) compared() {
	for i := range p.Surfaces {
		after := &p.Surfaces[i]
		c := after.Before
		if c == nil {
			continue
		}
		p.part(after.Title)
		if c.Match != nil {
			p.advised(after.Title, answers.Match(c.Match, p.Words, true), p.onFront(after, "level"))
		}
		e := after.Result.Decisive()
		p.Line("before", fmt.Sprintf("%s (%s): %s, spread %.2f stop, mean %s", c.From, strings.Join(c.Files, ", "), c.Verdict, c.SpreadStops, c.read.level(c.Mean, p.Words)))
		p.Line("now", fmt.Sprintf("%s, spread %.2f stop, mean %s", after.Result.Verdict.Overall, e.SpreadStops, after.level(e.Mean, p.Words)))
		further := slices.DeleteFunc(slices.Clone(after.Older), func(d Day) bool { return c.here && slices.Equal(d.Files, c.Files) })
		p.table("Further days of "+after.Title, document.Rows("day|verdict|mean|spread|files", further, func(d Day) []string {
			return []string{d.Date, d.Verdict, after.level(d.Mean, p.Words), fmt.Sprintf("%.2f stop", d.SpreadStops), strings.Join(d.Files, ", ")}
		}), 0, 1, 4)
	}
}

// photos shows the photos.
func (p *paper) photos() {
	for _, x := range p.Photos {
		p.Add(document.Photo{Name: x.File, Media: x.kind, Content: x.content, Missing: x.NotShown})
	}
}

// cautions is what has to be heeded.
func (p *paper) cautions() {
	if len(p.Cautions) > 0 {
		p.Add(document.List{Items: answers.Sentences(p.Words, p.Cautions)})
	}
}
