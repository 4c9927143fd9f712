package screen

import (
	"fmt"
	"io"
	"strings"

	"evenfall/plots/report"
)

// Report shows in short what a report says: the verdict, the further things that
// were judged and are not well, and the files that could not be used.
func Report(w io.Writer, r *report.Report, o Options) error {
	p := newPage(o)
	word := strings.ToUpper(r.Verdict.Overall)
	if word == "" {
		word = "REPORT"
	}
	p.styled(word, p.verdict, r.Verdict.Text)
	for i, part := range r.Verdict.Parts {
		if i > 0 && part.Verdict != "pass" {
			p.line(part.Verdict, part.What+": "+part.Text)
		}
	}
	for _, problem := range r.Problems {
		for i, text := range strings.Split(problem.Text, "\n") {
			p.line(labelOnce("problem", i), problem.File+": "+text)
		}
	}
	p.findings("note", r.Warnings)
	if n := len(r.Files); n > 0 {
		p.line("files", fmt.Sprintf("%d in the folder", n))
	}
	_, err := io.WriteString(w, p.b.String())
	return err
}
