package report

import (
	"evenfall/photometry"
	"evenfall/photometry/ratio"
	"evenfall/photometry/setup"
	"evenfall/photometry/table"
	"evenfall/plots/answers"
	"evenfall/plots/document"
)

// ratios reads and compares the lights at marks, with the set-up for what their
// table does not say.
func (g *gatherer) ratios() {
	name := g.folder.Ratio
	read, ok := tableOf(g, name, setup.RatioOptions{Setup: g.settings}.Read)
	if !ok {
		return
	}
	in := read.Input
	g.marks = read
	result, err := ratio.Analyze(in)
	if err != nil {
		g.problem(name, err)
		return
	}
	result.Warnings = append(result.Warnings, table.Findings(read.Warnings)...)
	g.Ratios = &Ratios{File: name, Result: result, unitFor: read.UnitFor}
	for _, r := range in.Readings {
		g.Ratios.Readings = append(g.Ratios.Readings, MarkReading{Mark: r.Mark, Role: string(r.Role), Lamp: r.Lamp, Level: r.Level.Value, Unit: r.Level.Quantity.Unit(),
			Receptor: r.Receptor.String(), Aim: r.Aim, CCT: r.CCTK, Duv: r.Duv, DistanceM: r.DistanceM, Note: r.Note, quantity: r.Level.Quantity, Assumed: !r.ReceptorNoted})
	}
}

// joined is a mark with one of its lights; a mark may have no name.
func joined(mark, light string) string { return answers.FilledIn(", ", mark, light) }

// level is a level at a mark.
func (r *Ratios) level(v float64, of photometry.Quantity, w document.Words) string {
	return photometry.FormatLevel(photometry.Level{Value: v, Quantity: of}, r.unitFor(w.Unit))
}
