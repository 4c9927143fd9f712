package evenness

import (
	"cmp"
	"math"

	"evenfall/photometry/spatial"
	"evenfall/photometry/survey"
)

// AdvisedSpacing is the largest distance between readings in meters that EN
// 12464-1 (4.4, illuminance grid) advises for a surface of two sides in
// meters: p = 0.2·5^(log10 d), d being the longer side, or the shorter one
// where the longer is at least twice it; never above 10 m.
func AdvisedSpacing(side, other float64) float64 {
	d := math.Max(side, other)
	// A millionth of slack, so that 4.8 × 2.4 counts as twice.
	if short := math.Min(side, other); short > 0 && d >= 2*short*(1-1e-6) {
		d = short
	}
	return math.Min(10, 0.2*math.Pow(5, math.Log10(d)))
}

// sampling compares how far apart the readings are with what is advised, and
// whether any are at the border of the surface.
func sampling(s *survey.Survey, places *spatial.Places) *Sampling {
	if s.Len() < 2 {
		return nil
	}
	w, h := s.Extent.Width(), s.Extent.Height()
	if !(w > 0 || h > 0) {
		return nil
	}
	// A surface that is only a line has one side.
	out := &Sampling{AdvisedSpacingM: AdvisedSpacing(cmp.Or(w, h), cmp.Or(h, w))}
	if l := s.Lattice; l != nil {
		// A lattice over part of the surface leaves the rest unread.
		out.SpacingM = max(largestStep(l.Xs), largestStep(l.Ys), w/float64(len(l.Xs)+1), h/float64(len(l.Ys)+1))
	} else {
		// What each reading has to itself of the surface, or where they cluster
		// the widest gap to the nearest one.
		out.SpacingM = max(places.Box.Union(s.Extent).Spacing(s.Len()), widestGap(places))
	}
	out.Enough = out.SpacingM <= out.AdvisedSpacingM*(1+1e-9)
	// Within a tenth of a step of each side counts as read at the border.
	box, near := places.Box, 0.1*min(out.SpacingM, out.AdvisedSpacingM)
	out.EdgesRead = box.X0-s.Extent.X0 <= near && s.Extent.X1-box.X1 <= near &&
		box.Y0-s.Extent.Y0 <= near && s.Extent.Y1-box.Y1 <= near
	return out
}

// widestGap is the largest distance from a reading to the one nearest to it,
// among up to a few thousand readings.
func widestGap(p *spatial.Places) float64 {
	if p.Len() > everyPlace {
		return 0
	}
	gap := 0.0
	for i := range p.Len() {
		if near := p.Nearest(i, 1); len(near) > 0 {
			gap = max(gap, math.Hypot(p.X[near[0]]-p.X[i], p.Y[near[0]]-p.Y[i]))
		}
	}
	return gap
}

func largestStep(at []float64) float64 {
	step := 0.0
	for i := 1; i < len(at); i++ {
		step = max(step, at[i]-at[i-1])
	}
	return step
}
