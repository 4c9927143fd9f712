package photometry

import (
	"math"
	"strconv"
	"strings"
)

// Stops is the difference of two levels in stops, log2(level/reference):
// positive where level is the brighter. Both must be positive; a zero level
// gives -Inf.
func Stops(level, reference float64) float64 { return math.Log2(level / reference) }

// Factor is the ratio of levels that a difference in stops stands for, 2^stops.
func Factor(stops float64) float64 { return math.Exp2(stops) }

// DistanceFactor is what to multiply the distance of a small source by so that
// its level changes by stops: 2^(-stops/2), from the inverse-square law.
// Negative stops (less light) give a factor above 1.
func DistanceFactor(stops float64) float64 { return math.Exp2(-stops / 2) }

// DimmerPercent is the share of its present output, in percent, that a light
// keeps when its level changes by stops: 100·2^stops.
func DimmerPercent(stops float64) float64 { return 100 * math.Exp2(stops) }

// Nominal losses of wire scrims in stops: common practice, no source. A half
// scrim has the same loss over half of the beam only.
const (
	SingleScrimStops = 0.5
	DoubleScrimStops = 1.0
)

// Scrims names the wire scrims that come nearest to a wanted loss and the loss
// they give. The loss and the answer are in stops, positive. A loss under a
// quarter stop is less than a scrim can do: the name is empty and got is 0.
// At most a double, a single and a second double are stacked (2.5 stops).
func Scrims(loss float64) (name string, got float64) {
	kits := []struct {
		name  string
		stops float64
	}{
		{"", 0},
		{"a single scrim", SingleScrimStops},
		{"a double scrim", DoubleScrimStops},
		{"a double and a single scrim", DoubleScrimStops + SingleScrimStops},
		{"two double scrims", 2 * DoubleScrimStops},
		{"two double scrims and a single", 2*DoubleScrimStops + SingleScrimStops},
	}
	best := kits[0]
	if loss > kits[len(kits)-1].stops+SingleScrimStops/2 {
		return "", 0
	}
	for _, k := range kits[1:] {
		if math.Abs(k.stops-loss) < math.Abs(best.stops-loss) {
			best = k
		}
	}
	return best.name, best.stops
}

// ParseStops reads a number of stops: 0.5, 1/2, 1 1/3, ±1/4 without its sign,
// with or without the word stop, stops or EV. The result keeps a leading minus.
func ParseStops(text string, parse func(string) (float64, error)) (float64, error) {
	if parse == nil {
		parse = ParseNumber
	}
	body := strings.TrimSpace(text)
	for _, word := range []string{"stops", "stop", "EV", "ev", "Stops", "Stop"} {
		if cut, ok := strings.CutSuffix(body, word); ok {
			body = strings.TrimSpace(cut)
			break
		}
	}
	sign := 1.0
	for _, minus := range []string{"-", "\u2212"} {
		if cut, ok := strings.CutPrefix(body, minus); ok {
			sign, body = -1, strings.TrimSpace(cut)
		}
	}
	whole, part, _, err := mixed(body, parse)
	if err != nil || !Finite(whole) {
		return 0, &SyntaxError{text, "a number of stops such as 0.5 stop or 1/3 stop"}
	}
	return sign * (whole + part), nil
}

// ReadingStops is the standard deviation of one reading in stops from its
// repeatability (a fraction) and the step of the display in stops: √((r/ln 2)²
// + step²/12), the latter the variance of rounding.
func ReadingStops(repeatability, resolutionStops float64) float64 {
	return math.Sqrt(math.Pow(repeatability/math.Ln2, 2) + resolutionStops*resolutionStops/12)
}

// FormatStops prints a size in stops with the digits that a meter supports, a
// tenth, or a hundredth under a quarter stop: "0.6 stop", "1.3 stops".
func FormatStops(stops float64) string {
	digits := 1
	if math.Abs(stops) < 0.25 {
		digits = 2
	}
	text := strconv.FormatFloat(stops, 'f', digits, 64)
	if strings.Trim(text, "-0.") == "" {
		text = strings.TrimPrefix(text, "-")
	}
	if math.Abs(stops) <= 1.0000001 {
		return text + " stop"
	}
	return text + " stops"
}
