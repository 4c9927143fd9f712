package plots

import (
	"strconv"
	"strings"

	"github.com/charmbracelet/x/ansi"

	"evenfall/photometry"
	"evenfall/photometry/evenness"
	"evenfall/photometry/spatial"
)

// TerminalOptions choose how a map is printed as text. The zero value is a
// level map of 80 columns in plain ASCII.
type TerminalOptions struct {
	Kind    Kind
	Width   int // columns that no line exceeds; 0 is 80
	Color   ColorMode
	Unicode bool            // marks and arrows beyond ASCII
	Unit    photometry.Unit // photometry.FC prints levels in footcandles
	Feet    bool            // lengths in feet
}

// Terminal prints the map that Surface draws: the same scale and palette, with
// each reading's number in its place. Points of a lattice stand in rows and
// columns under their letters and numbers; others, and lattices too wide for
// the terminal, are gathered into a grid by their mean, which the last line
// says. The extremes, suspects and the reference carry a mark beside their
// number, and columns and rows in shot a bracket and a bar. Where there is
// little room, numbers are whole tenths or hundredths, which is said as well.
//
// No line is wider than Width or ends in a space that shows nothing, and every
// line ends in a newline. A survey without readings, or without the color that
// a color map needs, gives an empty text.
func Terminal(r *evenness.Result, opt TerminalOptions) string {
	c, err := columnOf(r, opt.Kind)
	if err != nil {
		return ""
	}
	if opt.Width <= 0 {
		opt.Width = 80
	}
	scale := c.scale()
	scale.Zero = c.zero(opt.Unit)
	b := newBoard(c, scale, opt)
	var out strings.Builder
	for _, line := range b.print() {
		if !opt.Unicode {
			line = plain(line)
		}
		out.WriteString(strings.TrimRight(ansi.Truncate(line, opt.Width, ""), " "))
		out.WriteByte('\n')
	}
	return out.String()
}

// plain replaces what the maps use beyond ASCII, and marks the rest.
func plain(text string) string {
	text = asciiWords.Replace(text)
	return strings.Map(func(r rune) rune {
		if r > 0x7e {
			return '?'
		}
		return r
	}, text)
}

var asciiWords = strings.NewReplacer(
	"−", "-", "×", "x", "·", ".", "²", "2", "≤", "<=", "±", "+/-", "…", "...",
	"▲", "^", "▼", "v", "◆", "*", "←", "<-", "→", "->", "′", "'", "é", "e",
)

// board is a map in cells, the first row at the top.
type board struct {
	column *column
	scale  Scale
	opt    TerminalOptions

	cols, rows         int
	cells              []cell
	colNames, rowNames []string
	colIn, rowIn       []bool  // in shot; nil where no part of the surface is
	aspect             float64 // height of a cell over its width on the surface
	gathered           int     // readings behind the cells where these are means, else 0

	width   int // characters of a cell
	number  int // characters of the widest number
	compact bool
	margin  int // before the first cell
}

// cell is a place of the map.
type cell struct {
	value float64 // on the scale; -Inf for a zero level
	full  bool
	color bool // takes the color of its value
	marks string
}

// mostRows is the most rows that readings without a lattice are gathered in.
const mostRows = 24

// narrowest is the characters of the smallest cell: a space or sign, two
// digits and a mark.
const narrowest = 4

func newBoard(c *column, scale Scale, opt TerminalOptions) *board {
	b := &board{column: c, scale: scale, opt: opt}
	l := usable(c.survey)
	if s := c.survey; l == nil && s.Lattice != nil && len(s.Lattice.Index) == len(s.Lattice.Xs)*len(s.Lattice.Ys) {
		l = s.Lattice // one row or one column prints as well as many
	}
	if l != nil && len(l.Ys) <= 60 && 4+narrowest*len(l.Xs) <= opt.Width {
		b.fromLattice(l)
	} else {
		b.fromBins()
	}
	return b
}

// fromLattice gives each place of a lattice its cell.
func (b *board) fromLattice(l *spatial.Lattice) {
	s := b.column.survey
	b.cols, b.rows = len(l.Xs), len(l.Ys)
	b.cells = make([]cell, b.cols*b.rows)
	where := make([]int, s.Len())
	for i := range where {
		where[i] = -1
	}
	for r := range l.Ys {
		for col := range l.Xs {
			i := l.At(col, r)
			if i < 0 || i >= s.Len() {
				continue
			}
			k := (b.rows-1-r)*b.cols + col
			where[i] = k
			if v, ok := b.column.at(i); ok {
				b.cells[k] = cell{value: v, full: true, color: !b.column.out(i)}
			}
		}
	}
	rows, cols := latticeNames(s, l)
	for r := range l.Ys {
		name := length(l.Ys[len(l.Ys)-1-r], b.opt.Feet)
		if rows != nil {
			name = rows[len(rows)-1-r]
		}
		b.rowNames = append(b.rowNames, name)
	}
	for col := range l.Xs {
		name := length(l.Xs[col], b.opt.Feet)
		if cols != nil {
			name = cols[col]
		}
		b.colNames = append(b.colNames, name)
	}
	if a := s.Area; a != nil {
		mid, _ := a.Center()
		_, middle := a.Center()
		for _, x := range l.Xs {
			b.colIn = append(b.colIn, a.Contains(x, middle))
		}
		for r := range l.Ys {
			b.rowIn = append(b.rowIn, a.Contains(mid, l.Ys[len(l.Ys)-1-r]))
		}
	}
	b.aspect = 1
	if b.cols > 1 && b.rows > 1 {
		dx := (l.Xs[b.cols-1] - l.Xs[0]) / float64(b.cols-1)
		dy := (l.Ys[b.rows-1] - l.Ys[0]) / float64(b.rows-1)
		b.aspect = dy / dx
	}
	b.mark(func(i int) int { return where[i] })
	b.size(8)
}

