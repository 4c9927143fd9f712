package answers

import (
	"fmt"
	"math"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/ratio"
	"evenfall/plots"
	"evenfall/plots/document"
)

// Ratio shows the lights at marks compared: the answer first, one mark in lines,
// several in a table.
func Ratio(r *ratio.Result, readAs string, w document.Words, full bool) *document.Document {
	p := newPage(w, full)
	p.ratio(r)
	if p.full {
		p.ratioDetails(r, readAs)
	}
	return p.Document
}

func (p *page) ratio(r *ratio.Result) {
	if len(r.Marks) == 1 {
		p.ratioMark(r, r.Marks[0])
	} else {
		p.ratioMarks(r)
	}
	p.ratioFlicker(r.Flicker)
	p.findings("do", r.Advice)
	for _, m := range r.Marks {
		for _, f := range m.Warnings {
			text := p.say(f)
			if len(r.Marks) > 1 {
				text = m.Label + ": " + text
			}
			p.Line("note", text)
		}
	}
	p.findings("note", r.Warnings)
	p.cautions(r.Cautions)
	p.readAs(r.ReadAs, r.Readings, "reading")
	if len(r.Marks) > 0 {
		p.drawn("bars", func(narrow bool) (*plots.Picture, error) {
			return plots.Ratio(r, plots.RatioOptions{Key: p.keyOf, Narrow: narrow}), nil
		})
	}
}

// keyOf is a mark's key with its unit.
func (p *page) keyOf(m ratio.Mark) string {
	if m.Key == nil {
		return "not read"
	}
	return p.inUnit(*m.Key, m.Unit)
}

// ratioMark is one mark in about eight lines.
func (p *page) ratioMark(r *ratio.Result, m ratio.Mark) {
	if r.Verdict != "" {
		p.verdict(r.Verdict, m.Label+": "+MarkVerdict(r, m))
	} else {
		word, text := "no ratio", m.Label
		if m.KeyToFill != nil {
			word = ratio.Format(*m.KeyToFill)
			text += fmt.Sprintf(": key to fill, %s%s", photometry.FormatStops(*m.KeyToFillStops), intervalOf(m.KeyToFillIntervalStops))
		} else if bound := boundOf(m.KeyToFillIntervalStops); bound != "" {
			word, text = bound, text+": key to fill"
		}
		p.strong(word, text)
	}
	p.Line("ratios", conventions(m))
	p.Line("levels", p.ratioLevels(m))
	p.Line("to the key", againstKey(m))
	p.Line("exposure", exposureOf(m.Exposure, true))
	p.Line("areas", areasText(m))
	p.Line("flash", sharesOf(m))
	p.Line("color", colorsOf(m))
}

// MarkVerdict is what was found at a mark against what was wanted.
func MarkVerdict(r *ratio.Result, m ratio.Mark) string {
	if text := judgedText(r, m); text != "" {
		return text
	}
	return "what has a target was not read"
}

// judgedText is what was found against what was wanted.
func judgedText(r *ratio.Result, m ratio.Mark) string {
	return strings.Join(texts(m.Judged, func(j ratio.Judged) string {
		name, of := strings.ReplaceAll(j.Of, "_", " "), func(stops float64) string { return signed(stops, 2) + " stops" }
		wanted, allowed := fmt.Sprintf("%s to the key wanted", signed(j.TargetStops, 2)), fmt.Sprintf("; ±%.2f allowed", r.ToleranceStops)
		switch {
		case j.AtMost:
			wanted, allowed = fmt.Sprintf("at most %s to the key", signed(j.TargetStops, 2)), ""
		case r.Target != nil && j.Of == r.Target.Convention:
			of = func(stops float64) string { return ratio.Format(photometry.Factor(stops)) }
			wanted = of(r.Target.Stops) + " wanted"
		}
		i := j.IntervalStops
		switch {
		case j.FoundStops == nil && i == nil:
			return name + " not known, " + wanted
		case j.FoundStops == nil:
			return name + " " + oneSided(i, of) + ", " + wanted
		}
		text := fmt.Sprintf("%s %s, %s (%s off", name, of(*j.FoundStops), wanted, signed(*j.FoundStops-j.TargetStops, 2))
		if i != nil {
			off := ratio.Interval{i[0] - j.TargetStops, i[1] - j.TargetStops}
			text += ", 95 % CI " + oneSided(&off, func(stops float64) string { return fmt.Sprintf("%+.2f", stops) })
		}
		return text + allowed + ")"
	}), "; ")
}

