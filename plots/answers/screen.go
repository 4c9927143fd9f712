package answers

import (
	"cmp"
	"fmt"
	"strings"

	"evenfall/falloff/screen"
	"evenfall/photometry"
	"evenfall/photometry/uncertainty"
	"evenfall/plots/document"
)

// Screen shows a screen as the camera sees it.
func Screen(r *screen.Result, w document.Words, full bool) *document.Document {
	p := newPage(w, full)
	text := titled(r.Title, fmt.Sprintf("it reflects %.1f %% (95 %% CI %.1f–%.1f %%).", 100*r.Reflectance, 100*r.Interval[0], 100*r.Interval[1]))
	p.headline(cmp.Or(strings.ToUpper(r.Verdict), "SCREEN"), r.Verdict, either(r.Verdict != "", text, Capital(text)))
	p.Line("uneven", p.clothText(r)...)
	p.Line("to key", p.short(p.keyTexts(r), 4)...)
	p.Line("spill", p.short(p.spillTexts(r), 4)...)
	p.findings("note", r.Warnings)
	p.findings("caution", r.Cautions)
	if p.full {
		p.screenTable(r)
		p.remarks("assumed", r.Inferred)
	}
	return p.Document
}

// clothText says what of the unevenness is light and what is cloth.
func (p *page) clothText(r *screen.Result) []string {
	spread := fmt.Sprintf("Luminance %s, light %s, cloth %s from its least to its most.", inStops("%.2f", r.LuminanceSpread), inStops("%.2f", r.LightSpread), inStops("%.2f", r.ClothSpread))
	differ, _ := part(r.Places, func(q screen.PlaceResult) bool { return q.Cloth })
	if len(differ) == 0 {
		return []string{spread, "No place has other cloth, by more than readings scatter."}
	}
	by := texts(differ, func(q screen.PlaceResult) string { return q.Label + " " + signed(q.ClothStops, 2) })
	return []string{spread, fmt.Sprintf("Other cloth (a crease, sheen or seam): %s stop.", strings.Join(p.short(by, 5), ", "))}
}

// ScreenSummary is a screen's reflectance, and at each mark its level and spill.
func ScreenSummary(r *screen.Result) string {
	text := fmt.Sprintf("reflects %.1f %%", 100*r.Reflectance)
	for _, m := range r.Marks {
		if m.ScreenToKey == nil {
			continue
		}
		text += fmt.Sprintf("; at %s %s stop to middle gray lit by the key", m.Label, signed(*m.ScreenToKey, 1)) + known(m.SpillToKey, func(v float64) string { return ", spill " + signed(v, 1) })
	}
	return text
}

// keyTexts are the screen against the key at each mark.
func (p *page) keyTexts(r *screen.Result) (texts []string) {
	for _, m := range r.Marks {
		if m.ScreenToKey == nil {
			continue
		}
		wanted := known(r.TargetStops, func(t float64) string {
			return fmt.Sprintf(", wanted %s ±%s: %s", signed(t, 2), hundredths(r.ToleranceStops), m.Verdict)
		})
		texts = append(texts, fmt.Sprintf("%s: %s middle gray (%s)%s.", m.Label, overUnder(*m.ScreenToKey), signedConfidence(m.ScreenToKeyInterval[0], m.ScreenToKeyInterval[1]), wanted))
	}
	return texts
}

// spillTexts are the spill at each mark, and what brings it under its limit.
func (p *page) spillTexts(r *screen.Result) (texts []string) {
	for _, m := range r.Marks {
		if m.Spill == nil {
			continue
		}
		text := fmt.Sprintf("%s: %s computed (95 %% CI %s–%s)", m.Label, p.lux(*m.Spill), p.lux(m.SpillInterval[0]), p.lux(m.SpillInterval[1])) +
			known(m.ReadSpill, func(v float64) string { return ", " + p.lux(v) + " read" }) + known(m.SpillToKey, func(v float64) string { return "; " + overUnder(v) + " the key" })
		if t := r.SpillTarget; t != nil && m.SpillVerdict != "" {
			text += fmt.Sprintf(", at most %s wanted: %s", signed(*t, 1), m.SpillVerdict)
		}
		text += "."
		if m.ForwardM != nil && m.SpillVerdict != uncertainty.Pass {
			text += fmt.Sprintf(" Come %s forward, the key kept as it is, or mask %.0f %% of the lit part from its edges.", p.Length(*m.ForwardM), *m.MaskPercent)
		}
		texts = append(texts, text)
	}
	return texts
}

func (p *page) lux(v float64) string { return p.Level(photometry.Level{Value: v}) }

// screenTable is every place.
func (p *page) screenTable(r *screen.Result) {
	rows := document.Rows("place|light|luminance|reflects|95 % CI|light ±|cloth ±|", r.Places, func(q screen.PlaceResult) []string {
		return []string{q.Label, p.lux(q.Light), p.Level(photometry.Level{Value: q.Luminance, Quantity: photometry.Luminance}), fmt.Sprintf("%.1f %%", 100*q.Reflectance),
			fmt.Sprintf("%.1f–%.1f", 100*q.Interval[0], 100*q.Interval[1]), signed(q.LightStops, 2), signed(q.ClothStops, 2), either(q.Cloth, "other cloth", "")}
	})
	p.Add(document.Table{Rows: rows, Text: []int{0, 7}})
}
