package evenness

import (
	"cmp"
	"math"
	"slices"

	"evenfall/photometry/spatial"
)

// everyPlace is up to how many places each one is looked at alone.
const everyPlace = 2000

// spots finds patches of at least two neighboring readings that are off the
// trend the same way by more than four scatters: a single reading that is
// off alone may be a data-entry error and is no patch. Largest first, at most
// three.
func (r *Result) spots(excluded []bool) []spot {
	n := r.Points
	if n < 9 || n > everyPlace {
		return nil
	}
	// A run that is merely not quadratic, as near a lamp, is no patch.
	trend := r.Trend
	if n >= 2*spatial.Cubic {
		if finer := r.Places.Fit(r.Clean, excluded, spatial.Cubic); finer != nil {
			trend = finer
		}
	}
	scatter := math.Max(trend.Scatter(r.Places, r.Clean), math.Max(r.Noise.Stops, 0.01))
	g := grower{Places: r.Places, off: make([]float64, n), taken: make([]bool, n), scatter: scatter, reach: 1.6 * r.Places.Spacing()}
	if l := r.Survey.Lattice; l != nil {
		g.reach = 1.2 * math.Hypot(largestStep(l.Xs), largestStep(l.Ys))
	}
	order := make([]int, n)
	for i, v := range r.Clean {
		order[i], g.off[i] = i, math.Log2(v)-trend.Log2At(g.X[i], g.Y[i])
	}
	copy(g.taken, excluded)
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(math.Abs(g.off[b]), math.Abs(g.off[a])) })
	var found []spot
	for _, peak := range order {
		if math.Abs(g.off[peak]) < math.Max(4*scatter, 0.1) || len(found) == 3 {
			break
		}
		if g.taken[peak] {
			continue
		}
		if p := g.grow(peak); len(p.members) >= 2 && len(p.members) <= n/2 {
			found = append(found, p)
		}
	}
	return found
}

// grower grows patches over neighbors.
type grower struct {
	*spatial.Places
	off            []float64 // stops of each place off the trend
	taken          []bool    // by a patch, or a suspect
	scatter, reach float64
}

// grow is the patch around a peak: it spreads over places within reach that are
// off the same way.
func (g *grower) grow(peak int) spot {
	p := spot{peak: peak, stops: g.off[peak], members: []int{peak}}
	g.taken[peak] = true
	least := math.Max(2.5*g.scatter, 0.2*math.Abs(p.stops))
	for k := 0; k < len(p.members); k++ {
		i := p.members[k]
		for j := range g.off {
			if !g.taken[j] && g.off[j]*p.stops > 0 && math.Abs(g.off[j]) >= least && math.Hypot(g.X[j]-g.X[i], g.Y[j]-g.Y[i]) <= g.reach {
				g.taken[j] = true
				p.members = append(p.members, j)
			}
		}
	}
	return p
}
