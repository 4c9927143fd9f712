package survey

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/schema"
	"evenfall/photometry/table"
)

const (
	// walkScatter is by how much, of the level, two readings of a meter differ at least,
	// as standard deviations of one: common practice, no source.
	walkScatter = 0.01
	// byChance is how likely two walks may agree in every place and still be told to be
	// one. At three digits five places do, of whole lx near 100 lx it takes about nine.
	byChance = 1e-4
	// factorRounding is how far people round the lx of a footcandle, of the level.
	factorRounding = 4e-4
)

// copiedInUnits marks the lines of sheets that have the readings of another one in
// another unit, such as footcandles beside lux, and says so.
func copiedInUnits(sheets []*rows, copied []map[int]bool) (told []photometry.Finding) {
	for k, r := range sheets {
		for j, of := range sheets[:k] {
			kept, again, drop := of, r, k
			if !r.converted(of) {
				kept, again, drop = r, of, j
			}
			if copied[k] != nil || copied[j] != nil || !again.converted(kept) {
				continue
			}
			copied[drop] = map[int]bool{}
			for i := range again.n {
				copied[drop][again.line(i)] = true
			}
			if again.sheet == kept.sheet {
				told = append(told, photometry.Found("block.copied_in_unit", "file", again.sheet.Place(), "first", again.line(0), "last", again.line(again.n-1),
					"of_first", kept.line(0), "of_last", kept.line(kept.n-1)))
				continue
			}
			told = append(told, photometry.Found("copied_in_unit", "file", again.sheet.Place(), "of", kept.sheet.Place()))
		}
	}
	return told
}

// mostBlocks is how many blocks in units of their own are held against each other: who
// writes a unit in each cell mixes them row by row.
const mostBlocks = 16

// unitBlocks are the blocks of rows in turn that are written in one unit each, nil where
// all are in one or there are many.
func (r *rows) unitBlocks() []*rows {
	if r.grid || len(r.text) < table.FewestCopied {
		return nil
	}
	unit := func(i int) photometry.Unit {
		text, _ := splitMark(r.text[int32(i)])
		if _, written, err := (photometry.Meter{Unit: r.unit, Number: r.sheet.Dialect.Number}).ParseLevel(text); err == nil {
			return written
		}
		return r.unit
	}
	var blocks []*rows
	for from := 0; from < r.n; {
		to := from + 1
		for to < r.n && (math.IsNaN(r.level[to]) || unit(to) == unit(from)) {
			to++
		}
		if len(blocks) == mostBlocks {
			return nil
		}
		block := r.where(func(i int) bool { return i >= from && i < to })
		block.unit = unit(from)
		blocks, from = append(blocks, block), to
	}
	return blocks
}

// converted reports whether all readings are those of another sheet in another unit: at
// least FewestCopied places, in each of which they agree to the rounding of one and the
// same of the two sheets, and their times and colors where both have them. Walks that
// scatter by a percent would do so by chance once in ten thousand times at most.
func (r *rows) converted(of *rows) bool {
	a, proportional := r.unit.Scale()
	b, too := of.unit.Scale()
	if !proportional || !too || a == b || r.quantity != of.quantity || len(r.bounds) > 0 || r.level == nil || of.level == nil || !r.colors.within(&of.colors) {
		return false
	}
	for _, note := range []schema.Declared{schema.Date, schema.Title, schema.Lamp} {
		if sheetNote(r.sheet, note) != sheetNote(of.sheet, note) {
			return false
		}
	}
	return r.agrees(of, func(i, _ int) float64 { return halfDigit(r.level[i], a) }) ||
		r.agrees(of, func(_, j int) float64 { return halfDigit(of.level[j], b) })
}

// agrees reports whether all readings are those of another sheet, to a rounding.
func (r *rows) agrees(of *rows, rounding func(i, j int) float64) bool {
	byLabel := r.label != nil && of.label != nil
	at := map[place][]int{}
	for j := range of.n {
		p := of.place(j, byLabel)
		at[p] = append(at[p], j)
	}
	read, chance := 0, 1.0
	for i := range r.n {
		if math.IsNaN(r.level[i]) {
			if r.colors.hasAny(i) {
				return false
			}
			continue // a place to be read
		}
		p, off := r.place(i, byLabel), 0.0
		k := slices.IndexFunc(at[p], func(j int) bool {
			off = rounding(i, j) + factorRounding*r.level[i]
			return math.Abs(r.level[i]-of.level[j]) <= off && sameWhereRead(r.minutes, of.minutes, i, j) && r.colors.same(&of.colors, i, j)
		})
		if k < 0 {
			return false
		}
		at[p] = slices.Delete(at[p], k, k+1)
		read, chance = read+1, chance*math.Erf(off/r.level[i]/(2*walkScatter))
	}
	return read >= table.FewestCopied && chance <= byChance
}

// place is where a reading was taken, and of which light.
type place struct {
	label, lamp, role string
	x, y              float64
}

func (r *rows) place(i int, byLabel bool) (p place) {
	text := func(column []string) string {
		if column == nil {
			return ""
		}
		return strings.ToLower(strings.TrimSpace(column[i]))
	}
	p.lamp, p.role = text(r.lamp), text(r.role)
	if byLabel {
		p.label = text(r.label)
		return p
	}
	p.x, p.y = math.Round(1000*valueAt(r.x, i)), math.Round(1000*valueAt(r.y, i))
	return p
}

// halfDigit is half of the last digit of a level as it was written, in SI.
func halfDigit(level, scale float64) float64 {
	written := strconv.FormatFloat(math.Round(level/scale*1e6)/1e6, 'f', -1, 64)
	_, decimals, _ := strings.Cut(written, ".")
	return scale * math.Pow10(-len(decimals)) / 2
}

func sameWhereRead(a, b []float64, i, j int) bool {
	return a == nil || b == nil || math.IsNaN(a[i]) || math.IsNaN(b[j]) || math.Abs(a[i]-b[j]) < 1e-9
}

// within reports whether others have all the kinds of color that these have.
func (c *colorColumns) within(others *colorColumns) bool {
	return !slices.ContainsFunc(schema.Colors, func(of *schema.Column) bool { return c.has(of) && !others.has(of) })
}

// same reports whether two readings have the same color.
func (c *colorColumns) same(other *colorColumns, i, j int) bool {
	return !slices.ContainsFunc(colorNumbers, func(of *schema.Column) bool { return !sameWhereRead(*c.number(of), *other.number(of), i, j) }) &&
		(c.cc == nil || other.cc == nil || c.cc[i] == other.cc[j])
}
