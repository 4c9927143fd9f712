package evenness

import (
	"math"
	"slices"

	"evenfall/photometry/spatial"
	"evenfall/photometry/survey"
)

// everyPlace is up to how many places each one is looked at alone.
const everyPlace = 2000

// spots finds patches of at least two neighboring readings that stand off the
// trend the same way by more than four scatters: a single reading that stands
// out alone may be a slip and is no patch. Largest first, at most three.
func spots(s *survey.Survey, places *spatial.Places, level []float64, left []bool, trend *spatial.Trend, noiseStops float64) []spot {
	n := s.Len()
	if n < 9 || n > everyPlace {
		return nil
	}
	// A run that is merely not quadratic, as near a lamp, is no patch.
	if n >= 2*spatial.Cubic {
		if finer := places.Fit(level, left, spatial.Cubic); finer != nil {
			trend = finer
		}
	}
	residual := make([]float64, n)
	for i, v := range level {
		residual[i] = math.Log2(v) - trend.Log2At(s.X[i], s.Y[i])
	}
	scatter := math.Max(trend.Scatter(places, level), math.Max(noiseStops, 0.01))
	reach := 1.6 * places.Spacing()
	if l := s.Lattice; l != nil {
		reach = 1.2 * math.Hypot(largestStep(l.Xs), largestStep(l.Ys))
	}
	taken := make([]bool, n)
	var found []spot
	order := make([]int, n)
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int {
		switch d := math.Abs(residual[b]) - math.Abs(residual[a]); {
		case d > 0:
			return 1
		case d < 0:
			return -1
		}
		return 0
	})
	for _, peak := range order {
		if math.Abs(residual[peak]) < math.Max(4*scatter, 0.1) || len(found) == 3 {
			break
		}
		if taken[peak] || (left != nil && left[peak]) {
			continue
		}
		// Grow from the peak over neighbors that stand out the same way.
		p := spot{peak: peak, stops: residual[peak], members: []int{peak}}
		taken[peak] = true
		for k := 0; k < len(p.members); k++ {
			for j := range n {
				if taken[j] || (left != nil && left[j]) || residual[j]*p.stops <= 0 ||
					math.Abs(residual[j]) < math.Max(2.5*scatter, 0.2*math.Abs(p.stops)) {
					continue
				}
				if math.Hypot(s.X[j]-s.X[p.members[k]], s.Y[j]-s.Y[p.members[k]]) <= reach {
					taken[j] = true
					p.members = append(p.members, j)
				}
			}
		}
		if len(p.members) >= 2 && len(p.members) <= n/2 {
			found = append(found, p)
		}
	}
	return found
}
