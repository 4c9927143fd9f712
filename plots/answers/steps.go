package answers

import (
	"fmt"
	"slices"

	"evenfall/photometry/evenness"
	"evenfall/plots/document"
	"evenfall/plots/steps"
)

// ToDo adds the one list of what to do: each step with its prediction, what is not to be
// done now, and what would help where the list is not enough.
func ToDo(d *document.Document, l *steps.List) {
	p := &page{Document: d}
	if l == nil || len(l.Steps) == 0 {
		return
	}
	p.Line("to do", p.stepLines(l.Steps)...)
	if l.IsChoice() {
		p.Line("why so", p.say(l.Why))
	}
	if l.Short != nil {
		p.Line("short of", p.say(*l.Short))
	}
	p.Line("not now", p.stepLines(l.NotNow)...)
}

// WithSteps puts the one list of what to do in the place of what a result alone advises,
// the steps after the first under the map.
func WithSteps(d *document.Document, l *steps.List) {
	if l == nil || len(l.Steps) == 0 {
		return
	}
	list := document.New(d.Words)
	ToDo(list, l)
	first := list.Blocks
	at, over := slices.IndexFunc(d.Blocks, isAdvice), slices.IndexFunc(d.Blocks, isMap)
	if over > at {
		todo, then := first[0].(document.Line), slices.Clone(first)
		then[0] = document.Line{Key: "then", Texts: todo.Texts[1:]}
		if len(todo.Texts) == 1 {
			then = then[1:]
		}
		d.Blocks = slices.Insert(d.Blocks, over+1, append([]document.Block{document.Gap{}}, then...)...)
		first = []document.Block{document.Line{Key: todo.Key, Texts: todo.Texts[:1]}}
	}
	if at < 0 { // below the headline
		d.Blocks = slices.Insert(d.Blocks, min(1, len(d.Blocks)), first...)
		return
	}
	d.Blocks = slices.Replace(d.Blocks, at, at+1, first...)
}

// isMap tells whether a block is a map on a terminal.
func isMap(b document.Block) bool {
	p, ok := b.(document.Picture)
	return ok && p.Characters != nil
}

// AdviceKey is the key of the line with what a result alone advises.
const AdviceKey = "do"

func isAdvice(b document.Block) bool {
	l, ok := b.(document.Line)
	return ok && l.Key == AdviceKey
}

// stepLines number the steps.
func (p *page) stepLines(all []steps.Step) (lines []string) {
	var told *steps.Prediction
	for i, s := range all {
		text := p.say(s.Finding)
		if after := predictionText(s.After); after != "" && s.After != told && s.Key != "steps.change" { // which says it itself
			text += " " + after
		}
		told = s.After
		lines = append(lines, fmt.Sprintf("%d. %s", i+1, text))
	}
	return lines
}

// predictionText is what a step leaves, never more sure than its interval.
func predictionText(a *steps.Prediction) string {
	return known(a, func(a steps.Prediction) string {
		return fmt.Sprintf("Spread then about %.2f", a.SpreadStops) + predictionInterval(a) + fmt.Sprintf(" of %.2f stops allowed", a.AllowedStops) +
			known(a.ToEdge, func(e evenness.ToEdge) string {
				return fmt.Sprintf(", about %.1f with the edge (±%.1f)", e.SpreadStops, e.ErrorStops)
			}) +
			known(a.DayBeforeStops, func(b steps.DayBefore) string {
				return fmt.Sprintf("; against the day before %+.2f stop and %.2f from place to place, %s tolerance", b.OffsetStops+0, b.PatternStops, either(b.Within, "within", "out of"))
			}) + "."
	})
}

// predictionInterval is the interval of a predicted spread in brackets.
func predictionInterval(a steps.Prediction) string {
	return known(a.IntervalStops, func(i [2]float64) string { return fmt.Sprintf(" (%.2f–%.2f)", i[0], i[1]) })
}
