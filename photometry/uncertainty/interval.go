package uncertainty

import (
	"math"

	"evenfall/photometry"
)

const (
	AssumedRepeatability = 0.02 // of one reading, where nothing better is known
	FewRepeats           = 4    // degrees of freedom below which the assumption still counts
)

// Model is how the readings scatter: the standard deviation of one
// reading in stops, known (nu = 0) or estimated with nu degrees of freedom.
type Model struct {
	Stops float64
	Nu    int
	// Half is half a step of the display in stops, whose variance of Half²/3 is in
	// Stops; 0 where it is too fine to matter.
	Half float64
	// Drift is the standard deviation, in stops, that taking out a drift adds to
	// the difference of the first and the last reading of the walk.
	Drift float64
	// Shift is by how many stops the level of each point would be another one, Slack by
	// how much it may be off either way beside its scatter: that counts in full. Both
	// come from a light that changed; nil is 0.
	Shift, Slack []float64
}

// ShiftAt is the shift of a point, 0 for none.
func (m Model) ShiftAt(point int) float64 {
	if m.Shift == nil {
		return 0
	}
	return m.Shift[point]
}

// SlackAt is the slack of a point, 0 for none.
func (m Model) SlackAt(point int) float64 {
	if m.Slack == nil {
		return 0
	}
	return m.Slack[point]
}

// Class is the points that were read k times and have the same slack: their extremes in
// stops.
type Class struct {
	K, Slack  float64
	N         int
	Low, High float64
}

// Classes groups points by how often they were read, and by their slack.
type Classes []Class

// Add takes in a value that scatters as the mean of k readings does, and may be off by a
// slack beside that.
func (c *Classes) Add(value, k, slack float64) {
	for i := range *c {
		class := &(*c)[i]
		if class.K == k && class.Slack == slack {
			class.N++
			class.Low, class.High = min(class.Low, value), max(class.High, value)
			return
		}
	}
	*c = append(*c, Class{k, slack, 1, value, value})
}

// InStops turns classes of levels into classes of log2 level.
func (c Classes) InStops() Classes {
	for i := range c {
		c[i].Low, c[i].High = math.Log2(c[i].Low), math.Log2(c[i].High)
	}
	return c
}

// SpreadInterval bounds the true spread of n points in stops: it lies above hi
// with a probability of at most 2.5 %, and below lo likewise.
//
// With one reading a point, standard deviation s and observed spread D: hi = D
// + 1.95996·√2·s, since the truly brightest and darkest points are one fixed
// pair; lo = max(0, D − q_n·s), since the observed ones are the luckiest pair
// of all. Where a display rounds to steps, the quantiles are those of two, or of
// the range of n, draws of scatter and rounding together. A drift that was taken out adds its own error: to a pair in
// quadrature, to the luckiest pair in full. Points read k times enter with s/√k: hi and lo are then the largest
// bounds over all pairs, lo by the Tukey–Kramer inequality (Hayter, Ann. Stat.
// 12, 1984), so that repeats of the two extremes alone sharpen lo.
func SpreadInterval(classes Classes, m Model, f Factors) (lo, hi float64) {
	for i, a := range classes {
		for j, b := range classes {
			if i == j && a.N < 2 {
				continue
			}
			slack := a.Slack + b.Slack
			hi = max(hi, a.High-b.Low+m.pair(a.K, b.K, m.Drift, f)+slack)
			lo = max(lo, a.High-b.Low-m.luckiest(a.K, b.K, f)-f.Z*m.Drift-slack)
		}
	}
	return lo, hi
}

// DeviationInterval bounds, in the same sense, the largest distance in stops
// of any point from a reference level whose own standard deviation is that of
// a reading repeated kRef times.
func DeviationInterval(classes Classes, ref, kRef float64, m Model, f Factors) (lo, hi float64) {
	for _, a := range classes {
		far := max(a.High-ref, ref-a.Low)
		hi = max(hi, far+m.pair(a.K, kRef, m.Drift, f)+a.Slack)
		lo = max(lo, far-m.luckiest(a.K, kRef, f)-f.Z*m.Drift-a.Slack)
	}
	return lo, hi
}

// Widest is the interval that is valid under every noise model.
func Widest(models []Model, n int, interval func(Model, Factors) (lo, hi float64)) (lo, hi float64) {
	lo = math.Inf(1)
	for _, m := range models {
		l, h := interval(m, FactorsFor(n, m.Nu))
		lo, hi = min(lo, l), max(hi, h)
	}
	return lo, hi
}

// PerReading is the mean of 1/k over all points: how much of a single reading's
// variance their means keep on average.
func (c Classes) PerReading() float64 {
	sum, n := 0.0, 0
	for _, class := range c {
		sum += float64(class.N) / class.K
		n += class.N
	}
	return sum / float64(max(1, n))
}

// Noise is how far single readings scatter, and where that figure comes from.
type Noise struct {
	RepeatabilityPercent float64 `json:"repeatability_percent,omitempty"`
	DegreesOfFreedom     int     `json:"degrees_of_freedom,omitempty"` // of repeats
	Source               string  `json:"source"`                       // stated, repeats or assumed
	ResolutionStops      float64 `json:"resolution_stops,omitempty"`
	Stops                float64 `json:"stops,omitempty"` // standard deviation of one reading
}

// agreeing is the variance in stops² below which repeats agree to the digit: what
// rounding leaves of equal levels.
const agreeing = 1e-12

// Settle decides what scatter readings have: what is stated of one to the next, as a
// fraction, else what repeats estimate (their sum of squares in stops² with nu degrees of
// freedom), else what is assumed. Repeats that agree to the digit say nothing of what the
// display hides, and few may agree by luck: then the wider of two models decides. To each
// the display's step in stops is added.
func Settle(stated *float64, squares float64, nu int, step float64) (models []Model, noise Noise) {
	known := func(source string, repeatability float64) Model {
		noise = Noise{Source: source, RepeatabilityPercent: 100 * repeatability, ResolutionStops: step, Stops: photometry.ReadingStops(repeatability, step)}
		return Model{Stops: noise.Stops, Half: step / 2}
	}
	switch {
	case stated != nil:
		return []Model{known("stated", *stated)}, noise
	case nu == 0 || squares <= agreeing*float64(nu):
		return []Model{known("assumed", AssumedRepeatability)}, noise
	}
	estimated := known("repeats", math.Sqrt(squares/float64(nu))*math.Ln2)
	estimated.Nu, noise.DegreesOfFreedom = nu, nu
	models = []Model{estimated}
	if nu < FewRepeats {
		assumed := Model{Stops: photometry.ReadingStops(AssumedRepeatability, step), Half: step / 2}
		models = append(models, assumed)
		noise.Stops = max(noise.Stops, assumed.Stops)
	}
	return models, noise
}
