package balance

import (
	"cmp"
	"slices"

	"evenfall/photometry"
	"evenfall/photometry/uncertainty"
)

func (b *balancing) advise(key string, namesAndValues ...any) {
	b.r.Advice = append(b.r.Advice, photometry.Found(key, namesAndValues...))
}

func (b *balancing) warn(key string, namesAndValues ...any) {
	b.r.Warnings = append(b.r.Warnings, photometry.Found(key, namesAndValues...))
}

func (b *balancing) infer(key string, namesAndValues ...any) {
	b.r.Inferred = append(b.r.Inferred, photometry.Remarked(key, namesAndValues...))
}

// conclude adds what follows from the figures: what to do first, then what to know.
func (b *balancing) conclude() {
	b.inferBasis()
	for _, a := range b.r.AfterMap.Advice {
		b.r.Advice = append(b.r.Advice, a.Finding)
	}
	var places []string // each once
	for _, x := range b.suspects {
		if !slices.Contains(places, x.Label) {
			places = append(places, x.Label)
		}
	}
	if len(places) > 0 {
		b.advise("balance.read_again", "places", places)
	}
	b.adviseChange()
	b.adviseExposure()
	b.warnDimming()
	b.warnColor()
	if !b.r.Optimal {
		b.warn("not_proved", "steps", b.r.StepStops > 0, "gap", photometry.Stop(b.r.Gap))
	}
	b.warnShares()
	b.r.Cautions = append(b.r.Cautions, photometry.Found("balance.estimate"))
	if slices.ContainsFunc(b.r.Lamps, func(name string) bool { return b.r.Trims[name].ScrimStops > 0 && !b.r.Trims[name].Fixed }) {
		b.r.Cautions = append(b.r.Cautions, photometry.Found("hot"))
	}
}

// adviseChange says whether to trim, and what to do where trims do not reach.
func (b *balancing) adviseChange() {
	r := b.r
	gain := r.Before.SpreadStops - r.After.SpreadStops
	passes := r.Before.Verdict.Evenness == uncertainty.Pass
	switch {
	case passes:
		b.advise("balance.keep")
		if r.Kept != nil {
			b.adviseLight()
		}
	case r.Kept != nil:
		b.adviseLight()
	case gain >= max(0.02, r.Before.NoiseFloorStops/2):
		b.adviseTrims()
	case r.After.Verdict.Evenness != uncertainty.Fail:
		b.advise("no_gain", "gain", photometry.Stop(max(0, gain)))
	}
	if r.After.Verdict.Evenness == uncertainty.Fail {
		b.advise("not_enough", "optimal", r.Optimal, "tolerance", photometry.Stop(r.Limits.Stops), "darkest", r.After.Darkest.Point())
	}
}

// adviseExposure says what the trims cost of the exposure. A shutter does not change
// a flash.
func (b *balancing) adviseExposure() {
	r := b.r
	if l := r.LightStops; l != nil && *l < -0.1 && r.Kept == nil && r.Before.Verdict.Evenness != uncertainty.Pass {
		b.advise("open_up", "loss", photometry.Stop(-*l), "flash", b.set.Surface.Quantity == photometry.LuminousExposure)
	}
}

// adviseTrims says the changes, the largest first.
func (b *balancing) adviseTrims() {
	names := slices.DeleteFunc(slices.Clone(b.r.Lamps), func(n string) bool {
		t := b.r.Trims[n]
		return t.Fixed || t.Stops != nil && *t.Stops > -0.05
	})
	slices.SortStableFunc(names, func(a, c string) int {
		return cmp.Compare(b.r.Trims[a].Percent, b.r.Trims[c].Percent)
	})
	if len(names) == 0 {
		return
	}
	t, m := b.r.Trims[names[0]], b.set.Find(names[0])
	b.advise("trim", "lamp", names[0], "trim", t, "scrims_only", b.tungsten(m) && !b.dims(m, t.Percent/100), "others", names[1:])
}

