package balance

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/evenness"
	"evenfall/photometry/uncertainty"
)

func (b *balancing) advise(code, format string, args ...any) {
	b.r.Advice = append(b.r.Advice, photometry.Finding{Code: code, Text: fmt.Sprintf(format, args...)})
}

// tell adds what follows from the figures: what to do first, then what to know.
func (b *balancing) tell() {
	r := b.r
	b.tellBasis()
	gain := r.Before.SpreadStops - r.After.SpreadStops
	if places := b.doubtful(); places != "" {
		b.advise("read_again", "Read %s again first: the trims leave that out.", places)
	}
	switch {
	case r.Before.Verdict.Evenness == uncertainty.Pass:
		b.advise("keep", "Even enough as it is: the lamps can stay as they are.")
		if r.Kept != nil {
			b.adviseLight(r.Kept)
		}
	case r.Kept != nil:
		b.adviseLight(r.Kept)
	case gain >= max(0.02, r.Before.NoiseFloorStops/2):
		b.adviseTrims()
	case r.After.Verdict.Evenness != uncertainty.Fail:
		b.advise("no_gain", "Trims gain %s, no more than the scatter of the readings: leave the lamps as they are.", photometry.FormatStops(max(0, gain)))
	}
	if r.After.Verdict.Evenness == uncertainty.Fail {
		word := "No trims reach"
		if !r.Optimal {
			word = "The trims found do not reach"
		}
		b.advise("not_enough", "%s the tolerance of %s: the shapes of the lamps' light do not fit together. Move or re-aim them, or light %s.",
			word, photometry.FormatStops(r.Limits.Stops), namePlace(r.After.Darkest))
	}
	if l := r.LightStops; l != nil && *l < -0.1 && r.Kept == nil && r.Before.Verdict.Evenness != uncertainty.Pass {
		back := "shutter or ISO"
		if b.set.Surface.Quantity == photometry.LuminousExposure {
			back = "ISO" // a shutter does not change a flash
		}
		b.advise("open_up", "The mean falls by %s: open up by that, or give it back in %s.", photometry.FormatStops(-*l), back)
	}
	b.tellDimming()
	b.tellColorOfAll()
	b.tellSteps()
	b.tellShares()
	b.caution("estimate", "The surface after is computed, not read: trim, then meter again.")
	for _, name := range r.Lamps {
		if t := r.Trims[name]; t.ScrimStops > 0 && !t.Fixed {
			b.caution("hot", "Lamps and scrims are hot: wear gloves.")
			break
		}
	}
}

func (b *balancing) caution(code, text string) {
	b.r.Cautions = append(b.r.Cautions, photometry.Finding{Code: code, Text: text})
}

// adviseTrims says the changes, the largest first.
func (b *balancing) adviseTrims() {
	names := slices.Clone(b.r.Lamps)
	names = slices.DeleteFunc(names, func(n string) bool {
		t := b.r.Trims[n]
		return t.Fixed || t.Stops != nil && *t.Stops > -0.05
	})
	slices.SortStableFunc(names, func(a, c string) int {
		return cmp.Compare(b.r.Trims[a].Percent, b.r.Trims[c].Percent)
	})
	if len(names) == 0 {
		return
	}
	t := b.r.Trims[names[0]]
	text := fmt.Sprintf("Switch %s off", names[0])
	if t.Stops != nil {
		text = fmt.Sprintf("Take %s off %s: %s", photometry.FormatStops(-*t.Stops), names[0], b.inSetUnits(t, names[0]))
	}
	switch len(names) {
	case 1:
		text += ", and leave the others as they are."
	case 2:
		text += fmt.Sprintf("; and trim %s as listed.", names[1])
	default:
		text += fmt.Sprintf("; and trim %d more as listed.", len(names)-1)
	}
	b.advise("trim", "%s", text)
}

// inSetUnits is a trim as a scrim and a dimmer setting; in steps, of a tungsten
// lamp, without the dimmer.
func (b *balancing) inSetUnits(t Trim, name string) string {
	text := fmt.Sprintf("dim it to %.0f %%", t.Percent)
	if t.Scrim == "" {
		return text
	}
	if m := b.set.Find(name); b.tungsten(m) && !b.dims(m, t.Percent/100) {
		return t.Scrim
	}
	if math.Abs(t.ScrimStops+*t.Stops) < 0.05 {
		return t.Scrim + ", or " + text
	}
	return fmt.Sprintf("%s, or nearest %s (%s)", text, t.Scrim, photometry.FormatStops(t.ScrimStops))
}

