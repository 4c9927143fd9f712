package answers

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/ratio"
	"evenfall/photometry/uncertainty"
	"evenfall/plots/document"
)

// ratioMarks are several marks in a table.
func (p *page) ratioMarks(r *ratio.Result) {
	p.ratioTable(r)
	p.Line("ratios", "key:fill is key alone to fill alone, in stops beside; lighting is key plus fill to fill")
	if k := r.KeyOverMarks; k != nil {
		p.Line("key", fmt.Sprintf("%s over the marks%s: brightest at %s, darkest at %s", photometry.FormatStops(k.SpreadStops), intervalOf(&k.IntervalStops), k.Brightest, k.Darkest))
	}
	p.eachMark("to the key", r, againstKey)
	p.Line("exposure", exposuresOf(r.Marks)...)
	p.eachMark("flash", r, sharesOf)
}

// ratioHeadline is how many marks are on their target, and the range of key to fill.
func (p *page) ratioHeadline(r *ratio.Result) {
	if r.Verdict == "" {
		p.headline(fmt.Sprintf("%d marks", len(r.Marks)), "", titled(r.Title, KeyToFillRange(r.Marks)))
		return
	}
	wanted := known(r.Target, func(t ratio.Target) string { return fmt.Sprintf(" %s %s", t.Name(), ratio.Format(t.Ratio)) })
	for _, t := range r.AreaTargets {
		wanted += fmt.Sprintf(", %s%s %s", t.Role, either(t.Role == ratio.SpillRole, " at most", ""), signed(t.Stops, 1))
	}
	p.verdict(r.Verdict, titled(r.Title, fmt.Sprintf("%d of %d marks within ±%.2f stop of%s; %s", passing(r), len(r.Marks), r.ToleranceStops,
		strings.TrimPrefix(wanted, ","), KeyToFillRange(r.Marks))))
}

// passing is how many marks reach their targets.
func passing(r *ratio.Result) int {
	reached, _ := part(r.Marks, func(m ratio.Mark) bool { return m.Verdict == uncertainty.Pass })
	return len(reached)
}

// KeyToFillRange is the least and the largest key to fill, and at how many marks it is
// known.
func KeyToFillRange(marks []ratio.Mark) string {
	var known []float64
	for _, m := range marks {
		if m.KeyToFill != nil {
			known = append(known, *m.KeyToFill)
		}
	}
	if len(known) == 0 {
		return "key to fill is known at none"
	}
	low, high := ratio.Format(slices.Min(known)), ratio.Format(slices.Max(known))
	return "key to fill " + low + either(low != high, " to "+high, "") + either(len(known) < len(marks), fmt.Sprintf(", known at %d", len(known)), "")
}

// exposuresOf is how the camera is set, and the marks that are off it.
func exposuresOf(marks []ratio.Mark) (all []string) {
	for _, m := range marks {
		e := m.Exposure
		if e == nil {
			continue
		}
		switch camera := cameraOf(e); {
		case len(all) > 0:
		case camera == "":
			all = append(all, "notes iso and shutter give the f-number")
		default:
			all = append(all, "at "+camera+" for "+string(e.Of))
		}
		if over := overOf(e); over != "" {
			all = append(all, m.Label+strings.Replace(over, "; set to", ": set to", 1))
		}
	}
	return all
}

// eachMark adds what there is to say of each mark, after its name.
func (p *page) eachMark(key string, r *ratio.Result, say func(ratio.Mark) string) {
	p.Line(key, texts(r.Marks, func(m ratio.Mark) string {
		if text := say(m); text != "" {
			return m.Label + ": " + text
		}
		return ""
	})...)
}

