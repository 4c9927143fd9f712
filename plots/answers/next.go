package answers

import (
	"cmp"
	"fmt"

	"evenfall/photometry/evenness"
	"evenfall/photometry/uncertainty"
	"evenfall/plots/document"
)

// Next are the further readings of a surface that would help most, as a list in walking
// order.
func Next(r *evenness.Result, w document.Words) *document.Document {
	p := newPage(AsRead(w, r.Survey), false)
	p.verdict(r.Verdict.Overall, cmp.Or(r.Title, "Surface")+": "+SurfaceVerdict(r))
	lines := p.nextLines(r)
	switch {
	case lines != nil:
	case r.Verdict.Overall == uncertainty.Unsure && len(r.Advice) > 0:
		lines = []string{p.say(r.Advice[0].Finding)}
	default:
		lines = []string{"No further reading would change the answer."}
	}
	p.Line("read", lines...)
	return p.Document
}

// WithNext adds the further readings that would help most to what is said of a surface;
// nothing where none would.
func WithNext(d *document.Document, r *evenness.Result) {
	p := &page{Document: d}
	p.Line("read next", p.nextLines(r)...)
}

func (p *page) nextLines(r *evenness.Result) (lines []string) {
	for n, next := range r.Next() {
		lines = append(lines, fmt.Sprintf("%d. %s", n+1, p.say(next.Finding)))
	}
	return lines
}
