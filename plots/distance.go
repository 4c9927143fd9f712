package plots

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"evenfall/falloff"
	"evenfall/photometry"
	"evenfall/photometry/survey"
	"evenfall/plots/canvas"
)

// SeriesOptions are the units of a picture of a series.
type SeriesOptions struct {
	// Unit is how levels are printed: photometry.FC prints footcandles, all else
	// the SI unit of the series, or f-numbers where those were read.
	Unit photometry.Unit
	// Feet prints lengths in feet.
	Feet bool
	// Answer is what the series says, in words.
	Answer string
	// Narrow draws the panels and their legend alone, 480 pixels wide.
	Narrow bool
}

// The layout of a picture of a series in pixels.
const (
	curveHeight, underHeight = 520.0, 170.0 // of the panel and the one beneath
	curveLeft, curveRight    = margin + 98, margin + 92
)

// Distance draws a fitted distance series: level against distance, both
// logarithmic, with the readings and the scatter of each (95 %), the fitted law
// with its 95 % band, the inverse square through the fitted level at the mark,
// the zone within tolerance about the mark shaded, the ambient level and the
// target level where there are any, and below it the readings' residuals in
// stops. Readings at an angle are drawn at the level they would have facing the
// light.
func Distance(s *survey.Series, r *falloff.Distance, opt SeriesOptions) *Picture {
	if s == nil || r == nil || len(r.Points) == 0 {
		panic("plots: no series or no result")
	}
	m := &distancePlot{series: s, result: r, opt: opt, law: r.Law()}
	m.setExtent()
	m.layOut()
	return m.picture(m.alt(), m.paint)
}

// distancePlot is the picture of a distance series, laid out for any format.
type distancePlot struct {
	series *survey.Series
	result *falloff.Distance
	opt    SeriesOptions
	law    falloff.Law

	x0, x1, y0, y1 float64 // what the axes show, m and SI unit
	reach          float64 // half height of the residuals, stops
	curve          []falloff.CurvePoint
	wanted         *falloff.Wanted // nil where none is on the axis

	pageLayout
}

// curvePoints is the number of points of the fitted curve.
const curvePoints = 120

// setExtent sets the ranges of the axes.
func (m *distancePlot) setExtent() {
	r := m.result
	near, far := r.NearM, r.FarM
	grow := func(d float64) {
		// A zone or a level far outside the readings would squeeze them together.
		if d >= r.NearM/2.5 && d <= 2.5*r.FarM {
			near, far = min(near, d), max(far, d)
		}
	}
	grow(r.MarkM)
	if d := r.Depth; d != nil {
		grow(d.NearM)
		if d.FarM != nil {
			grow(*d.FarM)
		}
	}
	if w := r.Wanted; w != nil && w.DistanceM != nil {
		grow(*w.DistanceM)
	}
	pad := math.Pow(far/near, 0.06) * 1.02
	m.x0, m.x1 = near/pad, far*pad
	if !m.rises() {
		m.curve = r.Curve(m.x0, m.x1, curvePoints)
	}
	lo, hi := math.Inf(1), math.Inf(-1)
	see := func(level float64) {
		if level > 0 && !math.IsInf(level, 0) {
			lo, hi = min(lo, level), max(hi, level)
		}
	}
	for i, p := range r.Points {
		bar := math.Exp2(normal95 * p.SpreadStops)
		see(m.levelFacing(i) * bar)
		see(m.levelFacing(i) / bar)
		m.reach = max(m.reach, math.Abs(p.ResidualStops)+normal95*p.SpreadStops)
	}
	for _, p := range m.curve {
		if p.DistanceM > -1.05*m.law.OffsetM {
			see(p.Level)
		}
	}
	if w := r.Wanted; w != nil && w.DistanceM != nil && m.onAxis(*w.DistanceM) {
		m.wanted = w
		see(w.Level)
	}
	padding := math.Pow(hi/lo, 0.06) * 1.05
	m.y0, m.y1 = lo/padding, hi*padding
	m.reach = max(1.12*m.reach, 0.06)
}

