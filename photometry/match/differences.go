package match

import (
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/stat"

	"evenfall/photometry/uncertainty"
)

// estimate is a variance with its degrees of freedom, 0 where it is known.
type estimate struct {
	variance float64
	nu       int
}

// freedom is the number of degrees of freedom of a sum of variances, after Welch
// and Satterthwaite; 0 where all are known.
func freedom(parts ...estimate) int {
	sum, per := 0.0, 0.0
	for _, p := range parts {
		sum += p.variance
		if p.nu > 0 {
			per += p.variance * p.variance / float64(p.nu)
		}
	}
	if per == 0 {
		return 0
	}
	const rounding = 1e-9 // so that the last bit of two equal variances takes none away
	return max(1, int(sum*sum/per*(1+rounding)))
}

// differences are those of two days at several places or lights, of levels in stops or
// of one coordinate of color.
type differences struct {
	values, weights []float64  // the weights are 1 in sum
	before, after   []float64  // how many readings are behind each value on each day
	slack           []float64  // by how much each may be off beside its scatter; nil for nothing
	a, b            estimate   // of one reading on each day
	carried         []estimate // errors of all values alike, such as a drift's
}

// add takes in a difference; the weights are brought to 1 in sum by scale.
func (d *differences) add(value, weight, before, after float64) {
	d.values, d.weights = append(d.values, value), append(d.weights, weight)
	d.before, d.after = append(d.before, before), append(d.after, after)
}

// scale brings the weights to 1 in sum.
func (d *differences) scale() { floats.Scale(1/floats.Sum(d.weights), d.weights) }

// mean is that of the differences by weight.
func (d *differences) mean() float64 { return floats.Dot(d.weights, d.values) }

// rms is that of the differences about their mean, by weight.
func (d *differences) rms() float64 {
	return math.Sqrt(stat.MomentAbout(2, d.values, d.mean(), d.weights))
}

// meanErrors are the variances of the mean by each day's scatter, and what all values
// carry.
func (d *differences) meanErrors() []estimate {
	a, b := estimate{nu: d.a.nu}, estimate{nu: d.b.nu}
	for i, w := range d.weights {
		a.variance += w * w * d.a.variance / d.before[i]
		b.variance += w * w * d.b.variance / d.after[i]
	}
	return append([]estimate{a, b}, d.carried...)
}

// meanVariance is that of the mean, with its degrees of freedom.
func (d *differences) meanVariance() (sum estimate) {
	parts := d.meanErrors()
	for _, p := range parts {
		sum.variance += p.variance
	}
	sum.nu = freedom(parts...)
	return sum
}

// half is half of the mean's 95 % interval.
func (d *differences) half() float64 {
	mean := d.meanVariance()
	half := uncertainty.Factor(mean.nu) * math.Sqrt(mean.variance)
	for i, slack := range d.slack {
		half += d.weights[i] * slack
	}
	return half
}

// variances are those of the differences, one by one.
func (d *differences) variances() []float64 {
	out := make([]float64, len(d.values))
	for i := range out {
		out[i] = d.a.variance/d.before[i] + d.b.variance/d.after[i]
	}
	return out
}

// scatter is the differences as values that scatter as readings of standard deviation
// 1 would that were repeated so often, and the factors of their intervals.
func (d *differences) scatter() (classes uncertainty.Classes, m uncertainty.Model, f uncertainty.Factors) {
	for i, v := range d.variances() {
		slack := 0.0
		if d.slack != nil {
			slack = d.slack[i]
		}
		classes.Add(d.values[i], inverse(v), slack)
	}
	m = uncertainty.Model{Stops: 1, Nu: freedom(d.a, d.b)}
	return classes, m, uncertainty.FactorsFor(max(2, len(d.values)), m.Nu)
}

// spread is the 95 % interval of the largest less the smallest difference: bounded as
// the levels of a surface are, since what all of them share drops out. drift is what
// taking out a drift adds to the difference of two places, in stops.
func (d *differences) spread(drift float64) (lo, hi float64) {
	classes, m, f := d.scatter()
	m.Drift = drift
	return uncertainty.SpreadInterval(classes, m, f)
}

// largest is the 95 % interval of the largest distance of a difference from a
// value of some variance, either way.
func (d *differences) largest(from, variance float64) (lo, hi float64) {
	classes, m, f := d.scatter()
	return uncertainty.DeviationInterval(classes, from, inverse(variance), m, f)
}

func inverse(v float64) float64 {
	if v == 0 {
		return math.Inf(1)
	}
	return 1 / v
}

// about is an interval by half of its width.
func about(middle, half float64) *[2]float64 { return &[2]float64{middle - half, middle + half} }

// holdsZero reports whether an interval does not exclude zero; a missing one does not.
func holdsZero(i *[2]float64) bool { return i == nil || i[0] <= 0 && i[1] >= 0 }

// judgeMean judges a value with half of its interval against a tolerance either way.
func judgeMean(value, half, tolerance float64) string {
	size := math.Abs(value)
	return uncertainty.Judge(max(0, size-half), size+half, tolerance)
}
