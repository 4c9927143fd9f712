package answers

import (
	"fmt"
	"strconv"

	"evenfall/falloff"
	"evenfall/plots/document"
)

// modelWords name the models for people.
var modelWords = map[string]string{
	falloff.ModelPoint: "point", falloff.ModelOffset: "point, offset", falloff.ModelDisc: "disc",
	falloff.ModelPointAmbient: "point + ambient", falloff.ModelOffsetAmbient: "point, offset + ambient", falloff.ModelDiscAmbient: "disc + ambient",
}

// statistics is what --full adds.
func (p *distancePage) statistics() {
	r := p.r
	unit := " " + p.LengthUnit()
	rows := [][]string{{"model", "score", "rms stop", "intensity", "offset" + unit, "across" + unit, "ambient"}}
	for _, m := range r.Models {
		cell := func(name string, write func(float64) string) string {
			if v, ok := m.Parameters[name]; ok {
				return write(v)
			}
			return ""
		}
		rows = append(rows, []string{modelWords[m.Name], fmt.Sprintf("%.1f", m.Score), stops(m.RMSStops),
			cell(falloff.ParamIntensity, rounded), cell(falloff.ParamOffset, p.Bare),
			cell(falloff.ParamRadius, func(v float64) string { return p.Bare(2 * v) }), cell(falloff.ParamAmbient, p.level)})
	}
	p.Gap()
	p.Line("models", "the lower the score the better; two within 2 of each other fit about as well")
	p.Add(document.Table{Caption: "Laws fitted to the readings", Rows: rows, Long: true})
	p.Gap()
	rows = [][]string{{"reading", "at", "level", "fitted", "off stop", "± stop", "over 1/d²", "exponent"}}
	if p.tilted() {
		rows[0] = append(rows[0], "angle")
	}
	for _, x := range r.Points {
		name := x.Name
		if name == "" {
			name = strconv.Itoa(x.Reading)
		}
		row := []string{name, p.Length(x.DistanceM), p.series.FormatReading(x.Level, p.Unit), p.level(x.Fitted), fmt.Sprintf("%+.3f", x.ResidualStops),
			stops(x.SpreadStops), fmt.Sprintf("%+.2f", x.InverseSquareStops), fmt.Sprintf("%.2f", x.LocalExponent)}
		if p.tilted() {
			row = append(row, trimmed(x.IncidenceDeg)+"°")
		}
		rows = append(rows, row)
	}
	p.Add(document.Table{Caption: "Readings", Rows: rows, Long: true})
	p.Gap()
	p.findings("cause", r.Causes)
	p.Line("scatter", p.scatter())
	p.remarks("assumed", r.Inferred)
	p.remarks("read as", r.ReadAs)
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
