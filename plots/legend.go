package plots

import (
	"fmt"
	"image/color"
	"strconv"
	"strings"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"evenfall/photometry"
	"evenfall/plots/canvas"
	"evenfall/plots/mesh"
)

// markerSigns are the symbols of markers in text.
var markerSigns = map[marker]string{upward: "▲ ", downward: "▼ ", diamond: "◆ ", frame: "dashed: ", open: "○ "}

// addLegend explains the markers on the map, in rows, or beside it for a reset sheet.
func (m *surfaceMap) addLegend() {
	add := func(s marker, text string) {
		if m.opt.Sheet > 0 {
			m.said = append(m.said, markerSigns[s]+text)
		} else {
			m.addWithGap(62, text, markerSample(s))
		}
	}
	extreme := func(s marker, name string, i int) {
		parts := m.describeExtreme(i)
		switch {
		case m.opt.Sheet == 0:
			parts[0] = name + m.suspectNote() + ": " + parts[0]
		case m.hasLevels(): // which stand on the map
			parts = parts[:len(parts)-1]
		}
		add(s, strings.Join(parts, ", "))
	}
	if m.high >= 0 && m.high != m.low {
		high, low := m.extremeNames()
		extreme(upward, high, m.high)
		extreme(downward, low, m.low)
	}
	if i := m.survey.Reference; i >= 0 && i < m.survey.Len() {
		add(diamond, "reference: "+m.pointName(i, m.opt.Feet))
	}
	if singles := m.singleSuspects(); len(singles) > 0 {
		n, s := len(singles), singles[0]
		text := "read again: " + shorten(s.Label, 16) + ", found " + shorten(s.Found, 20)
		if n > 1 {
			text += fmt.Sprintf(", and %d more", n-1)
		}
		add(struck, text)
	}
	if text := m.describeBounds(m.opt.Feet); text != "" {
		add(open, text)
	}
	if len(m.result.LeftOut) > 0 {
		add(struck, "left out as suspect: "+m.describeLeftOut(m.opt.Feet))
	}
	if m.survey.Area != nil {
		add(frame, "part in shot")
	}
	if m.opt.Sheet > 0 && m.profile == nil && !m.isDifference() {
		m.said = append(m.said, "gray: not read")
	}
	if len(m.legend) > 0 {
		m.fromTop += 36
	}
}

// describeExtreme is the name of an extreme, its difference and last its level.
func (m *surfaceMap) describeExtreme(i int) []string {
	v, _ := m.at(i)
	parts := []string{m.pointName(i, m.opt.Feet)}
	if m.kind != Level {
		return append(parts, m.kind.formatShift(v))
	}
	if finite(v) {
		parts = append(parts, formatSigned(v, 2)+strings.TrimLeft(formatStops(v), "0123456789.")) // the word
	}
	if m.hasLevels() || !finite(v) {
		parts = append(parts, m.about()+m.formatLevel(m.values[i], m.opt.Unit))
	}
	return parts
}

// describeMap explains how to read the map and how its field was made.
func (m *surfaceMap) describeMap(how string) string {
	var b strings.Builder
	s := m.scale
	fmt.Fprintf(&b, "Blank is %s; heavy line: the limit", s.describeWindow())
	if m.field != nil {
		fmt.Fprintf(&b, "; thin lines: each %s %s further", strconv.FormatFloat(s.Step, 'g', 4, 64), kinds[m.kind].each)
	}
	b.WriteString(". Solid is over, hatched under. ")
	if m.survey.Len() > maxNumbered {
		b.WriteString("Too many readings to number. ")
	} else {
		fmt.Fprintf(&b, "Numbers are %s from %s%s. ", kinds[m.kind].numbers, s.Zero, m.kind.describeSign())
	}
	b.WriteString(how)
	if n := len(m.excluded); n > 0 {
		fmt.Fprintf(&b, " The struck %s left out of colors, zero and spread; where that changes the verdict, it is unsure.", either(n > 1, "readings are", "reading is"))
	}
	for _, s := range m.result.Suspects {
		if m.kind == Level && m.opt.Say != nil && !m.isSingleReading(s) && len(s.Suggestions) > 0 {
			b.WriteString(" Suspect: " + cleanText(m.opt.Say(s.Suggestions[0].Finding)) + ".")
		}
	}
	if m.widened > 1 && m.profile == nil {
		fmt.Fprintf(&b, " Not to scale: the narrow side is drawn %.1f times as large.", m.widened)
	}
	if e := m.survey.Extent; m.field != nil && m.sized() && mesh.Area(m.field.outline) < 0.98*e.Width()*e.Height() {
		b.WriteString(" Gray: not read.")
	}
	return b.String()
}

