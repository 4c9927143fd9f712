package ratio

import (
	"math"

	"evenfall/photometry"
	"evenfall/photometry/uncertainty"
)

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
	resolution := a.in.Resolution
	n := &a.out.Noise
	switch {
	case a.in.Repeatability != nil:
		n.Source, n.RepeatabilityPercent = "stated", 100**a.in.Repeatability
		n.Stops = photometry.ReadingStops(*a.in.Repeatability, resolution)
	case freedoms > 0:
		r := math.Sqrt(squares / float64(freedoms))
		n.Source, n.RepeatabilityPercent, n.DegreesOfFreedom = "repeats", 100*r, freedoms
		n.Stops = photometry.ReadingStops(r, resolution)
	default:
		n.Source, n.RepeatabilityPercent = "assumed", 100*uncertainty.AssumedRepeatability
		n.Stops = photometry.ReadingStops(uncertainty.AssumedRepeatability, resolution)
		a.infer("scatter_assumed")
	}
	a.scatter = n.Stops
	a.factor = a.halfWidth(0)
	if n.Source == "repeats" && freedoms < uncertainty.FewRepeats {
		n.Stops = math.Max(n.Stops, photometry.ReadingStops(uncertainty.AssumedRepeatability, resolution))
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
	n := a.out.Noise
	known := uncertainty.Factor(0)
	freedoms := n.DegreesOfFreedom + more
	if n.Source == "stated" || freedoms == 0 {
		return known * a.scatter
	}
	half := uncertainty.Factor(freedoms) * a.scatter
	if freedoms < uncertainty.FewRepeats {
		half = math.Max(half, known*photometry.ReadingStops(uncertainty.AssumedRepeatability, a.in.Resolution))
	}
	return half
}
