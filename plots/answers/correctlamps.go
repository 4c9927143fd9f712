package answers

import (
	"fmt"
	"math"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/colorimetry"
	"evenfall/photometry/uncertainty"
	"evenfall/plots"
	"evenfall/plots/document"
)

// CorrectLamps shows what brings a table of lamps to one color.
func CorrectLamps(r ManyLights, w document.Words, full bool) *document.Document {
	p := newPage(w, full)
	_, missed := part(r.Lamps, lampMet)
	verdict := passed(len(missed) == 0)
	if len(missed) == 0 && (!r.Within || len(r.Without) > 0) { // some by kelvins alone, or without a color
		verdict = uncertainty.Unsure
	}
	p.outcome(verdict, lampsHeadline(r.LampsCorrection))
	if len(r.Without) > 0 {
		p.Line("unread", strings.Join(r.Without, ", ")+": no color in the table, so left out")
	}
	p.Line("do", p.adviceText(r.Advice, "read_duv", "lens", "lens_of_no_use", "no_useful_gel", "empty_bag"))
	p.Line("bag", bagText(r.Basis))
	p.lampTable(r.Lamps, r.Lens != nil)
	p.Line("first", p.adviceText(r.Advice, "gel_on"))
	p.Line("cost", p.adviceText(r.Advice, "loss"))
	p.Line("shared", p.adviceText(r.Advice, "shared"))
	p.Line("camera", cameraText("With the lamps at the target", r.Camera))
	p.Line("together", known(r.Mixed, func(c colorimetry.CCT) string { return fmt.Sprintf("all lamps at their levels mix to %v", c) }))
	p.warnings(r.Warnings)
	where := either(r.Lens != nil, "on the lens", "hang")
	moves := texts(r.Lamps, func(l colorimetry.LampCorrection) plots.ColorMove {
		return plots.ColorMove{From: l.Source, To: l.After, Text: l.Name + ": " + lampText(l, where)}
	})
	p.correction(fmt.Sprintf("%d lamps", len(r.Lamps)), r.Basis, r.Target, moves)
	if p.full {
		p.lampDetails(r)
	}
	return p.Document
}

// lampsHeadline counts the lamps that get there.
func lampsHeadline(c colorimetry.LampsCorrection) string {
	reached, _ := part(c.Lamps, lampMet)
	byKelvins, _ := part(reached, func(l colorimetry.LampCorrection) bool { return l.KelvinsWithin })
	alone := either(len(byKelvins) > 0, fmt.Sprintf(", %d by kelvins alone", len(byKelvins)), "")
	whose := ""
	switch {
	case c.TargetFrom == "key":
		whose = " (the key, " + c.TargetLamp + ")"
	case c.TargetLamp != "":
		whose = " (" + c.TargetLamp + ")"
	case c.TargetFrom == "majority":
		whose = " (the majority)"
	}
	return fmt.Sprintf("%d of %d lamps within tolerance of %v%s%s.", len(reached), len(c.Lamps), c.Target, whose, alone)
}

// lampMet reports whether a lamp is within tolerance as far as it was read.
func lampMet(l colorimetry.LampCorrection) bool { return l.Within || l.KelvinsWithin }

// lampTable shows each lamp: what it reads, what to hang, what it then reads.
func (p *page) lampTable(lamps []colorimetry.LampCorrection, lens bool) {
	where := either(lens, "on the lens", "hang")
	rows := document.Rows("lamp|reads|"+where+"|then reads|stops|steps|", lamps, func(l colorimetry.LampCorrection) []string {
		hung := len(l.Gels) > 0
		return []string{l.Name, reading(l.Source), hangText(l, lens), either(hung, reading(l.After), ""), either(hung, fmt.Sprintf("%.1f", l.LossStops), ""), fmt.Sprintf("%.1f", l.StepsAfter), either(l.KelvinsWithin, "K ok", okText(l.Within))}
	})
	narrow := document.Lines(texts(lamps, func(l colorimetry.LampCorrection) document.Line {
		return document.Line{Key: l.Name, Texts: []string{lampText(l, where)}}
	}))
	p.Add(document.Table{Rows: rows, Text: []int{0, 2}, MinWidth: 74, Narrow: []document.Block{narrow}})
}

// reading is a light in the least room.
func reading(c colorimetry.CCT) string {
	return fmt.Sprintf("%.0f K %s", c.Kelvin, either(math.IsNaN(c.Duv), "no Duv", signed(c.Duv, 4)))
}

// hangText says what a lamp gets.
func hangText(l colorimetry.LampCorrection, lens bool) string {
	switch {
	case len(l.Gels) > 0:
		return strings.Join(l.Gels, ", ")
	case lampMet(l) || lens:
		return "nothing"
	}
	return "nothing that helps"
}

// lampText is a lamp of a narrow screen.
func lampText(l colorimetry.LampCorrection, where string) string {
	text := fmt.Sprintf("%v: %s %s", l.Source, where, hangText(l, where != "hang"))
	if len(l.Gels) > 0 {
		text += fmt.Sprintf("; then %v, %.1f steps off, for %s", l.After, l.StepsAfter, photometry.FormatStops(l.LossStops))
	}
	if !lampMet(l) {
		text += "; not within tolerance"
	}
	return text
}

// lampDetails is what --full adds for a table of lamps.
func (p *page) lampDetails(r ManyLights) {
	for _, l := range r.Lamps {
		p.Gap()
		p.Add(document.Heading{Title: l.Name, Level: 2})
		p.Line("shift", either(l.KelvinsAlone, fmt.Sprintf("%+.1f mired, by kelvins alone", l.Shift.Mired), shiftText(l.Shift)))
		p.Line("needs", p.needsText(l.Advice))
		p.Line("", p.adviceText(l.Advice, "within_tolerance", "no_useful_gel", "empty_bag"))
		p.stackTable(l.Stacks)
		p.findings("note", l.Warnings)
	}
	p.Gap()
	p.basis(r.Basis)
}
