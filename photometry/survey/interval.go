package survey

import (
	"math"

	"evenfall/photometry"
)

const (
	assumedRepeatability = 0.02 // of one reading, where nothing better is known
	fewRepeats           = 4    // degrees of freedom below which the assumption still counts
)

// noiseModel is how the readings scatter: the standard deviation of one
// reading in stops, known (nu = 0) or estimated with nu degrees of freedom.
type noiseModel struct {
	stops float64
	nu    int
	// drift is the standard deviation, in stops, that taking out a drift adds to
	// the difference of the first and the last reading of the walk.
	drift float64
}

// noise decides what scatter the readings have: stated in the notes, else
// estimated from repeats (sum of squares in stops² with nu degrees of freedom),
// else assumed.
func (s *Survey) noise(squares float64, nu int) (models []noiseModel, told Noise) {
	res := s.Settings.Resolution
	told.ResolutionStops = res
	switch {
	case s.Predicted:
		told.Source = "predicted"
		return []noiseModel{{}}, told
	case s.Settings.Repeatability != nil:
		r := *s.Settings.Repeatability
		told.Source, told.RepeatabilityPercent, told.Stops = "stated", 100*r, photometry.ReadingStops(r, res)
		return []noiseModel{{stops: told.Stops}}, told
	case nu > 0:
		r := math.Sqrt(squares/float64(nu)) * math.Ln2
		told.Source, told.RepeatabilityPercent, told.Stops = "repeats", 100*r, photometry.ReadingStops(r, res)
		told.DegreesOfFreedom = nu
		models = []noiseModel{{stops: told.Stops, nu: nu}}
		if nu < fewRepeats {
			// So few repeats may agree by luck: the wider of the two decides.
			assumed := noiseModel{stops: photometry.ReadingStops(assumedRepeatability, res)}
			models = append(models, assumed)
			told.Stops = max(told.Stops, assumed.stops)
		}
		return models, told
	}
	told.Source, told.RepeatabilityPercent = "assumed", 100*assumedRepeatability
	told.Stops = photometry.ReadingStops(assumedRepeatability, res)
	return []noiseModel{{stops: told.Stops}}, told
}

// repeatClass holds the points that were read k times: their extremes in stops.
type repeatClass struct {
	k         float64
	n         int
	low, high float64
}

// repeatClasses groups points by how often they were read.
type repeatClasses []repeatClass

// add takes in a value that scatters as the mean of k readings does.
func (c *repeatClasses) add(value, k float64) {
	for i := range *c {
		class := &(*c)[i]
		if class.k == k {
			class.n++
			class.low, class.high = min(class.low, value), max(class.high, value)
			return
		}
	}
	*c = append(*c, repeatClass{k, 1, value, value})
}

// inStops turns classes of levels into classes of log2 level.
func (c repeatClasses) inStops() repeatClasses {
	for i := range c {
		c[i].low, c[i].high = math.Log2(c[i].low), math.Log2(c[i].high)
	}
	return c
}

// spreadInterval bounds the true spread of n points in stops: it lies above hi
// with a probability of at most 2.5 %, and below lo likewise.
//
// With one reading a point, standard deviation s and observed spread D: hi = D
// + 1.95996·√2·s, since the truly brightest and darkest points are one fixed
// pair; lo = max(0, D − q_n·s), since the observed ones are the luckiest pair
// of all. A drift that was taken out adds its own error: to a pair in
// quadrature, to the luckiest pair in full. Points read k times enter with s/√k: hi and lo are then the largest
// bounds over all pairs, lo by the Tukey–Kramer inequality (Hayter, Ann. Stat.
// 12, 1984), so that repeats of the two extremes alone sharpen lo.
func spreadInterval(classes repeatClasses, m noiseModel, f quantilePair) (lo, hi float64) {
	for _, a := range classes {
		for _, b := range classes {
			if a.k == b.k && a.n < 2 {
				continue
			}
			pair := m.stops * math.Sqrt(1/a.k+1/b.k)
			hi = max(hi, a.high-b.low+f.z*math.Hypot(pair, m.drift))
			lo = max(lo, a.high-b.low-f.q*pair/math.Sqrt2-f.z*m.drift)
		}
	}
	return lo, hi
}

// deviationInterval bounds, in the same sense, the largest distance in stops
// of any point from a reference level whose own standard deviation is that of
// a reading repeated kRef times.
func deviationInterval(classes repeatClasses, ref, kRef float64, m noiseModel, f quantilePair) (lo, hi float64) {
	for _, a := range classes {
		far := max(a.high-ref, ref-a.low)
		pair := m.stops * math.Sqrt(1/a.k+1/kRef)
		hi = max(hi, far+f.z*math.Hypot(pair, m.drift))
		lo = max(lo, far-f.q*pair/math.Sqrt2-f.z*m.drift)
	}
	return lo, hi
}

// widest is the interval that holds under every noise model.
func widest(models []noiseModel, n int, interval func(noiseModel, quantilePair) (lo, hi float64)) (lo, hi float64) {
	lo = math.Inf(1)
	for _, m := range models {
		l, h := interval(m, quantilesFor(n, m.nu))
		lo, hi = min(lo, l), max(hi, h)
	}
	return lo, hi
}

// judge compares an interval with a tolerance: pass where all of it is inside,
// fail where none is, else unsure.
func judge(lo, hi, tolerance float64) string {
	switch {
	case hi <= tolerance:
		return Pass
	case lo > tolerance:
		return Fail
	}
	return Unsure
}

// worstVerdict is fail before unsure before pass; empty parts do not count.
func worstVerdict(parts ...string) string {
	worst := Pass
	for _, p := range parts {
		if p == Fail || (p == Unsure && worst == Pass) {
			worst = p
		}
	}
	return worst
}

// perReading is the mean of 1/k over all points: how much of a single reading's
// variance their means keep on average.
func (c repeatClasses) perReading() float64 {
	sum, n := 0.0, 0
	for _, class := range c {
		sum += float64(class.n) / class.k
		n += class.n
	}
	return sum / float64(max(1, n))
}
