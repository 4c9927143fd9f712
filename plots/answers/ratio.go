package answers

import (
	"cmp"
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
	p.ratio(r, r, "")
	p.placeNotes(r.Notes)
	if p.full {
		p.ratioDetails(r, readAs)
	}
	return p.Document
}

// MostMarks is how many marks a report lists, and any picture draws. JSON has them all.
const MostMarks = 200

// ListedMarks is a result with the marks that a report lists: of very many the decisive
// ones. Which says how many there are and where all of them are found; empty where none
// are left out.
func ListedMarks(r *ratio.Result, file string) (listed *ratio.Result, which string) {
	listed, left := r.Decisive(MostMarks)
	if left > 0 {
		which = fmt.Sprintf("%d of %d marks, those out of target or unsettled first; %d more are in the report's JSON, and evenfall ratio --full lists all of %s",
			len(listed.Marks), len(r.Marks), left, file)
	}
	return listed, which
}

// RatioPart is Ratio in full as a part of a report, with its listed marks.
func RatioPart(r *ratio.Result, file string, w document.Words) *document.Document {
	listed, which := ListedMarks(r, file)
	p := newPage(w, true)
	p.ratio(r, listed, which)
	p.ratioDetails(listed, "")
	return p.Document
}

// ratio tells the answer of a result, and of its marks those that are listed; which those
// are is said where some are not.
func (p *page) ratio(whole, r *ratio.Result, which string) {
	if len(r.Marks) == 1 {
		p.ratioMark(r, r.Marks[0])
	} else {
		p.ratioHeadline(whole)
		p.Line("listed", which)
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
		drawn, left := r.Decisive(MostMarks)
		if left > 0 {
			p.Line("picture", fmt.Sprintf("of %d marks, those out of target or unsettled first", MostMarks))
		}
		p.drawn("bars", func(narrow bool) (*plots.Picture, error) {
			return plots.Ratio(drawn, plots.RatioOptions{Key: p.keyOf, Narrow: narrow}), nil
		})
	}
}

// keyOf is a mark's key with its unit.
func (p *page) keyOf(m ratio.Mark) string {
	return cmp.Or(known(m.Key, func(v float64) string { return p.inUnit(v, m.Unit) }), "not read")
}

