package plan

import (
	"math"
	"slices"

	"evenfall/photometry"
)

// ambientEvidence is what readings say of whether single lamps were read with the
// ambient light on.
type ambientEvidence struct {
	asked  bool    // there are readings of single lamps
	better float64 // χ² that one fit is under the other
	differ bool    // a lamp's level by one fit lies outside its interval by the other
}

// plainer is by how much χ² has to be less for one of two fits to be taken for
// what the readings say: twice the logarithm of a likelihood ratio of e².
const plainer = 4.0

// settleAmbient solves with the ambient light in the readings of single lamps and
// without it, and keeps the fit that explains the readings better; where they
// explain them alike, without it, as for balance.
func (f *levelFit) settleAmbient(noise float64) (ambientEvidence, error) {
	if !f.hasAlone() {
		return ambientEvidence{}, f.solve(noise)
	}
	off, on := *f, *f
	on.equations, on.ambientInAlone = slices.Clone(f.equations), true
	for _, fit := range []*levelFit{&off, &on} {
		if err := fit.solve(noise); err != nil {
			return ambientEvidence{}, err
		}
	}
	offErrors, onErrors := off.errors(), on.errors()
	// A plan that fits badly in any case tells less: its own scatter counts.
	s := math.Max(math.Max(noise, leastScatter), math.Min(robustDeviation(offErrors), robustDeviation(onErrors)))
	gain := chiSquare(offErrors, s) - chiSquare(onErrors, s)
	out := ambientEvidence{asked: true, better: math.Abs(gain)}
	for k := range f.lamps {
		out.differ = out.differ || on.scale[k] < off.low[k] || on.scale[k] > off.high[k] || off.scale[k] < on.low[k] || off.scale[k] > on.high[k]
	}
	if *f = off; gain > plainer {
		*f = on
	}
	return out, nil
}

// chiSquare is the sum of the squared errors in units of s, each counted up to
// Tukey's limit.
func chiSquare(errs []float64, s float64) (sum float64) {
	for _, e := range errs {
		sum += math.Min(e*e/(s*s), tukey*tukey)
	}
	return sum
}

// errors are those of all readings but suspects, in stops.
func (f *levelFit) errors() []float64 {
	var out []float64
	for i := range f.equations {
		q := &f.equations[i]
		if m := f.model(q, f.scale); !q.excluded && m > 0 {
			out = append(out, photometry.Stops(q.level, m))
		}
	}
	return out
}