// normal95 is the half width of a bar in standard deviations: 95 % of a normal
// distribution.
const normal95 = 1.96

// rises reports whether the levels rise with distance, so that no law fits.
func (m *distancePlot) rises() bool { return m.result.Answer.Code == falloff.NoInverse }

// onAxis reports whether a distance is within the range of the axis.
func (m *distancePlot) onAxis(d float64) bool { return d >= m.x0 && d <= m.x1 }

// levelFacing is the level of point i if the receptor faced the light.
func (m *distancePlot) levelFacing(i int) float64 {
	p := m.result.Points[i]
	if p.IncidenceDeg == 0 || m.rises() {
		return p.Level
	}
	return m.law.Level(p.DistanceM) * math.Exp2(p.ResidualStops)
}

// level and distance print values with their units.
func (m *distancePlot) level(v float64) string { return m.series.FormatLevel(v, m.opt.Unit) }
func (m *distancePlot) distance(v float64) string {
	return formatLength(v, m.opt.Feet) + " " + lengthUnit(m.opt.Feet)
}

// describeCounts describes the readings and the model of the curve.
func (m *distancePlot) describeCounts() string {
	r := m.result
	text := fmt.Sprintf("%s readings, %s", formatCount(r.Readings), photometry.FromTo(r.NearM, r.FarM, m.distance))
	if r.Readings == 1 {
		text = strings.Replace(text, "readings", "reading", 1)
	}
	if !m.rises() {
		text += "; best law: " + m.describeLaw()
	}
	if !r.Settled {
		text += "; not settled"
	}
	return text
}

// describeLaw names what the law surely has: its size, where it starts, ambient
// light.
func (m *distancePlot) describeLaw() string {
	iv := m.result.Intervals
	text := "a point"
	if iv.SourceRadiusM.Lo > 0 {
		text = "a light " + m.distance(2*m.law.SourceRadiusM) + " across"
	}
	switch {
	case iv.OffsetM.Lo > 0:
		text += ", " + m.distance(m.law.OffsetM) + " behind the tape's zero"
	case iv.OffsetM.Hi < 0:
		text += ", " + m.distance(-m.law.OffsetM) + " ahead of the tape's zero"
	}
	if iv.Ambient.Lo > 0 {
		text += ", with ambient light"
	}
	return text
}

// alt describes the picture for those who cannot see it.
func (m *distancePlot) alt() string {
	r := m.result
	var b strings.Builder
	below := either(m.rises(), "", ", with the residuals in stops below")
	fmt.Fprintf(&b, "Curve of level against distance, both on logarithmic axes%s: %s. %s", below, m.describeCounts(), m.opt.Answer)
	if l := r.Lost; l.Stops >= 0 {
		fmt.Fprintf(&b, " From %s the level falls by %s; the inverse square would take %s.", photometry.FromTo(l.FromM, l.ToM, m.distance), formatStops(l.Stops), formatStops(l.InverseSquareStops))
	} else {
		fmt.Fprintf(&b, " From %s the level rises by %s.", photometry.FromTo(l.FromM, l.ToM, m.distance), formatStops(l.Stops))
	}
	if d := r.Depth; d != nil {
		zone := "has no far end"
		if d.FarM != nil {
			zone = "runs from " + photometry.FromTo(d.NearM, *d.FarM, m.distance)
		}
		fmt.Fprintf(&b, " The zone within ±%s of the mark at %s %s.", formatStops(d.WithinStops), m.distance(r.MarkM), zone)
	}
	worst := 0.0
	for _, p := range r.Points {
		worst = max(worst, math.Abs(p.ResidualStops))
	}
	if !m.rises() {
		fmt.Fprintf(&b, " No reading is farther than %s from the fitted law.", formatStops(worst))
	}
	return b.String()
}

