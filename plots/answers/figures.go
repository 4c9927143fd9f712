package answers

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"evenfall/photometry"
)

// significant prints five digits, as many as a conversion is worth.
func significant(v float64) string { return strconv.FormatFloat(v, 'g', 5, 64) }

// rounded prints a figure with three significant digits.
func rounded(v float64) string { return photometry.FormatFigure(photometry.ThreeDigits(v)) }

// percent is a share or a setting as a dial shows it.
func percent(v float64) string {
	digits := 1
	if v == 0 || v >= 9.95 {
		digits = 0
	}
	return strconv.FormatFloat(v, 'f', digits, 64) + " %"
}

// signed prints a number with its sign, and zero with none that rounding left over.
func signed(v float64, digits int) string { return photometry.FormatSigned(v, digits) }

// percentage prints a share with two significant digits.
func percentage(v float64) string {
	digits := 1
	if v != 0 && math.Abs(v) < 0.995 {
		digits = int(1 - math.Floor(math.Log10(math.Abs(v))))
	}
	return strconv.FormatFloat(v, 'f', min(digits, 4), 64) + " %"
}

// hundredths prints stops to a hundredth, or thousandths where that shows
// nothing.
func hundredths(v float64) string {
	if math.Abs(v) < 0.095 {
		return strconv.FormatFloat(v, 'f', 3, 64)
	}
	return strconv.FormatFloat(v, 'f', 2, 64)
}

// degrees prints an angle to a tenth of a degree at most.
func degrees(v float64) string { return trimmed(math.Round(v*10) / 10) }

// signedConfidence is a 95 % confidence interval of stops that may be negative.
func signedConfidence(lo, hi float64) string {
	return fmt.Sprintf("95 %% CI %s to %s", signed(lo, 2), signed(hi, 2))
}

// Optional is a figure in a format of package fmt, empty where there is none.
func Optional(format string, v *float64) string {
	return known(v, func(v float64) string { return fmt.Sprintf(format, v) })
}

// OptionalSigned is a signed figure, empty where there is none.
func OptionalSigned(v *float64, digits int) string {
	return known(v, func(v float64) string { return signed(v, digits) })
}

// known says what may be absent, "" where it is.
func known[T any](v *T, say func(T) string) string {
	if v == nil {
		return ""
	}
	return say(*v)
}

// FilledIn joins those of some texts that are not empty.
func FilledIn(separator string, texts ...string) string {
	return strings.Join(slices.DeleteFunc(texts, func(text string) bool { return text == "" }), separator)
}

// overUnder is a difference in stops without its sign: 0.5 stop under.
func overUnder(stops float64) string {
	return photometry.FormatStops(math.Abs(stops)) + " " + either(stops < 0, "under", "over")
}

func stops(v float64) string {
	if math.IsInf(v, 0) || math.IsNaN(v) {
		return "none"
	}
	return strconv.FormatFloat(v, 'f', 3, 64)
}

// inStops is a figure in a format of package fmt with its unit.
func inStops(format string, v float64) string {
	text := fmt.Sprintf(format, v)
	if strings.Trim(text, "+-0.") == "" { // no sign without a size
		text = strings.TrimLeft(text, "+-")
	}
	return text + either(math.Abs(v) > 1.0000001, " stops", " stop")
}

func trimmed(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }

// and joins names: a, b and c.
func and(names []string) string { return photometry.FormatList(names) }

// withSign gives a figure above zero its sign.
func withSign(figure string) string {
	if strings.HasPrefix(figure, "-") || strings.Trim(strings.TrimRight(figure, " abcdefghijklmnopqrstuvwxyz/"), "0.") == "" {
		return figure
	}
	return "+" + figure
}

// titled is a title before a text, where there is one.
func titled(title, text string) string { return either(title != "", title+": ", "") + text }

func plural(n int) string { return either(n == 1, "", "s") }

// either is one of two.
func either[T any](first bool, one, other T) T {
	if first {
		return one
	}
	return other
}
