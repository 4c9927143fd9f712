package sheet

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/schema"
	"evenfall/photometry/table"
)

// draft is one way to read a part of a sheet.
type draft struct {
	in       schema.File
	how      string // list, grid, …
	readings []reading
	unit     photometry.Unit // of levels whose cells have none; NoUnit where nothing says
	times    float64
	iso      string
	sign     rune   // the decimal sign
	length   string // unit of the positions, "" where nothing says
	others   []*schema.Column
	// otherUnits are the units of the heads of others, as (cm) behind the name.
	otherUnits []string
	color      *schema.Column // of a grid of colors in place of levels
	day        string         // of several, the one that the answer names
	dayHead    string         // of the column of days, "" for none

	header []table.Cell   // of records, whose cells are those of the plain form
	cells  [][]table.Cell // likewise

	headerLine int
	columns    []string // what the levels and places are read from, as typed
	left       []leftOut
	assumed    []photometry.Remark
	notes      []table.Note

	explained, numbers int
	score              float64
	question           *Question
	whole              func() *draft // reads the rest of a long sheet in the same way
}

// leftOut is what is not read: a row, a column, a title.
type leftOut struct {
	text string
	line int
	unit photometry.Unit // of a level beside it
}

// reading is a row of the plain form.
type reading struct {
	name   table.Cell // of the place, as typed; its group before it
	row    string     // the head of its row in a grid
	day    string     // on which it was taken, where a column says so
	spot   *spot      // in rows and columns, where they are known
	x, y   table.Cell // positions, empty for none
	level  table.Cell
	value  value
	others []table.Cell // as draft.others
}

// leave names a row or column that is not read.
func (d *draft) leave(text string, line int) {
	text = strings.TrimRight(strings.TrimSpace(text), ": ")
	d.left = append(d.left, leftOut{text: text, line: line})
}

func (d *draft) assume(key string, values ...any) {
	d.assumed = append(d.assumed, photometry.Remarked(key, values...))
}

// ask keeps the first question, and all about cells where that is about one.
func (d *draft) ask(q Question) {
	switch first := d.question; {
	case first == nil:
		d.question = &q
	case first.Code == "cell" && q.Code == "cell":
		all := *first // other ways to read the sheet have it too
		all.others = append(slices.Clip(first.others), q)
		d.question = &all
	}
}

// figures are what two ways to read a sheet are compared by.
type figures struct {
	low, high float64
	places    int
	unit      photometry.Unit
}

// isOfOneLamp reports whether a reading is of one lamp alone.
func (d *draft) isOfOneLamp(r reading) bool {
	at := slices.Index(d.others, schema.LampOf)
	return at >= 0 && r.others[at].Text != "" && !strings.EqualFold(r.others[at].Text, "all")
}

// figures are the smallest and the greatest level as written, how many places were read
// and their unit, of all lamps together where they were read so.
func (d *draft) figures() figures {
	f := figures{math.Inf(1), math.Inf(-1), 0, d.unit}
	sums, counts := map[string]float64{}, map[string]int{}
	together := slices.ContainsFunc(d.readings, func(r reading) bool { return !d.isOfOneLamp(r) })
	for i, r := range d.readings {
		if !r.value.isReading() || together && d.isOfOneLamp(r) {
			continue
		}
		key := d.key(i)
		counts[key] += 0 // a place, even without a level
		if v := d.written(r.value); r.value.kind == number {
			sums[key], counts[key] = sums[key]+v, counts[key]+1
		}
		if r.value.unit != photometry.NoUnit && f.unit == photometry.NoUnit {
			f.unit = r.value.unit
		}
	}
	f.places = len(counts)
	for key, n := range counts {
		if n > 0 {
			mean := sums[key] / float64(n)
			f.low, f.high = min(f.low, mean), max(f.high, mean)
		}
	}
	return f
}

// written is a value in the unit of the draft's levels.
func (d *draft) written(v value) float64 {
	n := v.number
	if v.unit == photometry.NoUnit {
		n *= max(1, d.times)
	}
	unit := d.unit
	if v.unit != photometry.NoUnit {
		unit = v.unit
	}
	switch {
	case unit == photometry.EV:
		return n + v.part
	case unit == photometry.FStop && v.part != 0:
		return photometry.Thirds.ExactFNumber(n) * math.Exp2(v.part/2)
	case unit == photometry.FC && d.unit == photometry.LX:
		return photometry.Lux(n)
	case unit == photometry.LX && d.unit == photometry.FC:
		return photometry.Footcandles(n)
	}
	return n
}

// key is the place of a reading.
func (d *draft) key(i int) string {
	r := d.readings[i]
	switch {
	case r.x.Text != "" || r.y.Text != "":
		return r.x.Text + "|" + r.y.Text
	case r.name.Text != "":
		return labelKey(r.name.Text)
	case r.spot != nil:
		return table.Fold(string(rune(r.spot.column)) + "|" + string(rune(r.spot.row)))
	}
	return "row " + string(rune(i))
}

// stops are the readings in stops, without bounds.
func (d *draft) stops() (stops []float64) {
	for _, r := range d.readings {
		if v := r.value.level(d.unit); v > 0 {
			stops = append(stops, math.Log2(v))
		}
	}
	return stops
}

// spread is how many stops the readings are apart.
func spread(stops []float64) float64 {
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, s := range stops {
		lo, hi = min(lo, s), max(hi, s)
	}
	return max(0, hi-lo)
}

// samePlaces reports whether two drafts have most of their places in common.
func (d *draft) samePlaces(other *draft) bool {
	mine := map[string]bool{}
	for i := range d.readings {
		mine[d.key(i)] = true
	}
	shared := 0
	for i := range other.readings {
		if mine[other.key(i)] {
			shared++
		}
	}
	return 2*shared > len(other.readings)
}

// figureText writes a number with the decimal sign of a sheet.
func figureText(v float64, sign rune) string {
	text := strconv.FormatFloat(v, 'g', -1, 64)
	if sign == ',' {
		text = strings.Replace(text, ".", ",", 1)
	}
	return text
}
