package table

import (
	"regexp"
	"strings"
)

// scale is a factor as a ratio of whole numbers, so that whole numbers are
// scaled with a single rounding.
type scale struct{ numerator, denominator float64 }

func (s scale) of(v float64) float64 { return v * s.numerator / s.denominator }

// to returns the scale from one unit to another, both in meters.
func (s scale) to(t scale) scale {
	if s == t {
		return scale{1, 1}
	}
	return scale{s.numerator * t.denominator, s.denominator * t.numerator}
}

// lengthUnit is a unit of length, its size in meters and its names.
type lengthUnit struct {
	name   string
	meters scale
	names  []string
}

// The inch is 0.0254 m and the foot 0.3048 m exactly.
// Source: NIST SP 811 (2008), appendix B.8.
var lengthUnits = []lengthUnit{
	{"m", scale{1, 1}, []string{"m", "meter", "meters", "metre", "metres"}},
	{"cm", scale{1, 100}, []string{"cm", "centimeter", "centimeters", "centimetre", "centimetres"}},
	{"mm", scale{1, 1000}, []string{"mm", "millimeter", "millimeters", "millimetre", "millimetres"}},
	{"ft", scale{3048, 10000}, []string{"ft", "foot", "feet", "'"}},
	{"in", scale{254, 10000}, []string{"in", "inch", "inches", `"`, "''"}},
}

// findLength returns the unit of length of this name.
func findLength(unit string) (lengthUnit, bool) {
	unit = strings.TrimSuffix(foldUnit(unit), ".")
	for _, u := range lengthUnits {
		for _, name := range u.names {
			if name == unit {
				return u, true
			}
		}
	}
	return lengthUnit{}, false
}

// LengthFactor returns how many meters one unit is: m, cm, mm, ft (0.3048 m
// exactly) or in (0.0254 m exactly), by their short or long names or the
// signs ' and ", in any case. It is false for anything else.
//
// Source: NIST SP 811 (2008), appendix B.8 (international foot and inch).
func LengthFactor(unit string) (meters float64, ok bool) {
	u, ok := findLength(unit)
	if !ok {
		return 0, false
	}
	return u.meters.of(1), true
}

// InFeet reports whether a length is written in feet or inches: 12 ft, 8' 6".
func InFeet(text string) bool {
	m := lengthShape.FindStringSubmatch(foldPrimes(strings.TrimSpace(text)))
	if m == nil {
		return false
	}
	u, ok := findLength(m[3])
	return ok && (u.name == "ft" || u.name == "in")
}

// LengthRatio returns the same factor as a ratio of whole numbers. A length v
// is v·over/under meters; so 57 cm are 0.57 m, where 57·0.01 is not the number
// that 0.57 is. Positions typed in different units are then equal where they should
// be.
func LengthRatio(unit string) (over, under float64, ok bool) {
	u, ok := findLength(unit)
	return u.meters.numerator, u.meters.denominator, ok
}

// lengthExpected describes the allowed forms of a length.
const lengthExpected = `a length such as 3.5, 3.5 m, 12 ft or 8' 6"`

// ParseLength reads a length into meters: a number in defaultUnit ("3.5"),
// with a unit of its own ("12 ft", "40cm"), or feet and inches ("8' 6\"",
// "8 ft 6 1/2 in"). A number is as for ParseNumber. Errors are *Error without
// a place.
func ParseLength(text, defaultUnit string) (meters float64, err error) {
	return Dialect{Decimal: '.'}.Length(text, defaultUnit)
}

// Length reads a length typed in this dialect; see ParseLength.
func (d Dialect) Length(text, defaultUnit string) (meters float64, err error) {
	fail := func(expected string) (float64, error) {
		return 0, &Error{Found: strings.TrimSpace(text), Expected: expected}
	}
	usual, known := findLength(defaultUnit)
	if !known {
		return fail("one of the units m, cm, mm, ft and in for lengths, not " + quoteShort(defaultUnit))
	}
	m := lengthShape.FindStringSubmatch(foldPrimes(strings.TrimSpace(text)))
	if m == nil {
		return fail(lengthExpected)
	}
	meters, unit, expected := d.lengthPart(m[2], m[3], usual)
	if expected == "" && m[4] != "" {
		// A number without a unit after feet is inches: 5'11.
		var more float64
		first := unit
		inch, _ := findLength("in")
		if more, unit, expected = d.lengthPart(m[4], m[5], inch); expected == "" && (first.name != "ft" || unit.name != "in") {
			expected = lengthExpected
		}
		meters += more
	}
	if expected != "" {
		return fail(expected)
	}
	if m[1] == "-" {
		meters = -meters
	}
	return meters, nil
}

// lengthShape has sign, number and unit, and number and unit again. A unit ends
// where a digit, or a point before one, begins a number.
var lengthShape = regexp.MustCompile(`^([-+]?)\s*([.,]?\d[\d.,/ ]*)(\D*?)(?:([.,]?\d[\d.,/ ]*)(\D*))?$`)

// lengthPart reads a number and its unit, usual where there is none; expected
// says what should be there where that cannot be read.
func (d Dialect) lengthPart(number, unit string, usual lengthUnit) (meters float64, u lengthUnit, expected string) {
	v, err := d.mixedNumber(strings.TrimSpace(number))
	if err != nil {
		if expected = err.(*Error).Expected; expected == "a number" {
			expected = lengthExpected
		}
		return 0, u, expected
	}
	u = usual
	if unit = strings.TrimSpace(unit); unit != "" {
		var ok bool
		if u, ok = findLength(unit); !ok {
			return 0, u, "a unit m, cm, mm, ft or in"
		}
	}
	return u.meters.of(v), u, ""
}

// mixedNumber reads “6”, “6.5”, “1/2” and “6 1/2”, all without a sign.
func (d Dialect) mixedNumber(text string) (float64, error) {
	whole, fraction := "", text
	if i := strings.LastIndexByte(text, ' '); i >= 0 {
		whole, fraction = strings.TrimSpace(text[:i]), text[i+1:]
	}
	above, below, isFraction := strings.Cut(fraction, "/")
	if !isFraction {
		return d.Number(text)
	}
	over, err1 := d.Number(above)
	under, err2 := d.Number(below)
	if err1 != nil || err2 != nil || under == 0 {
		return 0, &Error{Found: text, Expected: "a number"}
	}
	v := over / under
	if whole != "" {
		w, err := d.Number(whole)
		if err != nil {
			return 0, err
		}
		v += w
	}
	return v, nil
}
