package sheet

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/schema"
	"evenfall/photometry/table"
)

// answers are the sort of file that is read and what notes or flags answer to questions,
// "" for nothing.
type answers struct {
	in    schema.File
	lamps bool // a column or a table may be of one lamp

	sheet, column, levelUnit, decimal, rows, lengthUnit, leaveOut, repeats string
	notes                                                                  []table.Note // all of them
}

// of takes them from the notes of a command line, else of a sheet.
func (a answers) of(notes []table.Note) answers {
	for of, to := range map[schema.Declared]*string{schema.SheetOf: &a.sheet, schema.ColumnOf: &a.column, schema.LevelUnit: &a.levelUnit, schema.DecimalSign: &a.decimal,
		schema.RowsFrom: &a.rows, schema.LengthUnit: &a.lengthUnit, schema.LeaveOut: &a.leaveOut, schema.RepeatsAre: &a.repeats} {
		*to = schema.Text(schema.SurveyFile, notes, of)
	}
	a.notes = notes
	return a
}

// Scores of a candidate, in points of ten for a sheet whose numbers are all explained.
// Found by trial on the sheets of testdata; no source.
const (
	enough    = 7.0 // from which on a reading of a sheet is taken
	ambiguous = 1.5 // nearer than this, another one with another result is asked about
	mostHeads = 14  // rows that are tried as a header
	longSheet = 400 // rows from which on the layout is chosen by the first ones
	firstRows = 200
	widest    = 300 // columns of a sheet that is read without a plain header
)

// candidates are the ways to read a part, the best first.
func candidates(m *matrix) (all []*draft) {
	whole := m
	if m.height() > longSheet {
		m = m.rowsOf(0, firstRows)
	}
	add := func(read func(m *matrix) *draft) {
		if d := read(m); d != nil && len(d.readings) > 0 {
			d.rate(m)
			d.whole = func() *draft { return read(whole) }
			all = append(all, d)
		}
	}
	m.lists(false, add)
	if whole.height() <= widest {
		m.lists(true, add)
	}
	if m.answers.in == schema.SurveyFile {
		m.grids(add)
		add(readPairs)
	}
	slices.SortStableFunc(all, func(a, b *draft) int { return cmp.Compare(b.score, a.score) })
	return all
}

// lists tries a part as a list with each of the first rows as its header, or each two.
func (m *matrix) lists(swapped bool, try func(read func(m *matrix) *draft)) {
	part := turned(m, swapped)
	list := func(header, below int) {
		try(func(m *matrix) *draft { return named(readList(turned(m, swapped), header, below), swapped) })
	}
	list(0, 0)
	for r := range min(mostHeads, part.height()-1) {
		if part.blankRow(r) || part.numbers(r) > 1 && part.numbers(r) > len(part.filled(r))/2 {
			continue
		}
		list(r, r+1)
		if r+2 < part.height() && !part.blankRow(r+1) {
			list(r, r+2)
		}
	}
}

// grids tries a part as a grid below each of the first rows, or none, with and without
// heads of its rows.
func (m *matrix) grids(try func(read func(m *matrix) *draft)) {
	for top := -1; top < min(mostHeads, m.height()-1); top++ {
		if top >= 0 && (m.blankRow(top) || len(m.filled(top)) < 2) {
			continue
		}
		for left := -1; left < 1; left++ {
			try(func(m *matrix) *draft { return readGrid(m, top, left) })
			if top > 0 && len(m.twice(top)) > 0 {
				try(func(m *matrix) *draft { return readGrid(m.joined(top), top-1, left) })
			}
		}
	}
}

// turned is a part with its rows and columns swapped, or as it is.
func turned(m *matrix, swapped bool) *matrix {
	if swapped {
		return m.transposed()
	}
	return m
}

func named(d *draft, swapped bool) *draft {
	if d != nil && swapped {
		d.how, d.score = "turned list", d.score-1
	}
	return d
}

// rate adds what a draft explains of its part to its score.
func (d *draft) rate(m *matrix) {
	numbers := max(d.numbers, 1)
	explained := min(d.explained, numbers)
	d.score += 10 * float64(2*explained-numbers) / float64(numbers)
	read, withUnit := 0, 0
	for _, r := range d.readings {
		if r.value.isReading() {
			read++
			if r.value.unit != photometry.NoUnit {
				withUnit++
			}
		}
	}
	if read < 2 {
		d.score -= 20
	}
	if withUnit > read/2 {
		d.score += 2
	}
	if spread(d.stops()) > 6 && m.answers.in == schema.SurveyFile {
		d.score -= 4
	}
}

