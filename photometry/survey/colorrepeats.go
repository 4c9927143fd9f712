package survey

import (
	"math"

	"evenfall/photometry/colorimetry"
)

// ColorCount is how many colors each point has; 1 where it is read
// once, so the map has only the repeated ones and a default.
func (s *Survey) ColorCount() countOf {
	count := countOf{}
	for _, again := range s.ColorReplicates {
		count[again.Point]++
	}
	return count
}

type countOf map[int32]float64

// ColorScatter is the standard deviation of one color reading in mired and in
// Duv by repeat readings, with its degrees of freedom; 0 without repeats.
func (s *Survey) ColorScatter() (mired, duv float64, nu int) {
	mireds, duvs := map[int32][]float64{}, map[int32][]float64{}
	for _, again := range s.ColorReplicates {
		if t, err := (colorimetry.UVPrime{U: again.U, V: again.V}).CCT(); err == nil {
			mireds[again.Point], duvs[again.Point] = append(mireds[again.Point], t.Mired()), append(duvs[again.Point], t.Duv)
		}
	}
	ofMired, nu := aboutMeans(mireds)
	if nu == 0 {
		return 0, 0, 0
	}
	ofDuv, _ := aboutMeans(duvs)
	return math.Sqrt(ofMired / float64(nu)), math.Sqrt(ofDuv / float64(nu)), nu
}

// CCT is the color temperature and Duv of a point; ok is false where it has no
// color or is no white.
func (s *Survey) CCT(i int) (colorimetry.CCT, bool) {
	if s.U == nil || math.IsNaN(s.U[i]) {
		return colorimetry.CCT{}, false
	}
	t, err := (colorimetry.UVPrime{U: s.U[i], V: s.V[i]}).CCT()
	return t, err == nil
}
