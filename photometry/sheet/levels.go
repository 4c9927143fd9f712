package sheet

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/schema"
	"evenfall/photometry/table"
)

// settleLevels decides which columns of levels are read: repeats of one another, one of
// several that are converted into each other, or a question.
func (l *list) settleLevels() {
	all := len(l.levels)
	var kept []int // indices in l.levels
	for k, c := range l.levels {
		if l.isMeanColumn(k) {
			l.leave(l.headings[c].text, 0)
			continue
		}
		kept = append(kept, k)
	}
	kept = l.answered(kept)
	for k := 1; k < len(kept); k++ {
		if drop := l.conversion(kept[0], kept[k]); drop >= 0 {
			l.leave(l.headings[l.levels[drop]].text, 0)
			kept = slices.DeleteFunc(kept, func(i int) bool { return i == drop })
			k--
		}
	}
	lights := l.lightsOf(kept)
	if len(kept) > 1 && lights == nil && !l.areRepeats(kept) {
		if h := l.headings[l.levels[kept[0]]]; h.unit == photometry.NoUnit && h.guessed && !isState(h.text) && !hasLamp(h.text) {
			l.score -= 3 // rather the columns of a grid
		}
		l.askColumn(kept)
		kept = kept[:1]
	}
	if len(kept) == 0 {
		kept = []int{0}
	}
	l.checkMeans(kept)
	h := l.headings[l.levels[kept[0]]]
	l.unit, l.times, l.iso = h.unit, h.times, h.iso
	for _, k := range kept {
		if name := l.headings[l.levels[k]].text; name != "" {
			l.columns = append(l.columns, name)
		}
	}
	l.nameLights(kept, lights)
	l.readings = chosen(l.readings, all, kept)
	if l.units >= 0 {
		l.score += 2
	}
	if h.unit != photometry.NoUnit {
		l.score += 3
	} else if h.text != "" && !h.guessed {
		l.score += 2
	}
}

// answered are the columns that the answer names, all where there is none.
func (l *list) answered(kept []int) []int {
	name := table.Fold(l.m.answers.column)
	named := func(k int) bool {
		c := l.levels[k]
		return table.Fold(l.headings[c].text) == name || strings.EqualFold(table.ColumnName(l.m.sheetColumn(c)), name)
	}
	if name == "" || !slices.ContainsFunc(kept, named) {
		return kept
	}
	var out []int
	for _, k := range kept {
		if named(k) {
			out = append(out, k)
		} else {
			l.leave(l.headings[l.levels[k]].text, 0)
		}
	}
	return out
}

// chosen are the readings of some of the columns, all of which have one a row.
func chosen(readings []reading, columns int, kept []int) []reading {
	out := make([]reading, 0, len(readings)/columns*len(kept))
	for i := 0; i < len(readings); i += columns {
		for _, k := range kept {
			if r := readings[i+k]; len(kept) == 1 || r.value.kind != blank {
				out = append(out, r)
			}
		}
	}
	return out
}

// of is the reading of record i in the column of levels k.
func (l *list) of(i, k int) value { return l.readings[i*len(l.levels)+k].value }

func (l *list) count() int { return len(l.readings) / len(l.levels) }

// isMeanColumn reports whether a column is the mean of the others by its name or its
// formulas.
func (l *list) isMeanColumn(k int) bool {
	c := l.levels[k]
	if len(l.levels) > 1 && (isSummary(schema.Words(l.headings[c].text)) || schema.HasWord(l.headings[c].text, schema.MeanWord)) {
		return true
	}
	if len(l.levels) < 2 {
		return false
	}
	formulas, others := 0, 0
	for _, r := range l.records {
		for j, other := range l.levels {
			if l.m.cells[r][other].Formula {
				if j == k {
					formulas++
				} else {
					others++
				}
			}
		}
	}
	return formulas > len(l.records)/2 && others == 0
}

// checkMeans asks where a column that is called a mean is none of those that are read.
func (l *list) checkMeans(kept []int) {
	for c, h := range l.headings {
		if h.role != summaryRole || !schema.HasWord(h.text, schema.MeanWord) {
			continue
		}
		for i, r := range l.records {
			v := l.m.values[r][c]
			if v.kind != number {
				continue
			}
			sum, n := 0.0, 0.0
			for _, k := range kept {
				if o := l.of(i, k); o.kind == number {
					sum, n = sum+o.number, n+1
				}
			}
			if n > 1 && math.Abs(v.number-sum/n) > 0.02*v.number && math.Abs(v.number-sum) > 0.02*v.number {
				l.ask(Question{Code: "summary", Line: l.m.line(r), Note: "leave out",
					Text: fmt.Sprintf("is column %s the mean of the columns beside it? In this row it is %s, their mean %s", quote(h.text), figure(v.number), figure(sum/n))})
				return
			}
		}
	}
}

