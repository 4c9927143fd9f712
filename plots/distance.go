package plots

import (
	"fmt"
	"math"
	"strings"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"evenfall/falloff"
	"evenfall/photometry"
	"evenfall/photometry/survey"
)

// SeriesOptions choose how a picture of a series is printed.
type SeriesOptions struct {
	// Unit is how levels are printed: photometry.FC prints footcandles, all else
	// the SI unit of the series, or f-numbers where those were read.
	Unit photometry.Unit
	// Feet prints lengths in feet.
	Feet bool
	// Answer is what the series says, in words.
	Answer string
}

// The layout of a picture of a series in pixels.
const (
	curveWidth, curveHeight = 900.0, 520.0
	underHeight             = 170.0 // of the panel beneath
	curveLeft, curveRight   = margin + 104, 116 + margin
)

// Distance draws a fitted distance series: level against distance, both
// logarithmic, with the readings and the scatter of each (95 %), the fitted law
// with its 95 % band, the inverse square through the fitted level at the mark,
// the zone within tolerance about the mark shaded, the ambient level and the
// wanted level where there are any, and beneath it the readings' residuals in
// stops. Readings at an angle stand where they would facing the light.
func Distance(s *survey.Series, r *falloff.Distance, opt SeriesOptions) *Picture {
	if s == nil || r == nil || len(r.Points) == 0 {
		panic("plots: no series or no result")
	}
	m := &fallOff{series: s, result: r, opt: opt, law: r.Law()}
	m.frame()
	m.layOut()
	return NewPicture(m.title(), m.alt(), int(m.width), int(m.height), m.paint)
}

// fallOff is a fall-off curve with everything decided but the format.
type fallOff struct {
	series *survey.Series
	result *falloff.Distance
	opt    SeriesOptions
	law    falloff.Law

	x0, x1, y0, y1 float64 // what the axes show, m and SI unit
	reach          float64 // half height of the residuals, stops
	curve          []falloff.CurvePoint

	seriesSheet
}

// curvePlaces is how many places of the curve are computed.
const curvePlaces = 120

// frame decides what the axes show.
func (m *fallOff) frame() {
	r := m.result
	near, far := r.NearM, r.FarM
	grow := func(d float64) {
		// A zone or a level far outside what was read would leave no room for it.
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
		m.curve = r.Curve(m.x0, m.x1, curvePlaces)
	}
	lo, hi := math.Inf(1), math.Inf(-1)
	see := func(level float64) {
		if level > 0 && !math.IsInf(level, 0) {
			lo, hi = min(lo, level), max(hi, level)
		}
	}
	for i, p := range r.Points {
		bar := math.Exp2(barReach * p.SpreadStops)
		see(m.facing(i) * bar)
		see(m.facing(i) / bar)
		m.reach = max(m.reach, math.Abs(p.ResidualStops)+barReach*p.SpreadStops)
	}
	for _, p := range m.curve {
		if p.DistanceM > -1.05*m.law.OffsetM {
			see(p.Level)
		}
	}
	if w := r.Wanted; w != nil && w.DistanceM != nil && m.shows(*w.DistanceM) {
		see(w.Level)
	}
	room := math.Pow(hi/lo, 0.06) * 1.05
	m.y0, m.y1 = lo/room, hi*room
	m.reach = max(1.12*m.reach, 0.06)
}

// barReach is how many of its standard deviations a bar reaches to each side,
// for 95 % of a normal.
const barReach = 1.96

// rises tells whether the levels rise with distance, so that no law fits.
func (m *fallOff) rises() bool { return m.result.Answer.Code == falloff.NoInverse }

// shows tells whether a distance lies on the axis.
func (m *fallOff) shows(d float64) bool { return d >= m.x0 && d <= m.x1 }

// facing is the level of point i as the receptor would read it facing the light.
func (m *fallOff) facing(i int) float64 {
	p := m.result.Points[i]
	if p.IncidenceDeg == 0 || m.rises() {
		return p.Level
	}
	return m.law.Level(p.DistanceM) * math.Exp2(p.ResidualStops)
}

func (m *fallOff) title() string {
	if t := tidy(m.result.Title); t != "" {
		return t + ": level against distance"
	}
	return "Level against distance"
}

// level and distance print figures of the picture with their units.
func (m *fallOff) level(v float64) string { return m.series.FormatLevel(v, m.opt.Unit) }
func (m *fallOff) distance(v float64) string {
	return length(v, m.opt.Feet) + " " + lengthUnit(m.opt.Feet)
}

// counts says what stands behind the curve.
func (m *fallOff) counts() string {
	r := m.result
	text := fmt.Sprintf("%s readings, %s", thousands(r.Readings), photometry.FromTo(r.NearM, r.FarM, m.distance))
	if r.Readings == 1 {
		text = strings.Replace(text, "readings", "reading", 1)
	}
	if !m.rises() {
		text += "; best law: " + lawWords(r.BestModel)
	}
	if !r.Settled {
		text += "; not settled"
	}
	return text
}

// lawWords name the models.
func lawWords(model string) string {
	return map[string]string{
		falloff.ModelPoint: "a point", falloff.ModelOffset: "a point that sits elsewhere", falloff.ModelDisc: "a disc",
		falloff.ModelPointAmbient: "a point with ambient light", falloff.ModelOffsetAmbient: "a point that sits elsewhere, with ambient light",
		falloff.ModelDiscAmbient: "a disc with ambient light",
	}[model]
}

