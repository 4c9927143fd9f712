package plots

import (
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/charmbracelet/x/ansi"

	"evenfall/photometry"
	"evenfall/photometry/evenness"
	"evenfall/photometry/spatial"
	"evenfall/photometry/survey"
)

// TerminalOptions are the options of a map as text. The zero value is a level map of
// 80 columns in plain ASCII.
type TerminalOptions struct {
	Kind    Kind
	Width   int // columns that no line exceeds; 0 is 80
	Color   ColorMode
	Unicode bool            // marks and arrows beyond ASCII
	Unit    photometry.Unit // photometry.FC prints levels in footcandles
	Feet    bool            // lengths in feet
}

// Terminal prints the map that Surface draws, with the same scale and palette and
// each reading's number at its position; behind it > where it is over the window, < where
// it is under it. Points of a lattice are in rows and columns
// under their letters and numbers; others, and lattices too wide for the terminal,
// are averaged in the cells of a grid, which the last line says. The extremes,
// suspects and the reference have a mark after their number, columns in shot a
// bracket and rows in shot a bar. Where space is short, numbers are whole tenths or
// hundredths, which the last line says too.
//
// No line is wider than Width or ends in a plain space, and every line ends in a
// newline. The text is empty for a survey without readings, or without the color
// that a color map needs.
func Terminal(r *evenness.Result, opt TerminalOptions) string {
	c, err := newMapValues(r, opt.Kind)
	if err != nil {
		return ""
	}
	if opt.Width <= 0 {
		opt.Width = 80
	}
	scale := c.scale()
	scale.Zero = c.describeZero(opt.Unit)
	b := newTextMap(c, scale, opt)
	var out strings.Builder
	for _, line := range b.lines() {
		if !opt.Unicode {
			line = toASCII(line)
		}
		out.WriteString(strings.TrimRight(ansi.Truncate(line, opt.Width, ""), " "))
		out.WriteByte('\n')
	}
	return out.String()
}

// toASCII replaces the characters of the maps beyond ASCII, others by a question
// mark.
func toASCII(text string) string {
	text = asciiReplacer.Replace(text)
	return strings.Map(func(r rune) rune {
		if r > 0x7e {
			return '?'
		}
		return r
	}, text)
}

var asciiReplacer = strings.NewReplacer(
	"−", "-", "×", "x", "·", ".", "²", "2", "≤", "<=", "±", "+/-", "…", "...",
	"▲", "^", "▼", "v", "◆", "*", "←", "<-", "→", "->", "′", "'", "é", "e", "Δ", "d",
)

// textMap is a map as a grid of cells, the first row at the top.
type textMap struct {
	values *mapValues
	scale  Scale
	opt    TerminalOptions

	cols, rows           int
	cells                []cell
	colNames, rowNames   []string
	colInShot, rowInShot []bool  // in shot; nil where no part of the surface is
	aspect               float64 // height of a cell over its width on the surface
	binned               int     // readings behind the cells where these are means, else 0

	width   int // characters of a cell
	number  int // characters of the widest number
	compact bool
	margin  int // before the first cell
}

// cell is one cell of the map.
type cell struct {
	value    float64 // on the scale; -Inf for a zero level
	hasValue bool
	colored  bool // takes the color of its value
	marks    string
}

// maxBinRows is the largest number of rows for readings without a lattice.
const maxBinRows = 24

// minCellWidth is the width of the narrowest cell: a space or sign, two digits and a
// mark.
const minCellWidth = 4

func newTextMap(c *mapValues, scale Scale, opt TerminalOptions) *textMap {
	b := &textMap{values: c, scale: scale, opt: opt}
	l := completeLattice(c.survey, 1) // one row or one column prints as well as many
	if l == nil {
		l = labeledLattice(c.survey)
	}
	if l != nil && len(l.Ys) <= 60 && 4+minCellWidth*len(l.Xs) <= opt.Width {
		b.fillFromLattice(l)
	} else {
		b.fillFromBins()
	}
	return b
}

// mostPartly is how many places of a grid with labels are laid out as one of which most
// were not read.
const mostPartly = 100

// labeledLattice is the rows and columns of a few places that are called A1 and so on,
// though most of them were not read; nil for others.
func labeledLattice(s *survey.Survey) *spatial.Lattice {
	if s.Len() > mostPartly || len(s.X) != s.Len() {
		return nil
	}
	for i := range s.Len() {
		if _, _, ok := spatial.ParseGridLabel(s.LabelOf(i)); !ok {
			return nil
		}
	}
	if l := spatial.SparseLattice(s.X, s.Y); l != nil && l.Fill(s.X, s.Y) {
		return l
	}
	return nil
}

// fillFromLattice puts each point of a lattice into a cell.
func (b *textMap) fillFromLattice(l *spatial.Lattice) {
	s := b.values.survey
	b.cols, b.rows = len(l.Xs), len(l.Ys)
	b.cells = make([]cell, b.cols*b.rows)
	cellOf := make([]int, s.Len())
	for at, i := range l.Index {
		if i < 0 {
			continue
		}
		cellOf[i] = (b.rows-1-at/b.cols)*b.cols + at%b.cols
		if v, ok := b.values.at(int(i)); ok {
			b.cells[cellOf[i]] = cell{value: v, hasValue: true, colored: !b.values.isExcluded(int(i))}
		}
	}
	if b.rowNames, b.colNames = latticeNames(s, l); b.rowNames == nil {
		for _, y := range l.Ys {
			b.rowNames = append(b.rowNames, formatLength(y, b.opt.Feet))
		}
		for _, x := range l.Xs {
			b.colNames = append(b.colNames, formatLength(x, b.opt.Feet))
		}
	}
	slices.Reverse(b.rowNames)
	if a := s.Area; a != nil {
		midX, midY := a.Center()
		for _, x := range l.Xs {
			b.colInShot = append(b.colInShot, a.Contains(x, midY))
		}
		for _, y := range slices.Backward(l.Ys) {
			b.rowInShot = append(b.rowInShot, a.Contains(midX, y))
		}
	}
	b.aspect = 1
	if b.cols > 1 && b.rows > 1 {
		dx := (l.Xs[b.cols-1] - l.Xs[0]) / float64(b.cols-1)
		dy := (l.Ys[b.rows-1] - l.Ys[0]) / float64(b.rows-1)
		b.aspect = dy / dx
	}
	b.addMarks(func(i int) int { return cellOf[i] })
	b.setCellWidth(8)
}

