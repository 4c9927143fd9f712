package report

import (
	_ "embed"
	"encoding/base64"
	"fmt"
	"html/template"
	"io"
	"path"
	"strings"

	"evenfall/plots"
)

//go:embed page.gohtml
var pageText string

//go:embed page.css
var pageStyle string

var page = template.Must(template.New("page").Funcs(template.FuncMap{
	"word":  func(verdict string) string { return verdictWords[verdict] },
	"svg":   inline,
	"photo": dataURI,
	"alt":   altText,
}).Parse(pageText))

// HTML writes the report as one page that needs nothing else: pictures and photos
// stand in it, it loads nothing and has no script. The error is the writer's, or
// a picture's.
func (r *Report) HTML(w io.Writer) error {
	d := r.document()
	d.name()
	return page.Execute(w, struct {
		*wholeReport
		Style  template.CSS
		Footer string
	}{d, template.CSS(pageStyle), footer})
}

// name gives each picture an id of its own, after its heading.
func (d *wholeReport) name() {
	for _, s := range d.Sections {
		for _, part := range append([]*section{s}, s.Parts...) {
			n := 0
			for _, b := range part.Blocks {
				if b.Figure != nil {
					n++
					b.Figure.Picture.ID = fmt.Sprintf("%s-picture-%d", part.ID, n)
				}
			}
		}
	}
}

// inline is a picture as an svg element. plots escapes the words in it.
func inline(p *plots.Picture) (template.HTML, error) {
	var b strings.Builder
	err := p.Write(&b, "svg")
	return template.HTML(b.String()), err
}

// dataURI is a photo inside the page. Its media type is one of a few that were
// found in its first bytes, and base64 needs no escaping.
func dataURI(p *Photo) template.URL {
	return template.URL("data:" + p.kind + ";base64," + base64.StdEncoding.EncodeToString(p.content))
}

// altText names a photo by what its file is called.
func altText(p *Photo) string {
	name := strings.TrimSuffix(path.Base(p.File), path.Ext(p.File))
	return "Photo of the set: " + strings.Join(strings.FieldsFunc(name, func(r rune) bool { return r == '-' || r == '_' || r == ' ' }), " ")
}
