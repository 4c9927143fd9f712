package colorimetry

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
)

// Parse reads a color as people write it and returns its chromaticity:
//
//	xy:0.4476,0.4074     CIE 1931
//	uv:0.2560,0.3495     CIE 1960
//	u'v':0.2560,0.5243   CIE 1976
//	5600K                a Planckian color temperature
//	178 mired            the same in mired
//	5600K Duv +0.003     either, with Duv
//
// Case and spaces do not matter; typographic primes count as apostrophes; 5,600
// is 5600. The error says what was expected, or why no light has the color.
func Parse(s string) (XY, error) {
	prefix, rest, found := strings.Cut(plain(s), ":")
	if !found {
		t, err := ParseCCT(s)
		if err != nil {
			return XY{}, err
		}
		return t.XY()
	}
	a, b, err := pair(rest)
	if err != nil {
		return XY{}, fmt.Errorf("%q: %w", s, err)
	}
	var c XY
	switch prefix {
	case "xy":
		c = XY{a, b}
	case "uv":
		c = UV{a, b}.XY()
	case "u'v'":
		c = UVPrime{a, b}.XY()
	default:
		return XY{}, fmt.Errorf("%q: %q is not a chromaticity plane; write xy:, uv: or u'v':", s, prefix)
	}
	if err := c.Check(); err != nil {
		return XY{}, fmt.Errorf("%q: %w", s, err)
	}
	return c, nil
}

// temperature is 5600k or 178mired, then perhaps duv+0.003, in plain form.
var temperature = regexp.MustCompile(`^([0-9.,e+-]+)(k|kelvin|kelvins|mired|mireds)(?:,?(?:duv)?=?([+-]?[0-9.]+(?:e[+-]?[0-9]+)?)(?:duv)?)?$`)

// thousands is a whole number of kelvins with a separator, 5,600.
var thousands = regexp.MustCompile(`^([0-9]{1,2}),([0-9]{3})$`)

// ParseCCT reads a color temperature with or without Duv, or any color that
// Parse reads, and returns it as CCT and Duv. Errors as in Parse and XY.CCT.
func ParseCCT(s string) (CCT, error) {
	text := plain(s)
	if strings.Contains(text, ":") {
		c, err := Parse(s)
		if err != nil {
			return CCT{}, err
		}
		t, err := c.CCT()
		if err != nil {
			return CCT{}, fmt.Errorf("%q: %w", s, err)
		}
		return t, nil
	}
	m := temperature.FindStringSubmatch(text)
	if m == nil {
		return CCT{}, fmt.Errorf("%q is not a color: write 5600K, 178 mired, xy:0.3320,0.3475, uv: or u'v':", s)
	}
	number := m[1]
	inMired := strings.HasPrefix(m[2], "mired")
	if !inMired {
		number = thousands.ReplaceAllString(number, "$1$2")
	}
	value, err := strconv.ParseFloat(number, 64)
	if err != nil {
		return CCT{}, fmt.Errorf("%q: %q is not a number", s, m[1])
	}
	t := CCT{Kelvin: value}
	if inMired {
		if !(value > 0) {
			return CCT{}, fmt.Errorf("%q: mired must be positive", s)
		}
		t.Kelvin = Kelvin(value)
	}
	if m[3] != "" {
		if t.Duv, err = strconv.ParseFloat(m[3], 64); err != nil {
			return CCT{}, fmt.Errorf("%q: Duv %q is not a number", s, m[3])
		}
	}
	if err := t.Check(); err != nil {
		return CCT{}, fmt.Errorf("%q: %w", s, err)
	}
	return t, nil
}

var plainer = strings.NewReplacer(" ", "", "\t", "", "\u00a0", "", "\u202f", "", "’", "'", "′", "'", "ʹ", "'", "−", "-")

// plain lowers the case, drops spaces and spells primes and minus signs one way.
func plain(s string) string { return plainer.Replace(strings.ToLower(s)) }

func pair(s string) (a, b float64, err error) {
	parts := strings.FieldsFunc(s, func(r rune) bool { return r == ',' || r == ';' || r == '/' })
	if len(parts) != 2 {
		return 0, 0, fmt.Errorf("expected two numbers with a point for the decimals and a comma between them, as in 0.4476,0.4074")
	}
	var v [2]float64
	for i, p := range parts {
		if v[i], err = strconv.ParseFloat(p, 64); err != nil || math.IsInf(v[i], 0) || math.IsNaN(v[i]) {
			return 0, 0, fmt.Errorf("%q is not a number", p)
		}
	}
	return v[0], v[1], nil
}
