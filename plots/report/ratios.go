package report

import (
	"fmt"
	"slices"
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
	unit := read.UnitFor(g.options.Unit)
	result, err := ratio.Analyze(in)
	if err != nil {
		g.problem(name, err)
		return
	}
	for _, w := range read.Warnings {
		result.Warnings = append(result.Warnings, photometry.Finding{Code: "table", Text: w.String()})
	}
	g.Ratios = &Ratios{File: name, Result: result, in: unit}
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
			OverStops: e.OverStops, quantity: quantityOf(m.Unit), in: r.in})
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

// ratioSection compares the lights at each mark.
func (r *Report) ratioSection(s *section) {
	if r.Ratios == nil {
		return
	}
	res := r.Ratios.Result
	var head facts
	head.add("Scene", res.Title)
	head.add("Read on", res.Date)
	s.facts(head)
	for _, m := range res.Marks {
		p := s.part(strings.TrimSpace("Mark " + m.Label))
		level := func(v *float64) string {
			if v == nil {
				return ""
			}
			return shown(*v, quantityOf(m.Unit), r.Ratios.in)
		}
		var f facts
		if m.Verdict != "" {
			f.add("Verdict", verdictWords[m.Verdict]+": "+judged(res, m))
		}
		f.add("Key to fill", ratioText(m.KeyToFill, m.KeyToFillStops, m.KeyToFillIntervalStops, "key alone : fill alone"))
		f.add("Lighting ratio", ratioText(m.LightingRatio, m.LightingRatioStops, m.LightingRatioIntervalStops, "key plus fill : fill"))
		f.add("Key", source(level(m.Key), m.KeyFrom))
		f.add("Fill", source(level(m.Fill), m.FillFrom))
		f.add("Key plus fill", source(level(m.KeyPlusFill), m.KeyPlusFillFrom))
		if m.AdditivityStops != nil {
			f.add("Sum", stops(*m.AdditivityStops)+" of key plus fill as read, against key and fill added")
		}
		f.add("Against the key", againstKey(m))
		f.add("Exposure", markExposure(m.Exposure))
		if m.FlashPercent != nil && m.AmbientPercent != nil {
			f.add("Flash and ambient", fmt.Sprintf("%.0f %% and %.0f %% of the exposure", *m.FlashPercent, *m.AmbientPercent))
		}
		f.findings("Note", m.Warnings)
		p.facts(f)
		t := &grid{Caption: "Lights at " + strings.TrimSpace("mark "+m.Label) + ", in stops from its exposure", Header: []string{"Light", "Level", "Stop", "From the exposure"}, Right: []bool{false, true, true, true}}
		for _, a := range m.Areas {
			row := []cell{one(lit(a.Role, a.Lamp)), one(shown(a.Level, quantityOf(a.Unit), r.Ratios.in)), nil, nil}
			if a.FNumber != nil {
				row[2] = one(fNumber(*a.FNumber))
			}
			if a.Stops != nil {
				row[3] = one(signed(*a.Stops, 2))
			}
			t.Rows = append(t.Rows, row)
		}
		p.table(t.drop())
		colors := &grid{Caption: "Colors at " + strings.TrimSpace("mark "+m.Label), Header: []string{"Light", "CCT (K)", "Duv", "Mired from the key"}, Right: []bool{false, true, true, true}}
		for _, c := range m.Colors {
			row := []cell{one(lit(c.Role, c.Lamp)), one(fmt.Sprintf("%.0f", c.Kelvin)), one(duvText(c.Duv)), nil}
			if c.FromMired != nil {
				row[3] = one(signed(*c.FromMired, 0))
			}
			colors.Rows = append(colors.Rows, row)
		}
		p.table(colors.drop())
		var changes []string
		for _, c := range m.ToTarget {
			changes = append(changes, sentence(c.Text.Text))
		}
		if len(changes) > 0 {
			p.text("Each of these alone reaches the target:")
			p.list(changes)
		}
	}
	var f facts
	f.findings("Do", res.Advice)
	var flicker []string
	for _, k := range res.Flicker {
		flicker = append(flicker, k.Text.Text)
	}
	f.add("Flicker", strings.Join(flicker, " "))
	f.findings("Note", res.Warnings)
	if len(f) > 0 {
		s.part("At all marks").facts(f)
	}
}

// lit is a light with the lamp that it is of.
func lit(role ratio.Role, lamp string) string {
	text := strings.ReplaceAll(string(role), "+", " plus ")
	if lamp != "" {
		text += ": " + lamp
	}
	return text
}

