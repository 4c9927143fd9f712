package survey

import (
	"math"
	"slices"
	"strconv"

	"evenfall/photometry"
	"evenfall/photometry/entry"
	"evenfall/photometry/spatial"
)

// Suspect is a reading that looks like a data-entry error, with every reason
// that fits and what the reading would have been.
type Suspect struct {
	Label       string              `json:"label"`
	Line        int                 `json:"line"`
	Found       string              `json:"found"`
	Reasons     []string            `json:"reasons"`
	Suggestions []photometry.Remark `json:"suggestions"`
	// Typed is beside each suggestion the level as it would have been typed, "96 fc" or
	// "960", and MeantLevel what that is in the SI unit of the survey; "" and 0 where a
	// suggestion is of no level.
	Typed      []string  `json:"-"`
	MeantLevel []float64 `json:"-"`

	Point int `json:"-"` // index in the survey
	// Expected is the level that the readings around, or the others at the place,
	// let one expect, in the SI unit of the survey.
	Expected float64 `json:"-"`

	repeat bool // one of several readings at its place
}

// Marked are the points of n that are suspects; nil for none. Of a point that was
// read again only the suspect reading is left out, not the point.
func Marked(n int, suspects []Suspect) []bool {
	var marked []bool
	for _, s := range suspects {
		if s.repeat {
			continue
		}
		if marked == nil {
			marked = make([]bool, n)
		}
		marked[s.Point] = true
	}
	return marked
}

const (
	neighborCount = 12
	allPoints     = 2000 // above it only what is far off the trend is looked at
	mostSuspects  = 100
	farScatters   = 6.0 // how many scatters a suspect is off its neighbors
	farStops      = 0.3 // and at least so many stops
	// farUnexplained is how far off a lone reading is worth a word even where no
	// error explains it.
	farUnexplained = 1.0
)

// neighborFit is what a point's neighbors say of it.
type neighborFit struct {
	off   float64 // log2 of the reading less the fit, stops
	inner float64 // median absolute residual of the neighbors about their fit
	run   float64 // by how much the level runs among the neighbors, stops
	near  []int32 // nearest first
}

// Suspects looks for readings that are out of line with their neighbors and
// that undoing a common error would bring back to within three scatters. A
// reading that its neighbors support, standing out the same way by a good
// part, is a finding and no suspect. alone are points that differ by a stop
// and more without support and without a data-entry error that explains them.
func (s *Survey) Suspects(places *spatial.Places, level []float64, trend *spatial.Trend, noiseStops float64) (out []Suspect, alone []int) {
	n := s.Len()
	switch {
	case n < 4:
		return nil, nil
	case n < 9:
		// A plane through so few readings would lean on the error itself.
		trend = places.Constant(level)
	case n < 2*spatial.Quadratic+3:
		// A quadratic through so few readings bends to a data-entry error in a corner.
		trend = places.Fit(level, nil, spatial.Plane)
	}
	if trend == nil {
		return nil, nil
	}
	residual := func(i int) float64 { return math.Log2(level[i]) - trend.Log2At(s.X[i], s.Y[i]) }

	candidates, sample := s.candidates(residual)
	fits := make(map[int]neighborFit, len(candidates))
	offs := make([]float64, 0, len(sample))
	for _, i := range sample {
		f := s.fitNeighbors(places, i, level, residual)
		offs = append(offs, math.Abs(f.off))
		fits[i] = f
	}
	scatter := math.Max(1.4826*spatial.MedianInPlace(offs), noiseStops)

	for _, i := range candidates {
		f, ok := fits[i]
		if !ok {
			f = s.fitNeighbors(places, i, level, residual)
		}
		local := math.Max(scatter, 1.4826*f.inner)
		// Where the level itself runs steeply, as near a lamp, standing off by
		// less than that is no wonder.
		if math.Abs(f.off) < math.Max(math.Max(farScatters*local, farStops), f.run) || s.isConfirmed(s.LineOf(i), s.firstLevel(i)) {
			continue
		}
		if suspect, ok := s.explain(i, level, f, residual, local); ok {
			out = append(out, suspect)
		} else if math.Abs(f.off) > farUnexplained && !s.supported(i, f, residual, 0, 3*local) {
			alone = append(alone, i)
		}
		if len(out) == mostSuspects {
			break
		}
	}
	slices.SortFunc(out, func(a, b Suspect) int { return a.Point - b.Point })
	return out, alone
}