// fromBins gathers points into as many cells as there is room for.
func (b *board) fromBins() {
	s := b.column.survey
	box, _ := spatial.BoxOf(s.X, s.Y)
	if e := s.Extent; e.Width() > 0 && e.Height() > 0 {
		box = spatial.Box{X0: min(box.X0, e.X0), Y0: min(box.Y0, e.Y0), X1: max(box.X1, e.X1), Y1: max(box.Y1, e.Y1)}
	}
	wide := 6
	if b.opt.Width < 60 {
		wide = narrowest + 1
	}
	b.cols = max(1, (b.opt.Width-6)/wide)
	b.rows = 1
	switch w, h := box.Width(), box.Height(); {
	case w > 0 && h > 0:
		// A character is about twice as high as wide.
		b.rows = int(min(h/w*float64(b.cols*wide)/2+0.5, 1e6))
		if b.rows > mostRows {
			b.rows = mostRows
			b.cols = max(1, min(b.cols, int(mostRows*2*w/h/float64(wide)+0.5)))
		}
		b.rows = max(1, b.rows)
	case h > 0:
		b.cols, b.rows = 1, mostRows
	case w == 0:
		b.cols = 1
	}
	if !(box.Width() > 0) {
		box = box.Grow(0.5, 0)
	}
	if !(box.Height() > 0) {
		box = box.Grow(0, 0.5)
	}
	b.aspect = 0.5 // one line a cell
	sum, count := make([]float64, b.cols*b.rows), make([]int, b.cols*b.rows)
	out := make([]bool, b.cols*b.rows)
	fx, fy := float64(b.cols)/box.Width(), float64(b.rows)/box.Height()
	at := func(i int) int {
		col := min(max(int((s.X[i]-box.X0)*fx), 0), b.cols-1)
		row := min(max(int((box.Y1-s.Y[i])*fy), 0), b.rows-1)
		return row*b.cols + col
	}
	for i, v := range b.column.values {
		if v != v {
			continue
		}
		k := at(i)
		if b.column.out(i) {
			out[k] = true
			continue
		}
		sum[k] += v
		count[k]++
	}
	b.cells = make([]cell, b.cols*b.rows)
	b.gathered = s.Len()
	for k, n := range count {
		if n > 0 {
			b.cells[k] = cell{value: b.column.value(sum[k] / float64(n)), full: true, color: true}
		}
	}
	for i := range b.column.leftOut {
		point := b.column.leftOut[i]
		if k := at(point); out[k] && !b.cells[k].full {
			v, _ := b.column.at(point)
			b.cells[k] = cell{value: v, full: true}
		}
	}
	for row := range b.rows {
		b.rowNames = append(b.rowNames, b.position(box.Y1-(float64(row)+0.5)/fy, 1/fy))
	}
	for col := range b.cols {
		b.colNames = append(b.colNames, b.position(box.X0+(float64(col)+0.5)/fx, 1/fx))
	}
	b.mark(at)
	b.size(wide)
}

// position prints a coordinate with the decimals that tell neighbors a step
// apart from each other.
func (b *board) position(meters, step float64) string {
	if b.opt.Feet {
		meters, step = meters/metersPerFoot, step/metersPerFoot
	}
	decimals := 1
	if step < 0.1 {
		decimals = 2
	}
	return strconv.FormatFloat(meters, 'f', decimals, 64)
}

// mark puts the marks of single points into their cells, the weightiest first.
func (b *board) mark(at func(int) int) {
	put := func(i int, mark string) {
		if i < 0 || i >= b.column.survey.Len() {
			return
		}
		if k := at(i); k >= 0 && !strings.Contains(b.cells[k].marks, mark) {
			b.cells[k].marks += mark
		}
	}
	if b.column.kind == Level {
		for _, s := range b.column.result.Suspects {
			if b.column.single(s) {
				put(s.Point, "?")
			}
		}
	}
	if high, low := b.column.extremes(); high != low {
		put(high, "▲")
		put(low, "▼")
	}
	put(b.column.survey.Reference, "◆")
}

// size decides how wide cells are, up to a width, and how numbers are printed.
func (b *board) size(most int) {
	for _, name := range b.rowNames {
		b.margin = max(b.margin, ansi.StringWidth(name))
	}
	b.margin++
	if b.rowIn != nil {
		b.margin++
	}
	b.width = max(narrowest, min((b.opt.Width-b.margin)/b.cols, most))
	for _, compact := range []bool{false, true} {
		b.compact, b.number = compact, 1
		for _, c := range b.cells {
			// A suspect may stand far off and be wider than the rest.
			if c.color {
				b.number = max(b.number, len(b.text(c)))
			}
		}
		if b.number+2 <= b.width {
			break
		}
	}
}

// text is a cell's number, with an ASCII minus that a search finds.
func (b *board) text(c cell) string {
	if !c.full {
		return "."
	}
	if !finite(c.value) {
		if b.compact {
			return "drk"
		}
		return "dark"
	}
	label := b.scale.Label(c.value)
	if b.compact && b.scale.Decimals > 0 {
		label = signed(c.value*b.unit(), 0)
	}
	return strings.Replace(label, "\u2212", "-", 1)
}

// unit is how many of a compact number's units make one on the scale.
func (b *board) unit() float64 {
	switch {
	case b.scale.Kind == Duv:
		return 1000
	case b.scale.Decimals == 2:
		return 100
	}
	return 10
}
