package plan

import (
	"math"
	"slices"
)

// roomEvidence is what readings say of whether single lamps were read with the
// ambient light on.
type roomEvidence struct {
	asked  bool    // there are readings of single lamps
	better float64 // χ² that one fit is under the other
	differ bool    // a lamp's level by one fit lies outside its interval by the other
}

// plainer is by how much χ² has to be less for one of two fits to be taken for
// what the readings say: twice the logarithm of a likelihood ratio of e².
const plainer = 4.0

// settleRoom solves with the ambient light in the readings of single lamps and
// without it, and keeps the fit that explains the readings better; where they
// explain them alike, without it, as for balance.
func (f *fit) settleRoom(noise float64) (roomEvidence, error) {
	if !f.hasAlone() {
		return roomEvidence{}, f.solve(noise)
	}
	var fits [2]*fit
	var errors [2][]float64
	for k := range fits {
		c := *f
		c.room = k == 1
		if err := c.solve(noise); err != nil {
			return roomEvidence{}, err
		}
		fits[k], errors[k] = &c, c.errors()
	}
	// A plan that fits badly in any case tells less: its own scatter counts.
	s := math.Max(math.Max(noise, leastScatter), math.Min(spreadOfErrors(errors[0]), spreadOfErrors(errors[1])))
	chi := func(errs []float64) (sum float64) {
		for _, e := range errs {
			sum += math.Min(e*e/(s*s), tukey*tukey)
		}
		return sum
	}
	off, on := chi(errors[0]), chi(errors[1])
	taken, other := fits[0], fits[1]
	if off-on > plainer {
		taken, other = other, taken
	}
	out := roomEvidence{asked: true, better: math.Abs(off - on)}
	for k := range f.lamps {
		a, b := taken.scale[k], other.scale[k]
		out.differ = out.differ || b < taken.low[k] || b > taken.high[k] || a < other.low[k] || a > other.high[k]
	}
	*f = *taken
	return out, nil
}

// errors are those of all readings but slips, in stops.
func (f *fit) errors() []float64 {
	var out []float64
	for i, level := range f.levels {
		if m := f.model(i, f.scale); !f.left[i] && m > 0 {
			out = append(out, math.Log2(level/m))
		}
	}
	return out
}

// spreadOfErrors is a standard deviation by the median of the sizes.
func spreadOfErrors(errs []float64) float64 {
	sizes := make([]float64, len(errs))
	for i, e := range errs {
		sizes[i] = math.Abs(e)
	}
	slices.Sort(sizes)
	return normalOfMedian * sizes[len(sizes)/2]
}

// tellRoom says which kind of readings of single lamps the figures rest on, or
// that it cannot be told and matters.
func (f *fit) tellRoom(out *Score, in roomEvidence) {
	switch {
	case !in.asked:
	case in.better > plainer:
		room := f.room
		out.AmbientInAlone = &room
		if f.room {
			out.inferred = append(out.inferred, "the lamps read alone were read with the ambient light on: so the readings fit better")
		} else {
			out.inferred = append(out.inferred, "the lamps read alone were read without the ambient light: so the readings fit better")
		}
	case in.differ:
		out.Warnings = append(out.Warnings, finding("ambient_alone", "The readings cannot tell whether the lamps read alone hold the ambient light; taken without it. Read the ambient light by itself (lamp ambient)."))
	}
}
