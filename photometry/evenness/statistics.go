package evenness

import (
	"math"
	"slices"
	"sort"

	"gonum.org/v1/gonum/stat"

	"evenfall/photometry"
	"evenfall/photometry/survey"
)

// evenness computes the statistics of the chosen points (nil: all). Ratios
// after EN 12464-1: U_o = E_min/mean, diversity E_min/E_max, the mean weighted
// by area. Intervals are added by the caller.
func evenness(s *survey.Survey, level, weights []float64, chosen []int32, limits survey.Limits, ref Reference) Statistics {
	pick := func(k int) int {
		if chosen == nil {
			return k
		}
		return int(chosen[k])
	}
	n := len(level)
	if chosen != nil {
		n = len(chosen)
	}
	e := Statistics{Points: n}
	values := make([]float64, n)
	var w []float64
	if weights != nil {
		w = make([]float64, n)
	}
	low, high := 0, 0
	for k := range n {
		values[k] = level[pick(k)]
		if w != nil {
			w[k] = weights[pick(k)]
		}
		if values[k] < values[low] || (values[k] == values[low] && before(s, pick(k), pick(low))) {
			low = k
		}
		if values[k] > values[high] || (values[k] == values[high] && before(s, pick(k), pick(high))) {
			high = k
		}
	}
	e.Min, e.Max = values[low], values[high]
	e.Darkest, e.Brightest = place(s, pick(low), level), place(s, pick(high), level)
	e.Mean = mean(values, w)
	if n > 1 {
		e.CVPercent = 100 * deviation(values, w, e.Mean) / e.Mean
	}
	e.SpreadStops = photometry.Stops(e.Max, e.Min)
	e.MinOverMean, e.MinOverMax = e.Min/e.Mean, e.Min/e.Max
	e.AboveMeanStops = photometry.Stops(e.Max, e.Mean)
	e.BelowMeanStops = photometry.Stops(e.Mean, e.Min)

	if w == nil {
		slices.Sort(values)
	} else {
		sort.Sort(byValue{values, w})
	}
	e.Median = (values[(n-1)/2] + values[n/2]) / 2
	if limits.EachSide {
		f := photometry.Factor(limits.Stops)
		e.WithinPercent = 100 * shareBetween(values, w, ref.Level/f, ref.Level*f)
		above, below := photometry.Stops(e.Max, ref.Level), photometry.Stops(ref.Level, e.Min)
		e.AboveRefStops, e.BelowRefStops = &above, &below
	} else {
		e.WithinPercent = 100 * bestShare(values, w, photometry.Factor(limits.Stops))
	}
	return e
}

// before orders places that tie: top first, then camera left, so that the order
// of rows in a file does not matter.
func before(s *survey.Survey, i, j int) bool {
	if s.Y[i] != s.Y[j] {
		return s.Y[i] > s.Y[j]
	}
	return s.X[i] < s.X[j]
}

// mean is the weighted mean, refined by the mean of what it leaves over, which
// takes back the rounding of the first sum.
func mean(values, w []float64) float64 {
	m := stat.Mean(values, w)
	left, all := 0.0, 0.0
	for i, v := range values {
		weight := 1.0
		if w != nil {
			weight = w[i]
		}
		left += weight * (v - m)
		all += weight
	}
	return m + left/all
}

// place is point i as a result shows it.
func place(s *survey.Survey, i int, level []float64) Place {
	return Place{Label: s.LabelOf(i), X: s.X[i], Y: s.Y[i], Level: level[i]}
}

// deviation is the standard deviation about a known mean of n values, n−1 in
// its denominator, weights scaled to a sum of n.
func deviation(values, w []float64, mean float64) float64 {
	squares, all := 0.0, 0.0
	for i, v := range values {
		weight := 1.0
		if w != nil {
			weight = w[i]
		}
		squares += weight * (v - mean) * (v - mean)
		all += weight
	}
	n := float64(len(values))
	return math.Sqrt(squares / all * n / (n - 1))
}

// byValue sorts values and carries their weights along.
type byValue struct{ values, weights []float64 }

func (b byValue) Len() int { return len(b.values) }

func (b byValue) Less(i, j int) bool { return b.values[i] < b.values[j] }

func (b byValue) Swap(i, j int) {
	b.values[i], b.values[j] = b.values[j], b.values[i]
	b.weights[i], b.weights[j] = b.weights[j], b.weights[i]
}

// slack lets levels that equal a bound to rounding count as inside it.
const slack = 1 + 1e-12

// shareBetween is the share of weight whose value lies within two bounds.
func shareBetween(values, w []float64, low, high float64) float64 {
	inside, all := 0.0, 0.0
	for i, v := range values {
		weight := 1.0
		if w != nil {
			weight = w[i]
		}
		all += weight
		if v*slack >= low && v <= high*slack {
			inside += weight
		}
	}
	return inside / all
}

// bestShare is the largest share of weight that a window of levels holds whose
// ends are a factor apart: with a spread inside the tolerance it is all. values
// ascend.
func bestShare(values, w []float64, factor float64) float64 {
	weight := func(i int) float64 {
		if w == nil {
			return 1
		}
		return w[i]
	}
	best, inside, all, start := 0.0, 0.0, 0.0, 0
	for i := range values {
		inside += weight(i)
		all += weight(i)
		for values[i] > values[start]*factor*slack {
			inside -= weight(start)
			start++
		}
		best = max(best, inside)
	}
	return math.Min(1, best/all)
}
