package ratio

import (
	"math"
	"slices"

	"evenfall/photometry"
)

// warn adds what looks wrong at the mark or is missing there.
func (m *mark) warn(key string, namesAndValues ...any) {
	m.out.Warnings = append(m.out.Warnings, photometry.Found(key, namesAndValues...))
}

// shown is a level of the mark as a value of a sentence: of flash its f-number.
func (m *mark) shown(l light) any {
	if n := m.flashFNumber(l); n != nil {
		return photometry.FNumber(*n)
	}
	return photometry.Level{Value: l.level, Quantity: l.quantity}
}

// warnOffSum tells of lights together that are not the sum of the lights alone,
// with a light that would explain it, or what usually does.
func (m *mark) warnOffSum(together, alone light, parts []light, off float64) {
	aims := facing(append(parts, together)...)
	if len(aims) == 1 {
		aims = nil // the meter faced one way
	}
	m.warn("sum_off", "role", string(together.role), "off", photometry.Stop(off), "read", m.shown(together), "added", m.shown(alone),
		"cause", m.whyOff(together, alone, parts, off), "facing", aims,
		"receptors", together.dome != alone.dome || together.flat != alone.flat, "decides", together.role == keyPlusFill)
}

// whyOff is what explains a sum that is off: a light of the mark that was on as
// well, or off, or the ambient light in each reading alone; else what usually does.
func (m *mark) whyOff(together, alone light, parts []light, off float64) photometry.Finding {
	near := func(level float64) bool {
		return level > 0 && math.Abs(photometry.Stops(together.level, level)) <= math.Max(additivityFloor, m.factor*math.Sqrt(together.variance+alone.variance))
	}
	if off > 0 {
		for _, role := range Roles {
			if l := m.light(role); l != nil && l.quantity == alone.quantity && !together.role.Has(role) && near(alone.level+l.level) {
				return photometry.Found("sum.light_on", "role", string(role), "level", m.shown(*l))
			}
		}
		return photometry.Found("sum.too_much")
	}
	// Ambient light is in each reading alone and once in their sum.
	if l := m.light(AmbientRole); l != nil && l.quantity == alone.quantity && near(alone.level-float64(len(parts)-1)*l.level) {
		return photometry.Found("sum.ambient_in_each", "level", m.shown(*l))
	}
	for _, part := range slices.Backward(parts) {
		if near(alone.level - part.level) {
			return photometry.Found("sum.light_off", "light", nameOf(part), "level", m.shown(part))
		}
	}
	return photometry.Found("sum.too_little")
}

// nameOf is a light by its lamp, else by its role.
func nameOf(l light) string {
	if l.lamp != "" {
		return l.lamp
	}
	return string(l.role)
}

// warnings tell what looks wrong and what is missing, and how to read it.
func (m *mark) warnings(key, fill, both *light, read bool) {
	if m.unconverted {
		m.warn("no_shutter")
	}
	m.warnMissing(key, fill, both, read)
	if key != nil && fill != nil && key.level > 0 && key.level < fill.level && !key.unproved {
		m.warn("key_below_fill", "under", photometry.Stop(photometry.Stops(fill.level, key.level)))
	}
	m.warnDark(key, fill)
	m.warnMixed(key, fill, both)
}

// warnMissing tells which light has to be read for a ratio.
func (m *mark) warnMissing(key, fill, both *light, read bool) {
	switch {
	case key == nil && fill == nil && both == nil:
		m.warn("no_key")
	case fill == nil && !m.unconverted:
		if read && key != nil {
			m.warnRoughFill(*both, *key)
		} else {
			m.warn("fill_missing")
		}
	case key == nil && read && fill != nil:
		m.warn("none_left.key_missing")
	case key == nil && !m.unconverted:
		m.warn("key_missing")
	case key != nil && key.unproved:
		m.warn("key_unproved", "most", m.shown(light{level: *m.out.KeyAtMost, quantity: key.quantity, receptor: key.receptor}), "ratio", m.ratioEnd(1))
	case key != nil && key.from == "difference":
		m.warn("key_by_difference")
	}
}

// ratioEnd is an end of the interval of key to fill, not in stops; nil where it has
// none.
func (m *mark) ratioEnd(end int) any {
	if i := m.out.KeyToFillIntervalStops; i != nil && !math.IsInf(i[end], 0) {
		return math.Exp2(i[end])
	}
	return nil
}

// warnRoughFill tells what key plus fill less the key leaves for the fill.
func (m *mark) warnRoughFill(both, key light) {
	rest := subtract(FillRole, both, key)
	ends := m.bounds(*rest)
	least, most := *rest, *rest
	least.level, most.level = math.Exp2(ends[0]), math.Exp2(ends[1])
	m.warn("rough.fill_missing", "least", m.shown(least), "most", m.shown(most), "none", least.level == 0)
}

// warnDark tells which lights read zero.
func (m *mark) warnDark(key, fill *light) {
	for end, l := range []*light{fill, key} {
		if l != nil && l.level == 0 && l.of == nil {
			least := *l
			least.level = l.below
			m.warn("zero", "role", string(l.role), "below", m.shown(least), "ratio", m.ratioEnd(end))
		}
	}
	var dark []string
	for _, l := range m.lights {
		if l.level == 0 && l.role != KeyRole && l.role != FillRole {
			dark = append(dark, nameOf(l))
		}
	}
	if len(dark) > 0 {
		m.warn("others.zero", "lights", dark)
	}
}

// warnMixed tells of readings that were taken with both receptors.
func (m *mark) warnMixed(lights ...*light) {
	dome, flat := false, false
	for _, l := range lights {
		dome, flat = dome || l != nil && l.dome, flat || l != nil && l.flat
	}
	if dome && flat {
		m.warn("receptor_mixed")
	}
}

// facing are the ways that the meter faced for lights together and alone.
func facing(lights ...light) []string {
	var aims []string
	for _, l := range lights {
		for _, aim := range l.aims {
			if aim != "" && !slices.ContainsFunc(aims, func(known string) bool { return photometry.SameName(known, aim) }) {
				aims = append(aims, aim)
			}
		}
	}
	return aims
}
