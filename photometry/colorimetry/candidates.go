package colorimetry

import (
	"cmp"
	"math"
	"slices"
)

// mostPairs is how many pairs of gels are predicted: all of a bag of a hundred.
const mostPairs = 100 * 99 / 2

// candidate is two sheets of a bag by their indices, or one where they are the same.
type candidate struct {
	i, j int
	cost float64
}

func byIndex(a, b candidate) int { return cmp.Or(cmp.Compare(a.i, b.i), cmp.Compare(a.j, b.j)) }

// candidates are every sheet and the pairs to be predicted, in the order of the bag: all
// of a small bag. Of a larger one they are those that come nearest to the target and
// those of the least penalty, half of them each, where each sheet is taken to change X, Y
// and Z by the factors that it has alone. That is off by some steps, far less than the
// candidates differ.
func (p *predictor) candidates(sheets []sheet) (all []candidate) {
	n := len(sheets)
	for i := range sheets {
		all = append(all, candidate{i: i, j: i})
	}
	if n*(n-1)/2 <= mostPairs {
		for i := range sheets {
			for j := i + 1; j < n; j++ {
				all = append(all, candidate{i: i, j: j})
			}
		}
		slices.SortFunc(all, byIndex)
		return all
	}
	bare, alone := p.behind(), make([]XYZ, n)
	for i := range sheets {
		c := p.behind(&sheets[i])
		alone[i] = XYZ{c.X / bare.X, c.Y / bare.Y, c.Z / bare.Z}
	}
	nearest, cheapest := shortlist{bound: math.Inf(1)}, shortlist{bound: math.Inf(1)}
	for i, a := range alone {
		for j := i + 1; j < n; j++ {
			b := alone[j]
			c := XYZ{bare.X * a.X * b.X, bare.Y * a.Y * b.Y, bare.Z * a.Z * b.Z}
			steps := Steps(DeltaUVPrime(c.UV().UVPrime(), p.targetUV))
			nearest.add(candidate{i, j, steps})
			cheapest.add(candidate{i, j, steps - StepsPerStop*math.Log2(a.Y*b.Y)})
		}
	}
	all = slices.Concat(all, nearest.best(), cheapest.best())
	slices.SortFunc(all, byIndex)
	return slices.CompactFunc(all, func(a, b candidate) bool { return byIndex(a, b) == 0 })
}

// shortlist keeps the candidates of least cost, mostPairs/2 of them, as they come.
type shortlist struct {
	kept  []candidate
	bound float64 // what a further one has to be below
}

func (s *shortlist) add(c candidate) {
	if c.cost >= s.bound {
		return
	}
	if s.kept = append(s.kept, c); len(s.kept) >= mostPairs {
		s.kept = s.best()
		s.bound = s.kept[len(s.kept)-1].cost
	}
}

func (s *shortlist) best() []candidate {
	slices.SortFunc(s.kept, func(a, b candidate) int { return cmp.Or(cmp.Compare(a.cost, b.cost), byIndex(a, b)) })
	return s.kept[:min(len(s.kept), mostPairs/2)]
}
