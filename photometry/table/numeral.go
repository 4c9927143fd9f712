package table

import (
	"math"
	"regexp"
	"strconv"
	"strings"
	"unicode/utf8"
)

// numeral is a text in the form of a number.
type numeral struct {
	// digits is the number as strconv reads it, without group separators and with
	// a decimal point; "" where the text is not a number.
	digits string
	// decimal is the decimal sign, '.' or ',', that the number implies: 1.25,
	// 1,234.5 and 1,234,567 imply a point, 1,25 and 1.234,5 a comma. 0 is for a
	// number without either.
	decimal rune
	// ambiguous is true where decimal may also be a group separator: 1.234 is a
	// little over one, or over one thousand. digits then has the former.
	ambiguous bool
	// group is the separator between groups of digits, 0 for none.
	group rune
}

// maxGroups limits the groups of a number: nobody types more than 48 digits.
const maxGroups = 16

// plainNumber reads digits with at most one decimal sign and a leading minus; sign is
// 0 where the decimal sign is not known, and then only a whole number is plain. Most
// cells are plain; others are read by scanNumeral.
//
// Up to 15 digits are a whole number below 2^53, and a power of ten up to
// 10^22 is exact, so that the single rounding of the division gives the nearest
// float64, as strconv.ParseFloat does (W. D. Clinger, How to read floating
// point numbers accurately, PLDI 1990). More digits are read by ParseFloat.
func plainNumber(text []byte, sign byte) (v float64, ok bool) {
	minus := len(text) > 0 && text[0] == '-'
	if minus {
		text = text[1:]
	}
	var (
		mantissa uint64
		signAt   = -1
	)
	for i, c := range text {
		switch {
		case c-'0' <= 9:
			mantissa = mantissa*10 + uint64(c-'0')
		case c == sign && sign != 0 && signAt < 0:
			signAt = i
		default:
			return 0, false
		}
	}
	digits, decimals := len(text), 0
	if signAt >= 0 {
		digits, decimals = digits-1, len(text)-1-signAt
	}
	switch {
	case digits == 0 || digits > 15 && sign == ',':
		return 0, false
	case digits > 15:
		var err error
		if v, err = strconv.ParseFloat(string(text), 64); err != nil {
			return 0, false
		}
	case decimals > 0:
		v = float64(mantissa) / math.Pow10(decimals)
	default:
		v = float64(mantissa)
	}
	if minus {
		v = -v
	}
	return v, true
}

// numeralShape matches sign, digits (also in groups of three), decimal sign,
// decimals and exponent.
var numeralShape = func() *regexp.Regexp {
	var groups []string
	for _, separator := range `.,'’` + "\u00a0\u202f\u2009" { // no-break, narrow no-break and thin space
		groups = append(groups, `[1-9]\d{0,2}(?:`+regexp.QuoteMeta(string(separator))+`\d{3})+`)
	}
	return regexp.MustCompile(`^([-+−]?)(?:(\d*)|(` + strings.Join(groups, "|") + `))(?:([.,])(\d*))?(?:[eE]([-+−]?\d+))?$`)
}()

// scanNumeral finds the shape of a number in a trimmed text.
func scanNumeral(text []byte) numeral {
	var groups, exponent string
	sign, whole, decimal, fraction := simpleNumeral(string(text))
	if !isDigits(whole) || !isDigits(fraction) {
		m := numeralShape.FindStringSubmatch(string(text))
		if m == nil {
			return numeral{}
		}
		sign, whole, groups, decimal, fraction, exponent = m[1], m[2], m[3], m[4], m[5], m[6]
	}
	var n numeral
	if decimal != "" {
		n.decimal = rune(decimal[0])
	}
	switch {
	case groups != "":
		n.group, _ = utf8.DecodeRuneInString(strings.TrimLeft(groups, "0123456789"))
		whole = strings.ReplaceAll(groups, string(n.group), "")
		if n.decimal == n.group || exponent != "" || strings.Count(groups, string(n.group)) > maxGroups {
			return numeral{}
		}
		if n.group == '.' || n.group == ',' {
			n.decimal = '.' + ',' - n.group
		}
	case whole == "" && fraction == "":
		return numeral{}
	default:
		n.ambiguous = decimal != "" && exponent == "" && whole != "" && len(whole) <= 3 && whole[0] != '0' && len(fraction) == 3
	}
	n.digits = sign + whole + "." + fraction
	if exponent != "" {
		n.digits += "e" + exponent
	}
	n.digits = strings.ReplaceAll(n.digits, "−", "-")
	return n
}

// simpleNumeral cuts a number without groups and exponent; in any other text whole or
// fraction are not digits.
func simpleNumeral(text string) (sign, whole, decimal, fraction string) {
	if len(text) > 0 && (text[0] == '-' || text[0] == '+') {
		sign, text = text[:1], text[1:]
	}
	if at := strings.IndexAny(text, ".,"); at >= 0 {
		return sign, text[:at], text[at : at+1], text[at+1:]
	}
	return sign, text, "", ""
}

func isDigits(text string) bool { return strings.Trim(text, "0123456789") == "" }

func digit(c byte) bool { return c-'0' <= 9 }

// parse returns the number with its own decimal sign. It is false where the text is
// not a number, or is too large for a float64.
func (n numeral) parse() (float64, bool) {
	v, err := strconv.ParseFloat(n.digits, 64)
	return v, err == nil
}

// inDecimal converts the number that parse returned to a decimal sign, which must be
// one that the number allows.
func (n numeral) inDecimal(v float64, decimal rune) float64 {
	if n.ambiguous && n.decimal != decimal {
		return asThousands(v)
	}
	return v
}

// asThousands converts 1.234 to 1234. It is exact: there are at most six digits.
func asThousands(v float64) float64 { return math.Round(v * 1000) }
