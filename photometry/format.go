package photometry

import (
	"math"
	"strconv"
	"strings"
)

// FormatLevel prints a level for people with three significant digits, the
// most that a handheld meter supports, and its unit. Illuminance and luminous
// exposure print in footcandles where unit is FC.
func FormatLevel(l Level, unit Unit) string {
	value, symbol := l.In(unit)
	return strings.TrimSuffix(FormatFigure(value)+" "+symbol, " ")
}

// In is the figure of a level and the symbol that it is printed with: in footcandles
// where unit is FC and the quantity has them, else in the SI unit. A relative level
// has no symbol.
func (l Level) In(unit Unit) (value float64, symbol string) {
	switch {
	case l.Quantity == Relative:
		return l.Value, ""
	case unit == FC && l.Quantity == Illuminance:
		return Footcandles(l.Value), "fc"
	case unit == FC && l.Quantity == LuminousExposure:
		return Footcandles(l.Value), "fc·s"
	}
	return l.Value, l.Quantity.Symbol()
}

// ThreeDigits is a value with three significant digits.
func ThreeDigits(value float64) float64 {
	rounded, _ := strconv.ParseFloat(strconv.FormatFloat(value, 'e', 2, 64), 64)
	return rounded
}

// FormatFigure prints a number with three significant digits and no exponent
// from a thousandth up: 1250, 116, 9.64, 0.0123.
func FormatFigure(value float64) string {
	if value == 0 || !Finite(value) {
		return strconv.FormatFloat(value, 'g', 3, 64)
	}
	digits := 2 - int(math.Floor(math.Log10(math.Abs(value))))
	switch {
	case digits > 6:
		return strconv.FormatFloat(value, 'g', 3, 64)
	case digits >= 0:
		return strconv.FormatFloat(value, 'f', digits, 64)
	}
	// 1250 keeps its digits: rounding to three would hide what was typed.
	return strconv.FormatFloat(value, 'f', 0, 64)
}

// FromTo writes a range of two figures that write writes, with a unit that both
// share once, at the end: 1.2 to 3.4 m.
func FromTo(lo, hi float64, write func(float64) string) string {
	low, high := write(lo), write(hi)
	number, unit, ok := strings.Cut(low, " ")
	if ok && strings.HasSuffix(high, " "+unit) && !strings.HasPrefix(low, "f/") {
		low = number
	}
	return low + " to " + high
}

// FormatList joins names for a sentence: a, b and c.
func FormatList(names []string) string {
	if len(names) < 2 {
		return strings.Join(names, "")
	}
	return strings.Join(names[:len(names)-1], ", ") + " and " + names[len(names)-1]
}

// FormatTimes is a count for a sentence: once, twice, 3 times.
func FormatTimes(k int) string {
	switch k {
	case 1:
		return "once"
	case 2:
		return "twice"
	}
	return strconv.Itoa(k) + " times"
}

// FormatSigned prints a difference with its sign, and zero with none that rounding
// left over: +0.25, -3, 0.00.
func FormatSigned(v float64, decimals int) string {
	text := strconv.FormatFloat(v, 'f', decimals, 64)
	switch {
	case strings.Trim(text, "-0.") == "":
		return strings.TrimPrefix(text, "-")
	case v > 0:
		return "+" + text
	}
	return text
}