// oneSided is an interval, or its one end where the other is not bounded.
func oneSided(i *ratio.Interval, format func(float64) string) string {
	switch {
	case math.IsInf(i[0], 0):
		return "at most " + format(i[1])
	case math.IsInf(i[1], 0):
		return "at least " + format(i[0])
	}
	return format(i[0]) + " to " + format(i[1])
}

// boundOf is the one end of an interval of key to fill that is bounded on one side,
// as a ratio.
func boundOf(i *ratio.Interval) string {
	if i == nil || !math.IsInf(i[0], 0) && !math.IsInf(i[1], 0) {
		return ""
	}
	return oneSided(i, func(stops float64) string { return ratio.Format(photometry.Factor(stops)) })
}

func intervalOf(i *ratio.Interval) string {
	if i == nil {
		return ""
	}
	if !math.IsInf(i[0], 0) && !math.IsInf(i[1], 0) {
		return " (" + confidence("%.2f", i[0], i[1]) + ")"
	}
	return " (95 % CI " + oneSided(i, func(stops float64) string { return fmt.Sprintf("%.2f", stops) }) + ")"
}

// conventions says both ratios in words.
func conventions(m ratio.Mark) string {
	var parts []string
	if m.KeyToFill != nil {
		parts = append(parts, fmt.Sprintf("key to fill %s (key alone : fill alone, %.1f stops)", ratio.Format(*m.KeyToFill), *m.KeyToFillStops))
	} else if bound := boundOf(m.KeyToFillIntervalStops); bound != "" {
		parts = append(parts, "key to fill "+bound+" (key alone : fill alone)")
	}
	if m.LightingRatio != nil {
		parts = append(parts, fmt.Sprintf("lighting ratio %s (key plus fill : fill, %.1f stops)", ratio.Format(*m.LightingRatio), *m.LightingRatioStops))
	}
	return strings.Join(parts, "; ")
}

// inUnit is a level of a result for people.
func (p *page) inUnit(v float64, unit string) string {
	if q, ok := photometry.QuantityOf(unit); ok {
		return p.Level(photometry.Level{Value: v, Quantity: q})
	}
	return photometry.FormatFigure(v)
}

// ratioLevel is a level, of flash as its f-number.
func (p *page) ratioLevel(v float64, unit string, fNumber *float64) string {
	if fNumber != nil {
		return photometry.FormatFNumber(*fNumber)
	}
	return p.inUnit(v, unit)
}

// ratioLevels are key, fill and both, and whether they add.
func (p *page) ratioLevels(m ratio.Mark) string {
	var parts []string
	add := func(name string, v *float64, from string, fNumber *float64) {
		if v == nil {
			return
		}
		text := name + " " + p.ratioLevel(*v, m.Unit, fNumber)
		parts = append(parts, text+map[string]string{"difference": " by difference", "lamps": " (its lamps added)", "sum": " added"}[from])
	}
	add("key", m.Key, m.KeyFrom, m.KeyFNumber)
	add("key at most", m.KeyAtMost, m.KeyFrom, m.KeyFNumber)
	add("fill", m.Fill, m.FillFrom, m.FillFNumber)
	add("key plus fill", m.KeyPlusFill, m.KeyPlusFillFrom, m.KeyPlusFillFNumber)
	text := strings.Join(parts, ", ")
	if m.AdditivityStops != nil {
		text += fmt.Sprintf(" read (%s stop to their sum)", signed(*m.AdditivityStops, 2))
	}
	return text
}

// againstKey are the other lights in stops from the key.
func againstKey(m ratio.Mark) string {
	var parts []string
	for _, l := range m.FromKey() {
		parts = append(parts, string(l.Role)+" "+signed(l.Stops, 1))
	}
	return joined(parts, " stop")
}

// exposureOf is what to expose at; with what it is for, where asked.
func exposureOf(e *ratio.Exposure, whole bool) string {
	if e == nil {
		return ""
	}
	if e.FNumber == nil {
		text := ""
		if e.EV100 != nil {
			text = fmt.Sprintf("EV %.1f at ISO 100 for %s; ", *e.EV100, e.Of)
		}
		return text + "iso and shutter give the f-number"
	}
	continuous := e.ShutterS != nil
	text := LensStop(*e.FNumber, continuous)
	if e.LensFNumber != nil {
		text = "T" + strings.TrimPrefix(LensStop(*e.TStop, continuous), "f/") + fmt.Sprintf(" (%s on this lens)", LensStop(*e.LensFNumber, continuous))
	}
	if !whole {
		return text
	}
	return text + " at " + cameraOf(e) + " for " + string(e.Of) + overOf(e)
}

