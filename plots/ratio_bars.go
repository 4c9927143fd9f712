package plots

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"evenfall/photometry/ratio"
	"evenfall/photometry/uncertainty"
)

// RatioOptions are the options of a picture of lights at marks.
type RatioOptions struct {
	// Key prints a mark's key; nil leaves it out.
	Key func(ratio.Mark) string
	// Narrow draws the bars alone, 480 pixels wide, with type that reads on a phone and
	// in print at 100 mm.
	Narrow bool
}

// Ratio draws the lights at each mark as bars on a scale of stops about its key, over
// or under it, with the bands of their targets. A light with a target that was not
// read says so; what is out of its target is bold, and its bar in ink.
func Ratio(r *ratio.Result, opt RatioOptions) *Picture {
	m := &ratioBars{result: r, opt: opt}
	m.gather()
	m.layOut()
	p := m.picture(m.alt(), m.paint)
	if text := m.targets(); text != "" {
		p.Legend = []string{"gray: target" + text}
	}
	return p
}

// targets are the middles of the targets' bands with their width.
func (m *ratioBars) targets() string {
	var out string
	for _, row := range m.rows {
		if row.limit() {
			out += fmt.Sprintf(", %s at most %s", row.role, formatSigned(row.to, 1))
		} else if row.aimed() {
			out += fmt.Sprintf(", %s %s ± %.2f", row.role, formatSigned((row.from+row.to)/2, 1), m.result.ToleranceStops)
		}
	}
	return out
}

// barRow is a light that some mark has, with its target in stops from the key.
type barRow struct {
	role     ratio.Role
	from, to float64 // of the target's band; NaN for none
}

// aimed reports whether there is a target, and limit whether that is an upper one alone.
func (r barRow) aimed() bool { return r.to == r.to }
func (r barRow) limit() bool { return math.IsInf(r.from, -1) }

// ratioBars are the bars, laid out for any format.
type ratioBars struct {
	result  *ratio.Result
	opt     RatioOptions
	rows    []barRow
	lo, hi  float64 // of the scale, stops
	least   float64 // light that was read, stops from its key
	columns int     // marks side by side
	rowHigh float64
	head    float64   // height above the rows, for the name of a mark and its key
	tops    []float64 // of the rows of marks, from the upper edge
	pageLayout
}

// stopsOf is a light of a mark in stops from its key.
func stopsOf(m ratio.Mark, role ratio.Role) (stops float64, read bool) {
	if role == ratio.FillRole && m.KeyToFillStops != nil {
		return -*m.KeyToFillStops, true
	}
	for _, l := range m.FromKey() {
		if l.Role == role {
			return l.Stops, true
		}
	}
	return 0, false
}

// gather finds the rows and the scale that hold all marks.
func (m *ratioBars) gather() {
	add := func(role ratio.Role) *barRow {
		i := slices.IndexFunc(m.rows, func(r barRow) bool { return r.role == role })
		if i < 0 {
			i, m.rows = len(m.rows), append(m.rows, barRow{role, math.NaN(), math.NaN()})
		}
		return &m.rows[i]
	}
	within := m.result.ToleranceStops
	row := add(ratio.FillRole)
	if t := m.result.Target; t != nil {
		stops := -t.Stops
		if t.Convention == ratio.LightingConvention {
			stops = -math.Log2(math.Exp2(t.Stops) - 1) // fill alone under key alone
		}
		row.from, row.to = stops-within, stops+within
	}
	for _, mark := range m.result.Marks {
		for _, l := range mark.FromKey() {
			add(l.Role)
		}
	}
	for _, t := range m.result.AreaTargets {
		row := add(t.Role)
		row.from, row.to = t.Stops-within, t.Stops+within
		if t.Role == ratio.SpillRole {
			row.from, row.to = math.Inf(-1), t.Stops // at most
		}
	}
	m.lo, m.hi = -1, 1
	hold := func(v float64) {
		if finite(v) {
			m.lo, m.hi = min(m.lo, math.Floor(v)), max(m.hi, math.Ceil(v))
		}
	}
	for _, row := range m.rows {
		hold(row.from)
		hold(row.to - 0.5) // some of the band of a limit too
		for _, mark := range m.result.Marks {
			if v, read := stopsOf(mark, row.role); read {
				hold(v)
				m.least = min(m.least, v)
			}
		}
	}
}

