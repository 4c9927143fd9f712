package sheet

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"evenfall/photometry/schema"
	"evenfall/photometry/table"
)

// rowOf is a row of readings: all of a line, or one of a turned list or of a chat.
type rowOf struct {
	name     string
	readings []reading
	numbers  int
	placed   bool // by lengths
}

// rows are the readings row by row.
func (d *draft) rows() (rows []rowOf) {
	for i, r := range d.readings {
		if i == 0 || d.how == "turned list" || r.level.Line != d.readings[i-1].level.Line {
			rows = append(rows, rowOf{name: rowName(r)})
			if d.how == "grid" {
				rows[len(rows)-1].name = r.row // the others are no more than counted
			}
		}
		row := &rows[len(rows)-1]
		row.readings = append(row.readings, r)
		row.placed = row.placed || r.x.Text != ""
		if r.value.kind == number {
			row.numbers++
		}
	}
	return rows
}

// rowName is what the row of a reading is called: its head in a grid, else its place.
func rowName(r reading) string {
	if r.row != "" {
		return r.row
	}
	return r.name.Text
}

// isPlace reports whether a row is surely one of places: its name is that of one, or a
// letter, or it has none that could tell.
func (r rowOf) isPlace() bool { return r.placed || len(r.name) < 2 || placeLike(r.name) }

// sparse reports whether a row has one level where half of the rows or more have several.
func (r rowOf) sparse(all []rowOf) bool {
	several := 0
	for _, other := range all {
		if other.numbers > 1 {
			several++
		}
	}
	return r.numbers == 1 && 2*several >= len(all)
}

// leaveSums leaves out the rows at the end, whose names are no places, with the mean, the
// sum, the smallest or the greatest of the rows above them, and asks about one that has a
// single level where others have several, or the mean among names that do not tell.
func (d *draft) leaveSums(answer string) {
	rows := d.rows()
	end, named := lastPlace(rows)
	if end < 2 {
		return
	}
	base := rows[:end]
	for _, row := range rows[end:] {
		line := row.readings[0].level.Line
		fits, sum := row.summarizes(base)
		sparse, mean := row.sparse(rows), row.isMean(base)
		switch {
		case row.name == "" && sparse && mean:
			if answer == "" {
				d.askRow(fmt.Sprintf("line %d", line), row.readings[0], "its only level is the mean of all others")
			}
		case row.isPlace() || d.how != "grid" && len(row.readings) > 1 && !sparse:
		case fits && (named || sparse), sum && !named:
			d.leave("row "+row.name, line)
			d.remove(func(r reading) bool { return rowName(r) == row.name && r.level.Line == line })
		case answer == "" && (sparse || fits && row.numbers == 1 && mean):
			d.askRow(row.name, row.readings[0], "it has one level where other rows have several, or the mean of them")
		}
	}
}

// lastPlace is how many rows there are before those at the end that may sum them up: whose
// names are no places, or where no name tells those with a single level, or the last one.
func lastPlace(rows []rowOf) (end int, named bool) {
	before := func(sums func(rowOf) bool) int {
		end := len(rows)
		for end > 0 && sums(rows[end-1]) {
			end--
		}
		return end
	}
	end = before(func(r rowOf) bool { return !r.isPlace() && r.numbers > 0 })
	if tail := len(rows) - end; tail > 0 && end > 1 && 2*tail <= max(2, end) {
		return end, true
	}
	end = before(func(r rowOf) bool { return !r.isPlace() && r.sparse(rows) })
	if end == len(rows) && len(rows) > 3 || end > 2 && rows[end-1].name == "" && rows[end-1].sparse(rows) {
		end--
	}
	return end, false
}

// summarizes reports whether each level of a row is the mean, the sum, the smallest or the
// greatest of those above it: of its column, or of all where it is the only one.
func (r rowOf) summarizes(base []rowOf) (fits, sum bool) {
	fits, sum = r.numbers > 0, r.numbers > 0
	for k, one := range r.readings {
		if one.value.kind != number {
			continue
		}
		above := column(base, k)
		if r.numbers == 1 {
			above = column(base, -1)
		}
		mean, total := sumsUp(above, one.value.number)
		fits = fits && (mean || total || r.numbers == 1 && isExtreme(above, one.value.number))
		sum = sum && total
	}
	return fits, sum
}