// LensStop writes an exact f-number as a lens is set in continuous light, that of flash in
// tenths of a stop as its meter shows it.
func LensStop(exact float64, continuous bool) string {
	if continuous {
		return photometry.FormatLensStop(exact)
	}
	return photometry.FormatFNumber(exact)
}

// cameraOf is how the camera is set.
func cameraOf(e *ratio.Exposure) string {
	var parts []string
	if e.ISO != nil {
		parts = append(parts, "ISO "+trimmed(*e.ISO))
	}
	if e.ShutterS != nil {
		text := photometry.FormatShutter(*e.ShutterS)
		if e.FramesPerSecond != nil && e.ShutterAngleDeg != nil {
			text += fmt.Sprintf(" (%.4g° at %g frames a second)", *e.ShutterAngleDeg, *e.FramesPerSecond)
		}
		parts = append(parts, text)
	}
	if e.LossStops > 0 {
		parts = append(parts, fmt.Sprintf("%s lost to filters", photometry.FormatStops(e.LossStops)))
	}
	return strings.Join(parts, ", ")
}

// overOf is how far the stop that the lens is set to is off.
func overOf(e *ratio.Exposure) string {
	if e.OverStops == nil {
		return ""
	}
	stop := LensStop(*e.SetStop, e.ShutterS != nil)
	if e.SetInT {
		stop = "T" + strings.TrimPrefix(stop, "f/")
	}
	return fmt.Sprintf("; set to %s it is %s", stop, overText(*e.OverStops))
}

func overText(over float64) string {
	return either(math.Abs(over) < 0.05, "right", overUnder(over))
}

// joined are parts with what stands behind all of them, empty without parts.
func joined(parts []string, unit string) string {
	if len(parts) == 0 {
		return ""
	}
	return strings.Join(parts, ", ") + unit
}

// areasText are all lights in stops from the exposure.
func areasText(m ratio.Mark) string {
	if m.Exposure == nil {
		return ""
	}
	var parts []string
	for _, a := range m.Areas {
		if a.Stops == nil || a.Role == m.Exposure.Of && a.Lamp == "" {
			continue
		}
		name := string(a.Role)
		if a.Lamp != "" && severalLamps(m, a.Role) {
			name += " " + a.Lamp
		}
		parts = append(parts, name+" "+signed(*a.Stops, 1))
	}
	return joined(parts, " stop from the exposure")
}

// severalLamps tells whether a role needs the lamp's name to be told apart.
func severalLamps(m ratio.Mark, role ratio.Role) bool {
	lamps, _ := part(m.Areas, func(a ratio.Area) bool { return a.Role == role })
	return len(lamps) > 1
}

// sharesOf says how flash and ambient light share the exposure.
func sharesOf(m ratio.Mark) string {
	if m.FlashPercent == nil {
		return ""
	}
	text := fmt.Sprintf("%.0f %% flash, %.0f %% ambient", *m.FlashPercent, *m.AmbientPercent)
	for _, s := range []struct {
		name string
		to   *ratio.FlashShare
	}{{"longer", m.ShutterLonger}, {"shorter", m.ShutterShorter}} {
		text += fmt.Sprintf("; a stop %s, %s: %.0f %% ambient, %s stop in all", s.name, photometry.FormatShutter(s.to.ShutterS), s.to.AmbientPercent, signed(s.to.ExposureStops, 2))
	}
	return text
}

// colorsOf are colors that were read.
func colorsOf(m ratio.Mark) string {
	var parts []string
	for _, c := range m.Colors {
		name := string(c.Role)
		if c.Lamp != "" && severalLamps(m, c.Role) {
			name += " " + c.Lamp
		}
		text := fmt.Sprintf("%s %.0f K", name, c.Kelvin)
		if c.Duv != nil {
			text += " Duv " + signed(*c.Duv, 4)
		}
		if c.FromMired != nil {
			text += fmt.Sprintf(" (%+.0f mired to the key)", *c.FromMired)
		}
		parts = append(parts, text)
	}
	return strings.Join(parts, ", ")
}
