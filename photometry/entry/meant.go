// Package entry knows the errors that people make as they write readings down, and what
// they may have meant by a level that was written.
package entry

import (
	"strconv"
	"strings"

	"evenfall/photometry"
)

// Reasons why a reading may be a data-entry error.
const (
	LuxFootcandleSwap = "lux_fc_swap"
	MisplacedDecimal  = "decimal_slip"
	DigitsTransposed  = "digits_transposed"
	OwnShadow         = "own_shadow"
	SerpentineAsRows  = "snake_as_rows"
)

// Meant is one way a reading may have gone wrong, and what was meant.
type Meant struct {
	Reason string
	Said   photometry.Remark
	// Level is what was meant, in the SI unit of the survey, and Typed that as it would
	// have been written, "96 fc" or "960"; 0 and "" where it is no level.
	Level float64
	Typed string
}

// InShadow is a reading in the shadow of whoever read it.
var InShadow = Meant{Reason: OwnShadow, Said: photometry.Remarked("clear_of_the_light")}

// MeantBy lists the levels that may have been meant by one that was written for a meter,
// in the SI unit of its quantity.
func MeantBy(meter photometry.Meter, quantity photometry.Quantity, level float64) (all []Meant) {
	if meter.Unit == photometry.NoUnit {
		meter.Unit = photometry.LX
	}
	figure := meter.Written(level)
	if _, proportional := meter.Unit.Scale(); quantity == photometry.Illuminance && proportional {
		all = swapped(meter, level, figure)
	}
	meant := func(reason string, figure float64) {
		l, err := meter.Level(figure, meter.Unit)
		if err != nil || !(l.Value > 0) {
			return
		}
		l.Quantity = quantity
		said, typed := photometry.Remarked("meant_level", "level", l), formatNumber(meter.Written(l.Value))
		if _, proportional := meter.Unit.Scale(); !proportional { // as the meter shows it, whatever unit a reader has
			said = photometry.Remarked("meant_level", "level", meter.Format(l))
		}
		if meter.Unit == photometry.FStop {
			typed = meter.Format(l)
		}
		all = append(all, Meant{reason, said, l.Value, typed})
	}
	// One place is the common error; three are a k that was left out or meant twice.
	for _, factor := range []float64{10, 0.1, 100, 0.01, 1000, 0.001} {
		meant(MisplacedDecimal, figure*factor)
	}
	for _, other := range transposed(formatNumber(figure)) {
		meant(DigitsTransposed, other)
	}
	return all
}

// swapped are lux meant as footcandles and the other way around, told from the level
// itself, so that a table in footcandles and its twin in lux say the same.
func swapped(meter photometry.Meter, level, figure float64) (all []Meant) {
	up, down := photometry.Lux(level), photometry.Footcandles(level)
	for _, m := range []Meant{
		{Level: up, Said: photometry.Remarked("meant_footcandles", "fc", photometry.Figure(level), "lx", photometry.Figure(up))},
		{Level: down, Said: photometry.Remarked("meant_lux", "lx", photometry.Figure(down), "fc", photometry.Figure(photometry.Footcandles(down)))},
	} {
		if !(m.Level > 0) {
			continue
		}
		m.Reason, m.Typed = LuxFootcandleSwap, formatNumber(meter.Written(m.Level))
		// The number stays, with the unit that was meant.
		switch {
		case m.Level > level && meter.Unit == photometry.LX:
			m.Typed = formatNumber(figure) + " fc"
		case m.Level <= level && meter.Unit == photometry.FC:
			m.Typed = formatNumber(figure) + " lx"
		}
		all = append(all, m)
	}
	return all
}

// transposed are the numbers that a number becomes where two neighboring digits
// change places; none of one with an exponent.
func transposed(number string) []float64 {
	var out []float64
	for k := 1; k < len(number) && !strings.Contains(number, "e"); k++ {
		digits := []byte(number)
		digits[k-1], digits[k] = digits[k], digits[k-1]
		if number[k-1] == number[k] || number[k-1] == '.' || number[k] == '.' || digits[0] == '0' {
			continue
		}
		if v, err := strconv.ParseFloat(string(digits), 64); err == nil && v > 0 {
			out = append(out, v)
		}
	}
	return out
}

func formatNumber(v float64) string { return strconv.FormatFloat(v, 'g', 6, 64) }
