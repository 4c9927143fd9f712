package answers

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"

	"evenfall/falloff"
	"evenfall/plots/document"
)

// statistics is what --full adds.
func (p *distancePage) statistics() {
	r := p.r
	p.Gap()
	p.figures()
	p.Gap()
	tilted := slices.ContainsFunc(r.Points, func(x falloff.DistancePoint) bool { return x.IncidenceDeg != 0 }) // a reading faced away from the light
	rows := document.Rows("reading|at|level|fitted|residual|± stops|over 1/d²|exponent"+either(tilted, "|angle", ""), r.Points, func(x falloff.DistancePoint) []string {
		row := []string{cmp.Or(x.Name, strconv.Itoa(x.Reading)), p.Length(x.DistanceM), p.series.FormatReading(x.Level, p.Unit), p.level(x.Fitted), signed(x.ResidualStops, 3),
			stops(x.SpreadStops), signed(x.InverseSquareStops, 2), fmt.Sprintf("%.2f", x.LocalExponent)}
		if tilted {
			row = append(row, trimmed(x.IncidenceDeg)+"°")
		}
		return row
	})
	p.Add(document.Table{Caption: "Readings", Rows: rows, Long: true})
	p.Gap()
	p.findings("cause", r.Causes)
	p.Line("scatter", p.scatter())
	p.remarks("assumed", r.Inferred)
	p.remarks("read as", r.ParseLog)
}

// figures are the best law's and how far the readings let each of them go.
func (p *distancePage) figures() {
	r := p.r
	if r.Best == nil {
		return
	}
	iv := r.Intervals
	row := func(name string, v float64, i falloff.Interval, write func(float64) string) []string {
		return []string{name, write(v), between(i, write)}
	}
	unit := either(r.IntensityCD != nil, " cd", either(r.IntensityCDS != nil, " cd·s", ""))
	p.Line("law", "level = intensity/((distance + offset)² + radius²) + ambient; CI: 95 % confidence interval, over all laws that the readings allow")
	p.Add(document.Table{Caption: "Law fitted to the readings", Rows: [][]string{{"figure", "best", "95 % CI"},
		row("intensity", r.Best.Intensity(), iv.Intensity(), func(v float64) string { return rounded(v) + unit }),
		row("radius", r.SourceRadiusM, iv.SourceRadiusM, p.Length),
		row("offset", r.OffsetM, iv.OffsetM, p.Length),
		row("ambient", r.Ambient, iv.Ambient, p.level),
		row("inverse square from", r.InverseSquareFromM, iv.InverseSquareFromM, p.Length),
	}, Long: true})
}

func (p *distancePage) scatter() string {
	q := p.r.Repeatability
	from := map[string]string{"note": "as the notes say", "assumed": "assumed", "repeats": fmt.Sprintf("from repeats, %d degrees of freedom", q.DegreesOfFreedom)}[q.From]
	return fmt.Sprintf("one reading repeats to %.2g %% (%s); the residuals of the best law are %s", q.Percent, from, inStops("%.3f", p.r.RMSStops)) +
		Optional(", %.1f times what that allows", p.r.Scatter)
}
