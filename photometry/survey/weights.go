package survey

import "evenfall/photometry/spatial"

// AreaWeights is the area that each point represents, in any unit, nil where all
// are equal: spatial.Places.Areas, within the surface where its size is known, or of
// points in rows and columns within the part in shot, where that is what counts.
func (s *Survey) AreaWeights(places *spatial.Places, inShot bool) []float64 {
	if inShot && s.Area != nil && s.Lattice != nil && s.Lattice.Full() {
		return places.Areas(s.Lattice, s.Area)
	}
	if s.Settings.Sized {
		return places.Areas(s.Lattice, &s.Extent)
	}
	return places.Areas(s.Lattice, nil)
}
