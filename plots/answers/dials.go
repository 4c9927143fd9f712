package answers

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"evenfall/falloff/balance"
	"evenfall/photometry"
	"evenfall/photometry/dimmer"
	"evenfall/photometry/match"
	"evenfall/photometry/ratio"
	"evenfall/plots/document"
)

// BalanceChanges are what the trims of a balance ask of its lamps.
func BalanceChanges(r *balance.Result) (out []dimmer.Change) {
	for _, name := range r.Lamps {
		if t := r.Trims[name]; !t.Fixed && t.Stops != nil {
			out = append(out, dimmer.Change{Lamp: name, Stops: *t.Stops})
		}
	}
	return out
}

// MatchChanges are what brings the lamps back to the day before.
func MatchChanges(r *match.Result) (out []dimmer.Change) {
	for name, l := range r.Lamps {
		if l.Changed && l.Percent != nil && *l.Percent > 0 {
			out = append(out, dimmer.Change{Lamp: name, Stops: -math.Log2(*l.Percent / 100)})
		}
	}
	slices.SortFunc(out, func(a, b dimmer.Change) int { return cmp.Compare(a.Lamp, b.Lamp) })
	return out
}

// RatioChanges are what reaches the targets by the lights that are one lamp.
func RatioChanges(r *ratio.Result) (out []dimmer.Change) {
	for _, m := range r.Marks {
		for _, c := range m.ToTarget {
			lamps := map[string]bool{}
			for _, area := range m.Areas {
				if area.Role == c.Change && area.Lamp != "" {
					lamps[area.Lamp] = true
				}
			}
			for lamp := range lamps {
				if change := (dimmer.Change{Lamp: lamp, Stops: c.Stops}); len(lamps) == 1 && !slices.Contains(out, change) {
					out = append(out, change)
				}
			}
		}
	}
	return out
}

// WithDials adds to a result how the dimmers of its lamps are set: by what was read of
// them, or that percentages are as if a dimmer were linear.
func WithDials(d *document.Document, changes []dimmer.Change) {
	var texts []string
	linear := 0
	for _, c := range changes {
		switch {
		case c.Beyond:
			texts = append(texts, fmt.Sprintf("%s: its dimmer does not reach %s stop.", Capital(c.Lamp), signed(c.Stops, 1)))
		case c.Setting == nil:
			linear++
		default:
			texts = append(texts, dialChange(c.Lamp, c.Setting))
		}
	}
	if linear > 0 {
		texts = append(texts, either(len(texts) > 0, "Others are as if the dimmer were linear.", "Percentages are as if the dimmer were linear; evenfall dimmer reads your own."))
	}
	d.Line("dimmer", texts...)
}

// dialChange is a dimmer's change by what was read of it.
func dialChange(lamp string, s *dimmer.Setting) string {
	warms := known(s.Mired, func(m float64) string { return either(math.Abs(m) >= 0.5, ", "+colorShift(photometry.Mired(m)), "") })
	return fmt.Sprintf("%s: %s to %s (%s)%s", Capital(lamp), percent(*s.FromPercent), percent(s.Percent), dialInterval(s.Interval), warms) + either(s.Flickers, ", where it may flicker.", ".")
}
