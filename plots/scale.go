package plots

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"evenfall/photometry"
)

// ErrNoColor is the error for a color map of a survey without color readings.
var ErrNoColor = errors.New("plots: the survey has no color readings")

// ErrNoPlaces is that of a map of places that are names alone.
var ErrNoPlaces = errors.New("plots: the places are names alone")

// ErrNoReadings is the error for a map of a survey without points.
var ErrNoReadings = errors.New("plots: the survey has no readings")

// maxDepthStops is the largest range of values below the brightest reading.
// Predictions may fall to any level, or to zero, at the edge of a beam.
const maxDepthStops = 10

// Scale parts the differences from the reference into classes by the tolerance: a
// window that is within it, and steps of half the window beyond. Its unit is the stop
// for a level map, the mired for a mired map, and Duv (dimensionless) for a Duv map,
// whose labels are in thousandths.
type Scale struct {
	Kind Kind
	// Low and High are the limits of the window, Step the difference from a limit to
	// the next contour and from there to the next.
	Low, High, Step float64
	// Under and Over are the number of classes on each side, 1 to 4; the outermost
	// are open.
	Under, Over int
	// Centered says that the window lies about zero, as that of a ± tolerance.
	Centered bool
	// Decimals is the number of decimals of a label.
	Decimals int
	// Zero describes the zero of the scale: "the mean, 1040 lx".
	Zero string

	least, most float64 // values of the field are held between
	reference   float64 // level at zero, SI unit
	quantity    photometry.Quantity
}

// Edge is the border of a class: a contour of the map.
type Edge struct {
	Value float64
	Class int // beyond it, as seen from the window; 1 and −1 are at the limits
}

// newScale is the scale of values from lo to hi about a window.
func newScale(kind Kind, low, high, lo, hi float64) Scale {
	s := Scale{Kind: kind, Low: low, High: high, Step: (high - low) / 2, Decimals: kinds[kind].decimals, least: lo, most: hi}
	classes := func(beyond float64) int { return int(max(1, min(math.Ceil(beyond/s.Step-1e-9), shades))) }
	s.Under, s.Over = classes(low-lo), classes(hi-high)
	if kind == Level && s.Step < 0.1 {
		s.Decimals = 2
	}
	return s
}

// Class is the class of a value: 0 within the window, 1 and more over it, −1 and less
// under it. A zero level, −Inf stops, is in the lowest.
func (s Scale) Class(value float64) int {
	const hair = 1e-9
	beyond := func(by float64, most int) int { return int(min(1+by/s.Step, float64(most))) }
	switch {
	case value > s.High+hair:
		return beyond(value-s.High-hair, s.Over)
	case value < s.Low-hair:
		return -beyond(s.Low-hair-value, s.Under)
	}
	return 0
}

// Edges are the borders of the classes, the lowest first.
func (s Scale) Edges() (edges []Edge) {
	for k := s.Under; k >= 1; k-- {
		edges = append(edges, Edge{s.Low - float64(k-1)*s.Step, -k})
	}
	for k := range s.Over {
		edges = append(edges, Edge{s.High + float64(k)*s.Step, k + 1})
	}
	return edges
}

// clamp is the value, or the nearer end of the range of the readings where it is
// outside. The logarithm of a zero level, −Inf, gives the lower end.
func (s Scale) clamp(value float64) float64 {
	if !(value > s.least) {
		return s.least
	}
	return min(value, s.most)
}

// describeWindow says what is within the window: within 0.50 stop, within ±10 mired.
func (s Scale) describeWindow() string {
	size := s.High - s.Low
	sign := ""
	if s.Centered {
		size, sign = s.High, "±"
	}
	switch s.Kind {
	case Mired:
		return "within " + sign + formatPlain(size) + " mired"
	case Duv:
		return fmt.Sprintf("within %s%s ΔDuv", sign, formatPlain(size))
	}
	return "within " + sign + formatStops(size)
}

// Label prints a difference with its sign and the scale's decimals: +0.2,
// −0.4, 0.0 (stops), +12 (mired), −1.5 (Duv in thousandths). The minus is
// U+2212, as wide as the plus. A zero level has no difference: "none".
func (s Scale) Label(value float64) string { return s.label(value, s.Decimals) }

// label is Label with a number of decimals.
func (s Scale) label(value float64, decimals int) string {
	if math.IsInf(value, 0) || math.IsNaN(value) {
		return "none"
	}
	if s.Kind == Duv {
		value *= 1000
	}
	return formatSigned(value, decimals)
}

// edgeLabel prints the value of a contour, which levels need in hundredths.
func (s Scale) edgeLabel(value float64) string {
	if s.Kind == Level {
		return s.label(value, 2)
	}
	return s.Label(value)
}

// formatSigned prints a number with its sign, none on zero.
func formatSigned(value float64, decimals int) string {
	return photometry.Signed(photometry.FormatSigned(value, decimals))
}

// levelAt is the level at a value in stops, SI unit; 0 where the scale has none.
func (s Scale) levelAt(stops float64) float64 {
	if s.Kind != Level || !(s.reference > 0) {
		return 0
	}
	return s.reference * math.Exp2(stops)
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
