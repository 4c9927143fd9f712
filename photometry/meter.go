package photometry

import (
	"fmt"
	"math"
	"strings"
)

// Receptor is the shape of what receives the light.
type Receptor uint8

// The receptors of an incident meter.
const (
	FlatReceptor Receptor = iota // cosine receptor, a plane
	DomeReceptor                 // hemisphere
)

// String is the word for it.
func (r Receptor) String() string {
	if r == DomeReceptor {
		return "dome"
	}
	return "flat"
}

// ParseReceptor reads flat or dome in any case.
func ParseReceptor(text string) (Receptor, error) {
	switch strings.ToLower(strings.TrimSpace(text)) {
	case "flat", "disc", "disk", "cosine":
		return FlatReceptor, nil
	case "dome", "hemisphere":
		return DomeReceptor, nil
	}
	return FlatReceptor, &SyntaxError{text, "flat or dome"}
}

// Meter is what must be known to turn a meter's number into a level. Its zero
// value reads lux with a flat receptor.
type Meter struct {
	Unit     Unit     // of a bare number; NoUnit reads as lux
	ISO      float64  // speed that f-numbers and EV were read at; 0 is 100
	ShutterS float64  // time that a continuous f-number was read at, seconds
	Constant float64  // C, or K for a luminance; 0 takes ISO 2720's by receptor
	Receptor Receptor // flat or dome
	// Continuous says that f-numbers are of continuous light at ShutterS, so
	// that they stand for an illuminance; otherwise they are flash.
	Continuous bool
	Marks      Series // the scale that marked f-numbers belong to
	// Number reads the number part of a text; nil takes a plain decimal.
	Number func(string) (float64, error)
}

// IncidentConstant is the constant C in force.
func (m Meter) IncidentConstant() float64 {
	switch {
	case m.Constant > 0:
		return m.Constant
	case m.Receptor == DomeReceptor:
		return DomeConstant
	}
	return FlatConstant
}

// Speed is the ISO speed in force.
func (m Meter) Speed() float64 {
	if m.ISO > 0 {
		return m.ISO
	}
	return 100
}

// Quantity is what a number in the unit measures, given how f-numbers are
// meant.
func (m Meter) Quantity(unit Unit) Quantity {
	switch unit {
	case FStop:
		if m.Continuous {
			return Illuminance
		}
		return LuminousExposure
	case LXS, FCS:
		return LuminousExposure
	case CDM2:
		return Luminance
	case Plain, Percent:
		return Relative
	}
	return Illuminance
}

// Scale is the factor from a number in the unit to SI; ok is false for EV and
// f-numbers, which are not proportional to the level.
func (u Unit) Scale() (factor float64, ok bool) {
	switch u {
	case NoUnit, LX, LXS, CDM2, Plain:
		return 1, true
	case FC, FCS:
		return LuxPerFootcandle, true
	case Percent:
		return 0.01, true
	}
	return 0, false
}

// Level turns a number in a unit into a level. A marked f-number takes the
// exact value of its mark. A continuous f-number without a shutter time gives
// an error.
func (m Meter) Level(value float64, unit Unit) (Level, error) {
	return m.level(value, 0, unit)
}

// level is Level with part stops above the value, as in 5.6 7/10.
func (m Meter) level(value, partStops float64, unit Unit) (Level, error) {
	q := m.Quantity(unit)
	if factor, ok := unit.Scale(); ok {
		return Level{value * factor, q}, nil
	}
	if unit == EV {
		return Level{LevelFromEV(value+partStops, m.Speed(), m.IncidentConstant()), q}, nil
	}
	n := m.Marks.ExactFNumber(value) * math.Exp2(partStops/2)
	if !m.Continuous {
		return Level{FlashExposure(n, m.Speed(), m.IncidentConstant()), q}, nil
	}
	if !(m.ShutterS > 0) {
		return Level{}, &SyntaxError{"an f-number of continuous light without a shutter", "a shutter time, such as 1/48 s"}
	}
	return Level{Exposure{ISO: m.Speed(), ShutterS: m.ShutterS}.Level(n, m.IncidentConstant()), q}, nil
}

