package report

import (
	"fmt"
	"slices"
	"strings"

	"evenfall/photometry"
	"evenfall/plots"
)

// footer ends every report.
const footer = "Made by Evenfall from the files listed above. Readings scatter and predictions are estimates: meter again before relying on them. Follow local codes and leave rigging and electricity to trained and licensed people."

// wholeReport is a report in words, tables and pictures, for whichever face writes
// it. All of its text is plain.
type wholeReport struct {
	Title    string
	Subtitle string
	Verdict  Verdict
	Word     string // the verdict for people
	Facts    []fact
	Problems []Problem
	Warnings []string
	Sections []*section
}

// section is a heading with what stands under it.
type section struct {
	ID, Title string
	Blocks    []block
	Parts     []*section
}

// block is one of the things that may stand under a heading.
type block struct {
	Text    string
	Items   []string
	Ordered bool // Items are steps, one after the other
	Facts   []fact
	Table   *grid
	Figure  *figure
	Photo   *Photo
}

// fact is a figure under its name.
type fact struct{ Key, Text string }

// grid is a table. Stacked tables turn into a card a row on a narrow page; the
// first column names the row.
type grid struct {
	Caption string
	Header  []string
	Right   []bool // columns of numbers
	Rows    [][]cell
	Stacked bool
}

// cell is a cell of a table, a line each.
type cell []string

// figure is a picture with a line beneath it.
type figure struct {
	Picture *plots.Picture
	Caption string
}

func (s *section) text(format string, values ...any) {
	s.Blocks = append(s.Blocks, block{Text: fmt.Sprintf(format, values...)})
}

func (s *section) facts(facts facts) {
	if len(facts) > 0 {
		s.Blocks = append(s.Blocks, block{Facts: facts})
	}
}

func (s *section) list(items []string) {
	if len(items) > 0 {
		s.Blocks = append(s.Blocks, block{Items: items})
	}
}

func (s *section) table(t *grid) {
	if t != nil && len(t.Rows) > 0 {
		s.Blocks = append(s.Blocks, block{Table: t})
	}
}

// draw adds a picture; one that cannot be drawn is said to be missing.
func (s *section) draw(p *plots.Picture, err error, caption string) {
	switch {
	case err != nil:
		s.text("No picture: %s.", strings.TrimPrefix(err.Error(), "plots: "))
	case p != nil:
		s.Blocks = append(s.Blocks, block{Figure: &figure{p, caption}})
	}
}

// part is a heading under this one.
func (s *section) part(title string) *section {
	p := &section{ID: fmt.Sprintf("%s-%d", s.ID, len(s.Parts)+1), Title: title}
	s.Parts = append(s.Parts, p)
	return p
}

// empty tells whether nothing stands under the heading.
func (s *section) empty() bool { return len(s.Blocks)+len(s.Parts) == 0 }

// facts are figures under their names; those without a text are left out.
type facts []fact

func (f *facts) add(key, text string) {
	if text != "" {
		*f = append(*f, fact{key, text})
	}
}

// findings adds a line for each, the key on the first.
func (f *facts) findings(key string, all []photometry.Finding) {
	var texts []string
	for _, one := range all {
		texts = append(texts, one.Text)
	}
	f.add(key, strings.Join(texts, " "))
}

// drop leaves empty columns out of a table.
func (t *grid) drop() *grid {
	var kept []int
	for i := range t.Header {
		for _, row := range t.Rows {
			if i == 0 || len(row[i]) > 0 && strings.Join(row[i], "") != "" {
				kept = append(kept, i)
				break
			}
		}
	}
	out := &grid{Caption: t.Caption, Stacked: t.Stacked}
	for _, i := range kept {
		out.Header = append(out.Header, t.Header[i])
		out.Right = append(out.Right, i < len(t.Right) && t.Right[i])
	}
	for _, row := range t.Rows {
		var kept2 []cell
		for _, i := range kept {
			kept2 = append(kept2, row[i])
		}
		out.Rows = append(out.Rows, kept2)
	}
	return out
}

// one is a cell of one line.
func one(text string) cell {
	if text == "" {
		return nil
	}
	return cell{text}
}