// ratioMark is one mark in about eight lines.
func (p *page) ratioMark(r *ratio.Result, m ratio.Mark) {
	if r.Verdict != "" {
		p.verdict(r.Verdict, m.Label+": "+MarkVerdict(r, m))
	} else {
		word, text := boundOf(m.KeyToFillIntervalStops), m.Label
		if m.KeyToFill != nil {
			word = ratio.Format(*m.KeyToFill)
			text += fmt.Sprintf(": key to fill, %s%s", photometry.FormatStops(*m.KeyToFillStops), intervalOf(m.KeyToFillIntervalStops))
		} else if word != "" {
			text += ": key to fill"
		}
		p.headline(cmp.Or(word, "no ratio"), "", text)
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
	return cmp.Or(judgedText(r, m), "what has a target was not read")
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
	return known(i, func(i ratio.Interval) string {
		if !math.IsInf(i[0], 0) && !math.IsInf(i[1], 0) {
			return " (" + confidence("%.2f", i[0], i[1]) + ")"
		}
		return " (95 % CI " + oneSided(&i, func(stops float64) string { return fmt.Sprintf("%.2f", stops) }) + ")"
	})
}

// conventions says both ratios in words.
func conventions(m ratio.Mark) string {
	bound := boundOf(m.KeyToFillIntervalStops)
	keyToFill := either(bound != "", "key to fill "+bound+" (key alone : fill alone)", "")
	if m.KeyToFill != nil {
		keyToFill = fmt.Sprintf("key to fill %s (key alone : fill alone, %.1f stops)", ratio.Format(*m.KeyToFill), *m.KeyToFillStops)
	}
	return FilledIn("; ", keyToFill, known(m.LightingRatio, func(v float64) string {
		return fmt.Sprintf("lighting ratio %s (key plus fill : fill, %.1f stops)", ratio.Format(v), *m.LightingRatioStops)
	}))
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
	return cmp.Or(known(fNumber, photometry.FormatFNumber), p.inUnit(v, unit))
}

// ratioLevels are key, fill and both, and whether they add.
func (p *page) ratioLevels(m ratio.Mark) string {
	level := func(name string, v *float64, from string, fNumber *float64) string {
		return known(v, func(v float64) string {
			return name + " " + p.ratioLevel(v, m.Unit, fNumber) + map[string]string{"difference": " by difference", "lamps": " (its lamps added)", "sum": " added"}[from]
		})
	}
	return FilledIn(", ", level("key", m.Key, m.KeyFrom, m.KeyFNumber), level("key at most", m.KeyAtMost, m.KeyFrom, m.KeyFNumber),
		level("fill", m.Fill, m.FillFrom, m.FillFNumber), level("key plus fill", m.KeyPlusFill, m.KeyPlusFillFrom, m.KeyPlusFillFNumber)) +
		known(m.AdditivityStops, func(v float64) string { return fmt.Sprintf(" read (%s stop to their sum)", signed(v, 2)) })
}

// againstKey are the other lights in stops from the key.
func againstKey(m ratio.Mark) string {
	return joined(texts(m.FromKey(), func(l ratio.RoleStops) string { return string(l.Role) + " " + signed(l.Stops, 1) }), " stop")
}

// exposureOf is what to expose at; with what it is for, where asked.
func exposureOf(e *ratio.Exposure, whole bool) string {
	if e == nil {
		return ""
	}
	if e.FNumber == nil {
		return known(e.EV100, func(ev float64) string { return fmt.Sprintf("EV %.1f at ISO 100 for %s; ", ev, e.Of) }) + "iso and shutter give the f-number"
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
	shutter := known(e.ShutterS, photometry.FormatShutter)
	if shutter != "" && e.FramesPerSecond != nil && e.ShutterAngleDeg != nil {
		shutter += fmt.Sprintf(" (%.4g° at %g frames a second)", *e.ShutterAngleDeg, *e.FramesPerSecond)
	}
	return FilledIn(", ", known(e.ISO, func(iso float64) string { return "ISO " + trimmed(iso) }), shutter,
		either(e.LossStops > 0, photometry.FormatStops(e.LossStops)+" lost to filters", ""))
}

// overOf is how far the stop that the lens is set to is off.
func overOf(e *ratio.Exposure) string {
	return known(e.OverStops, func(over float64) string {
		stop := LensStop(*e.SetStop, e.ShutterS != nil)
		if e.SetInT {
			stop = "T" + strings.TrimPrefix(stop, "f/")
		}
		return fmt.Sprintf("; set to %s it is %s", stop, either(math.Abs(over) < 0.05, "right", overUnder(over)))
	})
}

// joined are parts with what stands behind all of them, empty without parts.
func joined(parts []string, unit string) string {
	return either(len(parts) > 0, strings.Join(parts, ", ")+unit, "")
}

// areasText are all lights in stops from the exposure.
func areasText(m ratio.Mark) string {
	if m.Exposure == nil {
		return ""
	}
	others, _ := part(m.Areas, func(a ratio.Area) bool { return a.Stops != nil && (a.Role != m.Exposure.Of || a.Lamp != "") })
	return joined(texts(others, func(a ratio.Area) string { return lightName(m, a.Role, a.Lamp) + " " + signed(*a.Stops, 1) }), " stop from the exposure")
}

// lightName is a light by its role, and by its lamp where several have that.
func lightName(m ratio.Mark, role ratio.Role, lamp string) string {
	if lamps, _ := part(m.Areas, func(a ratio.Area) bool { return a.Role == role }); lamp != "" && len(lamps) > 1 {
		return string(role) + " " + lamp
	}
	return string(role)
}

// sharesOf says how flash and ambient light share the exposure.
func sharesOf(m ratio.Mark) string {
	if m.FlashPercent == nil {
		return ""
	}
	stop := func(name string, s *ratio.FlashShare) string {
		return fmt.Sprintf("; a stop %s, %s: %.0f %% ambient, %s stop in all", name, photometry.FormatShutter(s.ShutterS), s.AmbientPercent, signed(s.ExposureStops, 2))
	}
	return fmt.Sprintf("%.0f %% flash, %.0f %% ambient", *m.FlashPercent, *m.AmbientPercent) + stop("longer", m.ShutterLonger) + stop("shorter", m.ShutterShorter)
}

// colorsOf are colors that were read.
func colorsOf(m ratio.Mark) string {
	return strings.Join(texts(m.Colors, func(c ratio.Color) string {
		return fmt.Sprintf("%s %.0f K", lightName(m, c.Role, c.Lamp), c.Kelvin) + known(c.Duv, func(duv float64) string { return " Duv " + signed(duv, 4) }) +
			Optional(" (%+.0f mired to the key)", c.FromMired)
	}), ", ")
}
