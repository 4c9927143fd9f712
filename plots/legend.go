package plots

import (
	"fmt"
	"image"
	"image/color"
	"math"
	"strconv"
	"strings"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// addLegend explains the markers on the map, in rows.
func (m *surfaceMap) addLegend() {
	border := margin
	if m.opt.Narrow {
		border = 4
	}
	add := func(s marker, text string) { m.addBetween(border, 72, text, markerSample(s)) }
	if m.high >= 0 && m.high != m.low {
		add(upward, kinds[m.kind].high+": "+m.describeExtreme(m.high))
		add(downward, kinds[m.kind].low+": "+m.describeExtreme(m.low))
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
		add(ring, text)
	}
	if m.survey.Area != nil {
		add(frame, "part in shot")
	}
	if len(m.legend) > 0 {
		m.fromTop += 36
	}
}

// describeExtreme names an extreme with its value.
func (m *surfaceMap) describeExtreme(i int) string {
	v, _ := m.at(i)
	text := m.pointName(i, m.opt.Feet)
	if m.kind != Level {
		return text + ", " + m.kind.formatShift(v)
	}
	level := formatRounded(m.values[i], m.survey.Quantity, m.opt.Unit)
	if !finite(v) {
		return text + ", " + level
	}
	stops := strings.TrimLeft(formatStops(v), "0123456789.") // the word
	return text + ", " + formatSigned(v, 2) + stops + ", " + level
}

// describeMap explains how to read the map and how its field was made.
func (m *surfaceMap) describeMap(how string) string {
	var b strings.Builder
	s := m.scale
	switch {
	case m.survey.Len() > maxNumbered:
		b.WriteString("Too many readings to number. ")
	case m.kind == Level && m.opt.Levels:
		_, unit := formatNumber(0, m.survey.Quantity, m.opt.Unit)
		fmt.Fprintf(&b, "Numbers in %s. ", unit)
	default:
		fmt.Fprintf(&b, "Numbers in %s from %s%s. ", kinds[m.kind].numbers, s.Zero, m.kind.describeSign())
	}
	if m.field != nil {
		fmt.Fprintf(&b, "Isolines every %s %s, heavy at zero, dashed below it. ", strconv.FormatFloat(s.Step, 'g', 4, 64), kinds[m.kind].each)
	}
	b.WriteString(how)
	if n := len(m.excluded); n > 0 {
		what := "The ringed reading is"
		if n > 1 {
			what = "The ringed readings are"
		}
		fmt.Fprintf(&b, " %s left out of the colors, not of the verdict.", what)
	}
	for _, s := range m.result.Suspects {
		if m.kind == Level && m.opt.Say != nil && !m.isSingleReading(s) && len(s.Suggestions) > 0 {
			b.WriteString(" Suspect: " + cleanText(m.opt.Say(s.Suggestions[0].Finding)) + ".")
		}
	}
	if e := m.survey.Extent; m.field != nil && m.sized() && area(m.field.outline) < 0.98*e.Width()*e.Height() {
		b.WriteString(" Hatched: not read.")
	}
	return b.String()
}

// paintBar draws the scale bar: colors, a tick, label and level at each isoline, and
// the meaning of zero.
func (m *surfaceMap) paintBar(c draw.Canvas) {
	s := m.scale
	panel := max(m.data.Size().Y, 300)
	mid := (m.data.Min.Y + m.data.Max.Y) / 2
	head, foot := vg.Length(26), vg.Length(48)
	x := vg.Length(m.width) - margin - 190 - barWidth + 8
	r := vg.Rectangle{
		Min: round(vg.Point{X: x, Y: mid - panel/2 + foot}),
		Max: round(vg.Point{X: x + barWidth, Y: mid + panel/2 - head}),
	}
	height := r.Size().Y
	size := pixels(r, int(m.height)).Size()
	img := image.NewPaletted(image.Rect(0, 0, size.X, size.Y), append(color.Palette(PaletteOf(s.Kind).Colors()), paper))
	for y := range size.Y {
		index := uint8(paletteIndex(1 - (float64(y)+0.5)/float64(size.Y)))
		for i := range size.X {
			img.Pix[y*img.Stride+i] = index
		}
	}
	c.DrawImage(r, img)
	c.StrokeLines(draw.LineStyle{Color: ink, Width: 1.2}, closedOutline(r))

	left := style(17, false, ink, draw.XLeft, draw.YCenter)
	bold := style(17, true, ink, draw.XLeft, draw.YCenter)
	soft := style(15, false, gray, draw.XLeft, draw.YCenter)
	drawWithHalo(c, left, vg.Point{X: r.Min.X, Y: r.Max.Y + 15}, kinds[s.Kind].unit, paper, 0)
	ticks := s.Ticks()
	every := 1 // label each, or each second, or …
	for height*vg.Length(s.Step*float64(every)/(s.Max-s.Min)) < 23 {
		every++
	}
	for _, t := range ticks {
		y := r.Min.Y + height*vg.Length(s.Fraction(t.Value))
		zero := t.Value == 0
		width := vg.Length(1.2)
		if zero {
			width = 2.8
			c.StrokeLine2(draw.LineStyle{Color: ink, Width: width}, r.Min.X-7, y, r.Max.X, y)
		}
		c.StrokeLine2(draw.LineStyle{Color: ink, Width: width}, r.Max.X, y, r.Max.X+7, y)
		if n := int(math.Round(t.Value / s.Step)); !zero && n%every != 0 {
			continue
		}
		st := left
		if zero {
			st = bold
		}
		drawWithHalo(c, st, vg.Point{X: r.Max.X + 12, Y: y}, t.Label, paper, 0)
		label := s.LevelAt(t.Value, m.opt.Unit)
		switch {
		case s.Kind != Level && t.Value == s.Min:
			label = kinds[s.Kind].down
		case s.Kind != Level && t.Value == s.Max:
			label = kinds[s.Kind].up
		}
		if label != "" {
			drawWithHalo(c, soft, vg.Point{X: r.Max.X + 78, Y: y}, label, paper, 0)
		}
	}
	y := r.Min.Y - 18
	for _, str := range wrap(soft, "0 is "+s.Zero, 190+barWidth) {
		drawWithHalo(c, soft, vg.Point{X: r.Min.X, Y: y}, str, paper, 0)
		y -= 20
	}
}