// document puts the report in the order in which a director of photography reads.
func (r *Report) document() *wholeReport {
	d := &wholeReport{Title: r.title(), Verdict: r.Verdict, Word: verdictWords[r.Verdict.Overall], Problems: r.Problems}
	for _, w := range r.Warnings {
		d.Warnings = append(d.Warnings, w.Text)
	}
	d.Facts = r.head()
	for _, make := range []struct {
		id, title string
		fill      func(*section)
	}{
		{"exposure", "Exposure", r.exposureSection},
		{"lamps", "Lamps", r.lampSection},
		{"ratios", "Ratios", r.ratioSection},
		{"surfaces", "Surfaces", r.surfaceSection},
		{"fall-off", "Fall-off", r.distanceSection},
		{"plan", "Plan view and elevation", r.planSection},
		{"before", "Compared with the day before", r.beforeSection},
		{"photos", "Photos of the set", r.photoSection},
		{"uncertainty", "Assumptions and uncertainty", r.uncertaintySection},
		{"cautions", "Cautions", r.cautionSection},
		{"readings", "Readings", r.readingSection},
		{"kit", "Gels and cameras", r.kitSection},
		{"files", "Files", r.fileSection},
	} {
		s := &section{ID: make.id, Title: make.title}
		if make.fill(s); !s.empty() {
			d.Sections = append(d.Sections, s)
		}
	}
	d.clean()
	return d
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

// head is what the set-up's table says of the day and the camera.
func (r *Report) head() facts {
	var f facts
	s := r.Setup
	if s == nil {
		return f
	}
	f.add("Mark", s.Mark)
	f.add("Date", s.Date)
	camera := s.Camera
	add := func(text string) {
		if camera != "" && text != "" {
			camera += ", "
		}
		camera += text
	}
	if s.ISO > 0 {
		add(fmt.Sprintf("ISO %.0f", s.ISO))
	}
	if s.FrameRate > 0 {
		add(plain(s.FrameRate) + " frames a second")
	}
	if s.Shutter != "" {
		add("shutter " + s.Shutter)
	}
	if s.TStop != "" {
		add("T-stop " + s.TStop)
	}
	if s.NDStops > 0 {
		add("ND of " + photometry.FormatStops(s.NDStops))
	}
	if s.FilterFactor > 1 {
		add("filter factor " + plain(s.FilterFactor))
	}
	if s.TargetKelvin > 0 {
		add(fmt.Sprintf("%.0f K", s.TargetKelvin))
	}
	f.add("Camera", camera)
	if s.MainsHz > 0 {
		f.add("Mains", plain(s.MainsHz)+" Hz")
	}
	for _, p := range s.More {
		text := p.Value
		if p.Note != "" {
			text += " (" + p.Note + ")"
		}
		f.add(p.Key, text)
	}
	f.add("Notes", s.Notes)
	return f
}

// clean takes what cannot be seen out of every text: control characters, and
// those that turn the direction of all that follows.
func (d *wholeReport) clean() {
	tidy := func(text *string) {
		*text = strings.Map(func(c rune) rune {
			switch {
			case c == '\n' || c == '\t':
				return c
			case c < ' ' || c >= 0x7f && c < 0xa0 || c >= 0x202a && c <= 0x202e || c >= 0x2066 && c <= 0x2069 || c == 0xfeff:
				return -1
			}
			return c
		}, strings.ToValidUTF8(*text, "\uFFFD"))
	}
	tidy(&d.Title)
	tidy(&d.Verdict.Text)
	d.Verdict.Parts = slices.Clone(d.Verdict.Parts)
	for i := range d.Verdict.Parts {
		tidy(&d.Verdict.Parts[i].What)
		tidy(&d.Verdict.Parts[i].Text)
	}
	d.Problems = slices.Clone(d.Problems)
	for i := range d.Problems {
		tidy(&d.Problems[i].File)
		tidy(&d.Problems[i].Text)
	}
	for i := range d.Warnings {
		tidy(&d.Warnings[i])
	}
	tidyFacts := func(all []fact) {
		for i := range all {
			tidy(&all[i].Key)
			tidy(&all[i].Text)
		}
	}
	tidyFacts(d.Facts)
	for _, s := range d.Sections {
		for _, part := range append([]*section{s}, s.Parts...) {
			tidy(&part.Title)
			for i := range part.Blocks {
				b := &part.Blocks[i]
				tidy(&b.Text)
				if b.Photo != nil {
					photo := *b.Photo
					tidy(&photo.File)
					b.Photo = &photo
				}
				for k := range b.Items {
					tidy(&b.Items[k])
				}
				tidyFacts(b.Facts)
				if b.Table == nil {
					continue
				}
				tidy(&b.Table.Caption)
				for k := range b.Table.Header {
					tidy(&b.Table.Header[k])
				}
				for _, row := range b.Table.Rows {
					for _, c := range row {
						for k := range c {
							tidy(&c[k])
						}
					}
				}
			}
		}
	}
}
