package ratio

import (
	"encoding/json"
	"math"
	"slices"

	"evenfall/photometry"
	"evenfall/photometry/uncertainty"
)

// Interval is a 95 % interval in stops, its lower end first. An end that the
// readings do not bound is infinite here and null in JSON.
type Interval [2]float64

// MarshalJSON writes the two ends.
func (i Interval) MarshalJSON() ([]byte, error) {
	var ends [2]*float64
	for k, v := range i {
		if !math.IsInf(v, 0) {
			ends[k] = &v
		}
	}
	return json.Marshal(ends)
}

// plus is the interval of log2(ratio + n) for one of log2(ratio).
func (i Interval) plus(n float64) Interval {
	for k, v := range i {
		i[k] = math.Log2(math.Max(0, math.Exp2(v)+n))
	}
	return i
}

// noise decides how far one reading scatters, stated, else from repeats, else
// assumed, and the half width of a 95 % interval that it gives to one reading:
// 1.95996·s, or Student's t for an s estimated from repeats.
func (a *analysis) noise() {
	squares, freedoms := 0.0, 0
	for _, m := range a.marks {
		for _, l := range m.lights {
			if l.readings > 1 && l.level > 0 {
				squares += l.squares / (l.level * l.level)
				freedoms += l.readings - 1
			}
		}
	}
	models, n := uncertainty.Settle(a.in.Repeatability, squares/(math.Ln2*math.Ln2), freedoms, a.in.Resolution)
	for k := range models {
		models[k].Half = 0 // roundRepeats has it in the variances
	}
	a.models, a.out.Noise = models, Noise{n.Source, n.RepeatabilityPercent, n.Stops, n.DegreesOfFreedom}
	if n.Source == "assumed" {
		a.infer("scatter_assumed")
		if freedoms > 0 {
			a.warn("repeats_agree")
		}
	}
	a.factor = a.halfWidth(0)
	a.roundRepeats(n.RepeatabilityPercent / 100 / math.Ln2)
}

// roundRepeats leaves the means of repeats the rounding of the display where readings
// scatter by less than half its step, in stops: they all round alike.
func (a *analysis) roundRepeats(scatter float64) {
	if scatter >= a.in.Resolution/2 {
		return
	}
	rounding := math.Pow(photometry.ReadingStops(0, a.in.Resolution)/a.models[0].Stops, 2)
	for _, m := range a.marks {
		for i := range m.lights {
			l := &m.lights[i]
			l.variance = rounding + (1-rounding)*l.variance
		}
	}
}

// infer adds an assumption that the figures rest on.
func (a *analysis) infer(key string, namesAndValues ...any) {
	a.out.Inferred = append(a.out.Inferred, photometry.Remarked(key, namesAndValues...))
}

// halfWidth is the half width in stops of the 95 % interval of one reading once
// there are more degrees of freedom from further repeats of the same scatter:
// 1.95996·s where s is known or assumed, Student's t where it is estimated. With
// few degrees of freedom repeats may agree by luck, and the assumption counts too.
func (a *analysis) halfWidth(more int) float64 {
	freedoms := a.out.Noise.DegreesOfFreedom + more
	if a.in.Repeatability != nil {
		freedoms = 0
	}
	half := uncertainty.Factor(freedoms) * a.models[0].Stops
	if freedoms > 0 && freedoms < uncertainty.FewRepeats {
		half = math.Max(half, uncertainty.Factor(0)*photometry.ReadingStops(uncertainty.AssumedRepeatability, a.in.Resolution))
	}
	return half
}

// leastShown is what a reading of 0 is taken to be less than: the step of the
// display, by the largest power of ten in lx or fc that divides all readings of the
// quantity; infinite where all are 0.
func (a *analysis) leastShown(q photometry.Quantity) float64 {
	step := 0.0
	if !slices.ContainsFunc(a.in.Readings, func(r Reading) bool { return r.Level.Quantity == q && r.Level.Value > 0 }) {
		return math.Inf(1)
	}
	for _, unit := range []float64{1, photometry.LuxPerFootcandle} {
		for k := 3.0; k >= -3; k-- {
			if s := unit * math.Pow(10, k); s > step && a.divides(s, q) {
				step = s
			}
		}
	}
	return step
}

func (a *analysis) divides(step float64, q photometry.Quantity) bool {
	return !slices.ContainsFunc(a.in.Readings, func(r Reading) bool {
		n := r.Level.Value / step
		return r.Level.Quantity == q && math.Abs(n-math.Round(n)) > 1e-6
	})
}

// bounds is the interval of log2 of a level: lognormal for what was read or added,
// from nothing to the display's step for a reading of 0. A difference is bounded by
// the bounds of its two readings, each as far from its own estimate: the method of
// variance estimates recovery (Zou and Donner, Statistics in Medicine 27, 2008,
// 1693), which leaves it no lower end where the two may be equal.
func (a *analysis) bounds(l light) Interval {
	switch {
	case l.of != nil:
		x, y := a.bounds(l.of[0]), a.bounds(l.of[1])
		together, off := l.of[0].level, l.of[1].level
		low := together - off - math.Hypot(together-math.Exp2(x[0]), math.Exp2(y[1])-off)
		high := together - off + math.Hypot(math.Exp2(x[1])-together, off-math.Exp2(y[0]))
		if l.unproved {
			low = 0
		}
		return Interval{math.Log2(math.Max(0, low)), math.Log2(math.Max(0, high))}
	case l.level == 0:
		return Interval{math.Inf(-1), math.Log2(l.below)}
	}
	half := a.factor * math.Sqrt(l.variance)
	return Interval{math.Log2(l.level) - half, math.Log2(l.level) + half}
}

// between is the interval of log2(l/reference) for two lights that share no reading,
// by the same method, which for lognormal levels is ± f·s·√(sum of their variances);
// nil where neither end is bounded.
func (a *analysis) between(l, reference light) *Interval {
	x, y := a.bounds(l), a.bounds(reference)
	out := Interval{x[0] - y[1], x[1] - y[0]} // all that there is to say of one that may be nothing
	if l.level > 0 && reference.level > 0 {
		p, q := math.Log2(l.level), math.Log2(reference.level)
		out = Interval{p - q - math.Hypot(p-x[0], y[1]-q), p - q + math.Hypot(x[1]-p, q-y[0])}
	}
	if math.IsInf(out[0], 0) && math.IsInf(out[1], 0) {
		return nil
	}
	return &out
}