// alt says what the picture shows.
func (m *fallOff) alt() string {
	r := m.result
	var b strings.Builder
	beneath := ", with the residuals in stops beneath"
	if m.rises() {
		beneath = ""
	}
	fmt.Fprintf(&b, "Curve of level against distance, both on logarithmic axes%s: %s. %s", beneath, m.counts(), m.opt.Answer)
	if l := r.Lost; l.Stops >= 0 {
		fmt.Fprintf(&b, " From %s the level falls by %s; the inverse square would take %s.", photometry.FromTo(l.FromM, l.ToM, m.distance), stopsText(l.Stops), stopsText(l.InverseSquareStops))
	} else {
		fmt.Fprintf(&b, " From %s the level rises by %s.", photometry.FromTo(l.FromM, l.ToM, m.distance), stopsText(l.Stops))
	}
	if d := r.Depth; d != nil {
		zone := "has no far end"
		if d.FarM != nil {
			zone = "runs from " + photometry.FromTo(d.NearM, *d.FarM, m.distance)
		}
		fmt.Fprintf(&b, " The zone within %s of the mark at %s %s.", stopsText(d.WithinStops), m.distance(r.MarkM), zone)
	}
	worst := 0.0
	for _, p := range r.Points {
		worst = max(worst, math.Abs(p.ResidualStops))
	}
	if !m.rises() {
		fmt.Fprintf(&b, " No reading is farther than %s from the fitted law.", stopsText(worst))
	}
	return b.String()
}

// layOut places the parts of the picture.
func (m *fallOff) layOut() {
	m.begin(curveLeft+curveWidth+curveRight, m.title(), m.opt.Answer, m.counts())
	if m.rises() {
		m.panels(curveWidth, curveHeight, 0)
	} else {
		m.panels(curveWidth, curveHeight, underHeight)
	}
	r := m.result
	m.add("reading, with its scatter (95 %)", func(c draw.Canvas, at vg.Point) {
		c.StrokeLine2(barLine, at.X, at.Y-11, at.X, at.Y+11)
		paintSign(c, dot, at, nil)
	})
	if !m.rises() {
		m.add("fitted law, with its band (95 %)", func(c draw.Canvas, at vg.Point) {
			c.SetColor(bandColor)
			c.Fill(vg.Rectangle{Min: vg.Point{X: at.X - 18, Y: at.Y - 8}, Max: vg.Point{X: at.X + 18, Y: at.Y + 8}}.Path())
			c.StrokeLine2(fitLine, at.X-18, at.Y, at.X+18, at.Y)
		})
		m.add("inverse square through the mark", stroked(squareLine))
		m.add("mark: "+m.level(r.MarkLevel)+" at "+m.distance(r.MarkM), marked(diamond))
	}
	if r.Depth != nil {
		m.add(m.zoneText(), func(c draw.Canvas, at vg.Point) {
			box := vg.Rectangle{Min: vg.Point{X: at.X - 14, Y: at.Y - 9}, Max: vg.Point{X: at.X + 14, Y: at.Y + 9}}
			c.SetColor(zoneColor)
			c.Fill(box.Path())
			c.StrokeLine2(zoneLine, box.Min.X, box.Min.Y, box.Min.X, box.Max.Y)
			c.StrokeLine2(zoneLine, box.Max.X, box.Min.Y, box.Max.X, box.Max.Y)
		})
	}
	if m.ambient() {
		m.add("ambient light: "+m.level(*r.Ambient), stroked(ambientLine))
	}
	if w := r.Wanted; w != nil && w.DistanceM != nil && m.shows(*w.DistanceM) {
		m.add(m.level(w.Level)+" stands at "+m.distance(*w.DistanceM), stroked(wantedLine))
	}
	if m.strays() {
		m.add("reading that strays by more than 3 of its own deviations", func(c draw.Canvas, at vg.Point) {
			paintSign(c, ring, at, nil)
			paintSign(c, dot, at, nil)
		})
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
	m.end(note)
}

// zoneText names the shaded zone.
func (m *fallOff) zoneText() string {
	d := m.result.Depth
	text := "within ±" + fractionText(d.WithinStops) + " stop of the mark"
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

// fractionText prints stops as the usual fraction where they are one.
func fractionText(stops float64) string {
	for _, f := range []struct {
		stops float64
		text  string
	}{{1.0 / 3, "1/3"}, {2.0 / 3, "2/3"}, {0.5, "1/2"}, {0.25, "1/4"}, {1, "1"}} {
		if math.Abs(stops-f.stops) < 1e-3 {
			return f.text
		}
	}
	return photometry.FormatFigure(stops)
}

// ambient tells whether there is an ambient level that the axes show.
func (m *fallOff) ambient() bool {
	a := m.result.Ambient
	return a != nil && *a > m.y0 && *a < m.y1
}

func (m *fallOff) tilted() bool {
	for _, p := range m.result.Points {
		if p.IncidenceDeg != 0 {
			return true
		}
	}
	return false
}

func (m *fallOff) strays() bool {
	for i := range m.result.Points {
		if m.stray(i) {
			return true
		}
	}
	return false
}

// stray tells whether point i lies more than three of its own deviations off
// the law, as one reading in 370 does by chance.
func (m *fallOff) stray(i int) bool {
	p := m.result.Points[i]
	return !m.rises() && math.Abs(p.ResidualStops) > 3*p.SpreadStops
}
