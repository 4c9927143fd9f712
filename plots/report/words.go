package report

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/uncertainty"
)

// length is a length as a tape gives it.
func (o Options) length(meters float64) string {
	if o.Feet {
		return o.bare(meters) + " ft"
	}
	return o.bare(meters) + " m"
}

// bare is length without the unit.
func (o Options) bare(meters float64) string {
	if o.Feet {
		meters /= 0.3048
	}
	return minus(strconv.FormatFloat(math.Round(meters*100)/100+0, 'f', 2, 64))
}

// at is a place on a surface.
func (o Options) at(label string, x, y float64) string {
	unit := "m"
	if o.Feet {
		unit = "ft"
	}
	place := fmt.Sprintf("x %s, y %s %s", o.bare(x), o.bare(y), unit)
	if label == "" {
		return place
	}
	return label + " (" + place + ")"
}

// minus sets a sign that is as wide as a plus.
func minus(number string) string { return strings.Replace(number, "-", "−", 1) }

// signed is a difference with its sign, and none for zero.
func signed(v float64, decimals int) string {
	text := strconv.FormatFloat(v, 'f', decimals, 64)
	if strings.Trim(text, "-0.") == "" {
		return strings.TrimPrefix(text, "-")
	}
	if v > 0 {
		return "+" + text
	}
	return minus(text)
}

// stops is a difference in stops with its sign.
func stops(v float64) string {
	if math.Abs(v) > 1.005 {
		return signed(v, 2) + " stops"
	}
	return signed(v, 2) + " stop"
}

// fNumber is an f-number with tenths, for a lens.
func fNumber(n float64) string { return photometry.FormatFNumber(n) }

// verdictWords are the verdicts as words of a sentence.
var verdictWords = map[string]string{uncertainty.Pass: "Pass", uncertainty.Fail: "Fail", uncertainty.Unsure: "Unsure", "": "Not judged"}

// and joins a list for a sentence.
func and(parts []string) string {
	if len(parts) < 2 {
		return strings.Join(parts, "")
	}
	return strings.Join(parts[:len(parts)-1], ", ") + " and " + parts[len(parts)-1]
}

// optional prints a figure that may be absent.
func optional(v *float64, format string) string {
	if v == nil {
		return ""
	}
	return minus(fmt.Sprintf(format, *v))
}
