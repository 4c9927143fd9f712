package answers

import (
	"fmt"

	"evenfall/photometry/evenness"
	"evenfall/plots/document"
)

// Next are the further readings of a surface that would help most, as a list in walking
// order.
func Next(r *evenness.Result, w document.Words) *document.Document {
	p := newPage(AsRead(w, r.Survey), false)
	p.verdict(r.Verdict.Overall, titleOr(r.Title, "Surface")+": "+SurfaceVerdict(r))
	var lines []string
	for n, next := range r.Next() {
		lines = append(lines, fmt.Sprintf("%d. %s", n+1, p.say(next.Finding)))
	}
	if lines == nil {
		lines = []string{"No further reading would change the answer."}
	}
	p.Line("read", lines...)
	return p.Document
}