// ParseLevel reads a level as people write it: 1250, 1.25k, 116 fc, 1.25 klx,
// f/8, 5.6 7/10, EV 12 1/3, 320 cd/m². A text without a unit takes the meter's.
// It returns the unit that the text was read in. Negative, infinite and
// not-a-number levels are errors; zero is legal here except for an f-number.
func (m Meter) ParseLevel(text string) (Level, Unit, error) {
	parse := m.Number
	if parse == nil {
		parse = ParseNumber
	}
	expected := "a level such as 1250, 1250 lx, 116 fc, EV 12, f/5.6 7/10 or 320 cd/m²"
	fail := func() (Level, Unit, error) { return Level{}, NoUnit, &SyntaxError{text, expected} }

	body, unit, thousands := splitUnit(text)
	if unit == NoUnit {
		unit = m.Unit
	}
	if unit == NoUnit {
		unit = LX
	}
	whole, part, partOnly, err := mixed(body, parse)
	if err != nil {
		if strings.Contains(body, ",") {
			return Level{}, NoUnit, err // the reader of numbers knows what is wrong with a comma
		}
		return fail()
	}
	if thousands {
		whole *= 1000
	}
	switch {
	case part != 0 && unit != EV && unit != FStop:
		// A fraction is one of a stop, which only these scales have.
		return fail()
	case !Finite(whole):
		return fail()
	case unit != EV && whole < 0:
		expected = "a level of 0 or more"
		return fail()
	case unit == FStop && (partOnly || whole == 0):
		expected = "an f-number such as f/8 or 5.6 7/10"
		return fail()
	}
	level, err := m.level(whole, part, unit)
	return level, unit, err
}

// longestUnit is how many bytes of a text may be its unit, spaces among them: a
// cell of megabytes is not tried tail by tail.
const longestUnit = 40

// splitUnit takes the unit and a factor k off a level's text.
func splitUnit(text string) (body string, unit Unit, thousands bool) {
	body = strings.TrimSpace(text)
	lower := strings.ToLower(body)
	for _, prefix := range []struct {
		text string
		unit Unit
	}{{"f/", FStop}, {"ev", EV}, {"f", FStop}} {
		if strings.HasPrefix(lower, prefix.text) && strings.ContainsAny(body[len(prefix.text):], "0123456789") {
			return strings.TrimSpace(body[len(prefix.text):]), prefix.unit, false
		}
	}
	// The longest tail that is a unit wins, so that "lx·s" is not read as "s".
	for start := range body {
		if start == 0 || len(body)-start > longestUnit {
			continue
		}
		before := body[start-1]
		if before != ' ' && (before < '0' || before > '9') && before != 'k' && before != 'K' && before < 0x80 && before != '.' {
			continue
		}
		if u, ok := ParseUnit(body[start:]); ok {
			body, unit = strings.TrimSpace(body[:start]), u
			break
		}
	}
	if n := len(body) - 1; n > 0 && (body[n] == 'k' || body[n] == 'K') {
		return strings.TrimSpace(body[:n]), unit, true
	}
	return body, unit, false
}

// Written is the number that a level has in the meter's unit: the inverse of Level, but
// for f-numbers between marks.
func (m Meter) Written(level float64) float64 {
	if scale, ok := m.Unit.Scale(); ok {
		return level / scale
	}
	switch {
	case m.Unit == EV:
		return EV100(level*m.Speed()/100, m.IncidentConstant())
	case m.Continuous:
		return Exposure{ISO: m.Speed(), ShutterS: m.ShutterS}.FNumber(level, m.IncidentConstant())
	}
	return FlashFNumber(level, m.Speed(), m.IncidentConstant())
}

// Format prints a level as the meter shows it: an exposure value or an f-number as such,
// footcandles as such, all else in the SI unit.
func (m Meter) Format(l Level) string {
	switch {
	case l.Quantity != Illuminance && l.Quantity != LuminousExposure:
	case m.Unit == EV && l.Quantity == Illuminance:
		return fmt.Sprintf("EV %.1f", m.Written(l.Value))
	case m.Unit == FStop:
		m.Continuous = l.Quantity == Illuminance
		return FormatFNumber(m.Written(l.Value))
	case m.Unit == FC || m.Unit == FCS:
		return FormatLevel(l, FC)
	}
	return FormatLevel(l, LX)
}