// fillFromBins averages points in as many cells as there is space for.
func (b *textMap) fillFromBins() {
	s, box := b.values.survey, b.values.extent()
	wide := either(b.opt.Width < 60, minCellWidth+1, 6)
	b.setBins(box, wide)
	box = box.Grow(either(box.Width() > 0, 0, 0.5), either(box.Height() > 0, 0, 0.5))
	b.aspect = 0.5 // one line a cell
	fx, fy := float64(b.cols)/box.Width(), float64(b.rows)/box.Height()
	cellOf := func(i int) int {
		col := min(max(int((s.X[i]-box.X0)*fx), 0), b.cols-1)
		row := min(max(int((box.Y1-s.Y[i])*fy), 0), b.rows-1)
		return row*b.cols + col
	}
	b.cells = make([]cell, b.cols*b.rows)
	b.binned = s.Len()
	for k, mean := range b.values.means(len(b.cells), cellOf) {
		if mean == mean {
			b.cells[k] = cell{value: b.values.toScale(mean), hasValue: true, colored: true}
		}
	}
	for _, point := range b.values.excluded {
		if k := cellOf(point); !b.cells[k].hasValue {
			v, _ := b.values.at(point)
			b.cells[k] = cell{value: v, hasValue: true}
		}
	}
	for row := range b.rows {
		b.rowNames = append(b.rowNames, b.position(box.Y1-(float64(row)+0.5)/fy, 1/fy))
	}
	for col := range b.cols {
		b.colNames = append(b.colNames, b.position(box.X0+(float64(col)+0.5)/fx, 1/fx))
	}
	b.addMarks(cellOf)
	b.setCellWidth(wide)
}

// setBins sets the number of columns and rows of bins of a width in characters.
func (b *textMap) setBins(box spatial.Box, wide int) {
	b.cols, b.rows = max(1, (b.opt.Width-6)/wide), 1
	switch w, h := box.Width(), box.Height(); {
	case w > 0 && h > 0:
		// A character is about twice as high as wide.
		b.rows = int(min(h/w*float64(b.cols*wide)/2+0.5, 1e6))
		if b.rows > maxBinRows {
			b.rows = maxBinRows
			b.cols = max(1, min(b.cols, int(maxBinRows*2*w/h/float64(wide)+0.5)))
		}
		b.rows = max(1, b.rows)
	case h > 0:
		b.cols, b.rows = 1, maxBinRows
	case w == 0:
		b.cols = 1
	}
}

// position prints a coordinate with the decimals that distinguish neighbors a step
// apart.
func (b *textMap) position(meters, step float64) string {
	scale := lengthScale(b.opt.Feet)
	return strconv.FormatFloat(meters/scale, 'f', either(step/scale < 0.1, 2, 1), 64)
}

// addMarks adds the marks of single points to their cells, the most important first.
func (b *textMap) addMarks(at func(int) int) {
	put := func(i int, mark string) {
		if i < 0 || i >= b.values.survey.Len() {
			return
		}
		if c := &b.cells[at(i)]; !strings.Contains(c.marks, mark) {
			c.marks += mark
		}
	}
	for k := range b.cells {
		switch c := &b.cells[k]; {
		case !c.hasValue || !c.colored:
		case b.scale.Class(c.value) > 0:
			c.marks = ">"
		case b.scale.Class(c.value) < 0:
			c.marks = "<"
		}
	}
	for _, s := range b.values.singleSuspects() {
		put(s.Point, "?")
	}
	if high, low := b.values.extremes(); high != low {
		put(high, "▲")
		put(low, "▼")
	}
	put(b.values.survey.Reference, "◆")
}

// setCellWidth sets the width of the cells, up to most, and the form of the numbers.
func (b *textMap) setCellWidth(most int) {
	for _, name := range b.rowNames {
		b.margin = max(b.margin, ansi.StringWidth(name))
	}
	b.margin++
	if b.rowInShot != nil {
		b.margin++
	}
	b.width = max(minCellWidth, min((b.opt.Width-b.margin)/b.cols, most))
	for _, compact := range []bool{false, true} {
		b.compact, b.number = compact, 1
		for _, c := range b.cells {
			// The value of a suspect may be far off and wider than the rest.
			if c.colored {
				b.number = max(b.number, utf8.RuneCountInString(b.cellText(c)))
			}
		}
		if b.number+2 <= b.width {
			break
		}
	}
}

// cellText is a cell's number: where it is compact, in whole units of its last decimal, and
// of ΔDuv in thousandths.
func (b *textMap) cellText(c cell) string {
	switch {
	case !c.hasValue:
		return "."
	case !finite(c.value):
		return either(b.compact, "drk", "dark")
	case b.compact && b.scale.Kind == Duv:
		return b.scale.label(c.value, 0)
	case b.compact:
		return formatSigned(c.value*math.Pow10(b.scale.Decimals), 0)
	}
	return b.scale.Label(c.value)
}
