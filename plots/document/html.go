package document

import (
	_ "embed"
	"encoding/base64"
	"errors"
	"fmt"
	"html/template"
	"io"
	"path"
	"slices"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/parallel"
	"evenfall/plots"
)

//go:embed page.gohtml
var pageText string

//go:embed page.css
var pageStyle string

var pageTemplate = template.Must(template.New("page").Funcs(template.FuncMap{
	"photo": dataURI, "alt": altText, "num": joined, "whole": whole, "inCell": inCell, "unhyphened": unhyphened, "lines": func(text string) []string { return strings.Split(text, "\n") },
}).Parse(pageText))

// HTML writes a document as one page that needs nothing else: pictures and photos
// stand in it, it loads nothing and has no script. The error is the writer's, or a
// picture's.
func HTML(w io.Writer, d *Document) error {
	head, sections := d.sections()
	first := &section{ID: "head", Blocks: head}
	if err := draw(append(sections, first)); err != nil {
		return err
	}
	var text strings.Builder
	if err := pageTemplate.Execute(&text, map[string]any{"Title": d.Title, "Footer": d.Footer, "Style": template.CSS(pageStyle + d.FrontStyle), "Front": template.HTML(d.Front),
		"Head": first, "Sections": sections}); err != nil {
		return err
	}
	_, err := io.WriteString(w, photometry.Visible(text.String()))
	return err
}

// element is a block as the page's template shows it: one of its fields is set.
type element struct {
	Headline  *Headline
	Paragraph string
	List      *List
	Lines     []Line
	Table     *page
	Drawing   *drawing
	Photo     *Photo
}

// drawing is a picture as an svg element, and small as another. plots escapes the words
// in them.
type drawing struct {
	Title, Aside string
	SVG, Small   template.HTML
	OnFront      bool
}

// Class is what the style calls a tone.
func (h Headline) Class() string { return []string{"none", "pass", "fail", "unsure"}[h.Tone] }

// Copied tells whether a line is to be copied as it is.
func (l Line) Copied() bool { return l.Kind == Verbatim }

// draw makes the elements of sections and of their parts, several at a time: most of the work
// is their pictures.
func draw(sections []*section) error {
	all := slices.Clone(sections)
	for _, s := range sections {
		all = append(all, s.Parts...)
	}
	failed := make([]error, len(all))
	parallel.Each(len(all), 1, func(i int) { all[i].Elements, failed[i] = all[i].elements() })
	return errors.Join(failed...)
}

// elements are the blocks under a heading; lines that follow each other stand in
// one list.
func (s *section) elements() ([]element, error) {
	var out []element
	pictures := 0
	for i, b := range s.Blocks {
		if lines := keyed(b); lines != nil {
			if i > 0 && keyed(s.Blocks[i-1]) != nil {
				at := &out[len(out)-1].Lines
				*at = append(*at, lines...)
			} else {
				out = append(out, element{Lines: slices.Clone(lines)})
			}
			continue
		}
		switch b := b.(type) {
		case Headline:
			out = append(out, element{Headline: &b})
		case Paragraph:
			out = append(out, element{Paragraph: string(b)})
		case List:
			out = append(out, element{List: &b})
		case Table:
			if len(b.Rows) > 1 {
				t := b.page()
				out = append(out, element{Table: &t})
			}
		case Photo:
			out = append(out, element{Photo: &b})
		case Picture:
			if b.Draw == nil {
				continue
			}
			pictures++
			drawn, err := inline(b, fmt.Sprintf("%s-picture-%d", s.ID, pictures))
			if err != nil {
				return nil, err
			}
			out = append(out, drawn)
		}
	}
	return out, nil
}

// inline is a picture in the page; one that cannot be drawn is said to be missing.
func inline(b Picture, id string) (element, error) {
	p, err := b.Draw()
	if err != nil {
		return element{Paragraph: missing(err)}, nil
	}
	out := &drawing{Title: p.Title, OnFront: b.OnFront}
	if out.SVG, err = markup(p, id); err != nil || b.Small == nil {
		return element{Drawing: out}, err
	}
	small, err := b.Small()
	if err == nil {
		out.Aside = small.Aside
		out.Small, err = markup(small, id+"-small")
	}
	return element{Drawing: out}, err
}

// markup is a picture as an svg element.
func markup(p *plots.Picture, id string) (template.HTML, error) {
	p.ID = id
	var svg strings.Builder
	err := p.Write(&svg, "svg")
	return template.HTML(svg.String()), err
}

func missing(err error) string {
	return fmt.Sprintf("No picture: %s.", strings.TrimPrefix(err.Error(), "plots: "))
}

// dataURI is a photo inside the page. Its media type is one of a few that were
// found in its first bytes, and base64 needs no escaping.
func dataURI(p *Photo) template.URL {
	return template.URL("data:" + p.Media + ";base64," + base64.StdEncoding.EncodeToString(p.Content))
}

// altText names a photo by what its file is called.
func altText(p *Photo) string {
	name := strings.TrimSuffix(path.Base(p.Name), path.Ext(p.Name))
	return "Photo of the set: " + strings.Join(strings.FieldsFunc(name, func(r rune) bool { return r == '-' || r == '_' || r == ' ' }), " ")
}