// conversion reports whether two columns are one reading in two units, and which of them
// is left out: footcandles of lux to rounding, f-numbers of exposure values to a third of
// a stop; -1 for neither.
func (l *list) conversion(a, b int) (drop int) {
	ha, hb := l.headings[l.levels[a]], l.headings[l.levels[b]]
	swap := hb.unit == photometry.LX && ha.unit == photometry.FC || hb.unit == photometry.EV && ha.unit == photometry.FStop || hb.unit == photometry.LX && ha.unit == photometry.EV
	if swap {
		a, b, ha, hb = b, a, hb, ha
	}
	var fits func(x, y float64) bool
	switch {
	case ha.unit == photometry.LX && hb.unit == photometry.FC:
		fits = func(x, y float64) bool {
			fc := photometry.Footcandles(x * max(1, ha.times))
			return math.Abs(fc-y) <= 0.6*math.Max(lastDigit(y), lastDigit(x)/photometry.LuxPerFootcandle) || math.Abs(fc/y-1) < 0.008
		}
	case ha.unit == photometry.LX && hb.unit == photometry.LX && ha.times != hb.times:
		fits = func(x, y float64) bool { return math.Abs(x*ha.times/(y*hb.times)-1) < 0.01 }
	case ha.unit == photometry.EV && hb.unit == photometry.FStop:
		fits = constant(0.34, func(x, y float64) float64 { return x - 2*math.Log2(y) })
	case ha.unit == photometry.LX && hb.unit == photometry.EV:
		fits = constant(0.17, func(x, y float64) float64 { return math.Log2(x) - y })
	default:
		return -1
	}
	pairs := 0
	for i := range l.count() {
		x, y := l.of(i, a), l.of(i, b)
		if x.kind != number || y.kind != number {
			continue
		}
		if pairs++; !fits(x.number+x.part, y.number) {
			return -1
		}
	}
	if pairs < 2 {
		return -1
	}
	return b
}

// constant reports whether a figure of two columns stays within some stops of its first
// value.
func constant(within float64, of func(x, y float64) float64) func(x, y float64) bool {
	first := math.NaN()
	return func(x, y float64) bool {
		if math.IsNaN(first) {
			first = of(x, y)
		}
		return math.Abs(of(x, y)-first) <= within
	}
}

// lastDigit is the step of a number as it was written, to six digits.
func lastDigit(v float64) float64 {
	step := 1.0
	for ; step > 1e-4 && math.Abs(v/step-math.Round(v/step)) > 1e-6; step /= 10 {
	}
	return step
}

// areRepeats reports whether columns are numbered repeats of one reading, nowhere more
// than a factor of 1.4 apart.
func (l *list) areRepeats(kept []int) bool {
	first := l.headings[l.levels[kept[0]]]
	for _, k := range kept {
		h := l.headings[l.levels[k]]
		same := h.rest == "" && (h.unit == first.unit || h.unit == photometry.NoUnit || first.unit == photometry.NoUnit)
		if !same || !h.ordinal && table.Fold(h.text) != table.Fold(first.text) || h.text == "" {
			return false
		}
	}
	for i := range l.count() {
		lo, hi := math.Inf(1), 0.0
		for _, k := range kept {
			if v := l.of(i, k); v.kind == number {
				lo, hi = min(lo, v.number), max(hi, v.number)
			}
		}
		if hi > 1.4*lo && hi > 0 {
			return false
		}
	}
	return true
}

// askColumn asks which of several columns of levels is meant.
func (l *list) askColumn(kept []int) {
	var names, heads []string
	q := Question{Code: "column", Line: l.headerLine, Note: "column"}
	for _, k := range kept {
		h := l.headings[l.levels[k]]
		name := h.text
		if name == "" || slices.ContainsFunc(kept, func(i int) bool { return i != k && table.Fold(l.headings[l.levels[i]].text) == table.Fold(name) }) {
			name = table.ColumnName(l.m.sheetColumn(l.levels[k]))
		}
		d := *l.draft
		d.unit, d.times = h.unit, h.times
		d.readings = chosen(l.readings, len(l.levels), []int{k})
		q.Options = append(q.Options, Option{name, d.gives()})
		names, heads = append(names, quote(name)), append(heads, h.text)
	}
	q.Text = "which column of levels, " + strings.Join(names, " or ") + "? They differ"
	if !slices.ContainsFunc(names, func(name string) bool { return !hasLamp(name) }) {
		q.Text += ": each is of a lamp alone, which the command balance takes together"
	}
	isDay := func(head string) bool {
		_, _, light := schema.LightIn(head)
		return isState(head) && !light && lampNamed(head) != "" && !IsLampAlone(head)
	}
	if !slices.ContainsFunc(heads, func(head string) bool { return !isDay(head) }) {
		q.Text += ": the command match compares them, each in a file of its own"
	}
	if AreLights(heads, nil) {
		q.Command = "ratio"
	}
	l.ask(q)
}