// names is the space for the names of the lights.
func (m *ratioBars) names() float64 { return either(m.narrow, 94.0, 104) }

func (m *ratioBars) layOut() {
	m.narrow, m.typeSize = m.opt.Narrow, 17
	m.columns, m.rowHigh = either(m.narrow, 3, 4), either(m.narrow, 20.0, 30)
	m.begin(headingOf(cmp.Or(m.result.Title, "Marks"), "lights from the key", m.result.Date, "as read"), "", "", 12)
	m.columns = max(1, min(m.columns, len(m.result.Marks)))
	figure := float64(textWidth(style(m.typeSize, true, ink, 0, 0), formatSigned(m.least, 1)))
	for m.least < 0 && m.at(0)+figure > m.wide()-8 { // else it would lie on its bar
		m.hi++
	}
	for _, mark := range m.result.Marks {
		name, below := m.headOf(mark)
		m.head = max(m.head, 8+1.3*m.typeSize*float64(len(name)+len(below)))
	}
	for range (len(m.result.Marks) + m.columns - 1) / m.columns {
		m.tops = append(m.tops, m.fromTop)
		m.fromTop += m.head + m.rowHigh*float64(len(m.rows)) + 28
	}
	m.finish("Stops from the key of each mark. Gray bands: targets" + m.targets() + ". Bold: out of its target.")
}

// at is how far right in a mark's column its scale has a figure in stops.
func (m *ratioBars) at(stops float64) float64 {
	return (m.wide() - 24) * (max(m.lo, min(stops, m.hi)) - m.lo) / (m.hi - m.lo)
}

// wide is the width of a mark's column.
func (m *ratioBars) wide() float64 { return (m.width - m.names() - 6) / float64(m.columns) }

// headOf is a mark's name in at most three lines, and its key and verdict.
func (m *ratioBars) headOf(mark ratio.Mark) (name, below []string) {
	bold, width := style(m.typeSize, true, ink, 0, 0), vg.Length(m.wide()-6)
	name = wrap(bold, cleanText(mark.Label), width)
	if len(name) > 3 { // the report's table and the text alternative have it whole
		name = append(name[:2:2], fit(bold, strings.Join(name[2:], " "), width))
	}
	said := verdictsOf(mark)
	if m.opt.Key != nil {
		said = append([]string{"key " + m.opt.Key(mark)}, said...)
	}
	return name, wrap(style(m.typeSize, false, ink, 0, 0), strings.Join(said, ", "), width)
}

// alt says each light of each mark.
func (m *ratioBars) alt() string {
	var b strings.Builder
	b.WriteString("Bars of the lights at marks in stops from the key.")
	for _, mark := range m.result.Marks {
		var parts []string
		if m.opt.Key != nil {
			parts = append(parts, "key "+m.opt.Key(mark))
		}
		for _, row := range m.rows {
			v, read := stopsOf(mark, row.role)
			if !read && !row.aimed() {
				continue
			}
			text := string(row.role) + " " + either(read, formatSigned(v, 1), "not read")
			if row.limit() {
				text += fmt.Sprintf(" (at most %s)", formatSigned(row.to, 1))
			} else if row.aimed() {
				text += fmt.Sprintf(" (target %s to %s)", formatSigned(row.from, 1), formatSigned(row.to, 1))
			}
			parts = append(parts, text)
		}
		fmt.Fprintf(&b, " %s: %s.", mark.Label, strings.Join(append(parts, verdictsOf(mark)...), ", "))
	}
	return b.String()
}

// verdictsOf is a mark's verdict as the reader sees it, if it has one.
func verdictsOf(mark ratio.Mark) []string {
	if mark.Verdict == "" {
		return nil
	}
	return []string{either(mark.Verdict == uncertainty.Fail, "FAIL", mark.Verdict)}
}

