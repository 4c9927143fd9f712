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
	"evenfall/plots/canvas"
)

// Angle draws the angle series of a checked meter: the readings against the
// angle and the cosine that a flat receptor should follow, both in percent of
// the reading on the axis, and below them the deviation of each from the cosine in
// percent, with its scatter (95 %) and a tenth of a stop shaded. The fitted tilt is
// removed and marked. date is when it was read, "" for unknown. It returns nil where the check has no angles.
func Angle(r *falloff.Meter, date string, narrow bool) *Picture {
	m := &angularPlot{result: r, date: date}
	for _, p := range r.Points {
		if p.Part == "angle" && p.AngleDeg != nil && p.Expected != nil {
			m.points = append(m.points, p)
		}
	}
	if len(m.points) == 0 {
		return nil
	}
	m.narrow = narrow
	m.setExtent()
	m.layOut()
	return m.picture(m.alt(), m.paint)
}

// tenthStop is the half width of the shaded zone in stops: the resolution of a meter.
const tenthStop = 0.1

// angularPlot is the picture of an angle series, laid out for any format.
type angularPlot struct {
	result *falloff.Meter
	date   string
	points []falloff.MeterPoint // by angle

	tilt     float64 // degrees
	onAxis   float64 // level
	from, to float64 // of the axis of angles
	top      float64 // of the upper panel, percent
	reach    float64 // half height of the lower panel, percent
	bar      float64 // half height of a bar, percent

	pageLayout
}

func (m *angularPlot) setExtent() {
	slices.SortStableFunc(m.points, func(a, b falloff.MeterPoint) int { return cmp.Compare(*a.AngleDeg, *b.AngleDeg) })
	if m.result.TiltDeg != nil {
		m.tilt = *m.result.TiltDeg
	}
	m.bar = normal95 * m.result.SpreadPercent
	nearest := math.Inf(1)
	m.top = 100
	for _, p := range m.points {
		if off := math.Abs(*p.AngleDeg - m.tilt); off < nearest {
			nearest, m.onAxis = off, *p.Expected/cosine(off)
		}
	}
	for _, p := range m.points {
		m.top = max(m.top, 100*p.Level/m.onAxis)
		m.reach = max(m.reach, math.Abs(*p.DeviationPercent)+m.bar)
	}
	m.top *= 1.08
	m.reach = 1.1 * max(m.reach, 8)
	m.from, m.to = *m.points[0].AngleDeg, *m.points[len(m.points)-1].AngleDeg
	m.from, m.to = min(m.from, m.tilt, 0)-4, max(m.to, m.tilt, 0)+4
}

func cosine(deg float64) float64 { return math.Cos(deg * math.Pi / 180) }

func (m *angularPlot) headline() string {
	r := m.result
	if r.F2Percent == nil {
		return "These readings follow a dome, not a flat receptor: no f2."
	}
	index := fmt.Sprintf("f2 %.1f %%", *r.F2Percent)
	if r.F2AtMostPercent != nil {
		index = fmt.Sprintf("f2 at most %.1f %%", *r.F2AtMostPercent)
	}
	index += fmt.Sprintf(" to %s°; ", formatAngle(*r.F2ToDeg))
	if r.TenthStopToDeg == nil {
		return index + "nowhere within a tenth of a stop of the cosine law."
	}
	return index + fmt.Sprintf("within a tenth of a stop of the cosine law out to %s°.", formatAngle(*r.TenthStopToDeg))
}

// formatAngle prints an angle to a tenth of a degree.
func formatAngle(deg float64) string { return formatTick(math.Round(10*deg) / 10) }

func (m *angularPlot) describeCounts() string {
	text := photometry.Signed(fmt.Sprintf("%s readings, %s° to %s°", formatCount(len(m.points)), formatAngle(*m.points[0].AngleDeg), formatAngle(*m.points[len(m.points)-1].AngleDeg)))
	if m.result.TiltDeg != nil {
		text += fmt.Sprintf("; tilt %s°, taken out", formatSigned(m.tilt, 1))
	} else {
		text += "; one side only, so a tilt cannot be separated from an error of the receptor"
	}
	return text
}

