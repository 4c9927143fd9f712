package plots

import (
	"cmp"
	"math"

	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"evenfall/plots/canvas"
)

// pictureWidth is the width in pixels of every picture that is not narrow. Printed 170 mm
// wide its type of 17 pixels is 8.2 points.
const pictureWidth = 1000.0

// pageLayout is the layout of a picture from the top: headings, a drawing, a legend
// and a note, in pixels. Until finish, y is minus the distance from the upper edge;
// then it is counted from the lower edge.
type pageLayout struct {
	title         string
	width, height float64
	data          vg.Rectangle // the drawing
	under         vg.Rectangle // the lower panel of one with two
	texts         []line       // headings and notes
	legend        []legendEntry
	fromTop       float64 // where the next part begins
	legendX       float64 // where the next entry of a legend in rows begins
	typeSize      float64 // of the legend; 0 is 17
	narrow        bool    // without headings and notes, in type of 15 pixels
}

// narrowWidth is the width in pixels of a picture with the drawing alone, whose type of
// 15 pixels reads on a phone and in print at 92 mm. The caller shows its title elsewhere.
const narrowWidth = 480.0

// line is a line of text at a position in the picture.
type line struct {
	text string
	at   vg.Point
	size float64
	bold bool
	soft bool // in gray
}

// legendEntry is a text with a sample of what it explains to its left.
type legendEntry struct {
	text   string
	at     vg.Point                         // left end of the text's middle line
	sample func(c draw.Canvas, at vg.Point) // nil for none
}

// begin places the title of a picture, its headline if any, and what it is made of.
func (p *pageLayout) begin(title, headline, counts string, gap float64) {
	p.title = title
	if p.narrow {
		p.width, p.typeSize = cmp.Or(p.width, narrowWidth), 15
		return
	}
	p.width, p.fromTop = pictureWidth, 14
	p.addText(title, 26, 32, true, false)
	p.addText(headline, 22, 33, false, false)
	p.addText(counts, 17, 27, false, true)
	p.fromTop += gap
}

// picture is the picture of a layout, whose text alternative is alt.
func (p *pageLayout) picture(alt string, paint func(draw.Canvas)) *Picture {
	return NewPicture(p.title, alt, int(p.width), int(p.height), paint)
}

// rect is a rectangle a distance from the top.
func (p *pageLayout) rect(x, fromTop, width, height float64) vg.Rectangle {
	return vg.Rectangle{Min: vg.Point{X: vg.Length(x), Y: vg.Length(-fromTop - height)}, Max: vg.Point{X: vg.Length(x + width), Y: vg.Length(-fromTop)}}
}

// panels places two panels, one above the other, with space for an axis to the right; a
// lower one of no height takes no space.
func (p *pageLayout) panels(upper, lower, right float64) {
	left := curveLeft
	if p.narrow {
		left, upper, lower, p.fromTop = 0.75*left, upper/2, lower*0.7, 8
	}
	width := p.width - left - right
	p.data = p.rect(left, p.fromTop, width, upper)
	p.fromTop += upper
	if lower > 0 {
		p.fromTop += 30
	}
	p.under = p.rect(left, p.fromTop, width, lower)
	p.fromTop += lower + 68
}

// mostLines is how many lines a text of a picture may have: a name in a table can be as
// long as a book.
const mostLines = 12

// addText places a text, broken into lines.
func (p *pageLayout) addText(str string, size, step float64, bold, soft bool) {
	if p.narrow {
		return
	}
	for _, str := range cutOff(wrap(style(size, bold, ink, draw.XLeft, draw.YTop), str, vg.Length(p.width-2*margin)), mostLines) {
		p.fromTop += step
		p.texts = append(p.texts, line{str, vg.Point{X: margin, Y: vg.Length(-p.fromTop)}, size, bold, soft})
	}
}

// addToRow adds an entry to a legend in rows.
func (p *pageLayout) addToRow(str string, sample func(draw.Canvas, vg.Point)) {
	p.addWithGap(84, str, sample)
}

