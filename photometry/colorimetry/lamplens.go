package colorimetry

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"evenfall/photometry"
)

// throughTheLens finds the one filter that takes what the majority shares to the
// target and says what it makes of each lamp.
func (out *LampsCorrection) throughTheLens(lamps []Lamp, sheets []sheet, opts Options) error {
	group, shared, err := agreeing(lamps, opts)
	if err != nil {
		return err
	}
	c, err := correct(shared, out.Target, sheets, opts)
	if err != nil {
		return err
	}
	var hung *Stack
	if c.advised("best_stack") {
		hung = &c.Stacks[0]
	}
	for _, l := range lamps {
		own, p, err := begin(l.read(), out.Target, opts)
		if err != nil {
			return fmt.Errorf("lamp %q: %w", l.Name, err)
		}
		lc := LampCorrection{Name: l.Name, Gels: []string{}, After: l.read(), LevelAfter: l.Level, StepsAfter: own.Steps}
		if hung != nil && p != nil {
			if s, ok := p.predict(hung.sheets...); ok {
				own.Stacks, own.Within = []Stack{s}, s.Within
				if own.KelvinsAlone {
					(&ranking{stacks: own.Stacks}).forgetDuv(own.Source)
				}
				lc.hang(own.Stacks[0])
			}
		}
		own.holdBack()
		lc.Correction = own
		out.Lamps = append(out.Lamps, lc)
	}
	switch {
	case hung != nil:
		out.advise("correct.lens", "filter", *hung, "group", strings.Join(names(group), ", "), "reading", hung.Reading(), "loss", photometry.Loss(hung.LossStops))
	case c.met():
		out.advise("lens_of_no_use", "group", strings.Join(names(group), ", "), "mired", opts.ToleranceMired, "duv", opts.duvTolerance(c.KelvinsAlone))
	default:
		out.Advice = append(out.Advice, slices.DeleteFunc(slices.Clone(c.Advice), func(a Finding) bool {
			return a.Code != "no_useful_gel" && a.Code != "empty_bag"
		})...)
	}
	out.Warnings = append(out.Warnings, c.Warnings...)
	out.Lens = &c
	return nil
}

// shared finds what every lamp needs in common, which one filter on the lens, or
// the camera's setting, can do for all.
func (out *LampsCorrection) shared(opts Options) {
	common := func(value func(Shift) float64) float64 {
		least := value(out.Lamps[0].Shift)
		for _, l := range out.Lamps {
			v := value(l.Shift)
			if v*least <= 0 {
				return 0
			}
			if math.Abs(v) < math.Abs(least) {
				least = v
			}
		}
		return least
	}
	m := common(func(s Shift) float64 { return s.Mired })
	d := common(func(s Shift) float64 { return s.Duv })
	if len(out.Lamps) < 2 || math.Abs(m) <= opts.ToleranceMired && math.Abs(d) <= opts.ToleranceDuv {
		return
	}
	var lens, camera Finding
	target := out.Target.withDuv(0)
	light := CCT{Kelvin(out.Target.Mired() - m), target.Duv - d}
	if need, err := Needs(light, target); err == nil {
		lens = photometry.Found("shared_on_lens", "loss", photometry.Loss(need.LossStops))
	}
	if slices.ContainsFunc(out.Lamps, func(l LampCorrection) bool { return l.KelvinsAlone }) {
		light.Duv = math.NaN()
	}
	if s, err := setting(light, opts.Camera); err == nil {
		camera = photometry.Found("shared_in_camera", "setting", s)
	}
	out.advise("correct.shared", "mired", m, "duv", d, "lens", lens, "camera", camera)
}
