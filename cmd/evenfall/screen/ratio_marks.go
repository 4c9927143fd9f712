package screen

import (
	"fmt"
	"slices"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/ratio"
)

// ratioMarks are several marks in a table.
func (p *page) ratioMarks(r *ratio.Result) {
	low, high, passed, known := 0.0, 0.0, 0, 0
	for _, m := range r.Marks {
		if m.Verdict == "pass" {
			passed++
		}
		if m.KeyToFill != nil {
			if known == 0 {
				low, high = *m.KeyToFill, *m.KeyToFill
			}
			low, high = min(low, *m.KeyToFill), max(high, *m.KeyToFill)
			known++
		}
	}
	text := "key to fill is known at none"
	switch {
	case known == 1 || known > 0 && ratio.Format(low) == ratio.Format(high):
		text = "key to fill " + ratio.Format(low)
	case known > 0:
		text = fmt.Sprintf("key to fill %s to %s", ratio.Format(low), ratio.Format(high))
	}
	if known > 0 && known < len(r.Marks) {
		text += fmt.Sprintf(", known at %d", known)
	}
	title := ""
	if r.Title != "" {
		title = r.Title + ": "
	}
	if r.Verdict == "" {
		p.styled(fmt.Sprintf("%d marks", len(r.Marks)), p.strong, title+text)
	} else {
		wanted := ""
		if r.Target != nil {
			wanted = fmt.Sprintf(" %s %s", r.Target.Name(), ratio.Format(r.Target.Ratio))
		}
		for _, t := range r.AreaTargets {
			wanted += fmt.Sprintf(", %s %s", t.Role, tenths(t.Stops))
		}
		p.styled(strings.ToUpper(r.Verdict), p.verdict, fmt.Sprintf("%s%d of %d marks within ±%.2f stop of%s; %s", title, passed, len(r.Marks), r.ToleranceStops,
			strings.TrimPrefix(wanted, ","), text))
	}
	p.ratioTable(r)
	p.line("ratios", "key:fill is key alone to fill alone, in stops beside; lighting is key plus fill to fill")
	told := 0
	for _, m := range r.Marks {
		if text := againstKey(m); text != "" {
			p.line(labelOnce("to the key", told), m.Label+": "+text)
			told++
		}
	}
	told = 0
	for _, m := range r.Marks {
		if e := m.Exposure; e != nil {
			if told == 0 {
				p.line("exposure", "at "+cameraOf(e)+" for "+string(e.Of))
				told++
			}
			if over := overOf(e); over != "" {
				p.line("", m.Label+strings.Replace(over, "; set to", ": set to", 1))
			}
		}
	}
	told = 0
	for _, m := range r.Marks {
		if text := sharesOf(m); text != "" {
			p.line(labelOnce("flash", told), m.Label+": "+text)
			told++
		}
	}
}

// ratioTable is a line a mark.
func (p *page) ratioTable(r *ratio.Result) {
	rows := [][]string{{"mark", "key", "fill", "key:fill", "stops", "lighting", "exposure", ""}}
	for _, m := range r.Marks {
		row := []string{m.Label, "", "", "", "", "", exposureShort(m.Exposure), m.Verdict}
		if m.Key != nil {
			row[1] = p.ratioLevel(*m.Key, m.Unit, m.KeyFNumber)
		}
		if m.Fill != nil {
			row[2] = p.ratioLevel(*m.Fill, m.Unit, m.FillFNumber)
		}
		if m.KeyToFill != nil {
			row[3], row[4] = ratio.Format(*m.KeyToFill), fmt.Sprintf("%.2f", *m.KeyToFillStops)
		}
		if m.LightingRatio != nil {
			row[5] = ratio.Format(*m.LightingRatio)
		}
		rows = append(rows, row)
	}
	const least = 74
	if p.Width >= least {
		p.columns(rows, 0, 7)
		return
	}
	for _, m := range r.Marks {
		parts := slices.DeleteFunc([]string{conventions(m), exposureShort(m.Exposure), m.Verdict}, func(text string) bool { return text == "" })
		p.line("", m.Label+": "+strings.Join(parts, "; "))
	}
}

func exposureShort(e *ratio.Exposure) string {
	if e == nil || e.FNumber == nil {
		return ""
	}
	return photometry.FormatFNumber(*e.FNumber)
}

// ratioFlicker says which shutters are steady, a sentence a mains frequency.
func (p *page) ratioFlicker(all []ratio.Flicker) {
	for i, f := range all {
		p.line(labelOnce("flicker", i), f.Text)
	}
}

// ratioDetails is what --full adds.
func (p *page) ratioDetails(r *ratio.Result, readAs string) {
	for _, m := range r.Marks {
		p.blank()
		p.raw(p.plain(m.Label))
		if len(r.Marks) > 1 {
			p.line("ratios", conventions(m))
			p.line("levels", p.ratioLevels(m))
			p.line("exposure", exposureOf(m.Exposure, true))
			p.line("color", colorsOf(m))
		}
		rows := [][]string{{"light", "lamp", "level", "receptor", "readings", "f-number", "stops"}}
		for _, a := range m.Areas {
			row := []string{string(a.Role), a.Lamp, p.inUnit(a.Level, a.Unit), a.Receptor, fmt.Sprint(a.Readings), "", ""}
			if a.FNumber != nil {
				row[5] = photometry.FormatFNumber(*a.FNumber)
			}
			if a.Stops != nil {
				row[6] = signedStops(*a.Stops)
			}
			rows = append(rows, row)
		}
		p.columns(rows, 0, 1)
		for i, s := range m.Sums {
			text := fmt.Sprintf("%s %s", s.Role, p.inUnit(s.Level, m.Unit))
			if s.AdditivityStops != nil {
				text += fmt.Sprintf(", its parts %s: %s stop%s", p.inUnit(*s.Alone, m.Unit), signedStops(*s.AdditivityStops), intervalOf(s.IntervalStops))
			}
			p.line(labelOnce("sums", i), text)
		}
		for i, c := range m.ToTarget {
			p.line(labelOnce("to reach", i), strings.ReplaceAll(c.Of, "_", " ")+": "+c.Text)
		}
	}
	p.blank()
	for _, f := range r.Flicker {
		var times []string
		for _, s := range f.Shutters {
			one := photometry.FormatShutter(s.ShutterS)
			if s.AngleDeg != nil {
				one += fmt.Sprintf(" (%.4g°)", *s.AngleDeg)
			}
			times = append(times, one)
		}
		if len(times) == 0 {
			continue // no time within a frame is
		}
		p.line(fmt.Sprintf("%g Hz", f.MainsHz), "steady at "+strings.Join(times, ", "))
	}
	p.line("scatter", fmt.Sprintf("%.1f %% of one reading (%s), %.3f stop", r.Noise.RepeatabilityPercent, r.Noise.Source, r.Noise.Stops))
	for i, text := range r.Inferred {
		p.line(labelOnce("assumed", i), text)
	}
	p.line("read as", readAs)
}