// readPart reads a part in the best way; nil where there is none. A draft whose question
// is set cannot be taken.
func readPart(m *matrix) *draft {
	if m.width > widest {
		return nil
	}
	all := candidates(m)
	if len(all) == 0 || all[0].score < enough {
		return nil
	}
	best := all[0]
	if m.height() > longSheet {
		if best = best.whole(); best == nil {
			return nil
		}
		best.rate(m)
		all = all[:1]
	}
	best.check(m)
	for _, other := range all[1:] {
		if other.score < best.score-ambiguous || other.score < enough {
			break
		}
		if other.check(m); other.figures() != best.figures() && other.question == nil && best.question == nil && !contains(best, other) {
			best.ask(Question{Code: "table", Text: "which cells are readings? Type a head over each column, such as place and lux",
				Options: []Option{{best.how, best.gives()}, {other.how, other.gives()}}})
		}
	}
	return best
}

// contains reports whether a draft reads what another one does, and more of the same
// sheet in the same way, or the unit too.
func contains(a, b *draft) bool {
	same := a.figures()
	same.unit = photometry.Plain
	return a.how == b.how && same == b.figures() || a.how == b.how && len(a.readings) > len(b.readings) && a.explained > b.explained
}

// readMatrix reads a sheet, or a part of one: its tables, one below the other or side by
// side.
func readMatrix(m *matrix) (tables []*draft, aside []leftOut) {
	if strips := m.strips(); len(strips) > 1 {
		var read []*draft
		var rest []*matrix
		for _, s := range strips {
			t, _ := readStack(s)
			if len(t) > 0 && s.width > 1 {
				read = append(read, t...)
			} else {
				rest = append(rest, s)
			}
		}
		whole, left := readStack(m)
		alone := len(read) > 1 || len(read) == 1 && summaries(rest)
		if alone && !(len(whole) == 1 && len(read) < 2 && whole[0].score > read[0].score+ambiguous) {
			for _, s := range rest {
				aside = append(aside, s.aside()...)
			}
			return read, aside
		}
		return whole, left
	}
	return readStack(m)
}

// summaries reports whether parts have no more than summaries and remarks: two numbers at
// most that nothing names.
func summaries(parts []*matrix) bool {
	n := 0
	for _, m := range parts {
		for r := range m.cells {
			text := ""
			for _, c := range m.filled(r) {
				if m.values[r][c].kind == words {
					text += m.text(r, c) + " "
				}
			}
			if !isSummary(schema.Words(text)) {
				n += m.numbers(r)
			}
		}
	}
	return n <= 2
}

// readStack reads tables one below the other.
func readStack(m *matrix) (tables []*draft, aside []leftOut) {
	cuts := m.cuts()
	for i := 1; i < len(cuts); i++ {
		part := m.rowsOf(cuts[i-1], cuts[i])
		if d := readPart(part); d != nil {
			tables = append(tables, d)
		} else if len(cuts) > 2 {
			aside = append(aside, part.aside()...)
		}
	}
	return tables, aside
}

// check asks about what a draft leaves open.
func (d *draft) check(m *matrix) {
	if d.color != nil {
		return
	}
	if m.answers.in != schema.SurveyFile {
		d.checkReadings(m)
		return
	}
	d.joinRepeats(m.answers)
	d.checkDays(m.answers)
	d.settleUnit(m)
	d.boundZeros()
	if m.answers.leaveOut != "nothing" {
		d.leaveSums(m.answers.leaveOut)
	}
	if m.answers.leaveOut == "" {
		d.checkLast()
		d.checkNames()
	} else {
		d.obey(m.answers.leaveOut)
	}
	if slices.ContainsFunc(d.readings, func(r reading) bool { return r.value.middle }) {
		d.assume("sheet.ranges")
	}
	if slices.ContainsFunc(d.readings, func(r reading) bool { return ofStage(r.name.Text) }) {
		d.assume("sheet.stage")
	}
	if m.answers.repeats == "" {
		d.checkRepeats()
	}
	if m.answers.lengthUnit != "" {
		d.length = m.answers.lengthUnit
	}
	if !m.answers.lamps {
		d.checkLamps()
	}
	d.checkLengths()
	d.checkUnits()
	d.checkLevels()
}

// unitSaid is a unit of levels that something beside the table says.
type unitSaid struct {
	unit  photometry.Unit
	times float64
	text  string
	title bool // rather than the name of a column that is not read
}

// unitsSaid finds the first unit that a title, a line of a chat or a column that is not
// read says, and another one that a further title says.
func (d *draft) unitsSaid() (said unitSaid, other photometry.Unit) {
	for _, left := range d.left {
		u, times := unitIn(left.text)
		if left.unit != photometry.NoUnit {
			u, times = left.unit, 1
		}
		ofColumn := func(name string) bool { return strings.Contains(name, left.text) }
		switch {
		case u == photometry.NoUnit, strings.HasSuffix(left.text, "?"), slices.ContainsFunc(d.columns, ofColumn):
		case left.unit == photometry.NoUnit && isSummary(schema.Words(left.text)):
		case said.unit == photometry.NoUnit:
			said = unitSaid{u, times, left.text, left.line > 0}
		case u != said.unit && left.line > 0:
			other = u
		}
	}
	return said, other
}

