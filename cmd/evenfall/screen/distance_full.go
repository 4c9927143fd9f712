package screen

import (
	"fmt"
	"strconv"

	"charm.land/lipgloss/v2"

	"evenfall/falloff"
)

// modelWords name the models for people.
var modelWords = map[string]string{
	falloff.ModelPoint: "point", falloff.ModelOffset: "point, offset", falloff.ModelDisc: "disc",
	falloff.ModelPointAmbient: "point + ambient", falloff.ModelOffsetAmbient: "point, offset + ambient", falloff.ModelDiscAmbient: "disc + ambient",
}

// statistics is what --full adds.
func (p *distancePage) statistics() {
	r := p.r
	unit := " m"
	if p.Feet {
		unit = " ft"
	}
	rows := [][]string{{"model", "score", "rms stop", "intensity", "offset" + unit, "across" + unit, "ambient"}}
	for _, m := range r.Models {
		cell := func(name string, write func(float64) string) string {
			if v, ok := m.Parameters[name]; ok {
				return write(v)
			}
			return ""
		}
		rows = append(rows, []string{modelWords[m.Name], fmt.Sprintf("%.1f", m.Score), stops(m.RMSStops),
			cell(falloff.ParamIntensity, rounded), cell(falloff.ParamOffset, p.bare),
			cell(falloff.ParamRadius, func(v float64) string { return p.bare(2 * v) }), cell(falloff.ParamAmbient, p.words.Level)})
	}
	p.blank()
	p.line("models", "the lower the score the better; two within 2 of each other fit about as well")
	p.fitted(rows)
	p.blank()
	rows = [][]string{{"reading", "at", "level", "fitted", "off stop", "± stop", "over 1/d²", "exponent"}}
	if p.tilted() {
		rows[0] = append(rows[0], "angle")
	}
	for _, x := range r.Points {
		name := x.Name
		if name == "" {
			name = strconv.Itoa(x.Reading)
		}
		row := []string{name, p.taped(x.DistanceM), p.series.FormatReading(x.Level, p.Unit), p.words.Level(x.Fitted), fmt.Sprintf("%+.3f", x.ResidualStops),
			stops(x.SpreadStops), fmt.Sprintf("%+.2f", x.InverseSquareStops), fmt.Sprintf("%.2f", x.LocalExponent)}
		if p.tilted() {
			row = append(row, trimmed(x.IncidenceDeg)+"°")
		}
		rows = append(rows, row)
	}
	p.fitted(rows)
	p.blank()
	for i, c := range r.Causes {
		p.line(labelOnce("cause", i), c.Text)
	}
	p.line("scatter", p.scatter())
	for i, text := range r.Inferred {
		p.line(labelOnce("assumed", i), text)
	}
	for i, text := range r.ReadAs {
		p.line(labelOnce("read as", i), text)
	}
}

// tilted tells whether any reading faced away from the light.
func (p *distancePage) tilted() bool {
	for _, x := range p.r.Points {
		if x.IncidenceDeg != 0 {
			return true
		}
	}
	return false
}

func (p *distancePage) scatter() string {
	q := p.r.Repeatability
	from := map[string]string{"note": "as the notes say", "assumed": "assumed", "repeats": fmt.Sprintf("from repeats, %d degrees of freedom", q.DegreesOfFreedom)}[q.From]
	text := fmt.Sprintf("one reading repeats to %.2g %% (%s); about the best law they stray %.3f stop", q.Percent, from, p.r.Models[0].RMSStops)
	if p.r.Scatter != nil {
		text += fmt.Sprintf(", %.1f times what that allows", *p.r.Scatter)
	}
	return text
}

// fitted lays rows out as grid does. Columns that a narrow screen has no room
// for follow beneath, the first column again beside them.
func (p *page) fitted(rows [][]string) {
	width := func(column int) int {
		widest := 0
		for _, row := range rows {
			widest = max(widest, lipgloss.Width(p.plain(row[column])))
		}
		return widest + 2
	}
	for from := 1; from < len(rows[0]); {
		to, used := from, width(0)
		for to < len(rows[0]) && (to == from || used+width(to) <= p.Width+2) {
			used += width(to)
			to++
		}
		part := make([][]string, len(rows))
		for i, row := range rows {
			part[i] = append([]string{row[0]}, row[from:to]...)
		}
		if from > 1 {
			p.blank()
		}
		p.grid(part)
		from = to
	}
}
