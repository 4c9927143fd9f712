package evenness

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/stat"

	"evenfall/photometry"
	"evenfall/photometry/survey"
	"evenfall/photometry/tolerance"
)

// statistics are those of the points, with a tolerance about a reference. Ratios
// after EN 12464-1: U_o = E_min/mean, diversity E_min/E_max, the mean weighted
// by area. Intervals are added by withIntervals.
func (p subset) statistics(limits tolerance.Limits, ref Reference) Statistics {
	n := p.count()
	low, high := -1, -1
	p.each(func(i int) {
		if v := p.level[i]; low < 0 || v < p.level[low] || v == p.level[low] && before(p.s, i, low) {
			low = i
		}
		if v := p.level[i]; high < 0 || v > p.level[high] || v == p.level[high] && before(p.s, i, high) {
			high = i
		}
	})
	e := Statistics{Points: n, Min: p.level[low], Max: p.level[high], Darkest: p.place(low), Brightest: p.place(high)}
	values, w := slices.Clone(p.of(p.level)), slices.Clone(p.of(p.weights))
	e.Mean = mean(values, w)
	if n > 1 {
		e.CVPercent = 100 * deviation(values, w, e.Mean) / e.Mean
	}
	e.SpreadStops = photometry.Stops(e.Max, e.Min)
	e.MinOverMean, e.MinOverMax = e.Min/e.Mean, e.Min/e.Max
	e.AboveMeanStops = photometry.Stops(e.Max, e.Mean)
	e.BelowMeanStops = photometry.Stops(e.Mean, e.Min)

	stat.SortWeighted(values, w)
	e.Median = weightedMedian(values, w)
	if limits.EachSide {
		f := photometry.Factor(limits.Stops)
		e.WithinPercent = 100 * shareBetween(values, w, ref.Level/f, ref.Level*f)
		e.AboveRefStops, e.BelowRefStops = new(photometry.Stops(e.Max, ref.Level)), new(photometry.Stops(ref.Level, e.Min))
	} else {
		e.WithinPercent = 100 * bestShare(values, w, photometry.Factor(limits.Stops))
	}
	return e
}

// place is point i as a result has it.
func (p subset) place(i int) Place {
	at := p.s.Point(i)
	return Place{Label: at.Label, X: at.X, Y: at.Y, Level: p.level[i]}
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
	return m + stat.MomentAbout(1, values, m, w)
}

// weightedMedian is the level that half of the weight lies under, of ascending values:
// the middle between two where exactly half lies under either.
func weightedMedian(values, w []float64) float64 {
	all, under := 0.0, 0.0
	for i := range values {
		all += weightAt(w, i)
	}
	for i, v := range values {
		under += weightAt(w, i)
		switch {
		case math.Abs(2*under-all) <= 1e-9*all && i+1 < len(values):
			return (v + values[i+1]) / 2
		case 2*under > all:
			return v
		}
	}
	return values[len(values)-1]
}

// deviation is the standard deviation about a known mean of n values, n−1 in
// its denominator, weights scaled to a sum of n.
func deviation(values, w []float64, mean float64) float64 {
	squares, all := 0.0, 0.0
	for i, v := range values {
		weight := weightAt(w, i)
		squares += weight * (v - mean) * (v - mean)
		all += weight
	}
	n := float64(len(values))
	return math.Sqrt(squares / all * n / (n - 1))
}

// slack lets levels that equal a bound to rounding count as inside it.
const slack = 1 + 1e-12

// shareBetween is the share of weight whose value lies within two bounds.
func shareBetween(values, w []float64, low, high float64) float64 {
	inside, all := 0.0, 0.0
	for i, v := range values {
		weight := weightAt(w, i)
		all += weight
		if v*slack >= low && v <= high*slack {
			inside += weight
		}
	}
	return inside / all
}

// bestShare is the largest share of weight that a window of levels has whose
// ends are a factor apart: with a spread inside the tolerance it is all. values
// ascend.
func bestShare(values, w []float64, factor float64) float64 {
	best, inside, all, start := 0.0, 0.0, 0.0, 0
	for i := range values {
		inside += weightAt(w, i)
		all += weightAt(w, i)
		for values[i] > values[start]*factor*slack {
			inside -= weightAt(w, start)
			start++
		}
		best = max(best, inside)
	}
	return math.Min(1, best/all)
}

// weightAt is the weight of value i, 1 where all are equal.
func weightAt(w []float64, i int) float64 {
	if w == nil {
		return 1
	}
	return w[i]
}
