package survey

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/spatial"
)

const (
	repeatsApart  = 0.3  // stops between repeats that are worth a word
	twinsApart    = 1.0  // the same between only two, whose light may have changed
	manyRepeats   = 6    // from which on a change of the light is told from a slip
	nearOthers    = 0.15 // how near an undone slip comes to the other repeats
	nearNeighbors = 0.35 // the same where only the neighbors can tell
)

// Slipped marks the repeat readings, by index in Again, that look like slips of
// the pen: far from the others at their place (or, of two, from the places
// around) and near to them with the slip undone. Repeats that disagree without
// a slip that explains it are told as warnings.
func (s *Survey) Slipped(places *spatial.Places) (bad []bool, suspects []Suspect, warnings []photometry.Finding) {
	if len(s.Again) == 0 {
		return nil, nil, nil
	}
	bad = make([]bool, len(s.Again))
	at := map[int32][]int{}
	var points []int32
	for k, r := range s.Again {
		if at[r.Point] == nil {
			points = append(points, r.Point)
		}
		at[r.Point] = append(at[r.Point], k)
	}
	for _, p := range points {
		readings := at[p]
		explained := true
		for _, k := range readings {
			expected, within := s.expectedRepeat(places, int(p), readings, k)
			off := math.Log2(s.Again[k].Level) - expected
			if !(math.Abs(off) > repeatsApart) {
				continue
			}
			suspect := Suspect{Label: s.Name(int(p)), Point: int(p), Line: s.Again[k].Line, Found: s.writtenText(s.Again[k].Level), Expected: math.Exp2(expected), repeat: true}
			for _, slip := range s.slips(s.Again[k].Level) {
				if math.Abs(off+photometry.Stops(slip.level, s.Again[k].Level)) <= within {
					suspect.Reasons, suspect.Suggestions = append(suspect.Reasons, slip.reason), append(suspect.Suggestions, slip.text)
				}
			}
			// A fading light looks like a shadow on the last of a few readings.
			if (len(readings) >= manyRepeats || s.Minutes == nil && len(readings) > 2) && off < 0 && off > -3 {
				suspect.Reasons = append(suspect.Reasons, OwnShadow)
				suspect.Suggestions = append(suspect.Suggestions, "read again from the side, clear of the light")
			}
			if len(suspect.Reasons) == 0 {
				explained = false
				continue
			}
			bad[k] = true
			suspects = append(suspects, suspect)
		}
		if !explained {
			warnings = append(warnings, s.disagreement(int(p), readings))
		}
	}
	if !slices.Contains(bad, true) {
		bad = nil
	}
	return bad, suspects, warnings
}

// expectedRepeat is the log2 level that the other readings at a place, or of two
// its neighbors, let one expect of reading k, and how near an undone slip must
// come. Of many readings with times, a steady change of the light is allowed
// for by the median slope between pairs (Theil–Sen).
func (s *Survey) expectedRepeat(places *spatial.Places, point int, readings []int, k int) (stops, within float64) {
	if len(readings) == 2 {
		near := places.Nearest(point, 8)
		if len(near) < 3 {
			return math.NaN(), 0
		}
		around := make([]float64, len(near))
		for i, j := range near {
			around[i] = math.Log2(s.Level[j])
		}
		middle := spatial.MedianInPlace(around)
		other := readings[0]
		if other == k {
			other = readings[1]
		}
		own, twin := math.Log2(s.Again[k].Level), math.Log2(s.Again[other].Level)
		if math.Abs(own-twin) <= twinsApart || math.Abs(own-middle) <= math.Abs(twin-middle) {
			return own, 0 // they agree, or the other one is the odd one
		}
		return twin, nearNeighbors
	}
	var others, slopes []float64
	timed := true
	for _, j := range readings {
		timed = timed && !math.IsNaN(s.Again[j].Minutes)
	}
	slope := 0.0
	if timed && len(readings) >= manyRepeats {
		for a, i := range readings {
			for _, j := range readings[a+1:] {
				if dt := s.Again[j].Minutes - s.Again[i].Minutes; dt != 0 {
					slopes = append(slopes, (math.Log2(s.Again[j].Level)-math.Log2(s.Again[i].Level))/dt)
				}
			}
		}
		slope = spatial.MedianInPlace(slopes)
	}
	for _, j := range readings {
		if j != k {
			v := math.Log2(s.Again[j].Level)
			if slope != 0 {
				v += slope * (s.Again[k].Minutes - s.Again[j].Minutes)
			}
			others = append(others, v)
		}
	}
	return spatial.MedianInPlace(others), nearOthers
}

// disagreement tells of repeats far apart that no slip explains.
func (s *Survey) disagreement(point int, readings []int) photometry.Finding {
	texts := make([]string, 0, len(readings))
	for _, k := range readings[:min(4, len(readings))] {
		texts = append(texts, s.writtenText(s.Again[k].Level))
	}
	return photometry.Finding{Code: "repeats_disagree", Text: fmt.Sprintf("The readings at %s disagree: %s. Read it again.", s.Name(point), strings.Join(texts, ", "))}
}

// Without is a column of levels in which the marked repeats do not count.
func (s *Survey) Without(level []float64, bad []bool) []float64 {
	if bad == nil {
		return level
	}
	out := slices.Clone(level)
	sums, counts, touched := map[int32]float64{}, map[int32]float64{}, map[int32]bool{}
	for k, r := range s.Again {
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
