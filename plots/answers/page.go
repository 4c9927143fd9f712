// Package answers puts results in words: it makes a document of each, in the
// units of its reader, and holds every sentence that people read. It computes
// nothing: it chooses what of a result to say first.
package answers

import (
	"fmt"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/evenness"
	"evenfall/photometry/survey"
	"evenfall/photometry/uncertainty"
	"evenfall/plots"
	"evenfall/plots/document"
)

// page is the document of one result while it is made. A full one has all
// statistics and what was assumed.
type page struct {
	*document.Document
	full   bool
	prefix string // of pictures' names
}

func newPage(w document.Words, full bool) *page { return &page{Document: document.New(w), full: full} }

// tones are what verdicts mean.
var tones = map[string]document.Tone{uncertainty.Pass: document.Good, uncertainty.Fail: document.Bad, uncertainty.Unsure: document.Open}

// Verdict is a headline that starts with a verdict: pass, fail or unsure.
func Verdict(verdict, text string) document.Headline {
	return document.Headline{Word: strings.ToUpper(verdict), Tone: tones[verdict], Text: text}
}

// headline starts with a word; a verdict, "" for none, says whether it is good or bad.
func (p *page) headline(word, verdict, text string) {
	p.Add(document.Headline{Word: word, Tone: tones[verdict], Text: text})
}

func (p *page) verdict(verdict, text string) { p.Add(Verdict(verdict, text)) }

// settled is a headline that starts with what it is about, or with UNSURE where the
// readings do not settle it.
func (p *page) settled(ok bool, word, text string) {
	p.headline(either(ok, word, "UNSURE"), either(ok, uncertainty.Pass, uncertainty.Unsure), text)
}

// AsRead are words that write the levels of a survey, nil for none, as they were
// read where no unit is asked for.
func AsRead(w document.Words, s *survey.Survey) document.Words {
	w.Read = nil
	w.Feet = w.Feet || w.AsTyped && s != nil && s.Feet
	if s != nil && (w.Unit == photometry.NoUnit || s.Quantity != photometry.Illuminance) {
		w.Read = func(l photometry.Level) string { return s.FormatLevel(l.Value) }
	}
	return w
}

// maps are a surface's maps, that of levels with its figures on a terminal too.
func (p *page) maps(r *evenness.Result) {
	if r.Survey.Placing == survey.Nowhere {
		return
	}
	level := p.mapOf(p.prefix+"level", r, plots.Level, nil)
	level.Characters = p.characters(r)
	p.Add(level)
	c := r.Color
	if c == nil || c.Points == 0 {
		return
	}
	if c.MaxMiredShift != nil {
		p.Add(p.mapOf(p.prefix+"mired", r, plots.Mired, nil))
	}
	if c.MaxDuvShift != nil {
		p.Add(p.mapOf(p.prefix+"duv", r, plots.Duv, nil))
	}
}

// mapOf is a surface's map of a kind, drawn as one of a pair where another is beside it.
func (p *page) mapOf(name string, r *evenness.Result, kind plots.Kind, beside *evenness.Result) document.Picture {
	return document.Drawn(name, func(narrow bool) (*plots.Picture, error) {
		return plots.Surface(r, plots.SurfaceOptions{Kind: kind, Unit: r.Survey.UnitFor(p.Unit), Feet: p.Feet, Say: p.say, Beside: beside, Narrow: narrow})
	})
}

// drawn adds a picture that can be narrow.
func (p *page) drawn(name string, draw func(narrow bool) (*plots.Picture, error)) {
	p.Add(document.Drawn(name, draw))
}

// characters is a surface's map of levels on a terminal.
func (p *page) characters(r *evenness.Result) func(plots.TerminalOptions) string {
	return func(o plots.TerminalOptions) string {
		o.Feet, o.Unit = p.Feet, r.Survey.UnitFor(p.Unit)
		return plots.Terminal(r, o)
	}
}

// apart adds blocks with room around them.
func (p *page) apart(blocks ...document.Block) {
	p.Gap()
	p.Add(blocks...)
	p.Gap()
}

// texts are all things in words, or in another form.
func texts[T, S any](all []T, say func(T) S) []S {
	var out []S
	for _, one := range all {
		out = append(out, say(one))
	}
	return out
}

// part parts things in those that are something and the others.
func part[T any](all []T, is func(T) bool) (yes, no []T) {
	for _, one := range all {
		if is(one) {
			yes = append(yes, one)
		} else {
			no = append(no, one)
		}
	}
	return yes, no
}

// short keeps the first of many texts and says how many more there are; a full page
// has all.
func (p *page) short(all []string, most int) []string {
	if p.full || len(all) <= most {
		return all
	}
	return append(all[:most:most], fmt.Sprintf("and %d more (--full lists them)", len(all)-most))
}

// say puts a finding in words.
func (p *page) say(f photometry.Finding) string { return Sentence(p.Words, f) }

// findings adds a line with a sentence for each finding.
func (p *page) findings(key string, all []photometry.Finding) {
	p.Line(key, Sentences(p.Words, all)...)
}

// placeNotes are what people wrote beside readings, the first of very many.
func (p *page) placeNotes(all []photometry.PlaceNote) {
	p.Line("remarks", p.short(texts(all, photometry.PlaceNote.String), 3)...)
}

// remarks adds a line with a sentence for each remark.
func (p *page) remarks(key string, all []photometry.Remark) {
	p.Line(key, Remarks(p.Words, all)...)
}
