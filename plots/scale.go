package plots

import (
	"errors"
	"math"
	"strings"

	"evenfall/photometry"
)

// ErrNoColor is the error for a color map of a survey without color readings.
var ErrNoColor = errors.New("plots: the survey has no color readings")

// ErrNoReadings is the error for a map of a survey without points.
var ErrNoReadings = errors.New("plots: the survey has no readings")

// maxDepthStops is the largest range of a scale below the brightest reading.
// Predictions may fall to any level, or to zero, at the edge of a beam, and a scale
// that included them would show no differences in the lit part.
const maxDepthStops = 10

// Scale maps a difference from the reference to a color, an isoline and a
// label. Its unit is the stop for a level map, the mired for a mired map, and
// Duv (dimensionless) for a Duv map, whose labels are in thousandths.
type Scale struct {
	Kind Kind
	// Min and Max are the ends of the colors. Zero is always between them, and
	// both are whole multiples of Step. Those of a color map are symmetric about
	// zero.
	Min, Max float64
	// Step is the difference between two isolines or ticks.
	Step float64
	// Decimals is the number of decimals of a label.
	Decimals int
	// Below reports that some level is below Min, or is zero and has no logarithm;
	// such points take the darkest color.
	Below bool
	// Zero describes the zero of the scale: "the mean, 1040 lx".
	Zero string

	reference float64 // level at zero, SI unit
	quantity  photometry.Quantity
}

// Tick is a mark on a scale bar.
type Tick struct {
	Value float64
	Label string
}

// newScale fits a scale to the range of the values, which may be empty
// (lo > hi), with a width of at least least.
func newScale(kind Kind, lo, hi, least float64) Scale {
	lo, hi = min(lo, 0), max(hi, 0)
	if math.IsInf(lo, -1) || math.IsNaN(lo) {
		lo = 0
	}
	if math.IsInf(hi, 1) || math.IsNaN(hi) {
		hi = 0
	}
	if kind != Level {
		hi = max(hi, -lo, least/2)
		lo = -hi
	} else if grow := (least - (hi - lo)) / 2; grow > 0 {
		lo, hi = lo-grow, hi+grow
	}
	s := Scale{Kind: kind, Step: niceStep(kinds[kind].steps, hi-lo), Decimals: kinds[kind].decimals}
	s.Min, s.Max = s.Step*math.Floor(lo/s.Step+1e-9), s.Step*math.Ceil(hi/s.Step-1e-9)
	if kind == Level && s.Step < 0.1 {
		s.Decimals = 2
	}
	return s
}

// niceStep is the smallest usual step that divides a span into at most eight parts.
func niceStep(steps []float64, span float64) float64 {
	for _, step := range steps {
		if span <= 8*step*(1+1e-9) {
			return step
		}
	}
	return steps[len(steps)-1] * math.Ceil(span/(8*steps[len(steps)-1]))
}

// Fraction is the position of a value on the scale, 0 at Min and 1 at Max; values
// outside take the nearer end.
func (s Scale) Fraction(value float64) float64 {
	return (s.Clamp(value) - s.Min) / (s.Max - s.Min)
}

// Clamp is the value, or the nearer end of the scale where it is outside.
// The logarithm of a zero level, -Inf, gives Min.
func (s Scale) Clamp(value float64) float64 {
	if !(value > s.Min) {
		return s.Min
	}
	return min(value, s.Max)
}

// Ticks are the isolines of the scale with their labels, from Min to Max.
func (s Scale) Ticks() []Tick {
	first, last := int(math.Round(s.Min/s.Step)), int(math.Round(s.Max/s.Step))
	ticks := make([]Tick, 0, last-first+1)
	for i := first; i <= last; i++ {
		value := float64(i) * s.Step
		label := s.Label(value)
		if i == first && s.Below {
			label = "≤ " + label
		}
		ticks = append(ticks, Tick{value, label})
	}
	return ticks
}

// Label prints a difference with its sign and the scale's decimals: +0.2,
// −0.4, 0.0 (stops), +12 (mired), −1.5 (Duv in thousandths). The minus is
// U+2212, as wide as the plus. A zero level has no difference: "none".
func (s Scale) Label(value float64) string {
	if math.IsInf(value, 0) || math.IsNaN(value) {
		return "none"
	}
	if s.Kind == Duv {
		value *= 1000
	}
	return formatSigned(value, s.Decimals)
}

// formatSigned prints a number with its sign, none on zero.
func formatSigned(value float64, decimals int) string {
	return replaceHyphens(photometry.FormatSigned(value, decimals))
}

// replaceHyphens writes minus signs (U+2212), which are as wide as a plus.
func replaceHyphens(text string) string { return strings.Replace(text, "-", "\u2212", 1) }

// LevelAt is the level at a value in stops, in the given unit and rounded to three
// digits; empty on a color scale.
func (s Scale) LevelAt(stops float64, unit photometry.Unit) string {
	if s.Kind != Level || !(s.reference > 0) {
		return ""
	}
	return formatRounded(s.reference*math.Exp2(stops), s.quantity, unit)
}

// formatRounded prints a level with its unit, rounded to three digits in that unit.
func formatRounded(level float64, q photometry.Quantity, unit photometry.Unit) string {
	number, symbol := formatNumber(level, q, unit)
	return strings.TrimSuffix(number+" "+symbol, " ")
}

// formatNumber prints a level without its unit, and the unit.
func formatNumber(level float64, q photometry.Quantity, unit photometry.Unit) (number, symbol string) {
	value, symbol := photometry.Level{Value: level, Quantity: q}.In(unit)
	return photometry.FormatFigure(photometry.ThreeDigits(value)), symbol
}
