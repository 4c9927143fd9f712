package plots

import (
	"math"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// panelLayout is the layout of a picture with two panels, one above the other:
// headings, the rectangles of the panels, a legend and a note.
type panelLayout struct {
	width, height   float64
	data, under     vg.Rectangle
	headings, notes []line
	legend          []chartEntry
	fromTop         float64 // where the next part begins
	x               float64 // where the next entry of the legend begins
}

// begin places the headings.
func (s *panelLayout) begin(width float64, title, headline, counts string) {
	s.width = width
	s.fromTop = 14
	text := vg.Length(s.width - 2*margin)
	s.addText(&s.headings, fit(style(30, true, ink, 0, 0), title, text), 30, 38, true, false)
	s.addText(&s.headings, headline, 22, 33, false, false)
	s.addText(&s.headings, counts, 17, 27, false, true)
	s.fromTop += 22
}

// addText places a text, broken into lines.
func (s *panelLayout) addText(into *[]line, str string, size, step float64, bold, soft bool) {
	for _, str := range wrap(style(size, bold, ink, draw.XLeft, draw.YTop), str, vg.Length(s.width-2*margin)) {
		s.fromTop += step
		*into = append(*into, line{str, vg.Point{X: margin, Y: vg.Length(-s.fromTop)}, size, bold, soft})
	}
}

// panels places the two panels; a lower one of no height takes no space.
func (s *panelLayout) panels(width, upper, lower float64) {
	const gap = 30
	s.data = vg.Rectangle{Min: vg.Point{X: curveLeft, Y: vg.Length(-s.fromTop - upper)}, Max: vg.Point{X: vg.Length(curveLeft + width), Y: vg.Length(-s.fromTop)}}
	s.fromTop += upper
	if lower > 0 {
		s.fromTop += gap
	}
	s.under = vg.Rectangle{Min: vg.Point{X: curveLeft, Y: vg.Length(-s.fromTop - lower)}, Max: vg.Point{X: vg.Length(curveLeft + width), Y: vg.Length(-s.fromTop)}}
	s.fromTop += lower + 68
	s.x = margin + 42
}

// addLegend adds an entry to the legend.
func (s *panelLayout) addLegend(text string, paint func(c draw.Canvas, at vg.Point)) {
	f := face(style(17, false, ink, 0, 0))
	w := float64(f.Width(text))
	if s.x+w > s.width-margin && s.x > margin+42 {
		s.x, s.fromTop = margin+42, s.fromTop+32
	}
	s.legend = append(s.legend, legendAt(text, s.x, s.fromTop+16, paint))
	s.x += w + 84
}

// end places the note, which gives the height of the picture, and shifts everything
// so that y is counted from the lower edge.
func (s *panelLayout) end(note string) {
	s.fromTop += 40
	s.addText(&s.notes, note, 16, 24, false, true)
	s.height = math.Ceil(s.fromTop + 22)
	up := vg.Point{Y: vg.Length(s.height)}
	for _, panel := range []*vg.Rectangle{&s.data, &s.under} {
		panel.Min, panel.Max = round(panel.Min.Add(up)), round(panel.Max.Add(up))
	}
	for _, lines := range [][]line{s.headings, s.notes} {
		for i := range lines {
			lines[i].at = lines[i].at.Add(up)
		}
	}
	for i := range s.legend {
		s.legend[i].at = s.legend[i].at.Add(up)
	}
}

// paintFrame draws headings, legend and note.
func (s *panelLayout) paintFrame(c draw.Canvas) {
	paintLines(c, s.headings)
	paintLines(c, s.notes)
	for _, e := range s.legend {
		e.paint(c, vg.Point{X: e.at.X - 30, Y: e.at.Y})
		drawWithHalo(c, style(17, false, ink, draw.XLeft, draw.YCenter), e.at, e.text, paper, 0)
	}
}

// lineSample is a line in the legend.
func lineSample(l draw.LineStyle) func(draw.Canvas, vg.Point) {
	return func(c draw.Canvas, at vg.Point) { c.StrokeLine2(l, at.X-20, at.Y, at.X+20, at.Y) }
}

// markerSample is a marker in the legend.
func markerSample(s marker) func(draw.Canvas, vg.Point) {
	return func(c draw.Canvas, at vg.Point) { paintMarker(c, s, at, nil) }
}
