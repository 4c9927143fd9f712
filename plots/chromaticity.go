package plots

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"evenfall/photometry"
	"evenfall/photometry/colorimetry"
	"evenfall/photometry/evenness"
)

// chartSide is the side of a chromaticity plot in pixels.
const chartSide = 720.0

// Chromaticity draws the colors of a survey in the CIE 1976 u′, v′ plane about
// the reference: each reading, the farthest ones named, circles of whole steps
// of 0.0011 (CIE TN 001:2014), the Planckian locus with its color temperatures,
// and the tolerance in mired and Duv. Both axes have one scale. A reading to
// the right of the reference along the locus is warmer, above it greener.
//
// Positions are in feet where feet is true. It fails for a survey without readings (ErrNoReadings) or without color
// (ErrNoColor).
func Chromaticity(r *evenness.Result, feet, narrow bool) (*Picture, error) {
	s := r.Survey
	if s == nil || r == nil {
		panic("plots: no survey or no result")
	}
	if s.Len() == 0 {
		return nil, ErrNoReadings
	}
	if r.Color == nil || len(s.U) != s.Len() || len(s.V) != s.Len() {
		return nil, ErrNoColor
	}
	// Of a kind of color, since colors have no drift taken out.
	m := &chromaticityPlot{mapValues: mapValues{survey: s, result: r, kind: Mired}, feet: feet, points: make([]int32, 0, s.Len())}
	for i := range s.U {
		if finite(s.U[i]) && finite(s.V[i]) {
			m.points = append(m.points, int32(i))
		}
	}
	if len(m.points) == 0 {
		return nil, ErrNoColor
	}
	m.narrow = narrow
	m.prepare()
	m.layOut()
	return m.picture(m.alt(), m.paint), nil
}

// chromaticityPlot is a chromaticity plot, laid out for any format.
type chromaticityPlot struct {
	mapValues
	feet bool

	points    []int32 // readings with a color, those in shot first, the farthest first
	judged    int     // how many of them are in shot
	center    colorimetry.UVPrime
	reference *colorimetry.CCT // nil where the reference has no color temperature
	tolerance []colorimetry.UVPrime
	reach     float64 // half of the plot's side in u′, v′
	steps     []int   // radii of the circles

	pageLayout
}

// prepare finds the reference, the tolerance, the range and the circles.
func (m *chromaticityPlot) prepare() {
	s, ref := m.survey, m.result.Color.Reference
	if ref.CCT != nil {
		t := colorimetry.CCT{Kelvin: *ref.CCT}
		if ref.Duv != nil {
			t.Duv = *ref.Duv
		}
		if uv, err := t.UV(); err == nil {
			m.reference, m.center = &t, uv.UVPrime()
		}
	}
	if m.reference == nil {
		for _, i := range m.points {
			m.center.U += s.U[i] / float64(len(m.points))
			m.center.V += s.V[i] / float64(len(m.points))
		}
	}
	for k, point := range m.points {
		i := int(point)
		m.reach = max(m.reach, 1.12*m.distance(i))
		if m.inShot(i) {
			m.points[k], m.points[m.judged] = m.points[m.judged], m.points[k]
			m.judged++
		}
	}
	m.farthestFirst(m.points[:m.judged])
	m.farthestFirst(m.points[m.judged:])
	if m.judged == 0 {
		m.judged = len(m.points) // nothing is judged apart
	}
	m.reach = max(m.reach, 2*colorimetry.Step)
	if limits := m.result.Limits; m.reference != nil && limits.Mired > 0 && limits.Duv > 0 {
		if outline, err := colorimetry.ToleranceOutline(*m.reference, limits.Mired, limits.Duv, 24); err == nil {
			m.tolerance = outline
			for _, p := range outline {
				m.reach = max(m.reach, 1.08*colorimetry.DeltaUVPrime(p, m.center))
			}
		}
	}
	for _, n := range []int{1, 3, 5, 10, 20, 50, 100, 200} {
		if r := float64(n) * colorimetry.Step; r <= m.reach && r >= m.reach/11 {
			m.steps = append(m.steps, n)
		}
	}
}

// farthestFirst sorts points by descending distance from the center, ties by their
// order in the survey.
func (m *chromaticityPlot) farthestFirst(points []int32) {
	slices.SortFunc(points, func(a, b int32) int {
		return cmp.Or(cmp.Compare(m.distance(int(b)), m.distance(int(a))), cmp.Compare(a, b))
	})
}

// distance is Δu′v′ of point i from the reference.
func (m *chromaticityPlot) distance(i int) float64 {
	return math.Hypot(m.survey.U[i]-m.center.U, m.survey.V[i]-m.center.V)
}

// headline gives the verdict on color and the farthest reading.
func (m *chromaticityPlot) headline() string {
	i := int(m.points[0])
	d := m.distance(i)
	where := either(m.judged < len(m.points), " in the part in shot", "")
	return judged(m.result.Verdict.Color, fmt.Sprintf("farthest%s %s, Δu′v′ %.4f (%.1f steps)", where, m.name(i), d, colorimetry.Steps(d)))
}

func (m *chromaticityPlot) name(i int) string { return m.pointName(i, m.feet) }

