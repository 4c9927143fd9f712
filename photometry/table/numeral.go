package table

import (
	"math"
	"strconv"
	"unicode/utf8"
)

// reading is what the signs inside a number say about the decimal sign.
type reading uint8

const (
	notNumber   reading = iota
	neutral             // no point and no comma: 1250, −3, 2e3, 1 250
	onlyPoint           // a number only with a decimal point: 1.25, 1,234.5, 1,234,567
	onlyComma           // a number only with a decimal comma: 1,25, 1.234,5
	eitherPoint         // 1.234: a little over one, or one thousand
	eitherComma         // 1,234: the same with a comma
)

// numeral is a text that has the shape of a number.
type numeral struct {
	reading reading
	// digits is the number as strconv reads it, without groups and with a
	// decimal point. Of the two readings of eitherPoint and eitherComma it is
	// the one where the sign is the decimal one.
	digits []byte
	// group is the separator between groups of digits, 0 for none.
	group rune
}

// mostGroups bounds the groups of a number: more than 48 digits is not a
// number that somebody typed.
const mostGroups = 16

// scanNumeral finds the shape of a number in a trimmed text. digits are
// written into scratch, which may be nil.
func scanNumeral(text, scratch []byte) numeral {
	var (
		signs   [mostGroups]rune    // the separators
		lengths [mostGroups + 1]int // digits before, between and behind them
		ends    [mostGroups + 1]int // where in out each run of digits ends
		n       int                 // separators
		points  int
		commas  int
		others  int
	)
	out := scratch[:0]
	i := 0
	if size, minus := scanSign(text); size > 0 {
		if minus {
			out = append(out, '-')
		}
		i = size
	}
	first := len(out)
scan:
	for i < len(text) {
		c := text[i]
		if c-'0' <= 9 {
			out = append(out, c)
			lengths[n]++
			i++
			continue
		}
		sign, size := rune(c), 1
		switch {
		case c == '.':
			points++
		case c == ',':
			commas++
		case c == '\'':
			others++
		case c == 'e' || c == 'E':
			break scan
		case c >= utf8.RuneSelf:
			sign, size = utf8.DecodeRune(text[i:])
			switch sign {
			case '\u00a0', '\u202f', '\u2009', '’': // no-break, narrow no-break and thin space
				others++
			default:
				return numeral{}
			}
		default:
			return numeral{}
		}
		if n == mostGroups {
			return numeral{}
		}
		signs[n] = sign
		ends[n] = len(out)
		n++
		i += size
	}
	if len(out) == first {
		return numeral{}
	}
	exponent := i < len(text)

	num := numeral{}
	groups := n // separators between groups, those before the decimal sign
	switch {
	case points+commas == 0:
		num.reading = neutral
	case points+commas == 1 || points == 1 && commas > 1 || commas == 1 && points > 1 || points == 1 && commas == 1:
		// One decimal sign, which must be the last separator.
		groups = n - 1
		last := signs[n-1]
		switch {
		case last == '.' && points == 1:
			num.reading = onlyPoint
		case last == ',' && commas == 1:
			num.reading = onlyComma
		default:
			return numeral{}
		}
		if groups == 0 && !exponent && lengths[0] >= 1 && lengths[0] <= 3 && out[first] != '0' && lengths[1] == 3 {
			num.reading += eitherPoint - onlyPoint
		}
	case commas == 0: // several points: groups
		num.reading = onlyComma
	case points == 0:
		num.reading = onlyPoint
	default:
		return numeral{}
	}
	if groups > 0 {
		num.group = signs[0]
		if exponent || lengths[0] < 1 || lengths[0] > 3 || out[first] == '0' {
			return numeral{}
		}
		for k := range groups {
			if signs[k] != num.group || lengths[k+1] != 3 {
				return numeral{}
			}
		}
	}
	if groups < n {
		at := ends[n-1]
		out = append(out, 0)
		copy(out[at+1:], out[at:])
		out[at] = '.'
	}
	if exponent {
		out = append(out, 'e')
		i++
		if size, minus := scanSign(text[i:]); size > 0 {
			if minus {
				out = append(out, '-')
			}
			i += size
		}
		if i == len(text) {
			return numeral{}
		}
		for ; i < len(text); i++ {
			if text[i]-'0' > 9 {
				return numeral{}
			}
			out = append(out, text[i])
		}
	}
	num.digits = out
	return num
}

// scanSign returns the length of the sign at the start of text, 0 for none.
func scanSign(text []byte) (size int, minus bool) {
	switch {
	case len(text) == 0:
		return 0, false
	case text[0] == '-':
		return 1, true
	case text[0] == '+':
		return 1, false
	case len(text) >= 3 && string(text[:3]) == "−":
		return 3, true
	}
	return 0, false
}

// parse returns the number with the sign of its reading as the decimal one. It
// is false where the number is too large for a float64.
func (n numeral) parse() (float64, bool) {
	v, err := strconv.ParseFloat(string(n.digits), 64)
	return v, err == nil
}

// read turns the number that parse returned into the one for this decimal
// sign, which must be one that its reading allows.
func (n numeral) read(v float64, decimal rune) float64 {
	if n.reading == eitherPoint && decimal == ',' || n.reading == eitherComma && decimal == '.' {
		return thousands(v)
	}
	return v
}

// thousands takes the decimal reading of 1,234 to the other one. It is exact:
// there are at most six digits.
func thousands(v float64) float64 { return math.Round(v * 1000) }
