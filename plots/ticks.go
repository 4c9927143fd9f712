package plots

import (
	"math"
	"strconv"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
)

// formatTick prints a round value.
func formatTick(v float64) string { return strconv.FormatFloat(v, 'g', 6, 64) }

// multiples are the ticks at the multiples of a step within a range.
func multiples(lo, hi, step float64, label func(v float64) string) (ticks []plot.Tick) {
	for i := math.Ceil(lo/step - 1e-9); i*step <= hi+1e-9*step; i++ {
		ticks = append(ticks, plot.Tick{Value: i * step, Label: label(i*step + 0)})
	}
	return ticks
}

// lengthTicks marks an axis of meters of a size in pixels at even steps of meters or
// feet, about a hundred pixels apart.
func lengthTicks(feet bool, pixels vg.Length) plot.Ticker {
	unit := lengthScale(feet)
	return plot.TickerFunc(func(lo, hi float64) []plot.Tick {
		step, decimals := roundStep((hi - lo) / unit * 90 / max(float64(pixels), 180))
		return multiples(lo, hi, step*unit, func(v float64) string { return strconv.FormatFloat(v/unit, 'f', decimals, 64) })
	})
}

// evenTicks are evenly spaced about zero, as many as there is space for and at least two,
// since one alone shows no scale. label prints them; nil prints the decimals that they have.
func evenTicks(pixels, space vg.Length, label func(float64) string) plot.Ticker {
	return plot.TickerFunc(func(lo, hi float64) []plot.Tick {
		step, decimals := roundStep((hi - lo) * float64(space/pixels))
		for math.Floor(hi/step)-math.Ceil(lo/step) < 1 {
			step, decimals = roundStep(0.4 * step)
		}
		if label == nil {
			return multiples(lo, hi, step, func(v float64) string { return formatSigned(v, decimals) })
		}
		return multiples(lo, hi, step, label)
	})
}

// fewTicks are those of the first of some steps with which an axis has at most so many
// parts; behind the last step are its doubles.
func fewTicks(most float64, label func(v, step float64) string, steps ...float64) plot.Ticker {
	return plot.TickerFunc(func(lo, hi float64) []plot.Tick {
		step := steps[0]
		for i := 1; (hi-lo)/step > most; i++ {
			step *= 2
			if i < len(steps) {
				step = steps[i]
			}
		}
		return multiples(lo, hi, step, func(v float64) string { return label(v, step) })
	})
}

// logTicks has the ticks of a logarithmic axis at round values, as many with a label
// as there is space for. scale is the number of the axis's units in a printed unit.
type logTicks struct {
	scale  float64
	text   func(v float64) string
	pixels float64 // length of the axis
	space  float64 // least distance of two labels in pixels
}

func (t logTicks) Ticks(lo, hi float64) []plot.Tick {
	lo, hi = lo/t.scale, hi/t.scale
	perDecade := t.pixels / math.Log10(hi/lo)
	// The densest set of labels that do not overlap.
	labels := []float64{1}
	for _, set := range [][]float64{{1, 3}, {1, 2, 5}, {1, 1.5, 2, 3, 5, 7}, {1, 1.2, 1.4, 1.6, 1.8, 2, 2.5, 3, 3.5, 4, 4.5, 5, 6, 7, 8, 9}} {
		nearest := math.Inf(1)
		for i, v := range set {
			next := 10 * set[0]
			if i+1 < len(set) {
				next = set[i+1]
			}
			nearest = math.Min(nearest, math.Log10(next/v))
		}
		if nearest*perDecade >= t.space {
			labels = set
		}
	}
	var ticks []plot.Tick
	for k := math.Floor(math.Log10(lo)); k <= math.Log10(hi); k++ {
		decade := math.Pow(10, k)
		for _, v := range labels {
			if at := v * decade; at >= lo*(1-1e-9) && at <= hi*(1+1e-9) {
				ticks = append(ticks, plot.Tick{Value: at * t.scale, Label: t.text(at)})
			}
		}
		for v := 1.0; v < 10; v++ {
			if at := v * decade; at >= lo && at <= hi {
				ticks = append(ticks, plot.Tick{Value: at * t.scale})
			}
		}
	}
	return ticks
}

// unlabelled has the ticks of another axis without its labels; a space instead of a
// label keeps their grid lines.
func unlabelled(of plot.Ticker) plot.Ticker {
	return plot.TickerFunc(func(lo, hi float64) []plot.Tick {
		ticks := of.Ticks(lo, hi)
		for i := range ticks {
			if ticks[i].Label != "" {
				ticks[i].Label = " "
			}
		}
		return ticks
	})
}

// stopTicks has the ticks of a logarithmic axis at whole stops from a level, or at
// half stops where the range is small.
type stopTicks struct {
	from   float64
	text   func(stops float64) string
	pixels float64
}

func (t stopTicks) Ticks(lo, hi float64) []plot.Tick {
	per := either(math.Log2(hi/lo) < 3, 2, 1.0)
	first, last := int(math.Ceil(per*math.Log2(lo/t.from)-1e-9)), int(math.Floor(per*math.Log2(hi/t.from)+1e-9))
	step := 1
	for float64(last-first)/float64(step)*26 > t.pixels {
		step++
	}
	var ticks []plot.Tick
	for k := first; k <= last; k++ {
		stops := float64(k) / per
		tick := plot.Tick{Value: t.from * math.Exp2(stops)}
		if k%step == 0 {
			tick.Label = t.text(stops)
		}
		ticks = append(ticks, tick)
	}
	return ticks
}