// ratioText is a ratio with its stops.
func ratioText(value, inStops *float64, interval *[2]float64, of string) string {
	if value == nil || inStops == nil {
		return ""
	}
	text := fmt.Sprintf("%s (%s), %s", ratio.Format(*value), of, photometry.FormatStops(*inStops))
	if interval != nil {
		text += fmt.Sprintf(" (truly %.2f to %.2f)", interval[0], interval[1])
	}
	return text
}

// source tells where a level is from that was not read as such.
func source(level, from string) string {
	switch {
	case level == "":
		return ""
	case from == "difference":
		return level + ", by difference"
	case from == "lamps":
		return level + ", its lamps added"
	case from == "sum":
		return level + ", key and fill added"
	}
	return level
}

// judged is what was found at a mark against what was wanted.
func judged(r *ratio.Result, m ratio.Mark) string {
	var parts []string
	for _, j := range m.Judged {
		text := strings.ReplaceAll(j.Of, "_", " ") + " "
		target := r.Target != nil && j.Of == r.Target.Convention
		switch {
		case j.FoundStops == nil:
			text += "not known"
		case target:
			text += ratio.Format(photometry.Factor(*j.FoundStops))
		default:
			text += stops(*j.FoundStops)
		}
		if target {
			text += ", " + ratio.Format(r.Target.Ratio) + " wanted"
		} else {
			text += ", " + stops(j.TargetStops) + " wanted"
		}
		parts = append(parts, text)
	}
	return fmt.Sprintf("%s; ±%.2f stop allowed", strings.Join(parts, "; "), r.ToleranceStops)
}

// againstKey are the other lights in stops from the key.
func againstKey(m ratio.Mark) string {
	var parts []string
	for _, l := range m.FromKey() {
		parts = append(parts, string(l.Role)+" "+stops(l.Stops))
	}
	return strings.Join(parts, ", ")
}

// markExposure is what to expose at for a mark.
func markExposure(e *ratio.Exposure) string {
	switch {
	case e == nil:
		return ""
	case e.FNumber == nil && e.EV100 != nil:
		return fmt.Sprintf("EV %.1f at ISO 100 for %s", *e.EV100, e.Of)
	case e.FNumber == nil:
		return ""
	}
	text := fNumber(*e.FNumber)
	if e.LensFNumber != nil {
		text = "T" + strings.TrimPrefix(fNumber(*e.TStop), "f/") + fmt.Sprintf(" (%s on this lens)", fNumber(*e.LensFNumber))
	}
	var at []string
	if e.ISO != nil {
		at = append(at, fmt.Sprintf("ISO %.0f", *e.ISO))
	}
	if e.ShutterS != nil {
		at = append(at, photometry.FormatShutter(*e.ShutterS))
	}
	if len(at) > 0 {
		text += " at " + strings.Join(at, ", ")
	}
	text += " for " + strings.ReplaceAll(string(e.Of), "+", " plus ")
	if e.LossStops > 0 {
		text += ", " + photometry.FormatStops(e.LossStops) + " of filters counted"
	}
	if e.OverStops != nil && e.SetStop != nil {
		text += fmt.Sprintf("; the lens at %s exposes it %s", fNumber(*e.SetStop), stops(*e.OverStops))
	}
	return text
}

// markReadings is every reading at a mark.
func (r *Report) markReadings(s *section) {
	if r.Ratios == nil {
		return
	}
	t := &grid{Caption: "Lights at marks (" + r.Ratios.File + ")", Header: []string{"Mark", "Light", "Lamp", "Level", "CCT (K)", "Duv", "Aimed at", "Receptor", "Distance"}, Right: []bool{false, false, false, true, true, true, false, false, true}}
	for _, m := range r.Ratios.Readings {
		distance := ""
		if m.DistanceM > 0 {
			distance = r.options.length(m.DistanceM)
		}
		t.Rows = append(t.Rows, []cell{one(m.Mark), one(strings.ReplaceAll(m.Role, "+", " plus ")), one(m.Lamp), one(shown(m.Level, m.quantity, r.Ratios.in)),
			one(optional(m.CCT, "%.0f")), one(duvText(m.Duv)), one(m.Aim), one(m.Receptor), one(distance)})
	}
	s.part("Lights at marks").table(t.drop())
}

// part is what the ratios come to.
func (r *Ratios) part() (Part, bool) {
	if r.Result.Verdict == "" {
		return Part{}, false
	}
	at := max(0, slices.IndexFunc(r.Result.Marks, func(m ratio.Mark) bool { return m.Verdict == r.Result.Verdict }))
	m := r.Result.Marks[at]
	return Part{joined(m.Label, "ratios"), r.Result.Verdict, judged(r.Result, m), true}, true
}