func (r rowOf) isMean(base []rowOf) bool {
	return slices.ContainsFunc(r.readings, func(one reading) bool {
		mean, _ := sumsUp(column(base, -1), one.value.number)
		return one.value.kind == number && mean
	})
}

// column are the readings of rows at one place of them, of all where it is negative.
func column(rows []rowOf, k int) (all []reading) {
	for _, row := range rows {
		for i, r := range row.readings {
			if k < 0 || i == k {
				all = append(all, r)
			}
		}
	}
	return all
}

// isExtreme reports whether a level is the smallest or the greatest of readings.
func isExtreme(readings []reading, v float64) bool {
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, r := range readings {
		if r.value.kind == number {
			lo, hi = min(lo, r.value.number), max(hi, r.value.number)
		}
	}
	step := 0.6 * lastDigit(v)
	return math.Abs(v-lo) <= step || math.Abs(v-hi) <= step
}

// remove leaves out readings; rows of a grid below one that is gone move up.
func (d *draft) remove(drop func(r reading) bool) {
	used := func() map[int]bool {
		rows := map[int]bool{}
		for _, r := range d.readings {
			if r.spot != nil {
				rows[r.spot.row] = true
			}
		}
		return rows
	}
	before := used()
	d.readings = slices.DeleteFunc(slices.Clone(d.readings), drop)
	after := used()
	for i, r := range d.readings {
		if r.spot == nil {
			continue
		}
		s := *r.spot
		for row := range before {
			if !after[row] && row < r.spot.row {
				s.row--
			}
		}
		d.readings[i].spot = &s
	}
}

// askRow asks whether a row is one of places of the surface.
func (d *draft) askRow(name string, first reading, why string) {
	with, without := *d, *d
	without.readings = slices.DeleteFunc(slices.Clone(d.readings), func(r reading) bool { return rowName(r) == name })
	text := quote(name)
	if first.row == "" {
		text += ", " + first.level.Text + ","
	}
	d.ask(Question{Code: "summary", Line: first.level.Line, Note: "leave out", Text: "is " + text + " a place of the surface? Else leave it out: " + why,
		Options: []Option{{name, without.gives()}, {"nothing", with.gives()}}})
}

// sumsAbove reports whether a row, with a word for a mean or a sum among others in its
// name, has that of the rows right above it: Subtotal left.
func (l *list) sumsAbove(r int) bool {
	text := l.m.firstWords(r)
	if _, side := wordSides(text); side || !schema.HasWord(text, schema.MeanWord) {
		return false
	}
	n := 0
	for k, c := range l.levels {
		v := l.m.values[r][c]
		if v.kind != number {
			continue
		}
		if n++; !l.sumsRun(k, v.number) {
			if l.m.answers.leaveOut == "" {
				l.ask(Question{Code: "summary", Line: l.m.line(r), Note: "leave out", Text: "is " + quote(text) + ", " + l.m.text(r, c) + ", a place of the surface? It is called a mean or a sum, and is none of the rows above it",
					Options: []Option{{text, "left out"}, {"nothing", "a place"}}})
			}
			return false
		}
	}
	return n > 0
}

// sumsRun reports whether a level is the mean or the sum of the last readings of a column,
// however many.
func (l *list) sumsRun(k int, v float64) bool {
	var run []reading
	for i := len(l.records) - 1; i >= 0; i-- {
		run = append(run, l.readings[i*len(l.levels)+k])
		if mean, sum := sumsUp(run, v); mean || sum {
			return true
		}
	}
	return false
}

// obey leaves out the readings that the answer names, by their place, their row or as
// line 8, with semicolons between.
func (d *draft) obey(answer string) {
	all := d.readings
	for name := range strings.SplitSeq(answer, ";") {
		folded := table.Fold(name)
		matches := func(text string, line int) bool {
			text = table.Fold(text)
			return text == folded || strings.TrimPrefix(text, "row ") == folded || folded == fmt.Sprintf("line %d", line)
		}
		found := folded == "nothing" || slices.ContainsFunc(d.left, func(l leftOut) bool { return matches(l.text, l.line) })
		d.remove(func(r reading) bool {
			if !matches(r.name.Text, r.level.Line) && table.Fold(r.row) != folded {
				return false
			}
			d.leave(strings.TrimSpace(r.name.Text+" "+r.level.Text), r.level.Line)
			found = true
			return true
		})
		if !found {
			d.ask(Question{Code: "leave out", Text: "nothing is called " + quote(strings.TrimSpace(name)) + ", which is to be left out: expected the name of a place or a row, or a line such as line 8; the places are " + d.names()})
			return
		}
	}
	if len(d.readings) == 0 {
		d.readings = all
		d.ask(Question{Code: "leave out", Text: "all readings are to be left out: expected at least one that is not"})
	}
}

