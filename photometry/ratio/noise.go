package ratio

import (
	"math"

	"evenfall/photometry"

	"gonum.org/v1/gonum/stat/distuv"
)

const (
	// assumedScatter is the repeatability of one reading where nothing better is
	// known: common practice, no source.
	assumedScatter = 0.02
	// fewFreedoms is the degrees of freedom below which the assumption still
	// counts beside an estimate.
	fewFreedoms = 4
	// upperTail is the probability below the upper end of a 95 % interval.
	upperTail = 0.975
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
		n.Source, n.RepeatabilityPercent = "assumed", 100*assumedScatter
		n.Stops = photometry.ReadingStops(assumedScatter, resolution)
		a.out.Inferred = append(a.out.Inferred, "readings repeat within 2 %, an assumption; note repeatability, or read some lights twice")
	}
	a.scatter = n.Stops
	a.factor = a.halfWidth(0)
	if n.Source == "repeats" && freedoms < fewFreedoms {
		n.Stops = math.Max(n.Stops, photometry.ReadingStops(assumedScatter, resolution))
	}
}

// halfWidth is the half width in stops of the 95 % interval of one reading once
// there are more degrees of freedom from further repeats of the same scatter:
// 1.95996·s where s is known or assumed, Student's t where it is estimated. With
// few degrees of freedom repeats may agree by luck, and the assumption counts too.
func (a *analysis) halfWidth(more int) float64 {
	n := a.out.Noise
	normal := distuv.UnitNormal.Quantile(upperTail)
	freedoms := n.DegreesOfFreedom + more
	if n.Source == "stated" || freedoms == 0 {
		return normal * a.scatter
	}
	half := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: float64(freedoms)}.Quantile(upperTail) * a.scatter
	if freedoms < fewFreedoms {
		half = math.Max(half, normal*photometry.ReadingStops(assumedScatter, a.in.Resolution))
	}
	return half
}
