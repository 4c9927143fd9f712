package ratio

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"evenfall/photometry"
)

func found(code, format string, args ...any) photometry.Finding {
	return photometry.Finding{Code: code, Text: fmt.Sprintf(format, args...)}
}

// shown is a level of the mark for people.
func (m *mark) shown(l light) string {
	if n := m.flashFNumber(l); n != nil {
		return photometry.FormatFNumber(*n)
	}
	return photometry.FormatLevel(photometry.Level{Value: l.level, Quantity: l.quantity}, m.in.Unit)
}

// words say a change as people do it on the set.
func (c Change) words(flash, feet bool) string {
	light := string(c.Change)
	size := photometry.FormatStops(math.Abs(c.Stops))
	if c.Stops < 0 {
		if flash {
			return fmt.Sprintf("take %s off the %s: %.0f %% of its power, or %s times its distance", size, light, c.DimmerPercent, photometry.FormatFigure(c.DistanceFactor)) + c.newPlace(feet)
		}
		scrim := ""
		if c.Scrims != "" {
			scrim = fmt.Sprintf("%s (%s), ", c.Scrims, photometry.FormatStops(c.ScrimsStops))
		}
		return fmt.Sprintf("take %s off the %s: %sa dimmer at %.0f %% of now, or %s times its distance", size, light, scrim, c.DimmerPercent, photometry.FormatFigure(c.DistanceFactor)) + c.newPlace(feet)
	}
	what := "output"
	if flash {
		what = "power"
	}
	return fmt.Sprintf("give the %s %s more: %.0f %% of its %s now, or %s times its distance", light, size, c.DimmerPercent, what, photometry.FormatFigure(c.DistanceFactor)) + c.newPlace(feet)
}

// metersPerFoot is exact (NIST SP 811, appendix B.8).
const metersPerFoot = 0.3048

// newPlace is where the lamp then stands.
func (c Change) newPlace(feet bool) string {
	if c.ToDistanceM == nil {
		return ""
	}
	if feet {
		return fmt.Sprintf(" (%s ft)", photometry.FormatFigure(*c.ToDistanceM/metersPerFoot))
	}
	return fmt.Sprintf(" (%s m)", photometry.FormatFigure(*c.ToDistanceM))
}

// offSum is the warning of lights together that are not the sum of the lights
// alone, with a light that would explain it, or what usually does.
func (m *mark) offSum(together, alone light, parts []light, off float64) photometry.Finding {
	near := func(level float64) bool {
		return level > 0 && math.Abs(photometry.Stops(together.level, level)) <= math.Max(additivityFloor, m.factor*math.Sqrt(together.variance+alone.variance))
	}
	cause := ""
	if off > 0 {
		for _, role := range Roles {
			if l := m.light(role); l != nil && l.quantity == alone.quantity && !together.role.Has(role) && near(alone.level+l.level) {
				cause = fmt.Sprintf("It fits the %s (%s) being on as well.", role, m.shown(*l))
				break
			}
		}
		if cause == "" {
			cause = "Usual causes: another light left on, the meter turned or a dome for a flat receptor, a light read alone before it was warm or charged."
		}
	} else {
		for _, part := range parts {
			if near(alone.level - part.level) {
				cause = fmt.Sprintf("It fits the %s (%s) being off.", nameOf(part), m.shown(part))
			}
		}
		// Ambient light is in each reading alone and once in their sum.
		if l := m.light(AmbientRole); l != nil && l.quantity == alone.quantity && near(alone.level-float64(len(parts)-1)*l.level) {
			cause = fmt.Sprintf("It fits the ambient light (%s) being in each reading alone: take it off them.", m.shown(*l))
		}
		if cause == "" {
			cause = "Usual causes: lamps that dim each other on one circuit, a flash not fully charged, the meter turned or a flat receptor for a dome, another light on while each was read alone."
		}
	}
	if aims := facing(append(parts, together)...); len(aims) > 1 {
		cause += fmt.Sprintf(" The meter faced different ways (%s).", strings.Join(aims, ", "))
	}
	if together.dome != alone.dome || together.flat != alone.flat {
		cause += " Lights together and alone were read with different receptors."
	}
	more := "more"
	if off < 0 {
		more = "less"
	}
	if together.role == keyPlusFill {
		cause += " Until it is read again, the lighting ratio and the exposure rest on what was read."
	}
	return found("sum_off", "%s reads %s %s than its parts add up to (%s read, %s added). %s", together.role, photometry.FormatStops(math.Abs(off)), more, m.shown(together), m.shown(alone), cause)
}

// nameOf is a light by its lamp, else by its role.
func nameOf(l light) string {
	if l.lamp != "" {
		return l.lamp
	}
	return string(l.role)
}