// adviseLight says what the most even trims cost, and what keeps the light.
func (b *balancing) adviseLight(k *Kept) {
	r := b.r
	cost := fmt.Sprintf("give up %s of light at the darkest place", photometry.FormatStops(photometry.Stops(r.Before.Min, r.After.Min)))
	if !slices.ContainsFunc(b.fix, func(f bool) bool { return f }) && !slices.ContainsFunc(r.Lamps, func(n string) bool { return r.Trims[n].Stops != nil }) {
		cost = "switch every lamp off"
	}
	b.advise("keep_light", "The most even trims of all %s. Say how much light you need: with --min %s the best spread is %.2f stop, by the trims beside.",
		cost, b.typed(k.MinLevel), k.SpreadStops)
}

// typed is a level as it can be typed back, with its unit.
func (b *balancing) typed(level float64) string {
	if b.set.Surface.Settings.Meter.Unit == photometry.Percent {
		return photometry.FormatFigure(100*level) + "%"
	}
	s := b.set.Surface
	return strings.ReplaceAll(photometry.FormatLevel(photometry.Level{Value: level, Quantity: s.Quantity}, s.UnitFor(b.o.Unit)), " ", "")
}

// doubtful lists the places of doubtful readings that count.
func (b *balancing) doubtful() string {
	var places []string
	for _, x := range b.suspects {
		if !slices.Contains(places, x.Label) {
			places = append(places, x.Label)
		}
	}
	switch n := len(places); {
	case n == 0:
		return ""
	case n > 4:
		return fmt.Sprintf("%s and %d more", joined(places[:3]), n-3)
	}
	return joined(places)
}

func namePlace(p evenness.Place) string {
	if p.Label != "" {
		return p.Label
	}
	return "(" + photometry.FormatFigure(p.X) + ", " + photometry.FormatFigure(p.Y) + ")"
}

// tellBasis says what the figures assume.
func (b *balancing) tellBasis() {
	if b.r.Noise.Source == "assumed" {
		b.infer("repeatability 2 %% of one reading to the next, an assumption: repeat a few readings or give a note to replace it")
	}
	switch {
	case b.ambient == nil:
		b.infer("no light but that of the lamps: ambient light was neither read nor given")
	case b.o.AmbientInReadings:
		b.infer("the readings of lamps alone hold the ambient light, which is taken off them")
	default:
		b.infer("the readings of lamps alone hold no ambient light (--with-ambient says that they do)")
	}
}

// tellSteps says what steps cost.
func (b *balancing) tellSteps() {
	if b.r.StepStops > 0 && !b.r.Optimal {
		b.warn("not_proved", "The search for trims in steps ended before it was through: at best they could be %s more even.", photometry.FormatStops(b.r.Gap))
	} else if !b.r.Optimal {
		b.warn("not_proved", "That no trims do better is not proved: at best they could be %s more even.", photometry.FormatStops(b.r.Gap))
	}
}

// tellShares says how well interpolated shares are known.
func (b *balancing) tellShares() {
	e := b.r.Shares
	if e == nil {
		return
	}
	if e.ErrorPercent == nil {
		b.warn("shares_untested", "Each lamp's share of the light is interpolated from %d places, too few to tell how well: read each lamp alone at one place more.", e.Places)
		return
	}
	b.warn("shares", "Each lamp's share of the light is interpolated from %d places, good to %.1f %% of the light; the levels after are good to %.2f stop.",
		e.Places, max(0.1, *e.ErrorPercent), max(0.01, e.LevelErrorStops))
}

// tellColorOfAll says where trims carry the color of the mix out of tolerance.
func (b *balancing) tellColorOfAll() {
	before, after := b.r.Before, b.r.After
	if before.Color == nil || after.Color == nil || after.Verdict.Color != uncertainty.Fail {
		return
	}
	if before.Verdict.Color != uncertainty.Fail {
		b.warn("color_runs", "With these trims the lamps' colors run out of tolerance over the surface: match them with gels first.")
		return
	}
	b.warn("color_stays", "The lamps' colors differ by more than the tolerance allows, and trims do not change that: match them with gels.")
}

// joined lists names: "a", "a and b", "a, b and c".
func joined(names []string) string {
	if n := len(names); n > 1 {
		return strings.Join(names[:n-1], ", ") + " and " + names[n-1]
	}
	return strings.Join(names, "")
}

// plural is the ending of a noun that n is counted in.
func plural(n int) string {
	if n == 1 {
		return ""
	}
	return "s"
}