// paintBar draws the classes side by side: the window with its size, those over it
// solid and those under it hatched, with level and stops at their edges.
func (m *surfaceMap) paintBar(c draw.Canvas) {
	s, r := m.scale, m.under
	within := style(m.look.label, false, ink, draw.XCenter, draw.YCenter)
	middle := textWidth(within, s.describeWindow()) + vg.Length(m.look.label)
	each := min((r.Size().X-middle)/vg.Length(s.Under+s.Over), 5*vg.Length(m.look.label))
	box := func(from, width vg.Length) vg.Rectangle {
		return vg.Rectangle{Min: vg.Point{X: from, Y: r.Min.Y}, Max: vg.Point{X: from + width, Y: r.Max.Y}}
	}
	// Under, window and over, from the left; an edge is where its class begins.
	window := box(r.Min.X+each*vg.Length(s.Under), middle)
	edges := s.Edges()
	at := make([]vg.Point, len(edges))
	for i, e := range edges {
		class := box(window.Max.X+each*vg.Length(e.Class-1), each)
		edge := class.Min.X
		if e.Class < 0 {
			class = box(window.Min.X+each*vg.Length(e.Class), each)
			edge = class.Max.X
		}
		fill(c, class.Path(), classColor(m.kind, e.Class))
		if e.Class < 0 {
			strokeHatch(c, hatchBox(class, m.look.hatch))
		}
		c.StrokeLines(draw.LineStyle{Color: ink, Width: 0.22 * m.look.millimeter}, closedOutline(class))
		at[i] = vg.Point{X: edge, Y: r.Min.Y - vg.Length(0.8*m.look.label)}
	}
	c.StrokeLines(draw.LineStyle{Color: ink, Width: 0.55 * m.look.millimeter}, closedOutline(window))
	drawWithHalo(c, within, vg.Point{X: (window.Min.X + window.Max.X) / 2, Y: (r.Min.Y + r.Max.Y) / 2}, s.describeWindow(), paper, 0)
	if m.hasLevels() {
		_, unit := formatNumber(0, s.quantity, m.opt.Unit)
		if m.isFlash(m.opt.Unit) { // whose f-numbers have none
			unit = ""
		}
		m.labelEdges(c, edges, at, ink, unit, m.edgeLevel)
		if m.opt.Sheet > 0 {
			return
		}
		for i := range at {
			at[i].Y -= vg.Length(1.3 * m.look.label)
		}
	}
	m.labelEdges(c, edges, at, gray, kinds[s.Kind].unit, s.edgeLabel)
}

// labelEdges prints a figure at each edge of the bar of classes and the unit behind
// them. The limits come first; further figures are left out where they overlap.
func (m *surfaceMap) labelEdges(c draw.Canvas, edges []Edge, at []vg.Point, clr color.Color, unit string, label func(float64) string) {
	middle := style(m.look.label, false, clr, draw.XCenter, draw.YCenter)
	half := textWidth(middle, unit) / 2
	space := canvas.FreeSpace{Within: vg.Rectangle{Min: vg.Point{X: 0, Y: at[0].Y - 20}, Max: vg.Point{X: vg.Length(m.width), Y: at[0].Y + 20}}}
	put := func(str string, p vg.Point, must bool) {
		size := vg.Point{X: textWidth(middle, str)/2 + 4, Y: 4}
		if _, free := space.Find(size, p); free || must {
			space.Take(canvas.Around(p, size.X, size.Y))
			drawWithHalo(c, middle, p, str, paper, 0)
		}
	}
	for class := 1; class <= shades; class++ {
		for i, e := range edges {
			if e.Class == class || e.Class == -class {
				put(label(e.Value), at[i], class == 1)
			}
		}
		if class == 1 && unit != "" {
			last := len(edges) - 1
			x := at[last].X + textWidth(middle, label(edges[last].Value))/2 + half + 14
			put(unit, vg.Point{X: min(x, vg.Length(m.width)-half-8), Y: at[0].Y}, false)
		}
	}
}

// edgeLevel prints the level at a value on the scale without its unit.
func (m *surfaceMap) edgeLevel(value float64) string {
	level := m.scale.levelAt(value)
	if m.isFlash(m.opt.Unit) {
		return m.survey.FormatLevel(level)
	}
	number, _ := formatNumber(level, m.survey.Quantity, m.opt.Unit)
	return number
}

// formatBare prints the level of a reading without its unit, one that was computed
// with ≈.
func (m *surfaceMap) formatBare(level float64) string {
	value, _ := photometry.Level{Value: level, Quantity: m.survey.Quantity}.In(m.opt.Unit)
	number := photometry.FormatFigure(value)
	if m.isFlash(m.opt.Unit) {
		number = m.survey.FormatLevel(level)
	}
	return m.about() + number
}
