package plots

import (
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// panelLayout is the layout of a picture with two panels, one above the other:
// headings, the rectangles of the panels, a legend and a note.
type panelLayout struct {
	pageLayout
	under vg.Rectangle // the lower panel
}

// panels places the two panels; a lower one of no height takes no space.
func (s *panelLayout) panels(width, upper, lower float64) {
	const gap = 30
	s.data = s.rect(curveLeft, s.fromTop, width, upper)
	s.fromTop += upper
	if lower > 0 {
		s.fromTop += gap
	}
	s.under = s.rect(curveLeft, s.fromTop, width, lower)
	s.fromTop += lower + 68
}

// addLegend adds an entry to the legend.
func (s *panelLayout) addLegend(text string, paint func(c draw.Canvas, at vg.Point)) {
	s.addToRow(text, margin, 84, paint)
}

// end places the note.
func (s *panelLayout) end(note string) {
	s.fromTop += 40
	s.finish(note)
	s.under = s.aboveLowerEdge(s.under)
}

// paintFrame draws headings, legend and note.
func (s *panelLayout) paintFrame(c draw.Canvas) {
	s.paintTexts(c)
	s.paintLegend(c, 30)
}