// layOut places the parts of the picture.
func (m *distancePlot) layOut() {
	m.narrow = m.opt.Narrow
	m.begin(headingOf(cmp.Or(m.result.Title, "A light"), "level against distance", m.series.Date, "as read"), m.opt.Answer, m.describeCounts(), 22)
	m.panels(curveHeight, either(m.rises(), 0, underHeight), curveRight)
	r := m.result
	m.addToRow("reading, with its scatter (95 %)", readingSample)
	if !m.rises() {
		m.addToRow("fitted law, with its band (95 %)", bandSample)
		m.addToRow("inverse square through the mark", lineSample(squareLine, 20))
		m.addToRow("mark: "+m.level(r.MarkLevel)+" at "+m.distance(r.MarkM), markerSample(diamond))
	}
	if r.Depth != nil {
		m.addToRow(m.describeZone(), func(c draw.Canvas, at vg.Point) {
			box := canvas.Around(at, 14, 9)
			fill(c, box.Path(), zoneColor)
			c.StrokeLine2(zoneLine, box.Min.X, box.Min.Y, box.Min.X, box.Max.Y)
			c.StrokeLine2(zoneLine, box.Max.X, box.Min.Y, box.Max.X, box.Max.Y)
		})
	}
	if m.showsAmbient() {
		m.addToRow("ambient light: "+m.level(m.law.Ambient), lineSample(ambientLine, 20))
	}
	if w := m.wanted; w != nil {
		m.addToRow(m.level(w.Level)+" at "+m.distance(*w.DistanceM), lineSample(wantedLine, 20))
	}
	if slices.ContainsFunc(r.Points, m.isOutlier) {
		m.addToRow("strays by more than 3 of its own deviations", markerSample(ring))
	}
	if slices.ContainsFunc(r.Points, func(p falloff.DistancePoint) bool { return p.Suspect }) {
		m.addToRow("suspect: a law fits the others; read again", markerSample(struck))
	}
	note := "Both axes are logarithmic: the inverse square is a straight line."
	if !m.rises() {
		note += " Stops on the right are from the level at the mark."
	}
	if m.tilted() && !m.rises() {
		note += " Readings at an angle are drawn as if the receptor faced the light."
	}
	if r.Scatter != nil && !m.rises() {
		note += fmt.Sprintf(" The readings scatter %.1f times more than their repeatability allows; the band is stretched to match.", *r.Scatter)
	}
	m.fromTop += 40
	m.finish(note)
}

// describeZone describes the shaded zone.
func (m *distancePlot) describeZone() string {
	d := m.result.Depth
	text := "within ±" + formatStops(d.WithinStops) + " of the mark"
	switch {
	case d.FarM != nil && d.NearM > 0:
		text += ": " + photometry.FromTo(d.NearM, *d.FarM, m.distance)
	case d.FarM != nil:
		text += ": up to " + m.distance(*d.FarM)
	default:
		text += ": from " + m.distance(d.NearM) + " on"
	}
	return text
}

// showsAmbient reports whether there surely is ambient light, of a level within
// the axes.
func (m *distancePlot) showsAmbient() bool {
	iv := m.result.Intervals
	return iv != nil && iv.Ambient.Lo > 0 && m.law.Ambient > m.y0 && m.law.Ambient < m.y1
}

func (m *distancePlot) tilted() bool {
	return slices.ContainsFunc(m.result.Points, func(p falloff.DistancePoint) bool { return p.IncidenceDeg != 0 })
}

// markerOf is a reading's ring, if any: struck for a suspect.
func (m *distancePlot) markerOf(p falloff.DistancePoint) marker {
	switch {
	case p.Suspect:
		return struck
	case m.isOutlier(p):
		return ring
	}
	return dot
}

// isOutlier reports whether a point is more than three of its standard deviations
// from the law, as one reading in 370 is by chance.
func (m *distancePlot) isOutlier(p falloff.DistancePoint) bool {
	return !m.rises() && !p.Suspect && math.Abs(p.ResidualStops) > 3*p.SpreadStops
}