// adviseLight says what the most even trims cost, and what keeps the light.
func (b *balancing) adviseLight() {
	r := b.r
	lit := slices.Contains(b.fix, true) || slices.ContainsFunc(r.Lamps, func(n string) bool { return r.Trims[n].Stops != nil })
	b.advise("keep_light", "lit", lit, "loss", photometry.Stop(photometry.Stops(r.Before.Min, r.After.Min)), "least", b.value(r.Kept.MinLevel),
		"percent", b.set.Surface.Settings.Meter.Unit == photometry.Percent, "spread", photometry.Stop(r.Kept.SpreadStops))
}

// inferBasis says what the figures assume.
func (b *balancing) inferBasis() {
	if b.r.Noise.Source == "assumed" {
		b.infer("assumed_repeatability")
	}
	switch {
	case b.ambient == nil:
		b.infer("no_ambient")
	case b.o.AmbientInReadings:
		b.infer("ambient_in_alone")
	default:
		b.infer("ambient_not_in_alone")
	}
}

// warnShares says how well interpolated shares are known.
func (b *balancing) warnShares() {
	e := b.r.Shares
	switch {
	case e == nil:
	case e.ErrorPercent == nil:
		b.warn("shares_untested", "places", e.Places)
		return
	default:
		b.warn("shares", "places", e.Places, "error", max(0.1, *e.ErrorPercent), "levels", max(0.01, e.LevelErrorStops))
	}
	if b.fewAlone && b.r.After.Verdict.Evenness == uncertainty.Unsure {
		b.advise("read_nine_alone", "places", nineAlone)
	}
}

// warnColor says where trims carry the color of the mix out of tolerance.
func (b *balancing) warnColor() {
	before, after := b.r.Before, b.r.After
	switch {
	case before.Color == nil || after.Color == nil || after.Verdict.Color != uncertainty.Fail:
	case before.Verdict.Color != uncertainty.Fail:
		b.warn("color_runs")
	default:
		b.warn("color_stays")
	}
}

// warnDimming says what dimming does to the color of lamps that are trimmed: to
// those that are tungsten, and to those that may be.
func (b *balancing) warnDimming() {
	trims := b.r.Trims
	if b.r.Kept != nil {
		trims = b.r.Kept.Trims // those are the ones to use
	}
	var may []string
	for _, name := range b.r.Lamps {
		t := trims[name]
		if t.Stops == nil || *t.Stops > -0.1 {
			continue
		}
		if m := b.set.Find(name); b.tungsten(m) {
			b.warnTungsten(m.Name, t, b.dims(m, t.Percent/100))
		} else if t.CCT != nil && *t.CCT >= tungstenLow && *t.CCT <= tungstenHigh && warming(*t.CCT, t.Percent/100) > b.r.Limits.Mired/2 {
			may = append(may, name)
		}
	}
	if len(may) > 0 {
		t := trims[may[0]]
		b.warn("may_be_tungsten", "lamps", may, "lamp", may[0], "after", roundKelvin(TungstenCCT(*t.CCT, t.Percent/100)))
	}
}

// usualTungsten is a tungsten lamp's color at full where it was not read, in K.
const usualTungsten = 3200.0

// warnTungsten says what a dimmer does to a tungsten lamp, or would do to one that
// scrims trim, or usually does to one whose color was not read.
func (b *balancing) warnTungsten(name string, t Trim, dims bool) {
	full := usualTungsten
	if t.CCT != nil {
		full = *t.CCT
	}
	shift := warming(full, t.Percent/100)
	percent, from, after, by := photometry.Percentage(t.Percent), photometry.Kelvin(full), roundKelvin(TungstenCCT(full, t.Percent/100)), photometry.Mired(shift)
	switch {
	case !dims:
		b.warn("scrims_keep_color", "lamp", name, "percent", percent, "from", from, "after", after, "shift", by)
	case t.CCT == nil:
		b.warn("tungsten_unread", "lamp", name, "percent", percent, "from", from, "after", after, "shift", by)
	case shift > b.r.Limits.Mired:
		b.warn("tungsten_too_warm", "lamp", name, "percent", percent, "from", from, "after", after, "shift", by, "allowed", b.r.Limits.Mired)
	default:
		b.warn("tungsten_warms", "lamp", name, "percent", percent, "from", from, "after", after, "shift", by)
	}
}
