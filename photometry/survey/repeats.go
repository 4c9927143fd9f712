package survey

import (
	"math"
	"slices"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/entry"
	"evenfall/photometry/leastsquares"
	"evenfall/photometry/spatial"
)

const (
	repeatsApart  = 0.3  // stops between repeats that are worth a word
	twinsApart    = 1.0  // the same between only two, whose light may have changed
	manyRepeats   = 6    // from which on a change of the light is distinguished from a data-entry error
	nearOthers    = 0.15 // how near an undone error comes to the other repeats
	nearNeighbors = 0.35 // the same where only the neighbors are known
)

// suspectRepeats marks the repeat readings, by index in Again, that look like
// data-entry errors: far from the others at their place (or, of two, from the
// places around) and near to them with the error undone; bad is nil where there
// are none. Repeats that disagree without an error that explains it become
// warnings.
func (s *Survey) suspectRepeats(places *spatial.Places) (bad []bool, suspects []Suspect, warnings []photometry.Finding) {
	at := map[int32][]int{}
	var points []int32
	for k, r := range s.Replicates {
		if at[r.Point] == nil {
			points = append(points, r.Point)
		}
		at[r.Point] = append(at[r.Point], k)
	}
	for _, p := range points {
		expected, within := s.expectedRepeats(places, int(p), at[p])
		explained := true
		for i, k := range at[p] {
			off := math.Log2(s.Replicates[k].Level) - expected[i]
			if r := s.Replicates[k]; !(math.Abs(off) > repeatsApart) || s.isConfirmed(r.Line, r.Level) {
				continue
			}
			suspect := s.explainRepeat(k, off, within, len(at[p]), i == 0)
			if len(suspect.Reasons) == 0 {
				explained = false
				continue
			}
			if bad == nil {
				bad = make([]bool, len(s.Replicates))
			}
			bad[k], suspects = true, append(suspects, suspect)
		}
		if !explained {
			warnings = append(warnings, s.disagreement(int(p), at[p]))
		}
	}
	return bad, suspects, warnings
}

// explainRepeat lists the errors whose undoing brings repeat k, one of several and
// off the expected level by some stops, to within so many stops of it.
func (s *Survey) explainRepeat(k int, off, within float64, several int, first bool) Suspect {
	r := s.Replicates[k]
	suspect := Suspect{Label: s.Name(int(r.Point)), Point: int(r.Point), Line: r.Line, Found: s.writtenText(r.Level), Expected: r.Level * math.Exp2(-off), repeat: true}
	for _, e := range entry.MeantBy(s.Settings.Meter, s.Quantity, r.Level) {
		if math.Abs(off+photometry.Stops(e.Level, r.Level)) <= within {
			suspect.suggest(e)
		}
	}
	// A fading light looks like a shadow on the last of a few readings, and one that
	// steps up on the first of many.
	if (several >= manyRepeats && !(first && s.Minutes != nil) || s.Minutes == nil && several > 2) && off < 0 && off > -3 {
		suspect.suggest(entry.InShadow)
	}
	return suspect
}

// expectedRepeats are the log2 levels that the other readings at a place, or of
// two its neighbors, let one expect of each, and how near an error undone must
// come. Of many readings with times, a steady change of the light is allowed for
// by the median slope between pairs (Theil–Sen).
func (s *Survey) expectedRepeats(places *spatial.Places, point int, readings []int) (expected []float64, within float64) {
	n := len(readings)
	stops, minutes := make([]float64, n), make([]float64, n)
	timed := true
	for i, k := range readings {
		stops[i], minutes[i] = math.Log2(s.Replicates[k].Level), s.Replicates[k].Minutes-s.Replicates[readings[0]].Minutes
		timed = timed && !math.IsNaN(minutes[i])
	}
	if n == 2 {
		return s.expectedTwins(places, point, stops), nearNeighbors
	}
	if !timed || n < manyRepeats {
		return leastsquares.MediansOfOthers(stops), nearOthers
	}
	slope := leastsquares.MedianSlope(minutes, stops)
	for i := range stops {
		stops[i] -= slope * minutes[i]
	}
	expected = leastsquares.MediansOfOthers(stops)
	for i := range expected {
		expected[i] += slope * minutes[i]
	}
	return expected, nearOthers
}

// expectedTwins are what two readings at a place let one expect of each: the other
// one where they are far apart and the neighbors side with that.
func (s *Survey) expectedTwins(places *spatial.Places, point int, stops []float64) []float64 {
	near := places.Nearest(point, 8)
	if len(near) < 3 || math.Abs(stops[0]-stops[1]) <= twinsApart {
		return stops
	}
	around := make([]float64, len(near))
	for i, j := range near {
		around[i] = math.Log2(s.Level[j])
	}
	middle := spatial.MedianInPlace(around)
	nearer := stops[0]
	if math.Abs(stops[1]-middle) < math.Abs(stops[0]-middle) {
		nearer = stops[1]
	} else if math.Abs(stops[1]-middle) == math.Abs(stops[0]-middle) {
		return stops
	}
	return []float64{nearer, nearer}
}

// disagreement is a warning of repeats far apart that no error explains.
func (s *Survey) disagreement(point int, readings []int) photometry.Finding {
	texts := make([]string, 0, len(readings))
	for _, k := range readings[:min(4, len(readings))] {
		texts = append(texts, s.writtenText(s.Replicates[k].Level))
	}
	return photometry.Found("repeats_disagree", "place", s.Point(point), "readings", strings.Join(texts, ", "))
}

// withoutSuspects is a column of levels in which the marked repeats do not count.
func (s *Survey) withoutSuspects(level []float64, bad []bool) []float64 {
	if bad == nil {
		return level
	}
	out := slices.Clone(level)
	sums, counts, touched := map[int32]float64{}, map[int32]float64{}, map[int32]bool{}
	for k, r := range s.Replicates {
		if bad[k] {
			touched[r.Point] = true
			continue
		}
		sums[r.Point] += r.Level
		counts[r.Point]++
	}
	for p := range touched {
		if counts[p] > 0 {
			// The drift that was taken out of the mean is kept.
			out[p] = sums[p] / counts[p] * level[p] / s.Level[p]
		}
	}
	return out
}
