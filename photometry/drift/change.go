package drift

import (
	"cmp"
	"math"
	"slices"
	"sort"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"

	"evenfall/photometry/uncertainty"
)

// Shape is a way in which a light may change.
type Shape string

// The shapes. A warm-up is one with a saturating exponential; a step happens at any time
// between two neighboring readings of the reference; Between is none of them.
const (
	Steady  Shape = "steady"
	Line    Shape = "line"
	WarmUp  Shape = "warm-up"
	Step    Shape = "step"
	Between Shape = "between"
)

// Change is a shape with its size: what it brings a level to the last reading of the
// reference by.
type Change struct {
	Shape Shape

	off         func(minutes float64) float64   // stops
	slack       func(minutes float64) float64   // stops either way
	errors      func(minutes float64) []float64 // of off, a standard deviation each
	pair        float64                         // of Between: the standard deviation of the difference of two readings
	widest      float64                         // the largest slack
	chi2, score float64                         // χ², and that + 2·parameters
	parameters  int
}

// HasSlack reports whether there are times at which the light is not known.
func (c Change) HasSlack() bool { return c.widest > 0 }

// Deviation is the largest standard deviation of the difference of what two readings
// are brought to the end by, in stops.
func (d *Drift) Deviation(c Change) float64 {
	if c.Shape == Between {
		return c.pair
	}
	return math.Abs(c.errors(d.first)[0] - c.errors(d.last)[0]) // shapes never turn back
}

const (
	within   = 2.0 // how far above the best χ² + 2·parameters a fit is still kept
	accepted = 0.9 // the quantile of χ² that an accepted fit stays below
	spare    = 2   // readings beyond the parameters that it takes to accept a fit
	mostKept = 16
	// lineParameters are those of a line: its level and its slope.
	lineParameters = 2
	// A steady light is taken as one unless its χ² excludes it with a probability of
	// 97.5 % or its score is so far above the best: many shapes are tried, and one of them
	// follows the scatter of the readings better than none.
	excluded   = 0.975
	unlikelier = 5.0
	constants  = 10 // time constants of a warm-up, by √2 down from the time from first to last reading
)

// FewestForLine is how many readings of the reference it takes to accept a line.
const FewestForLine = lineParameters + spare

// changes are the ways of changing that readings in time allow that scatter by so many
// stops. Each shape is fitted by its size; a fit is accepted with two spare readings at
// least where χ² does not exclude it with a probability of 90 %, and kept within 2 of the
// best χ² + 2·parameters (Akaike, IEEE Trans. Automat. Contr. 19, 1974). Where nothing is
// accepted, the readings are taken as they are. Of two or three readings that a steady
// light explains a line is kept beside it.
func changes(readings []Reading, scatter float64) []Change {
	var kept []Change
	for _, s := range shapes(readings) {
		free := len(readings) - s.parameters
		if free < spare {
			continue
		}
		c, chi2 := s.fit(readings, scatter)
		quantile := accepted
		if s.Shape == Steady {
			quantile = excluded
		}
		if chi2 < (distuv.ChiSquared{K: float64(free)}).Quantile(quantile) {
			c.chi2, c.parameters, c.score = chi2, s.parameters, chi2+2*float64(s.parameters)
			kept = append(kept, c)
		}
	}
	if len(kept) == 0 {
		if c := between(readings, scatter); c.widest > 0 || len(readings) > 2 {
			return []Change{c}
		}
		steady, _ := shapes(readings)[0].fit(readings, scatter)
		kept = []Change{steady}
	}
	if len(readings) < FewestForLine {
		// Too few to accept a line, and to exclude one: its score is at most 2 above that
		// of a steady light.
		line, _ := lineOver(readings).fit(readings, scatter)
		return append(kept, line)
	}
	slices.SortStableFunc(kept, func(a, b Change) int { return cmp.Compare(a.score, b.score) })
	best := kept[0].score
	if i := slices.IndexFunc(kept, func(c Change) bool { return c.Shape == Steady && c.score < best+unlikelier }); i > 0 {
		steady := kept[i]
		kept = slices.Insert(slices.Delete(kept, i, i+1), 0, steady)
	}
	far := 1 + slices.IndexFunc(kept[1:], func(c Change) bool { return c.score > best+within })
	if far == 0 {
		far = len(kept)
	}
	return kept[:min(far, mostKept)]
}

// shape is a change of size 1 in time.
type shape struct {
	Shape
	parameters int
	at         func(minutes float64) float64
	from, to   float64 // minutes, of a step: between which it happens
}

