package survey

import "evenfall/photometry/spatial"

// voronoiLimit is how many scattered points get exact cells; above it the
// surface is divided into bins.
const voronoiLimit = 1500

// AreaWeights is the area that each point stands for, in any unit, nil where
// all are equal: readings in even rows and columns. Uneven rows and columns
// weigh by the strip around each; scattered points by their Voronoi cell within
// the surface, or above 1,500 points by bin.
func (s *Survey) AreaWeights() []float64 {
	switch l := s.Lattice; {
	case s.Len() < 3 || (l != nil && l.Even && l.Full()):
		return nil
	case l != nil && !l.Full() && s.Len() <= voronoiLimit:
		return spatial.VoronoiAreas(s.X, s.Y, s.domain())
	case l != nil:
		wx := spatial.StripWidths(l.Xs, s.Settings.Sized, s.Extent.X0, s.Extent.X1)
		wy := spatial.StripWidths(l.Ys, s.Settings.Sized, s.Extent.Y0, s.Extent.Y1)
		weights := make([]float64, s.Len())
		for r := range l.Ys {
			for c := range l.Xs {
				if i := l.At(c, r); i >= 0 {
					weights[i] = wx[c] * wy[r]
				}
			}
		}
		return weights
	case s.Len() <= voronoiLimit:
		return spatial.VoronoiAreas(s.X, s.Y, s.domain())
	}
	return spatial.BinWeights(s.X, s.Y, s.domain())
}

// domain is the part of the surface that scattered points stand for: all of it
// where its size is known, else their box grown by half their typical spacing.
func (s *Survey) domain() spatial.Box {
	box, _ := spatial.BoxOf(s.X, s.Y)
	if s.Settings.Sized {
		// Points outside would have no cell.
		return spatial.Box{X0: min(box.X0, s.Extent.X0), Y0: min(box.Y0, s.Extent.Y0), X1: max(box.X1, s.Extent.X1), Y1: max(box.Y1, s.Extent.Y1)}
	}
	if l := s.Lattice; l != nil {
		return spatial.Box{X0: l.Xs[0], Y0: l.Ys[0], X1: l.Xs[len(l.Xs)-1], Y1: l.Ys[len(l.Ys)-1]}.Grow(spatial.FirstStep(l.Xs)/2, spatial.FirstStep(l.Ys)/2)
	}
	half := spatial.TypicalSpacing(box, s.Len()) / 2
	return box.Grow(half, half)
}