// describeReference describes the reference that the plot is centered on.
func (m *chromaticityPlot) describeReference() string {
	ref := m.result.Color.Reference
	if m.reference == nil {
		ref.CCT, ref.Duv = nil, nil
	}
	return describeColorReference(ref, m.survey.DuvRead)
}

func (m *chromaticityPlot) alt() string {
	var b strings.Builder
	fmt.Fprintf(&b, "Plot of %s readings in the CIE 1976 u′, v′ plane about %s. %s.",
		formatCount(len(m.points)), m.describeReference(), m.headline())
	if m.tolerance != nil {
		out := 0
		for _, i := range m.points[:m.judged] {
			if !m.within(int(i)) {
				out++
			}
		}
		fmt.Fprintf(&b, " %s of %s readings lie outside the tolerance of %s.",
			formatCount(out), formatCount(m.judged), m.describeTolerance())
	}
	if !m.survey.DuvRead {
		b.WriteString(" Only color temperatures were read, so all readings lie on the Planckian locus by assumption.")
	}
	return b.String()
}

func (m *chromaticityPlot) describeTolerance() string {
	l := m.result.Limits
	return Mired.tolerance(l.Mired) + " and " + Duv.tolerance(l.Duv)
}

// within reports whether the shifts of point i are within the tolerance.
func (m *chromaticityPlot) within(i int) bool {
	shifts, limits := m.result.Color.Shifts, m.result.Limits
	if shifts == nil {
		return true
	}
	return math.Abs(shifts.Mired[i]) <= limits.Mired && math.Abs(shifts.Duv[i]) <= limits.Duv
}

// layOut places the parts of the picture from the top.
func (m *chromaticityPlot) layOut() {
	count := formatCount(len(m.points)) + " readings with a color"
	if n := m.survey.Len() - len(m.points); n > 0 {
		count += ", " + formatCount(n) + " without"
	}
	m.begin(m.titled("color in u′, v′"), m.headline(), count, 22)
	side := chartSide
	if m.narrow {
		side, m.fromTop = 340, 8
	}
	m.data = m.rect((m.width-side)/2, m.fromTop, side, side)
	m.fromTop += side + 68
	m.addLegend()
	m.fromTop += 40
	m.addText(m.describeFarthest(), 17, 25, false, false)
	note := "Both axes have one scale; to the right along the locus is warmer, above it greener. A step is 0.0011 in u′, v′."
	if !m.survey.DuvRead {
		note += " Only color temperatures were read: readings lie on the locus by assumption."
	}
	m.finish(note)
}

// The line styles of the plot.
var (
	locusLine     = draw.LineStyle{Color: ink, Width: 2.4}
	toleranceLine = draw.LineStyle{Color: ink, Width: 1.8, Dashes: []vg.Length{9, 5}}
	circleLine    = draw.LineStyle{Color: gray, Width: 1.1}
)

// addLegend explains the markers in rows.
func (m *chromaticityPlot) addLegend() {
	m.addToRow(m.describeReference(), markerSample(diamond))
	m.addToRow("reading", markerSample(dot))
	if m.judged < len(m.points) {
		m.addToRow("reading outside the part in shot", markerSample(open))
	}
	if len(m.points) > 1 {
		m.addToRow("farthest: "+m.name(int(m.points[0])), markerSample(upward))
	}
	if m.reference != nil {
		m.addToRow("Planckian locus", lineSample(locusLine, 18))
	}
	if m.tolerance != nil {
		m.addToRow("tolerance, "+m.describeTolerance(), windowSample)
	}
	if len(m.steps) > 0 {
		var steps []string
		for _, n := range m.steps {
			steps = append(steps, strconv.Itoa(n))
		}
		m.addToRow("circles of "+photometry.FormatList(steps)+" steps", lineSample(circleLine, 18))
	}
}

// describeFarthest lists the shifts of the readings in shot that are farthest from the
// reference.
func (m *chromaticityPlot) describeFarthest() string {
	shifts := m.result.Color.Shifts
	if shifts == nil || len(shifts.Mired) != m.survey.Len() || len(shifts.Duv) != m.survey.Len() {
		return ""
	}
	var parts []string
	for _, point := range m.points[:min(m.judged, 8)] {
		i := int(point)
		text := m.name(i)
		if v := shifts.Mired[i]; v == v {
			text += ": " + Mired.formatShift(v)
		}
		if v := shifts.Duv[i]; v == v && m.survey.DuvRead {
			text += ", " + Duv.formatShift(v)
		}
		parts = append(parts, text)
	}
	return "Farthest from the reference: " + strings.Join(parts, "; ") + "."
}

// paint draws the picture.
func (m *chromaticityPlot) paint(c draw.Canvas) {
	m.paintTexts(c)
	ticks := fewTicks(8, func(v, step float64) string {
		return strconv.FormatFloat(v, 'f', either(step < 0.001, 4, 3), 64)
	}, 0.0005, 0.001, 0.002, 0.005, 0.01, 0.02, 0.05, 0.1, 0.2)
	drawAxes(c, m.data,
		axis{m.center.U - m.reach, m.center.U + m.reach, "u′", ticks, nil},
		axis{m.center.V - m.reach, m.center.V + m.reach, "v′", ticks, nil}, m.plot)
	m.paintLegend(c, 30)
}
