package colorimetry

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
	"sort"
	"sync"

	"evenfall/photometry"
)

// ErrNoSuchLight is wrapped by the error for a chromaticity that no light can
// have: not finite, or outside the spectral locus and the purple line.
var ErrNoSuchLight = errors.New("no light has this chromaticity")

// onEdge is how far outside the horseshoe a chromaticity may lie in x or y and
// still be taken for one on its edge: half of the fourth decimal, to which
// meters and tables give chromaticities.
const onEdge = 5e-5

// Check returns nil if some light can have this chromaticity: it is finite and
// lies in the convex hull of the spectral locus, which the line of purples
// closes. Every mixture of spectral lights lies in that hull and nothing else
// does.
func (c XY) Check() error {
	if !photometry.Finite(c.X, c.Y) {
		return fmt.Errorf("%w: x %v, y %v is not a pair of numbers", ErrNoSuchLight, c.X, c.Y)
	}
	if !horseshoe().contains(c) {
		return fmt.Errorf("%w: x %.4f, y %.4f lies outside the spectral locus and the line of purples", ErrNoSuchLight, c.X, c.Y)
	}
	return nil
}

// SpectralLocus returns the chromaticities of monochromatic light at 1 nm from
// 360 nm to 830 nm, for plots. Joining the last to the first is the line of
// purples.
func SpectralLocus() []XY {
	out := make([]XY, Samples)
	for i := range out {
		out[i] = ColorMatching(FirstNM + i).XY()
	}
	return out
}

// hull is a convex region as its two chains, both in rising x.
type hull struct{ lower, upper []XY }

var horseshoe = sync.OnceValue(func() *hull {
	points := SpectralLocus()
	slices.SortFunc(points, func(a, b XY) int { return cmp.Or(cmp.Compare(a.X, b.X), cmp.Compare(a.Y, b.Y)) })
	return &hull{lower: chain(points, 1), upper: chain(points, -1)}
})

// chain is one half of Andrew's monotone chain: the convex side that keeps
// every point on its left (side +1, the lower one) or right (side −1).
func chain(sorted []XY, side float64) []XY {
	var out []XY
	for _, p := range sorted {
		for len(out) > 1 && side*cross(out[len(out)-2], out[len(out)-1], p) <= 0 {
			out = out[:len(out)-1]
		}
		out = append(out, p)
	}
	return out
}

// cross is twice the signed area of the triangle a, b, p: positive where p is
// left of the way from a to b.
func cross(a, b, p XY) float64 {
	return (b.X-a.X)*(p.Y-a.Y) - (b.Y-a.Y)*(p.X-a.X)
}

func (h *hull) contains(p XY) bool {
	if p.X < h.lower[0].X-onEdge || p.X > h.lower[len(h.lower)-1].X+onEdge {
		return false
	}
	return beside(h.lower, p) >= -onEdge && beside(h.upper, p) <= onEdge
}

// beside is the signed distance of p to the left of the chain's segment that
// spans its x.
func beside(chain []XY, p XY) float64 {
	hi := 1 + sort.Search(len(chain)-2, func(i int) bool { return chain[i+1].X > p.X })
	a, b := chain[hi-1], chain[hi]
	return cross(a, b, p) / math.Sqrt((b.X-a.X)*(b.X-a.X)+(b.Y-a.Y)*(b.Y-a.Y))
}