// addWithGap adds an entry to a legend in rows with a gap behind it.
func (p *pageLayout) addWithGap(gap float64, str string, sample func(draw.Canvas, vg.Point)) {
	border := margin
	if p.narrow {
		border, gap = 4, min(gap, 62)
	}
	first := border + 42
	p.legendX = max(p.legendX, first)
	for i, str := range wrap(p.legendStyle(), str, vg.Length(p.width-border-first)) {
		w := float64(textWidth(p.legendStyle(), str))
		switch {
		case i > 0:
			p.legendX, p.fromTop, sample = first, p.fromTop+1.3*p.legendSize(), nil
		case p.legendX+w > p.width-border && p.legendX > first:
			p.legendX, p.fromTop = first, p.fromTop+32
		}
		p.legend = append(p.legend, legendEntry{str, vg.Point{X: vg.Length(p.legendX), Y: vg.Length(-p.fromTop - 16)}, sample})
		p.legendX += w + gap
	}
}

// finish places the note, which gives the height of the picture.
func (p *pageLayout) finish(note string) {
	p.addText(note, 17, 25, false, true)
	if !p.narrow {
		p.fromTop += 22
	}
	p.height = math.Ceil(p.fromTop)
	up := vg.Point{Y: vg.Length(p.height)} // all positions are now above the lower edge
	for _, r := range []*vg.Rectangle{&p.data, &p.under} {
		r.Min, r.Max = round(r.Min.Add(up)), round(r.Max.Add(up)) // in whole pixels
	}
	for i := range p.texts {
		p.texts[i].at = p.texts[i].at.Add(up)
	}
	for i := range p.legend {
		p.legend[i].at = p.legend[i].at.Add(up)
	}
}

// paintTexts draws the headings and the note.
func (p *pageLayout) paintTexts(c draw.Canvas) {
	for _, l := range p.texts {
		clr := either(l.soft, gray, ink)
		c.SetColor(clr)
		c.FillString(face(style(l.size, l.bold, clr, 0, 0)), l.at, l.text)
	}
}

// paintLegend draws the legend with samples centered a distance left of the texts.
func (p *pageLayout) paintLegend(c draw.Canvas, distance vg.Length) {
	for _, e := range p.legend {
		if e.sample != nil {
			e.sample(c, vg.Point{X: e.at.X - distance, Y: e.at.Y})
		}
		drawWithHalo(c, p.legendStyle(), e.at, e.text, paper, 0)
	}
}

// legendStyle is the style of the legend.
func (p *pageLayout) legendStyle() text.Style {
	return style(p.legendSize(), false, ink, draw.XLeft, draw.YCenter)
}

func (p *pageLayout) legendSize() float64 { return cmp.Or(p.typeSize, 17) }

// lineSample is a line in the legend.
func lineSample(l draw.LineStyle, halfLength vg.Length) func(draw.Canvas, vg.Point) {
	return func(c draw.Canvas, at vg.Point) {
		c.StrokeLine2(l, at.X-halfLength, at.Y, at.X+halfLength, at.Y)
	}
}

// bandSample is a curve with its band in the legend.
func bandSample(c draw.Canvas, at vg.Point) {
	fill(c, canvas.Around(at, 18, 8).Path(), bandColor)
	lineSample(fitLine, 18)(c, at)
}

// readingSample is a reading with the bar of its scatter in the legend.
func readingSample(c draw.Canvas, at vg.Point) {
	c.StrokeLine2(barLine, at.X, at.Y-11, at.X, at.Y+11)
	paintMarker(c, dot, at)
}

// markerSample is a marker in the legend, a ring with its dot.
func markerSample(s marker) func(draw.Canvas, vg.Point) {
	return func(c draw.Canvas, at vg.Point) {
		paintMarker(c, s, at)
		if s == ring || s == struck {
			paintMarker(c, dot, at)
		}
	}
}

func round(p vg.Point) vg.Point {
	return vg.Point{X: vg.Length(math.Round(float64(p.X))), Y: vg.Length(math.Round(float64(p.Y)))}
}
