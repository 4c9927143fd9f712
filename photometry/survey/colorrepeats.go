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
	type sums struct{ m, d, mm, dd, n float64 }
	by := map[int32]*sums{}
	for _, again := range s.ColorReplicates {
		t, err := (colorimetry.UVPrime{U: again.U, V: again.V}).CCT()
		if err != nil {
			continue
		}
		if by[again.Point] == nil {
			by[again.Point] = &sums{}
		}
		p := by[again.Point]
		p.n++
		p.m += t.Mired()
		p.d += t.Duv
		p.mm += t.Mired() * t.Mired()
		p.dd += t.Duv * t.Duv
	}
	for _, p := range by {
		mired += p.mm - p.m*p.m/p.n
		duv += p.dd - p.d*p.d/p.n
		nu += int(p.n) - 1
	}
	if nu == 0 {
		return 0, 0, 0
	}
	return math.Sqrt(math.Max(0, mired) / float64(nu)), math.Sqrt(math.Max(0, duv) / float64(nu)), nu
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