// candidates are the points to look at, farthest off the trend first, and a
// sample for how well neighbors predict a reading here.
func (s *Survey) candidates(residual func(int) float64) (candidates, sample []int) {
	n := s.Len()
	if n <= allPoints {
		candidates = make([]int, n)
		for i := range candidates {
			candidates[i] = i
		}
		return candidates, candidates
	}
	for i := 0; i < n; i += n / 500 {
		sample = append(sample, i)
	}
	sizes := make([]float64, n)
	for i := range sizes {
		sizes[i] = math.Abs(residual(i))
	}
	bound := math.Max(farStops, 8*1.4826*spatial.MedianInPlace(sizes))
	for i := range n {
		if math.Abs(residual(i)) > bound {
			candidates = append(candidates, i)
		}
	}
	slices.SortFunc(candidates, func(a, b int) int {
		if d := math.Abs(residual(b)) - math.Abs(residual(a)); d != 0 {
			return int(math.Copysign(1, d))
		}
		return a - b
	})
	return candidates[:min(len(candidates), 5*mostSuspects)], sample
}

// fitNeighbors predicts a point from its nearest neighbors: a robust plane
// through what they leave over from the trend, or their median where they are
// few or in a line.
func (s *Survey) fitNeighbors(places *spatial.Places, i int, level []float64, residual func(int) float64) neighborFit {
	near := places.Nearest(i, neighborCount)
	f := neighborFit{near: near}
	values := make([]float64, len(near))
	for k, j := range near {
		values[k] = residual(int(j))
	}
	predicted, spread := places.RobustPlane(i, near, values)
	f.off, f.inner = residual(i)-predicted, spread
	for k, j := range near {
		values[k] = math.Log2(level[j])
	}
	slices.Sort(values)
	// From the fifth part to the fourth, widened: an error or two among them do
	// not count.
	f.run = 1.7 * (values[len(values)*4/5] - values[len(values)/5])
	return f
}

// explain lists the data-entry errors whose undoing brings reading i to its neighbors.
func (s *Survey) explain(i int, level []float64, f neighborFit, residual func(int) float64, scatter float64) (Suspect, bool) {
	within := 3 * scatter
	suspect := Suspect{Label: s.Name(i), Point: i, Line: s.LineOf(i), Found: s.foundText(i), Expected: level[i] * math.Exp2(-f.off)}
	for _, e := range entry.MeantBy(s.Settings.Meter, s.Quantity, s.firstLevel(i)) {
		shift := photometry.Stops(e.Level, s.Level[i])
		// Only errors by a factor repeat themselves from place to place.
		same := 0.0
		if e.Reason != entry.DigitsTransposed {
			same = math.Abs(shift)
		}
		if math.Abs(f.off+shift) > within || s.supported(i, f, residual, same, within) {
			continue
		}
		suspect.suggest(e)
	}
	if f.off < 0 && f.off > -3 && !s.supported(i, f, residual, 0, within) {
		suspect.suggest(entry.InShadow)
	}
	return suspect, len(suspect.Reasons) > 0
}

// suggest adds a reason and what the reading would have been.
func (x *Suspect) suggest(e entry.Meant) {
	x.Reasons, x.Suggestions = append(x.Reasons, e.Reason), append(x.Suggestions, e.Said)
	x.Typed, x.MeantLevel = append(x.Typed, e.Typed), append(x.MeantLevel, e.Level)
}

// supported reports whether at least two of a point's nearest neighbors are
// off the trend the same way by a quarter of its own distance or more.
// Neighbors that are off by the very amount of the error are likely data-entry errors
// themselves and support nothing.
func (s *Survey) supported(i int, f neighborFit, residual func(int) float64, shift, within float64) bool {
	own := residual(i)
	support := 0
	for _, j := range f.near[:min(8, len(f.near))] {
		r := residual(int(j))
		if r*own > 0 && math.Abs(r) >= math.Max(0.25*math.Abs(own), within/3) {
			if shift > 0 && math.Abs(math.Abs(r)-shift) <= within {
				continue
			}
			support++
		}
	}
	return support >= 2
}

// FormatLevel prints a level for people in the way that its column is written: an
// f-number or an exposure value as such, footcandles where they were read, all
// else in the SI unit.
func (s *Survey) FormatLevel(level float64) string {
	return s.Settings.Meter.Format(photometry.Level{Value: level, Quantity: s.Quantity})
}

// UnitFor is the unit to show illuminance in: the one asked for, or without one
// (NoUnit) footcandles where they were read and lux elsewhere.
func (s *Survey) UnitFor(asked photometry.Unit) photometry.Unit {
	return asked.Or(s.Settings.Meter.Unit)
}

// firstLevel is the level of the first reading at point i.
func (s *Survey) firstLevel(i int) float64 {
	for _, r := range s.Replicates {
		if int(r.Point) == i {
			return r.Level
		}
	}
	return s.Level[i]
}

// foundText is what is in the file for the first reading at point i.
func (s *Survey) foundText(i int) string {
	if text, ok := s.found[int32(i)]; ok {
		return text
	}
	return s.writtenText(s.firstLevel(i))
}

// writtenText is a level as it would be written in its column, with the unit.
func (s *Survey) writtenText(level float64) string {
	unit := s.Settings.Meter.Unit
	if unit == photometry.NoUnit {
		unit = photometry.LX
	}
	return strconv.FormatFloat(s.Settings.Meter.Written(level), 'g', 6, 64) + " " + unit.String()
}
