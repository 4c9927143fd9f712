package report

import (
	"fmt"
	"strings"

	"evenfall/photometry"
	"evenfall/plots"
)

// distanceSection is each series along a light with its curve.
func (r *Report) distanceSection(s *section) {
	for i := range r.Distances {
		d := &r.Distances[i]
		p := s.part(d.title())
		p.facts(d.lines(r.options))
		p.draw(plots.Distance(d.series, d.Result, plots.SeriesOptions{Unit: d.series.UnitFor(r.options.Unit), Feet: r.options.Feet, Answer: d.Result.Answer.Text}), nil, "")
	}
}

// lines are a series in words.
func (d *Distance) lines(o Options) (f facts) {
	r := d.Result
	word := "Settled"
	if !r.Settled {
		word = "Unsure"
	}
	level := func(v float64) string { return d.series.FormatLevel(v, o.Unit) }
	f.add("Answer", word+". "+r.Answer.Text)
	if z := r.Depth; z != nil && z.FarM != nil {
		f.add("Even zone", fmt.Sprintf("within ±%s of %s at %s: from %s to %s", photometry.FormatStops(z.WithinStops), level(r.MarkLevel), o.length(r.MarkM), o.length(z.NearM), o.length(*z.FarM)))
	}
	f.add("Exponent", fmt.Sprintf("%s over the series (−2 is the inverse square)", signed(r.Exponent, 2)))
	if r.IntensityCD != nil {
		f.add("Intensity", fmt.Sprintf("%.0f cd, as seen from far away", *r.IntensityCD))
	}
	if r.SourceRadiusM != nil {
		f.add("Source", "looks "+o.length(2**r.SourceRadiusM)+" across")
	}
	if r.Ambient != nil {
		f.add("Ambient light", level(*r.Ambient))
	}
	var causes []string
	for _, c := range r.Causes {
		causes = append(causes, c.Text)
	}
	f.add("Because", strings.Join(causes, " "))
	f.findings("Do", r.Advice)
	f.findings("Note", r.Warnings)
	return f
}

// seriesReadings is every reading of a series.
func (r *Report) seriesReadings(s *section, d *Distance) {
	unit := "m"
	if r.options.Feet {
		unit = "ft"
	}
	t := &grid{Caption: "Readings along " + d.title() + " (" + d.File + ")", Header: []string{"Distance (" + unit + ")", "Level", "Off the fit, stops", "Name"}, Right: []bool{true, true, true, false}}
	for _, p := range d.Result.Points {
		t.Rows = append(t.Rows, []cell{one(r.options.bare(p.DistanceM)), one(d.series.FormatReading(p.Level, r.options.Unit)), one(signed(p.ResidualStops, 3)), one(p.Name)})
	}
	s.part(d.title()).table(t.drop())
}

// lines are what a check says of a meter.
func (m *MeterCheck) lines() (out []string) {
	r := m.Result
	if r.RepeatabilityPercent != nil {
		out = append(out, fmt.Sprintf("The meter repeats to %.2g %%.", *r.RepeatabilityPercent))
	}
	if r.F2Percent != nil && r.F2ToDeg != nil {
		out = append(out, fmt.Sprintf("Its directional response f2 is %.1f %% to %.0f° (ISO/CIE 19476).", *r.F2Percent, *r.F2ToDeg))
	}
	if r.LinearityStops != nil {
		out = append(out, fmt.Sprintf("It is linear within %.3f stop.", *r.LinearityStops))
	}
	for _, f := range append(append(r.Causes, r.Advice...), r.Warnings...) {
		out = append(out, f.Text)
	}
	return out
}