// settleUnit finds the unit of levels: of the answer, the header, the cells, a title.
func (d *draft) settleUnit(m *matrix) {
	said, other := d.unitsSaid()
	cells := map[photometry.Unit]int{}
	most := 0.0
	for _, r := range d.readings {
		if r.value.kind == number {
			cells[r.value.unit]++
			most = max(most, r.value.number)
		}
	}
	bare := cells[photometry.NoUnit]
	delete(cells, photometry.NoUnit)
	answered, times := unitOf(m.answers.levelUnit)
	switch {
	case answered != photometry.NoUnit:
		d.unit, d.times = answered, times
	case d.unit != photometry.NoUnit && said.unit != photometry.NoUnit && said.unit != d.unit && said.title:
		d.askUnit(fmt.Sprintf("are the levels in %s or %s? %s says one, the column the other", d.unit, said.unit, quote(said.text)), d.unit, said.unit)
	case d.unit != photometry.NoUnit:
	case bare == 0 && len(cells) > 0: // each cell says its own
		for _, u := range []photometry.Unit{photometry.CDM2, photometry.FStop, photometry.EV, photometry.FC, photometry.LX} {
			if cells[u] > 0 {
				d.unit = u
			}
		}
	case said.unit != photometry.NoUnit && other != photometry.NoUnit && said.title:
		d.askUnit(fmt.Sprintf("are the levels%s in %s or %s? The sheet names both", d.inColumn(), said.unit, other), said.unit, other)
	case said.unit != photometry.NoUnit:
		d.unit, d.times = said.unit, said.times
		d.assume("sheet.unit_said", "unit", said.unit.String(), "text", quote(said.text))
	case len(cells) == 1 && bare < 1+len(d.readings)/2:
		for u := range cells {
			d.unit = u
		}
	case most <= 22:
		d.askUnit("which unit have the levels"+d.inColumn()+"? Nothing in the sheet says so, and small numbers may be of several", photometry.EV, photometry.FStop, photometry.LX, photometry.FC)
	default:
		d.unit = photometry.Plain
		d.assume("sheet.no_unit")
	}
	for u, n := range cells {
		if u != d.unit && comparable(u, d.unit) {
			d.assume("sheet.mixed_units", "cells", n, "from", u.String(), "to", d.unit.String())
		}
	}
}

// askUnit asks for the unit of the levels, by which the spread differs.
func (d *draft) askUnit(text string, units ...photometry.Unit) {
	q := Question{Code: "unit", Line: d.headerLine, Note: "level unit", Text: text}
	for _, u := range units {
		as := *d
		as.unit = u
		q.Options = append(q.Options, Option{u.String(), as.gives()})
	}
	d.ask(q)
}

func (d *draft) inColumn() string {
	if len(d.columns) == 0 {
		return ""
	}
	return " of " + quote(d.columns[0])
}

// boundZeros makes readings of zero ones below what the meter can show.
func (d *draft) boundZeros() {
	if _, proportional := d.unit.Scale(); !proportional {
		return
	}
	for i := range d.readings {
		if v := &d.readings[i].value; v.kind == number && v.number == 0 {
			v.kind, v.number = under, math.NaN()
		}
	}
}

// checkRepeats asks where several readings of one place disagree, and tells of a place
// that was read twice while another is missing.
func (d *draft) checkRepeats() {
	if d.how == "grid" {
		return
	}
	at := map[string][]int{}
	var order []string
	for i, r := range d.readings {
		if r.value.kind == number && (r.name.Text != "" || r.x.Text != "" || r.spot != nil) {
			key := d.key(i)
			if at[key] == nil {
				order = append(order, key)
			}
			at[key] = append(at[key], i)
		}
	}
	var ranges []float64
	var twice []string
	for _, key := range order {
		if len(at[key]) < 2 {
			continue
		}
		var stops []float64
		for _, i := range at[key] {
			stops = append(stops, math.Log2(d.readings[i].value.level(d.unit)))
		}
		ranges = append(ranges, spread(stops))
		twice = append(twice, d.readings[at[key][0]].name.Text)
	}
	states := func(c *schema.Column) bool { return c == schema.Time || c == schema.LampOf || c == schema.Role }
	if len(ranges) == 0 || slices.ContainsFunc(d.others, states) {
		return
	}
	slices.Sort(ranges)
	middle := ranges[len(ranges)/2]
	missing := d.missing()
	oneOften := len(twice) == 1 && len(at[labelKey(twice[0])]) > 2
	switch {
	case len(ranges) > 1 && middle > 0.1, len(ranges) == 1 && middle > 0.1 && !oneOften, len(ranges) == 1 && middle > 0.02 && d.extremesMove(at[labelKey(twice[0])]):
		d.ask(Question{Code: "repeats", Line: d.headerLine, Note: "repeats", Text: fmt.Sprintf("%d of %d places were read several times (%s), %.2g stops apart: repeats of one light, or two states of it?",
			len(ranges), len(order), twice[0], middle), Options: []Option{{"mean", d.gives()}}})
	case len(twice) == 1 && len(missing) == 1:
		d.assume("sheet.twice", "place", twice[0], "missing", missing[0])
	}
}

