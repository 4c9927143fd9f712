package table

import (
	"bytes"
	"math"
	"strconv"
	"strings"
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

// plainNumber reads a number of digits with at most one decimal sign and a
// minus before it; sign is 0 where the decimal sign is not known, and then
// only a whole number is plain. Most cells are, and what is not is left to
// scanNumeral.
//
// Up to 15 digits are a whole number below 2^53, and a power of ten up to
// 10^22 is exact, so that the one rounding of the division gives the nearest
// float64, as strconv.ParseFloat does (W. D. Clinger, How to read floating
// point numbers accurately, PLDI 1990).
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
	if digits == 0 || digits > 15 {
		return 0, false
	}
	v = float64(mantissa)
	if decimals > 0 {
		v /= math.Pow10(decimals)
	}
	if minus {
		v = -v
	}
	return v, true
}

// scanNumeral finds the shape of a number in a trimmed text. digits are
// written into scratch, which may be nil.
func scanNumeral(text, scratch []byte) numeral {
	n := numeral{digits: scratch[:0]}
	mantissa, exponent := n.takeSign(text), []byte(nil)
	if e := bytes.IndexAny(mantissa, "eE"); e >= 0 {
		mantissa, exponent = mantissa[:e], mantissa[e+1:]
		if len(exponent) == 0 {
			return numeral{}
		}
	}
	if !n.takeMantissa(mantissa, exponent != nil) {
		return numeral{}
	}
	if exponent != nil {
		n.digits = append(n.digits, 'e')
		exponent = n.takeSign(exponent)
		if !n.takeDigits(exponent) || len(exponent) == 0 {
			return numeral{}
		}
	}
	return n
}

// takeMantissa takes what stands before the exponent, if there is one; it is
// false where that is no number. A point or a comma that comes once, and last
// of the separators, is the decimal sign; where it comes more often it divides
// groups.
func (n *numeral) takeMantissa(text []byte, exponent bool) bool {
	whole, fraction := text, []byte(nil)
	n.reading = neutral
	if last := bytes.LastIndexAny(text, ".,"); last >= 0 {
		sign, asDecimal, other, asGroup := ".", onlyPoint, ",", onlyComma
		if text[last] == ',' {
			sign, asDecimal, other, asGroup = other, asGroup, sign, asDecimal
		}
		switch {
		case bytes.Count(text, []byte(sign)) == 1:
			n.reading = asDecimal
			whole, fraction = text[:last], text[last+1:]
		case bytes.Contains(text, []byte(other)):
			return false
		default:
			n.reading = asGroup
		}
	}
	if len(whole)+len(fraction) == 0 || !n.takeGroups(whole) || n.group != 0 && exponent {
		return false
	}
	if fraction != nil {
		n.digits = append(n.digits, '.')
		if canBeGroup := len(fraction) == 3 && len(whole) >= 1 && len(whole) <= 3 && whole[0] != '0'; canBeGroup && !exponent {
			n.reading += eitherPoint - onlyPoint
		}
	}
	return n.takeDigits(fraction)
}

// takeGroups takes the digits before the decimal sign, which a separator may
// divide into groups of three.
func (n *numeral) takeGroups(text []byte) bool {
	first := 0
	for first < len(text) && digit(text[first]) {
		first++
	}
	n.takeDigits(text[:first])
	if text = text[first:]; len(text) == 0 {
		return true
	}
	sign, size := utf8.DecodeRune(text)
	// Beside apostrophes no-break, narrow no-break and thin spaces.
	if first < 1 || first > 3 || n.digits[len(n.digits)-first] == '0' || !strings.ContainsRune(".,'’\u00a0\u202f\u2009", sign) ||
		len(text) > mostGroups*(size+3) {
		return false
	}
	n.group = sign
	separator := text[:size]
	for len(text) > 0 {
		if !bytes.HasPrefix(text, separator) || len(text) < size+3 || !n.takeDigits(text[size:size+3]) {
			return false
		}
		text = text[size+3:]
	}
	return true
}

// takeDigits takes a text of digits; it is false where there is anything else.
func (n *numeral) takeDigits(text []byte) bool {
	for _, c := range text {
		if !digit(c) {
			return false
		}
	}
	n.digits = append(n.digits, text...)
	return true
}

// takeSign takes the sign at the start of a text and returns the rest.
func (n *numeral) takeSign(text []byte) (rest []byte) {
	size, minus := scanSign(text)
	if minus {
		n.digits = append(n.digits, '-')
	}
	return text[size:]
}

func digit(c byte) bool { return c-'0' <= 9 }

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