// ratioTable is a line a mark.
func (p *page) ratioTable(r *ratio.Result) {
	rows := document.Rows("mark|key|fill|key:fill|stops|lighting|exposure|", r.Marks, func(m ratio.Mark) []string {
		level := func(v, fNumber *float64) string {
			return known(v, func(v float64) string { return p.ratioLevel(v, m.Unit, fNumber) })
		}
		stops := ""
		if m.KeyToFill != nil {
			stops = fmt.Sprintf("%.2f", *m.KeyToFillStops)
		}
		return []string{m.Label, level(m.Key, m.KeyFNumber), level(m.Fill, m.FillFNumber), cmp.Or(known(m.KeyToFill, ratio.Format), boundOf(m.KeyToFillIntervalStops)), stops,
			known(m.LightingRatio, ratio.Format), exposureShort(m.Exposure), m.Verdict}
	})
	narrow := document.Line{Texts: texts(r.Marks, func(m ratio.Mark) string {
		return m.Label + ": " + FilledIn("; ", conventions(m), exposureShort(m.Exposure), m.Verdict)
	})}
	p.Add(document.Table{Caption: "Marks", Rows: rows, Text: []int{0, 7}, MinWidth: 74, Narrow: []document.Block{narrow}})
}

func exposureShort(e *ratio.Exposure) string {
	return known(e, func(e ratio.Exposure) string {
		return known(e.FNumber, func(n float64) string { return LensStop(n, e.ShutterS != nil) })
	})
}

// ratioFlicker says which shutters are steady, a sentence a mains frequency.
func (p *page) ratioFlicker(all []ratio.Flicker) {
	lines := texts(all, func(f ratio.Flicker) string { return p.say(f.Text.Finding) })
	if lines != nil {
		lines = append(lines, "by the mains alone: LED drivers and dimmers not tested")
	}
	p.Line("flicker", lines...)
}

// ratioDetails is what --full adds.
func (p *page) ratioDetails(r *ratio.Result, readAs string) {
	for _, m := range r.Marks {
		p.Gap()
		p.Add(document.Heading{Title: m.Label, Level: 2})
		if len(r.Marks) > 1 {
			p.Line("ratios", conventions(m))
			p.Line("levels", p.ratioLevels(m))
			p.Line("exposure", exposureOf(m.Exposure, true))
			p.Line("color", colorsOf(m))
		}
		rows := document.Rows("light|lamp|level|receptor|readings|f-number|stops", m.Areas, func(a ratio.Area) []string {
			quantity, _ := photometry.QuantityOf(a.Unit)
			stop := known(a.FNumber, func(n float64) string { return LensStop(n, quantity != photometry.LuminousExposure) })
			return []string{string(a.Role), a.Lamp, p.inUnit(a.Level, a.Unit), a.Receptor, fmt.Sprint(a.Readings), stop, OptionalSigned(a.Stops, 2)}
		})
		p.Add(document.Table{Caption: strings.TrimSpace("Lights at " + m.Label), Rows: rows, Text: []int{0, 1}})
		p.Line("sums", texts(m.Sums, func(s ratio.Sum) string {
			return fmt.Sprintf("%s %s", s.Role, p.inUnit(s.Level, m.Unit)) + known(s.AdditivityStops, func(v float64) string {
				return fmt.Sprintf(", its parts %s: %s stop%s", p.inUnit(*s.Alone, m.Unit), signed(v, 2), intervalOf(s.IntervalStops))
			})
		})...)
		p.Line("to reach", texts(m.ToTarget, func(c ratio.Change) string { return strings.ReplaceAll(c.Of, "_", " ") + ": " + p.say(c.Text.Finding) })...)
	}
	p.Gap()
	for _, f := range r.Flicker {
		times := texts(f.Shutters, func(s ratio.SafeShutter) string { return photometry.FormatShutter(s.ShutterS) + shutterAngle(s) })
		if len(times) == 0 {
			continue // no time within a frame is
		}
		p.Line(fmt.Sprintf("%g Hz", f.MainsHz), "steady at "+strings.Join(times, ", "))
	}
	p.Line("scatter", fmt.Sprintf("%.1f %% of one reading (%s), %.3f stop", r.Noise.RepeatabilityPercent, r.Noise.Source, r.Noise.Stops))
	p.Line("taken", Taken(r.Taken))
	p.remarks("assumed", r.Inferred)
	p.Line("read as", readAs)
}
