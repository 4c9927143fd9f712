package survey

import "evenfall/photometry/spatial"

// AreaWeights is the area that each point represents, in any unit, nil where all
// are equal: spatial.Places.Areas, within the surface where its size is known.
func (s *Survey) AreaWeights(places *spatial.Places) []float64 {
	if s.Settings.Sized {
		return places.Areas(s.Lattice, &s.Extent)
	}
	return places.Areas(s.Lattice, nil)
}
