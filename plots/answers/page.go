// Package answers puts results in words: it makes a document of each, in the
// units of its reader, and holds every sentence that people read. It computes
// nothing: it chooses what of a result to say first.
package answers

import (
	"fmt"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/evenness"
	"evenfall/photometry/uncertainty"
	"evenfall/plots"
	"evenfall/plots/document"
)

// page is the document of one result while it is made. A full one has all
// statistics and what was assumed.
type page struct {
	*document.Document
	full bool
}

func newPage(w document.Words, full bool) *page { return &page{document.New(w), full} }

// tones are what verdicts mean.
var tones = map[string]document.Tone{uncertainty.Pass: document.Good, uncertainty.Fail: document.Bad, uncertainty.Unsure: document.Open}

// verdict is a headline that starts with a verdict.
func (p *page) verdict(verdict, text string) {
	p.Add(document.Headline{Word: strings.ToUpper(verdict), Tone: tones[verdict], Text: text})
}

// strong is a headline whose word is neither good nor bad.
func (p *page) strong(word, text string) { p.Add(document.Headline{Word: word, Text: text}) }

// word is a headline with one of two words, by whether the answer is a good one.
func (p *page) word(good bool, yes, no, text string) {
	if good {
		p.Add(document.Headline{Word: yes, Tone: document.Good, Text: text})
		return
	}
	p.Add(document.Headline{Word: no, Tone: document.Bad, Text: text})
}

// settled is a headline by whether the readings settle the answer.
func (p *page) settled(ok bool, text string) {
	if ok {
		p.Add(document.Headline{Word: "SETTLED", Tone: document.Good, Text: text})
		return
	}
	p.Add(document.Headline{Word: "UNSURE", Tone: document.Open, Text: text})
}

// surfaceMap is a surface with its figures.
func (p *page) surfaceMap(r *evenness.Result, unit photometry.Unit) {
	p.Add(document.Picture{Characters: func(o plots.TerminalOptions) string {
		o.Feet, o.Unit = p.Feet, unit
		return plots.Terminal(r, o)
	}})
}

// texts are all things in words.
func texts[T any](all []T, say func(T) string) []string {
	var out []string
	for _, one := range all {
		out = append(out, say(one))
	}
	return out
}

// andMore keeps the first of many texts and says how many more there are.
func andMore(all []string, most int) []string {
	if len(all) <= most {
		return all
	}
	return append(all[:most:most], fmt.Sprintf("and %d more (--full lists them)", len(all)-most))
}

// short is andMore where the page is not a full one.
func (p *page) short(all []string, most int) []string {
	if p.full {
		return all
	}
	return andMore(all, most)
}

// say puts a finding in words.
func (p *page) say(f photometry.Finding) string { return Sentence(p.Words, f) }

// findings adds a line with a sentence for each finding.
func (p *page) findings(key string, all []photometry.Finding) {
	p.Line(key, Sentences(p.Words, all)...)
}

// remarks adds a line with a sentence for each remark.
func (p *page) remarks(key string, all []photometry.Remark) {
	p.Line(key, Remarks(p.Words, all)...)
}

func titleOr(title, none string) string {
	if title == "" {
		return none
	}
	return title
}

func plural(n int) string {
	if n == 1 {
		return ""
	}
	return "s"
}