// extremesMove reports whether one of several readings of a place is the smallest or the
// greatest of all.
func (d *draft) extremesMove(rows []int) bool {
	lo, hi := math.Inf(1), math.Inf(-1)
	for i, r := range d.readings {
		if r.value.kind == number && !slices.Contains(rows, i) {
			lo, hi = min(lo, r.value.level(d.unit)), max(hi, r.value.level(d.unit))
		}
	}
	return slices.ContainsFunc(rows, func(i int) bool {
		v := d.readings[i].value.level(d.unit)
		return v < lo || v > hi
	})
}

// missing are the places of a grid of labels that no row has.
func (d *draft) missing() (names []string) {
	have := map[spot]bool{}
	most := spot{-1, -1}
	for _, r := range d.readings {
		s, ok := gridSpot(r.name.Text)
		if !ok {
			return nil
		}
		have[s] = true
		most = spot{max(most.column, s.column), max(most.row, s.row)}
	}
	if most.column > 30 || most.row > 30 {
		return nil
	}
	for row := range most.row + 1 {
		for column := range most.column + 1 {
			if s := (spot{column, row}); !have[s] {
				names = append(names, s.String())
			}
		}
	}
	return names
}

// checkLengths asks where lengths without a unit would make a surface of 30 m or more.
func (d *draft) checkLengths() {
	if d.length != "" || d.readings[0].x.Text == "" {
		return
	}
	extent, bare := 0.0, false
	for _, of := range []func(reading) table.Cell{func(r reading) table.Cell { return r.x }, func(r reading) table.Cell { return r.y }} {
		low, high := math.Inf(1), math.Inf(-1)
		for _, r := range d.readings {
			if v := parse(table.RawCell{Cell: of(r)}, d.sign); !finite(v.length) { // else it has a unit of its own
				low, high, bare = min(low, v.number), max(high, v.number), true
			}
		}
		extent = max(extent, high-low)
	}
	if !bare {
		return
	}
	if extent >= FarApart {
		d.ask(askLength(d.headerLine, "positions", "the surface would be "+figure(extent)+" m wide or high"))
		return
	}
	d.assume("sheet.length_unit")
}

// checkLamps asks where readings are named by lamps alone.
func (d *draft) checkLamps() {
	ofLamps := func(c *schema.Column) bool { return c == schema.LampOf || c == schema.Role }
	named := func(r reading) bool { return r.name.Text != "" || r.x.Text != "" || r.spot != nil }
	if slices.ContainsFunc(d.others, ofLamps) && !slices.ContainsFunc(d.readings, named) {
		d.ask(Question{Code: "column", Line: d.headerLine, Text: "where were these readings taken? Each has a lamp and none a place: the evenness of a surface needs a column of places"})
	}
}

// checkUnits asks about a cell whose unit is of another quantity than the others'.
func (d *draft) checkUnits() {
	for _, r := range d.readings {
		if u := r.value.unit; r.value.kind == number && u != photometry.NoUnit && !comparable(u, d.unit) {
			d.askCell("cell", r.level, " beside levels in "+d.unit.String(), "all of one kind")
		}
	}
}

// comparable reports whether levels in two units are of one kind.
func comparable(a, b photometry.Unit) bool {
	illuminance := func(u photometry.Unit) bool { return u == photometry.LX || u == photometry.FC }
	return a == b || illuminance(a) && illuminance(b)
}

// dimmest and brightest are the levels in lux that a light may have.
const dimmest, brightest = 0.01, 200_000

// checkLevels asks about levels that no light has.
func (d *draft) checkLevels() {
	if d.unit != photometry.LX && d.unit != photometry.FC {
		return
	}
	for _, r := range d.readings {
		if r.value.kind != number || r.value.number == 0 {
			continue
		}
		v := r.value.level(d.unit)
		if r.value.unit == photometry.NoUnit {
			v *= max(1, d.times)
		}
		if v < dimmest || v > brightest {
			d.askCell("level", r.level, ", a level of "+figure(v)+" lx, which no light has", "one from 0.01 to 200,000 lx")
			return
		}
	}
}
