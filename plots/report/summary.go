package report

import (
	"fmt"
	"strings"

	"evenfall/plots/answers"
	"evenfall/plots/document"
)

// Summary is in short what a report says: the verdict, the further things that
// were judged and are not well, and the files that could not be used.
func (r *Report) Summary(w document.Words) *document.Document {
	d := document.New(w)
	tones := map[string]document.Tone{"pass": document.Good, "fail": document.Bad, "unsure": document.Open}
	word := strings.ToUpper(r.Verdict.Overall)
	if word == "" {
		word = "REPORT"
	}
	d.Add(document.Headline{Word: word, Tone: tones[r.Verdict.Overall], Text: r.Verdict.Text})
	for i, part := range r.Verdict.Parts {
		if i > 0 && part.Verdict != "pass" {
			d.Line(part.Verdict, part.What+": "+part.Text)
		}
	}
	for _, problem := range r.Problems {
		var texts []string
		for text := range strings.SplitSeq(problem.Text, "\n") {
			texts = append(texts, problem.File+": "+text)
		}
		d.Line("problem", texts...)
	}
	d.Line("note", answers.Sentences(w, r.Warnings)...)
	if n := len(r.Files); n > 0 {
		d.Line("files", fmt.Sprintf("%d in the folder", n))
	}
	return d
}
