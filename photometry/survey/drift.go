package survey

import (
	"cmp"
	"maps"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat"

	"evenfall/photometry"
	"evenfall/photometry/drift"
	"evenfall/photometry/uncertainty"
)

// drift is how the light changed by the reference's repeat readings; nil without two of
// them at two times. bad marks repeats that do not count, nil none.
func (s *Survey) drift(bad []bool) *drift.Drift {
	if s.Reference < 0 || s.Minutes == nil {
		return nil
	}
	var readings []drift.Reading
	for k, r := range s.Replicates {
		if int(r.Point) == s.Reference && !math.IsNaN(r.Minutes) && r.Level > 0 && (bad == nil || !bad[k]) {
			readings = append(readings, drift.Reading{Minutes: r.Minutes, Stops: math.Log2(r.Level)})
		}
	}
	var times []float64 // of all readings, not of the first of each point
	s.eachReading(func(_ int, _, minutes, _ float64) { times = append(times, minutes) })
	return drift.Find(readings, times, s.knownScatter())
}

// knownScatter is the scatter of one reading in stops as known beforehand.
func (s *Survey) knownScatter() float64 {
	r := uncertainty.AssumedRepeatability
	if s.Settings.Repeatability != nil {
		r = *s.Settings.Repeatability
	}
	return photometry.ReadingStops(r, s.Settings.Resolution)
}

// corrected is the column of levels with a significant drift taken out, all
// brought to the time of the last reading of the reference, which is how the
// light was left. Points without a
// time stay as they are and are counted. Without such a drift it is the column
// itself.
func (s *Survey) corrected(d *drift.Drift) (level []float64, untimed int) {
	if d == nil || !d.Significant {
		return s.Level, 0
	}
	level = make([]float64, len(s.Level))
	s.eachReading(func(point int, v, minutes, share float64) {
		if d.IsOutside(minutes) {
			d.Outside++
		}
		stops, _ := d.Off(d.Changes[0], minutes)
		level[point] += share * v * math.Exp2(stops)
	})
	for _, t := range s.Minutes {
		if math.IsNaN(t) {
			untimed++
		}
	}
	d.Corrected = true
	return level, untimed
}

// eachReading calls f with every reading: its point, level and time, and its share in the
// point's mean.
func (s *Survey) eachReading(f func(point int, level, minutes, share float64)) {
	counts := map[int32]int{}
	for _, r := range s.Replicates {
		counts[r.Point]++
	}
	for _, r := range s.Replicates {
		f(int(r.Point), r.Level, r.Minutes, 1/float64(counts[r.Point]))
	}
	for i, v := range s.Level {
		if counts[int32(i)] == 0 {
			f(i, v, s.Minutes[i], 1)
		}
	}
}

// lone are the marked readings of the reference that have one before and one after in
// time that are not marked: an error in a steady light. Of any others the light may have
// changed.
func (s *Survey) lone(bad []bool) []bool {
	var at []int
	for k, r := range s.Replicates {
		if int(r.Point) == s.Reference {
			at = append(at, k)
		}
	}
	slices.SortStableFunc(at, func(a, b int) int { return cmp.Compare(s.Replicates[a].Minutes, s.Replicates[b].Minutes) })
	out := make([]bool, len(bad))
	for i := 1; i+1 < len(at); i++ {
		out[at[i]] = bad[at[i]] && !bad[at[i-1]] && !bad[at[i+1]]
	}
	return out
}

// underChanges are models of the scatter under each change of the light that a drift
// allows, where another one may have been taken out of the levels.
func (s *Survey) underChanges(d, taken *drift.Drift, models []uncertainty.Model) (out []uncertainty.Model) {
	for k, c := range d.Changes {
		shift, slack := make([]float64, len(s.Level)), make([]float64, len(s.Level))
		s.eachReading(func(point int, _, minutes, share float64) {
			was, _ := taken.Off(taken.Changes[0], minutes)
			stops, either := d.Off(c, minutes)
			shift[point] += share * (stops - was)
			slack[point] += share * either
		})
		for _, m := range models {
			m.Drift = d.Deviation(c)
			if k > 0 || d != taken {
				m.Shift = shift
			}
			if c.HasSlack() {
				m.Slack = slack
			}
			out = append(out, m)
		}
	}
	return out
}

// repeatScatter is the sum of squares in stops² of repeat readings about their
// points' means and its degrees of freedom, without the marked ones, and,
// where a drift was taken out, with it taken out and without the reference.
func (s *Survey) repeatScatter(d *drift.Drift, bad []bool) (squares float64, nu int) {
	corrected := d.Taken()
	values := map[int32][]float64{}
	for k, r := range s.Replicates {
		if r.Level <= 0 || bad != nil && bad[k] || corrected && int(r.Point) == s.Reference {
			continue
		}
		v := math.Log2(r.Level)
		if corrected && !math.IsNaN(r.Minutes) {
			stops, _ := d.Off(d.Changes[0], r.Minutes)
			v += stops
		}
		values[r.Point] = append(values[r.Point], v)
	}
	return aboutMeans(values)
}

// aboutMeans is the sum of squares of values about the mean of their point, and its
// degrees of freedom.
func aboutMeans(byPoint map[int32][]float64) (squares float64, nu int) {
	for _, point := range slices.Sorted(maps.Keys(byPoint)) {
		values := byPoint[point]
		squares += stat.MomentAbout(2, values, stat.Mean(values, nil), nil) * float64(len(values))
		nu += len(values) - 1
	}
	return squares, nu
}
