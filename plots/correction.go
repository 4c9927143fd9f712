package plots

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"evenfall/photometry"
	"evenfall/photometry/colorimetry"
	"evenfall/plots/canvas"
)

// ColorMove is a light that is brought toward a target: its color as read and as it is
// computed behind what is hung, the same where nothing is, and all of that in words.
type ColorMove struct {
	From, To colorimetry.CCT
	Text     string
}

// ColorTarget is a color with the largest miss that counts as met, on each side.
type ColorTarget struct {
	colorimetry.CCT
	MissMired, MissDuv float64
}

// Correction draws lights about a target, the shift in mired across (plus is warmer) and
// that of Duv up (plus is greener): hollow as read, filled behind the gels, with the
// window that counts as met. The lights have the numbers of the list below; those of one
// light are its candidates. what says whose they are.
func Correction(what string, to ColorTarget, moves []ColorMove) *Picture {
	m := &correctionPlot{what: what, target: to, moves: moves, mired: 1.4 * to.MissMired, duv: 1.4 * to.MissDuv}
	for _, move := range moves {
		for _, c := range []colorimetry.CCT{move.From, move.To} {
			mired, duv := m.shift(c)
			m.mired, m.duv = max(m.mired, 1.15*math.Abs(mired)), max(m.duv, 1.15*math.Abs(duv))
		}
	}
	m.layOut()
	return m.picture(m.alt(), m.paint)
}

// correctionPlot is the picture of a correction, laid out for any format.
type correctionPlot struct {
	what       string
	target     ColorTarget
	moves      []ColorMove
	mired, duv float64 // half of what the axes show
	pageLayout
}

// maxListed is the most lights that the list below a correction has.
const maxListed = 16

// shift is how far a color is from the target.
func (m *correctionPlot) shift(c colorimetry.CCT) (mired, duv float64) {
	if duv = c.Duv - m.target.Duv; math.IsNaN(duv) {
		duv = 0 // its text says that Duv is not known
	}
	return c.Mired() - m.target.Mired(), duv
}

func (m *correctionPlot) about() string {
	if math.IsNaN(m.target.Duv) {
		return m.target.CCT.String()
	}
	return fmt.Sprintf("%.0f K, Duv %s", m.target.Kelvin, formatSigned(m.target.Duv, 4))
}

func (m *correctionPlot) window() string {
	return "counts as met: " + Mired.tolerance(m.target.MissMired) + ", " + Duv.tolerance(m.target.MissDuv)
}

// list are the lights by their numbers.
func (m *correctionPlot) list() (lines []string) {
	for i, move := range m.moves[:min(len(m.moves), maxListed)] {
		lines = append(lines, strconv.Itoa(i+1)+" "+photometry.Signed(cleanText(move.Text)))
	}
	if n := len(m.moves) - len(lines); n > 0 {
		lines = append(lines, fmt.Sprintf("and %d more", n))
	}
	return lines
}

func (m *correctionPlot) alt() string {
	return fmt.Sprintf("Lights about a target of %s, as read and as computed behind gels; %s. %s.", m.about(), m.window(), strings.Join(m.list(), ". "))
}

func (m *correctionPlot) layOut() {
	m.begin(headingOf(m.what, "color about "+m.about(), "as read and computed"), "", "", 16)
	m.data = m.rect(curveLeft, m.fromTop, m.width-curveLeft-margin-12, 520)
	m.fromTop += 520 + 68
	m.addToRow("as read", markerSample(open))
	m.addToRow("computed behind its gels", markerSample(dot))
	m.addToRow(m.window(), windowSample)
	m.fromTop += 38
	for _, line := range m.list() {
		m.addText(line, 17, 25, false, false)
	}
	m.fromTop += 10
	m.finish("A light to the right is warmer, above greener than the target in the middle. Meter again with the gel on.")
}

// windowSample is the window of a tolerance in the legend.
func windowSample(c draw.Canvas, at vg.Point) {
	box := canvas.Around(at, 15, 8)
	fill(c, box.Path(), toleranceColor)
	c.StrokeLines(toleranceLine, closedOutline(box))
}

func (m *correctionPlot) paint(c draw.Canvas) {
	m.paintTexts(c)
	m.paintLegend(c, 30)
	size := m.data.Size()
	drawAxes(c, m.data, axis{-m.mired, m.mired, "mired from the target", evenTicks(size.X, 80, nil), nil},
		axis{-1000 * m.duv, 1000 * m.duv, "thousandths of ΔDuv", evenTicks(size.Y, 60, nil), nil}, m.plot)
}

// plot draws the window, the way of each light, and its number where there is space.
func (m *correctionPlot) plot(p panel) {
	c := p.Canvas
	met := vg.Rectangle{Min: p.at(-m.target.MissMired, -1000*m.target.MissDuv), Max: p.at(m.target.MissMired, 1000*m.target.MissDuv)}
	fill(c, met.Path(), toleranceColor)
	p.grid()
	c.StrokeLines(toleranceLine, closedOutline(met))
	space := &canvas.FreeSpace{Within: c.Rectangle}
	space.TakeLine(closedOutline(met)...)
	at := func(color colorimetry.CCT) vg.Point {
		mired, duv := m.shift(color)
		return p.at(mired, 1000*duv)
	}
	for _, move := range m.moves {
		c.StrokeLine2(zoneLine, at(move.From).X, at(move.From).Y, at(move.To).X, at(move.To).Y)
		space.TakeLine(at(move.From), at(move.To))
	}
	for _, move := range m.moves {
		space.Take(canvas.Around(at(move.To), 5, 5))
		paintMarker(c, open, at(move.From))
		if move.To != move.From && (move.To.Kelvin != move.From.Kelvin || !math.IsNaN(move.To.Duv)) {
			paintMarker(c, dot, at(move.To))
		}
	}
	s := style(17, true, ink, draw.XCenter, draw.YCenter)
	for i, move := range m.moves {
		text := strconv.Itoa(i + 1)
		half := vg.Point{X: textWidth(s, text)/2 + 1, Y: 8}
		var beside []vg.Point
		for _, d := range []vg.Length{10, 20} {
			for _, way := range []vg.Point{{X: 1}, {X: -1}, {Y: 1}, {Y: -1}, {X: 1, Y: 1}, {X: -1, Y: 1}, {X: 1, Y: -1}, {X: -1, Y: -1}} {
				beside = append(beside, at(move.To).Add(vg.Point{X: way.X * (d + half.X), Y: way.Y * (d + 4)}))
			}
		}
		placeText(c, space, s, text, half, 3, beside...)
	}
}