func (m *angularPlot) alt() string {
	var b strings.Builder
	fmt.Fprintf(&b, "Readings of a meter against the angle of the light, with the cosine law, and the deviation in percent below: %s. %s", m.describeCounts(), m.headline())
	angles, deviations := m.result.AngleTable()
	var parts []string
	for i, a := range angles {
		if a > 1 && math.Abs(a-15*math.Round(a/15)) < 0.01 || i == len(angles)-1 {
			parts = append(parts, fmt.Sprintf("%s percent at %s°", formatSigned(deviations[i], 1), formatAngle(a)))
		}
	}
	fmt.Fprintf(&b, " Both sides averaged, it is off by %s.", strings.Join(parts, ", "))
	return b.String()
}

func (m *angularPlot) layOut() {
	m.begin(headingOf(cmp.Or(m.result.Title, "A meter"), "response by angle", m.date, "as read"), m.headline(), m.describeCounts(), 22)
	m.panels(330, 330, margin+12)
	m.addToRow("reading, with its scatter (95 %)", readingSample)
	m.addToRow("cosine law", lineSample(fitLine, 20))
	m.addToRow("within a tenth of a stop", func(c draw.Canvas, at vg.Point) {
		box := canvas.Around(at, 18, 8)
		fill(c, box.Path(), zoneColor)
		c.StrokeLine2(zoneLine, box.Min.X, box.Min.Y, box.Max.X, box.Min.Y)
		c.StrokeLine2(zoneLine, box.Min.X, box.Max.Y, box.Max.X, box.Max.Y)
	})
	if m.result.TiltDeg != nil {
		m.addToRow("axis of the receptor, "+formatSigned(m.tilt, 1)+"°", lineSample(ambientLine, 20))
	}
	m.fromTop += 40
	m.finish("Percent in the upper panel are of the reading on the axis. f2 weights each deviation by sin 2ε of its angle, so that those about 45° count most (ISO/CIE 19476).")
}

// paint draws the picture.
func (m *angularPlot) paint(c draw.Canvas) {
	m.paintTexts(c)
	m.paintLegend(c, 30)
	angles := fewTicks(float64(m.data.Size().X)/44, func(v, _ float64) string { return photometry.Signed(formatTick(v)) }, 15)
	percent := fewTicks(8, func(v, _ float64) string { return formatTick(v) }, 20)
	drawAxes(c, m.data,
		axis{m.from, m.to, "", unlabelled(angles), nil},
		axis{0, m.top, "% of the axis", percent, nil}, m.plotReadings)
	drawAxes(c, m.under,
		axis{m.from, m.to, "angle as noted (deg)", angles, nil},
		axis{-m.reach, m.reach, "% off the cosine", evenTicks(m.under.Size().Y, 42, nil), nil}, m.plotDeviations)
}

// paintAxis marks the axis of the receptor.
func (m *angularPlot) paintAxis(p panel) {
	if m.result.TiltDeg != nil {
		p.upright(ambientLine, m.tilt)
	}
}

func (m *angularPlot) plotReadings(p panel) {
	p.grid()
	m.paintAxis(p)
	var line []vg.Point
	for a := m.from; a <= m.to; a += 0.5 {
		if math.Abs(a-m.tilt) < 90 {
			line = append(line, p.at(a, 100*cosine(a-m.tilt)))
		}
	}
	p.line(fitLine, line...)
	var all []reading
	for _, q := range m.points {
		v := 100 * q.Level / m.onAxis
		all = append(all, reading{*q.AngleDeg, v, v * (1 - m.bar/100), v * (1 + m.bar/100), dot})
	}
	p.readings(all)
}

func (m *angularPlot) plotDeviations(p panel) {
	p.grid()
	high, low := 100*(math.Exp2(tenthStop)-1), 100*(math.Exp2(-tenthStop)-1)
	fill(p.Canvas, vg.Rectangle{Min: vg.Point{X: p.Min.X, Y: p.y(low)}, Max: vg.Point{X: p.Max.X, Y: p.y(high)}}.Path(), zoneColor)
	p.across(zoneLine, low)
	p.across(zoneLine, high)
	p.grid()
	p.across(fitLine, 0)
	m.paintAxis(p)
	var all []reading
	for _, q := range m.points {
		v := *q.DeviationPercent
		all = append(all, reading{*q.AngleDeg, v, v - m.bar, v + m.bar, dot})
	}
	p.readings(all)
}
