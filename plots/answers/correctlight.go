package answers

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/colorimetry"
	"evenfall/photometry/uncertainty"
	"evenfall/plots"
	"evenfall/plots/document"
)

// stacksShown is how many stacks the short answer has room for.
const stacksShown = 3

// CorrectLight shows what takes one light to a target, the answer first.
func CorrectLight(r OneLight, w document.Words, full bool) *document.Document {
	p := newPage(w, full)
	p.outcome(passed(r.Within), p.headlineOf(r.Correction))
	p.Line("light", fmt.Sprintf("%v; the target is %v", r.Source, r.Target))
	p.Line("needs", p.needsText(r.Advice))
	shown := r.Stacks
	if len(shown) > stacksShown && !p.full {
		shown = shown[:stacksShown]
	}
	if leave := len(shown) > 0 && len(shown[0].Gels) == 0 && r.Within; !leave || p.full {
		p.Line("bag", bagText(r.Basis))
		p.stackTable(shown)
	}
	p.Line("cost", p.adviceText(r.Advice, "loss"))
	p.Line("camera", cameraText("At the target", r.Camera))
	p.Line("", cameraText("Without gel, where this is the only light,", r.NoGel))
	p.warnings(r.Warnings)
	moves := texts(r.Stacks, func(s colorimetry.Stack) plots.ColorMove {
		return plots.ColorMove{From: r.Source, To: s.Reading(), Text: stackText(s)}
	})
	p.correction(fmt.Sprintf("Light of %v", r.Source), r.Basis, r.Target, moves)
	if p.full {
		p.lightDetails(r)
	}
	return p.Document
}

// correction is the picture of lights about a target.
func (p *page) correction(what string, b Basis, to colorimetry.CCT, moves []plots.ColorMove) {
	p.Add(document.Picture{Name: "correct", Draw: func() (*plots.Picture, error) {
		return plots.Correction(what, plots.ColorTarget{CCT: to, MissMired: b.ToleranceMired, MissDuv: b.ToleranceDuv}, moves), nil
	}})
}

// outcome is the first line: whether the target is reached, and how.
func (p *page) outcome(verdict, text string) {
	p.headline(map[string]string{uncertainty.Pass: "REACHED", uncertainty.Fail: "MISSED", uncertainty.Unsure: "UNSURE"}[verdict], verdict, text)
}

func passed(within bool) string { return either(within, uncertainty.Pass, uncertainty.Fail) }

// headlineOf says what to hang.
func (p *page) headlineOf(c colorimetry.Correction) string {
	return cmp.Or(p.adviceText(c.Advice, "best_stack", "no_useful_gel", "empty_bag", "within_tolerance"), "What gels do to this light cannot be predicted from a reading alone.")
}

// adviceText joins the advice of some codes into one paragraph.
func (p *page) adviceText(advice []photometry.Finding, codes ...string) string {
	var parts []string
	for _, code := range codes {
		for _, a := range advice {
			if a.Code == code {
				parts = append(parts, p.say(a))
			}
		}
	}
	return strings.Join(parts, " ")
}

// needsText says the ideal filters, under a label that says needs.
func (p *page) needsText(advice []photometry.Finding) string {
	return strings.TrimPrefix(p.adviceText(advice, "needs", "cc_shifts_mired"), "Needs ")
}

// bagText says where the gels come from.
func bagText(b Basis) string {
	if b.Bag == "nominal" {
		return fmt.Sprintf("the trade's nominal kit of %d (--gels takes your own)", b.Gels)
	}
	return fmt.Sprintf("%d in %s", b.Gels, b.Bag)
}