// names are the first names of places.
func (d *draft) names() string {
	var names []string
	for _, r := range d.readings {
		if name := rowName(r); name != "" && !slices.Contains(names, name) {
			names = append(names, name)
		}
	}
	if len(names) > 6 {
		names = append(names[:6], "…")
	}
	return strings.Join(names, ", ")
}

// checkLast finds a last reading, or a last row of a bare grid, that is the mean or the
// sum of those above.
func (d *draft) checkLast() {
	n := len(d.readings)
	if d.how == "grid" {
		d.checkLastRow()
		return
	}
	if n < 4 {
		return
	}
	last := d.readings[n-1]
	labelled := 0
	for _, r := range d.readings[:n-1] {
		if r.name.Text != "" || r.x.Text != "" {
			labelled++
		}
	}
	if last.name.Text != "" || last.x.Text != "" || last.value.kind != number {
		return
	}
	isMean, isSum := sumsUp(d.readings[:n-1], last.value.number)
	switch {
	case (isMean || isSum) && labelled == n-1:
		d.leave(fmt.Sprintf("line %d", last.level.Line), last.level.Line)
		d.readings = d.readings[:n-1]
	case isMean || isSum || labelled == n-1:
		d.ask(Question{Code: "summary", Line: last.level.Line, Note: "leave out", Text: fmt.Sprintf("is the last level, %s without a name, a reading or the mean of those above it?", figure(last.value.number)),
			Options: []Option{{fmt.Sprintf("line %d", last.level.Line), "the mean, left out"}, {"nothing", "a reading"}}})
	}
}

func sumsUp(readings []reading, v float64) (mean, sum bool) {
	total, n := 0.0, 0.0
	for _, r := range readings {
		if r.value.kind == number {
			total, n = total+r.value.number, n+1
		}
	}
	step := 0.6 * lastDigit(v)
	return n > 1 && math.Abs(total/n-v) <= step, n > 1 && math.Abs(total-v) <= step
}

// checkLastRow asks where the last row of a grid is the mean of the rows above it, and its
// head is no place.
func (d *draft) checkLastRow() {
	rows := d.rows()
	end := len(rows) - 1
	if end < 2 || rows[end].numbers < 2 || rows[end].readings[0].spot == nil || placeLike(rows[end].readings[0].row) {
		return
	}
	for k, r := range rows[end].readings {
		if mean, sum := sumsUp(column(rows[:end], k), r.value.number); r.value.kind == number && !mean && !sum {
			return
		}
	}
	line := fmt.Sprintf("line %d", rows[end].readings[0].level.Line)
	d.ask(Question{Code: "summary", Line: rows[end].readings[0].level.Line, Note: "leave out", Text: "is the last row the mean of the rows above it, or readings?",
		Options: []Option{{line, "the mean, left out"}, {"nothing", "readings"}}})
}

// checkNames asks where a few names are unlike all others, or name a state of the light: a
// wanted level, a reading of something else.
func (d *draft) checkNames() {
	var odd, states []string
	first := map[string]reading{}
	like, rows := 0, 0
	for _, row := range d.rows() {
		rows++
		switch {
		case row.isPlace():
			if row.name != "" && !row.placed && placeLike(row.name) {
				like++
			}
			continue
		case isState(row.name):
			states = append(states, row.name)
		}
		if odd = append(odd, row.name); first[row.name].level.Line == 0 {
			first[row.name] = row.readings[0]
		}
	}
	odd, states = slices.Compact(odd), slices.Compact(states)
	least := 3
	if d.how == "grid" {
		least = 2
	}
	switch {
	case len(odd) == 1 && like >= least, len(odd) > 0 && len(odd) == len(states) && like >= least:
		d.askRow(odd[0], first[odd[0]], "its name is unlike the others")
	case len(states) > 0 && 3*len(states) <= rows:
		d.askRow(states[0], first[states[0]], "its name is rather of another light")
	}
}
