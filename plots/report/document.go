package report

import (
	"cmp"
	"fmt"
	"io"
	"slices"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/uncertainty"
	"evenfall/plots/answers"
	"evenfall/plots/document"
)

// footer ends every report.
const footer = "Made by Evenfall from the files listed above. Readings scatter and predictions are estimates: meter again before relying on them. Follow local codes and leave rigging and electricity to trained and licensed people."

// HTML writes the report as one page that needs nothing else, in a reader's units.
func (r *Report) HTML(to io.Writer, w document.Words) error {
	d := r.document(w)
	sheet, err := r.resetSheet(w).markup()
	if err != nil {
		return err
	}
	d.Front, d.FrontStyle = sheet, resetStyle
	if err := document.HTML(to, d); err != nil {
		return err
	}
	return r.writeInputs(to)
}

// Markdown writes the report as text for those who keep notes elsewhere.
func (r *Report) Markdown(to io.Writer, w document.Words) error {
	return document.Markdown(to, r.document(w))
}

// paper is the report's document while it is made.
type paper struct {
	*document.Document
	*Report
}

// document puts the report in the order in which a director of photography reads.
func (r *Report) document(w document.Words) *document.Document {
	p := &paper{document.New(w), r}
	p.Document.Title, p.Footer = r.title(), footer
	p.head()
	for _, section := range []struct {
		title string
		fill  func()
	}{
		{"To do", p.toDo},
		{"Problems with files", p.problems},
		{"Exposure", p.exposed},
		{"Lamps", p.lampSheet},
		{"Ratios", p.ratios},
		{"Surfaces", p.surfaces},
		{"Fall-off", p.distances},
		{"Meter", p.meters},
		{"Plan view and elevation", p.planned},
		{"Compared with the day before", p.compared},
		{"Photos of the set", p.photos},
		{"Cautions", p.cautions},
		{"Readings", p.readings},
		{"Gels and cameras", p.kit},
		{"Files", p.files},
	} {
		p.Add(document.Heading{Title: section.title, Level: 1})
		section.fill()
	}
	return p.Document
}

// part begins a part of a section.
func (p *paper) part(title string) { p.Add(document.Heading{Title: title, Level: 2}) }

// add adds what answers says of a result, whose pictures of some names are on the first
// page too. What has to be heeded has a section of its own.
func (p *paper) add(d *document.Document, onFront ...string) {
	d.Without("caution")
	for _, b := range d.Blocks {
		if x, ok := b.(document.Picture); ok {
			x.OnFront = slices.Contains(onFront, x.Name)
			b = x
		}
		p.Add(b)
	}
}

// advised is add without the advice where that of a title is in the one list.
func (p *paper) advised(title string, d *document.Document, onFront string) {
	if p.listed(title) {
		d.Without(answers.AdviceKey)
	}
	p.add(d, onFront)
}

// table adds a table under a caption.
func (p *paper) table(caption string, rows [][]string, text ...int) {
	if len(rows) < 2 {
		return
	}
	for c := range rows[0] {
		if !slices.Contains(text, c) {
			unitInHead(rows, c)
		}
	}
	p.Add(document.Table{Caption: caption, Rows: rows, Text: text})
}

// unitInHead takes the unit that all figures of a column have into its head.
func unitInHead(rows [][]string, column int) {
	unit := ""
	for _, row := range rows[1:] {
		_, of, _ := strings.Cut(row[column], " ")
		if row[column] != "" && (of == "" || unit != "" && of != unit) {
			return
		}
		unit = cmp.Or(of, unit)
	}
	if unit == "" {
		return
	}
	rows[0][column] += " (" + unit + ")"
	for _, row := range rows[1:] {
		row[column] = strings.TrimSuffix(row[column], " "+unit)
	}
}