// stackTable shows stacks, a line each, with fewer figures on a narrow screen.
func (p *page) stackTable(stacks []colorimetry.Stack) {
	if len(stacks) == 0 {
		return
	}
	rows := document.Rows("gels|K|Duv|stops|Δmired|ΔDuv|steps|", stacks, func(s colorimetry.Stack) []string {
		return []string{gelsText(s), fmt.Sprintf("%.0f", s.Kelvin), duvText(s.Duv), fmt.Sprintf("%.1f", s.LossStops),
			signed(s.MissMired, 0), duvText(s.MissDuv), fmt.Sprintf("%.1f", s.Steps), okText(s.Within)}
	})
	fewer := texts(rows, func(row []string) []string { return slices.Delete(slices.Clone(row), 4, 6) })
	lines := document.Line{Key: "stacks", Texts: texts(stacks, stackText)}
	narrow := document.Table{Rows: fewer, Text: []int{0}, MinWidth: 48, Narrow: []document.Block{lines}}
	p.Add(document.Table{Rows: rows, Text: []int{0}, MinWidth: 64, Narrow: []document.Block{narrow}})
}

// duvText is a Duv of a table, – where it is not known.
func duvText(v float64) string { return either(math.IsNaN(v), "–", signed(v, 4)) }

func gelsText(s colorimetry.Stack) string {
	return cmp.Or(strings.Join(s.Gels, ", "), "as it is")
}

// stackText is a stack of a screen too narrow for a table.
func stackText(s colorimetry.Stack) string {
	return fmt.Sprintf("%s: %v, %.1f steps off", gelsText(s), s.Reading(), s.Steps) +
		either(len(s.Gels) > 0, ", for "+photometry.FormatStops(s.LossStops), "") + either(s.Within, ", ok", "")
}

func okText(within bool) string { return either(within, "ok", "") }

// cameraText is a setting with its spread.
func cameraText(when string, s *colorimetry.CameraSetting) string {
	return known(s, func(s colorimetry.CameraSetting) string {
		if s.TintUnknown {
			return when + " " + cameraSetting(s) + either(s.MiredSpread > 0, fmt.Sprintf(" (±%.1f mired)", s.MiredSpread), "") + "."
		}
		spread := either(s.MiredSpread > 0 || s.TintSpread > 0, fmt.Sprintf(" (±%.1f mired, ±%.1f tint)", s.MiredSpread, s.TintSpread), "")
		return when + " " + cameraSetting(s) + spread + "."
	})
}

// warnings shows cautions for hands and eyes first, then what limits the answer.
func (p *page) warnings(all []photometry.Finding) {
	cautions, notes := part(all, func(f photometry.Finding) bool { return f.Code == "heat" })
	p.cautions(cautions)
	p.findings("note", notes)
}

// lightDetails is what --full adds for one light.
func (p *page) lightDetails(r OneLight) {
	p.Gap()
	p.Line("shift", shiftText(r.Shift))
	if n := r.Needs; n != nil {
		p.Line("ideal", fmt.Sprintf("%+.1f mired and %v, together %s", n.Mired, n.Filter().Round(), inStops("%.2f", n.LossStops)))
	}
	p.basis(r.Basis)
}

func shiftText(s colorimetry.Shift) string {
	return fmt.Sprintf("%+.1f mired, %s Duv, %.4f in u'v' (%.1f steps of 0.0011)", s.Mired, signed(s.Duv, 4), s.DeltaUVPrime, s.Steps)
}

// basis says what the answer rests on.
func (p *page) basis(b Basis) {
	p.Line("model", "a Planckian radiator behind one CC filter has the light's color; gels are conversion and CC filters, 0.92 for the surfaces of each")
	p.Line("ranking", "what meets the tolerance first, then least steps off; a third of a stop counts as a step")
	p.Line("Δ", "predicted less target: + is too warm, too green")
	p.Line("tolerance", fmt.Sprintf("%g mired, %g Duv", b.ToleranceMired, b.ToleranceDuv))
	if o := b.Offset; o != nil {
		fitted := either(o.TintFitted, fmt.Sprintf("%.2f tint a CC point", o.TintPerPoint), "a unit of tint taken for a CC point")
		p.Line("offset", fmt.Sprintf("camera %s less the meter, from %d rows of %s: %+.1f mired, %+.1f tint, %s", o.Camera, o.Rows, b.CameraTable, o.Mired, o.Tint, fitted))
	}
	p.Line("assumed", b.Inferred...)
	p.Line("read as", b.Reading...)
}
