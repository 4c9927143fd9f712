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
	x     float64      // where the next entry of the legend begins
}

// beginPanels places the headings.
func (s *panelLayout) beginPanels(width float64, title, headline, counts string) {
	s.begin(width, title)
	s.addText(&s.headings, headline, 22, 33, false, false)
	s.addText(&s.headings, counts, 17, 27, false, true)
	s.fromTop += 22
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
	s.addEntry(text, s.x, s.fromTop+16, paint)
	s.x += w + 84
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