// Summary is in short what a report says: the verdict, the further things that were
// judged and are not well, and the files that could not be used.
func (r *Report) Summary(w document.Words) *document.Document {
	d := document.New(w)
	d.Add(r.headline(w))
	for i, part := range r.Verdict.Parts {
		if i != r.Verdict.told && part.Verdict != uncertainty.Pass {
			d.Line(part.Verdict, part.line(w))
		}
	}
	for _, problem := range r.Problems {
		var texts []string
		for text := range strings.SplitSeq(problem.Text, "\n") {
			texts = append(texts, problem.File+": "+text)
		}
		d.Line("problem", texts...)
	}
	answers.ToDo(d, r.ToDo)
	d.Line("note", answers.Sentences(w, r.Warnings)...)
	if n := len(r.Files); n > 0 {
		d.Line("files", fmt.Sprintf("%d in the folder", n))
	}
	return d
}

// line is a part in one line.
func (p Part) line(w document.Words) string {
	return p.What + ": " + answers.Sentence(w, p.Text.Finding)
}

func (r *Report) headline(w document.Words) document.Headline {
	h := answers.Verdict(r.Verdict.Overall, answers.Sentence(w, r.Verdict.Text.Finding))
	h.Word = cmp.Or(h.Word, "REPORT")
	return h
}

// title is what the set-up is called.
func (r *Report) title() string {
	if s := r.Setup; s != nil {
		var parts []string
		if s.Title != "" {
			parts = append(parts, s.Title)
		}
		if s.Scene != "" {
			parts = append(parts, "scene "+strings.TrimPrefix(s.Scene, "scene "))
		}
		if len(parts) > 0 {
			return strings.Join(parts, ", ")
		}
	}
	if len(r.Surfaces) > 0 {
		return r.Surfaces[0].Title
	}
	return "Set-up"
}

// head is the verdict with its parts, and what the set-up's table says of the day
// and the camera.
func (p *paper) head() {
	p.Add(p.headline(p.Words))
	for i, part := range p.Verdict.Parts {
		if i != p.Verdict.told {
			p.Line(part.Verdict, part.line(p.Words))
		}
	}
	s := p.Setup
	if s == nil {
		return
	}
	p.Gap()
	p.Line("mark", s.Mark)
	p.Line("date", s.Date)
	p.Line("camera", s.cameraSet())
	if s.MainsHz > 0 {
		p.Line("mains", fmt.Sprintf("%g Hz", s.MainsHz))
	}
	for _, pair := range s.More {
		text := pair.Value
		if pair.Note != "" {
			text += " (" + pair.Note + ")"
		}
		p.Line(pair.Key, text)
	}
	p.Line("notes", s.Notes)
}

// cameraSet is the camera and how it is set.
func (s *Setup) cameraSet() string {
	var parts []string
	add := func(there bool, format string, values ...any) {
		if there {
			parts = append(parts, fmt.Sprintf(format, values...))
		}
	}
	add(s.Camera != "", "%s", s.Camera)
	add(s.ISO > 0, "ISO %.0f", s.ISO)
	add(s.FrameRate > 0, "%g frames a second", s.FrameRate)
	add(s.Shutter != "", "shutter %s", s.Shutter)
	add(s.TStop != "", "T-stop %s", s.TStop)
	add(s.NDStops > 0, "ND of %s", photometry.FormatStops(s.NDStops))
	add(s.FilterFactor > 1, "filter factor %g", s.FilterFactor)
	add(s.TargetKelvin > 0, "%.0f K", s.TargetKelvin)
	return strings.Join(parts, ", ")
}

// listed reports whether what is to be done of a surface is in the one list.
func (p *paper) listed(title string) bool {
	return p.ToDo != nil && len(p.ToDo.Steps) > 0 && title == p.ToDoOf
}

// toDo is the one list of what to do.
func (p *paper) toDo() {
	if len(p.Surfaces) > 1 && p.listed(p.ToDoOf) {
		p.part(p.ToDoOf)
	}
	answers.ToDo(p.Document, p.ToDo)
}

// problems are the files that could not be used, and what came up while reading.
func (p *paper) problems() {
	var lines document.Lines
	for _, x := range p.Problems {
		lines = append(lines, document.Line{Key: x.File, Texts: strings.Split(x.Text, "\n")})
	}
	if len(lines) > 0 {
		p.Add(lines)
	}
	p.Line("note", answers.Sentences(p.Words, p.Warnings)...)
}