// shapes are those that readings in time can be fitted with.
func shapes(readings []Reading) []shape {
	begin, end := readings[0].Minutes, readings[len(readings)-1].Minutes
	all := []shape{{Shape: Steady, parameters: 1, at: func(float64) float64 { return 0 }}, lineOver(readings)}
	for k, tau := 0, end-begin; k < constants; k, tau = k+1, tau/math.Sqrt2 {
		all = append(all, shape{Shape: WarmUp, parameters: 3, at: func(t float64) float64 { return -math.Exp(-(t - begin) / tau) }})
	}
	for _, i := range likelySteps(readings) {
		from, to := readings[i-1].Minutes, readings[i].Minutes
		all = append(all, shape{Shape: Step, parameters: 3, from: from, to: to, at: func(t float64) float64 {
			switch {
			case t <= from:
				return 0
			case t >= to:
				return 1
			}
			return 0.5
		}})
	}
	return all
}

// likelySteps are the mostKept steps that follow the readings best, each as the reading
// after it, in the order of time: the sums of squares about the means before and after,
// all of them in one pass.
func likelySteps(readings []Reading) []int {
	n := len(readings)
	total, sum := 0.0, 0.0
	for _, r := range readings {
		total += r.Stops
	}
	var steps []int
	explained := make([]float64, n)
	for i := 1; i < n; i++ {
		sum += readings[i-1].Stops - total/float64(n) // from the mean, so that no digits are lost
		explained[i] = sum * sum * float64(n) / (float64(i) * float64(n-i))
		if readings[i-1].Minutes < readings[i].Minutes {
			steps = append(steps, i)
		}
	}
	slices.SortStableFunc(steps, func(a, b int) int { return cmp.Compare(explained[b], explained[a]) })
	steps = steps[:min(len(steps), mostKept)]
	slices.Sort(steps)
	return steps
}

func lineOver(readings []Reading) shape {
	return shape{Shape: Line, parameters: lineParameters, at: func(t float64) float64 { return t - readings[0].Minutes }}
}

// fit finds the size of a shape by least squares, and χ².
func (s shape) fit(readings []Reading, scatter float64) (c Change, chi2 float64) {
	var x, y []float64
	for _, r := range readings {
		x, y = append(x, s.at(r.Minutes)), append(y, r.Stops)
	}
	middle, size, deviation := stat.Mean(y, nil), 0.0, 0.0
	if sxx := stat.MomentAbout(2, x, stat.Mean(x, nil), nil) * float64(len(x)); sxx > 0 {
		middle, size = stat.LinearRegression(x, y, nil, false)
		deviation = scatter / math.Sqrt(sxx)
	}
	for i := range x {
		rest := (y[i] - middle - size*x[i]) / scatter
		chi2 += rest * rest
	}
	left := s.at(readings[len(readings)-1].Minutes)
	c = Change{Shape: s.Shape,
		off:    func(t float64) float64 { return size * (left - s.at(t)) },
		errors: func(t float64) []float64 { return []float64{deviation * (left - s.at(t))} },
		slack:  func(float64) float64 { return 0 },
	}
	if s.Shape == Step {
		c.widest = math.Abs(size) / 2
		c.slack = func(t float64) float64 {
			if t > s.from && t < s.to {
				return c.widest
			}
			return 0
		}
	}
	return c, chi2
}

// between takes the readings as they are: the light between two neighbors that differ
// by more than their scatter is anywhere between the two, their midpoint with half of
// the gap either way; between others it is interpolated.
func between(readings []Reading, scatter float64) Change {
	n := len(readings)
	differ := uncertainty.Factor(0) * math.Sqrt2 * scatter
	// shares are those of readings i−1 and i in the light at a time, and half of the
	// gap between them.
	shares := func(t float64) (i int, share, half float64) {
		i = sort.Search(n, func(i int) bool { return readings[i].Minutes >= t })
		switch {
		case i == n:
			return n - 1, 1, 0
		case i == 0:
			return 1, 0, 0
		}
		a, b := readings[i-1], readings[i]
		if gap := math.Abs(b.Stops - a.Stops); gap > differ && t > a.Minutes && t < b.Minutes {
			return i, 0.5, gap / 2
		}
		return i, (t - a.Minutes) / (b.Minutes - a.Minutes), 0
	}
	c := Change{Shape: Between, pair: math.Sqrt2 * scatter,
		off: func(t float64) float64 {
			i, share, _ := shares(t)
			return readings[n-1].Stops - (1-share)*readings[i-1].Stops - share*readings[i].Stops
		},
		slack: func(t float64) float64 {
			_, _, half := shares(t)
			return half
		},
		errors: func(t float64) []float64 {
			e := make([]float64, n)
			i, share, _ := shares(t)
			e[n-1] = scatter
			e[i-1] -= (1 - share) * scatter
			e[i] -= share * scatter
			return e
		},
	}
	for i := 1; i < n; i++ {
		if gap := math.Abs(readings[i].Stops - readings[i-1].Stops); gap > differ && readings[i].Minutes > readings[i-1].Minutes {
			c.widest = max(c.widest, gap/2)
		}
	}
	return c
}