// paint draws the picture.
func (m *ratioBars) paint(c draw.Canvas) {
	m.paintTexts(c)
	names := style(m.typeSize, false, gray, draw.XLeft, draw.YCenter)
	for k, top := range m.tops {
		for i, row := range m.rows {
			y := vg.Length(m.height - top - m.head - m.rowHigh*(float64(i)+0.5))
			drawWithHalo(c, names, vg.Point{X: 6, Y: y}, fit(names, string(row.role), vg.Length(m.names()-8)), paper, 0)
		}
		drawWithHalo(c, names, vg.Point{X: 6, Y: vg.Length(m.height - top - m.head - m.rowHigh*float64(len(m.rows)) - 16)}, "stops", paper, 0)
		for i, mark := range m.result.Marks[k*m.columns : min((k+1)*m.columns, len(m.result.Marks))] {
			m.paintMark(c, mark, i, top)
		}
	}
}

// paintMark draws the bars of a mark in a column.
func (m *ratioBars) paintMark(c draw.Canvas, mark ratio.Mark, column int, top float64) {
	wide := m.wide()
	left := m.names() + wide*float64(column)
	at := func(stops float64) vg.Length { return vg.Length(left + m.at(stops)) }
	y := func(fromTop float64) vg.Length { return vg.Length(m.height - top - fromTop) }
	bold := style(m.typeSize, true, ink, draw.XLeft, draw.YCenter)
	soft := style(m.typeSize, false, gray, draw.XLeft, draw.YCenter)
	name, below := m.headOf(mark)
	for i, line := range append(name, below...) {
		s := either(i < len(name), bold, soft)
		drawWithHalo(c, s, vg.Point{X: vg.Length(left), Y: y(1.3 * m.typeSize * (float64(i) + 0.6))}, line, paper, 0)
	}
	foot := m.head + m.rowHigh*float64(len(m.rows))
	for i, row := range m.rows {
		middle := m.head + m.rowHigh*(float64(i)+0.5)
		box := func(from, to vg.Length, half float64) vg.Rectangle {
			return vg.Rectangle{Min: vg.Point{X: min(from, to), Y: y(middle + half)}, Max: vg.Point{X: max(from, to), Y: y(middle - half)}}
		}
		if row.aimed() {
			fill(c, box(at(row.from), at(row.to), 0.42*m.rowHigh).Path(), targetColor)
		}
		v, read := stopsOf(mark, row.role)
		if !read && !row.aimed() {
			continue
		}
		text, off, side := either(read, formatSigned(v, 1), "not read"), read && (v < row.from-1e-9 || v > row.to+1e-9), vg.Length(5)
		beside := style(m.typeSize, off, ink, draw.XLeft, draw.YCenter)
		if v > 0 || at(0)+textWidth(beside, text) > vg.Length(left+wide-8) {
			beside.XAlign, side = draw.XRight, -5
		}
		if read {
			fill(c, box(at(0), at(v), 0.24*m.rowHigh).Path(), either(off, ink, gray))
		}
		drawWithHalo(c, beside, vg.Point{X: at(0) + side, Y: y(middle)}, text, paper, either(read, vg.Length(2), 0)) // which would hide the band
	}
	c.StrokeLine2(draw.LineStyle{Color: ink, Width: 1.8}, at(0), y(m.head-4), at(0), y(foot+4))
	for _, t := range []struct {
		at   float64
		text string
		from float64 // how much of the text is left of it
	}{{m.lo, formatSigned(m.lo, 0), 0}, {0, "key", 0.5}, {m.hi, formatSigned(m.hi, 0), 0.8}} {
		x := at(t.at) - vg.Length(t.from)*textWidth(soft, t.text)
		if away := at(t.at) - at(0); t.at != 0 && max(away, -away) < 2.6*vg.Length(m.typeSize) {
			continue // it would touch the word
		}
		drawWithHalo(c, soft, vg.Point{X: x, Y: y(foot + 16)}, t.text, paper, 0)
	}
}
