package report

import (
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/ratio"
	"evenfall/photometry/setup"
)

// ratios reads and compares the lights at marks, with the set-up for what their
// table does not say.
func (g *gatherer) ratios() {
	name := g.folder.Ratio
	if name == "" {
		return
	}
	file, ok := g.open(name)
	if !ok {
		return
	}
	defer file.Close()
	read, err := setup.RatioOptions{Setup: g.settings}.Read(file, name)
	if err != nil {
		g.problem(name, err)
		return
	}
	in := read.Input
	result, err := ratio.Analyze(in)
	if err != nil {
		g.problem(name, err)
		return
	}
	for _, w := range read.Warnings {
		result.Warnings = append(result.Warnings, photometry.Finding{Code: "table", Text: w.String()})
	}
	g.Ratios = &Ratios{File: name, Result: result, unitFor: read.UnitFor}
	for _, r := range in.Readings {
		g.Ratios.Readings = append(g.Ratios.Readings, MarkReading{Mark: r.Mark, Role: string(r.Role), Lamp: r.Lamp, Level: r.Level.Value, Unit: r.Level.Quantity.Unit(),
			Receptor: r.Receptor.String(), Aim: r.Aim, CCT: r.CCTK, Duv: r.Duv, DistanceM: r.DistanceM, quantity: r.Level.Quantity})
	}
}

// exposures are the marks' areas of the exposure: what each is exposed for.
func (r *Ratios) exposures() (areas []Area, from string) {
	for _, m := range r.Result.Marks {
		e := m.Exposure
		if e == nil || e.FNumber == nil {
			continue
		}
		iso, shutter := 0.0, 0.0
		if e.ISO != nil {
			iso = *e.ISO
		}
		if e.ShutterS != nil {
			shutter = *e.ShutterS
		}
		from = told(iso, shutter)
		areas = append(areas, Area{Name: joined(m.Label, strings.ReplaceAll(string(e.Of), "+", " plus ")), Level: e.Level, Unit: m.Unit, FNumber: *e.FNumber, Constant: e.Constant,
			OverStops: e.OverStops, quantity: quantityOf(m.Unit), unitFor: r.unitFor})
	}
	return areas, from
}

// joined is a mark with one of its lights; a mark may have no name.
func joined(mark, light string) string {
	if mark == "" {
		return light
	}
	return mark + ", " + light
}

// quantityOf is the quantity of a unit in JSON.
func quantityOf(unit string) photometry.Quantity {
	for _, q := range []photometry.Quantity{photometry.Illuminance, photometry.LuminousExposure, photometry.Luminance} {
		if q.Unit() == unit {
			return q
		}
	}
	return photometry.Relative
}