// warn tells what looks wrong and what is missing, and how to read it.
func (m *mark) warn(key, fill, both *light, read bool) {
	warn := func(code, format string, args ...any) {
		m.out.Warnings = append(m.out.Warnings, found(code, format, args...))
	}
	if m.unconverted {
		warn("no_shutter", "Flash and continuous light meet here: a note shutter is needed to compare them.")
	}
	switch {
	case key == nil && fill == nil && both == nil:
		warn("no_key", "Neither key nor fill was read here, so there is no ratio.")
	case fill == nil && !m.unconverted:
		text := "The fill alone is missing, so there is neither ratio. Read it with the key off or flagged, the others as they are."
		if read && key != nil {
			if rest := subtract(FillRole, *both, *key); rest != nil {
				half := m.factor * math.Sqrt(rest.variance)
				text += fmt.Sprintf(" Key plus fill less the key leaves %s, give or take %s: too rough to rely on.", m.shown(*rest), photometry.FormatStops(half))
			}
		}
		warn("fill_missing", "%s", text)
	case key == nil && read && fill != nil:
		warn("key_missing", "Key plus fill is no more than the fill, so no key is left: read the key alone.")
	case key == nil && !m.unconverted:
		warn("key_missing", "The key alone is missing, so there is neither ratio. Read it with the fill off, or key and fill together as key+fill.")
	case key != nil && key.from == "difference":
		warn("key_by_difference", "The key was not read alone: it is key plus fill less the fill.")
	}
	if key != nil && fill != nil && key.level > 0 && key.level < fill.level {
		warn("key_below_fill", "The key is %s below the fill. Nothing was swapped: if the two rows are, change them in the table.", photometry.FormatStops(photometry.Stops(fill.level, key.level)))
	}
	for _, l := range []*light{key, fill} {
		if l != nil && l.level == 0 {
			warn("zero", "The %s reads 0, so no ratio can be formed with it.", l.role)
		}
	}
	var dark []string
	for _, l := range m.lights {
		if l.level == 0 && l.role != KeyRole && l.role != FillRole {
			dark = append(dark, nameOf(l))
		}
	}
	if len(dark) > 0 {
		warn("zero", "No stops for what reads 0: %s.", strings.Join(dark, ", "))
	}
	m.warnMixed(key, fill, both)
}

// warnMixed tells of readings that were taken with both receptors.
func (m *mark) warnMixed(lights ...*light) {
	dome, flat := false, false
	for _, l := range lights {
		dome, flat = dome || l != nil && l.dome, flat || l != nil && l.flat
	}
	if dome && flat {
		m.out.Warnings = append(m.out.Warnings, found("receptor_mixed", "Key and fill were read with different receptors: a dome takes light from the side that a flat one does not."))
	}
}

// facing are the ways that the meter faced for lights together and alone.
func facing(lights ...light) []string {
	var aims []string
	for _, l := range lights {
		for _, aim := range l.aims {
			if aim != "" && !slices.ContainsFunc(aims, func(known string) bool { return sameName(known, aim) }) {
				aims = append(aims, aim)
			}
		}
	}
	return aims
}

// words say which shutters are safe.
func (f Flicker) words(rate float64) string {
	text := fmt.Sprintf("%g Hz: ", f.MainsHz)
	list := func() string {
		var times []string
		for _, s := range f.Shutters {
			one := strings.TrimSuffix(photometry.FormatShutter(s.ShutterS), " s")
			if s.AngleDeg != nil {
				one += fmt.Sprintf(" (%s°)", angle(*s.AngleDeg))
			}
			times = append(times, one)
		}
		if len(times) == 0 {
			return "no shutter is safe at this frame rate"
		}
		return "safe are " + strings.Join(times, ", ")
	}
	switch {
	case f.Safe == nil:
		return text + list()
	case f.SafeBy == "shutter":
		return text + "the shutter is safe"
	case f.SafeBy == "frame_rate":
		text += fmt.Sprintf("steady while %g frames a second keep step with the mains", rate)
	default:
		text += "lamps may flicker"
	}
	if f.Nearest == nil {
		return text + "; " + list()
	}
	safe := photometry.FormatShutter(f.Nearest.ShutterS)
	if f.Nearest.AngleDeg != nil {
		safe += fmt.Sprintf(" (%s°)", angle(*f.Nearest.AngleDeg))
	}
	return text + fmt.Sprintf("; %s is safe at any phase, %+.2f stop", safe, *f.ChangeStops)
}

// angle is a shutter angle with the digit that it has: 172.8, 180.
func angle(deg float64) string { return fmt.Sprintf("%.4g", deg) }
