package lm63

import (
	"math"

	"gonum.org/v1/gonum/floats"
)

// Symmetry is how the angles of a file represent all directions.
type Symmetry string

// The symmetries, with the horizontal angles of type C that mean them.
const (
	Full      Symmetry = "full"       // 0 to 360, or the angles as they are (types A and B)
	Axial     Symmetry = "axial"      // one plane
	Quadrants Symmetry = "quadrants"  // 0 to 90, mirrored in both main planes
	MirroredY Symmetry = "mirrored y" // 0 to 180, mirrored in the plane of x and the aim
	MirroredX Symmetry = "mirrored x" // 90 to 270, mirrored in the plane of y and the aim
	// For types A and B horizontal angles from 0 are MirroredX, vertical angles
	// from 0 are MirroredY, both are Quadrants.
)

// symmetriesC are the ranges of horizontal angles that represent a full turn in
// type C, with the planes to mirror in, in order.
var symmetriesC = []struct {
	first, last float64
	symmetry    Symmetry
	mirrors     []float64
}{
	{0, 90, Quadrants, []float64{90, 180}},
	{0, 180, MirroredY, []float64{180}},
	{90, 270, MirroredX, []float64{270}},
}

// expandSymmetry finds the symmetry from the range of the angles, adds the
// mirrored directions, and adds a missing plane at 360. It reports errors at the
// tokens of the first and last angles, and returns false where it cannot go on.
func (d *Distribution) expandSymmetry(w *tokenReader, vEnds, hEnds [2]token) bool {
	d.grid.kind, d.grid.rows = d.Type, len(d.VerticalDeg)
	d.grid.v, d.grid.h = newAxis(d.VerticalDeg), newAxis(d.HorizontalDeg)
	if d.Type != TypeC {
		return d.expandTypesAB(w, vEnds, hEnds)
	}
	switch v := d.VerticalDeg; {
	case v[0] < -angleTolerance || v[0] > 180:
		w.failAt(vEnds[0], "a first vertical angle from 0 to 90 for type C")
		return false
	case v[len(v)-1] > 180+angleTolerance:
		w.failAt(vEnds[1], "a last vertical angle up to 180 for type C")
		return false
	}
	if !d.expandTypeC(w, hEnds) {
		return false
	}
	// Bring the first plane to 0–360.
	h := d.grid.h.deg
	floats.AddConst(-360*math.Floor(h[0]/360), h)
	return true
}

// expandTypeC expands the planes of type C to a full turn.
func (d *Distribution) expandTypeC(w *tokenReader, ends [2]token) bool {
	h, turn := d.HorizontalDeg, &d.grid.h
	first, last := h[0], h[len(h)-1]
	for _, s := range symmetriesC {
		if sameAngle(first, s.first) && sameAngle(last, s.last) {
			d.Symmetry = s.symmetry
			for _, about := range s.mirrors {
				turn.mirror(about)
			}
			return true
		}
	}
	switch {
	case len(h) == 1:
		d.Symmetry = Axial
		*turn = axis{deg: []float64{first, first + 360}, of: []int{0, 0}}
		if !sameAngle(first, 0) {
			w.warn(ends[0].line, "axial_plane", "the only plane is at %s°, taken as axially symmetric", formatNumber(first))
		}
		return true
	case sameAngle(last-first, 360):
		d.Symmetry = Full
		if !sameAngle(first, 0) {
			w.warn(ends[0].line, "odd_angles", "horizontal angles run from %s° to %s°, the standard has 0 to 360", formatNumber(first), formatNumber(last))
		}
		d.checkSeam(w.report, ends[1].line)
		return true
	case len(h) > 2 && first >= -angleTolerance && last > 180 && last < first+360 && first+360-last <= 1.5*widestInterval(h):
		// The plane at 360 is the one at 0; editions before 2002 let it be left
		// out. A wider gap is missing data.
		d.Symmetry = Full
		w.warn(ends[1].line, "planes_joined", "the plane at %s° is missing, the one at %s° stands for it", formatNumber(first+360), formatNumber(first))
		d.HorizontalDeg = append(h, first+360)
		d.grid.cd = append(d.grid.cd, d.grid.cd[:d.grid.rows]...)
		*turn = newAxis(d.HorizontalDeg)
		return true
	}
	w.failDescribed(ends[1].line, "horizontal angles from "+formatNumber(first)+" to "+formatNumber(last),
		"0 only, 0 to 90, 0 to 180, 90 to 270 or 0 to 360 for type C")
	return false
}

// widestInterval returns the largest interval of ascending angles.
func widestInterval(deg []float64) float64 {
	most := 0.0
	for i := 1; i < len(deg); i++ {
		most = max(most, deg[i]-deg[i-1])
	}
	return most
}

func (d *Distribution) expandTypesAB(w *tokenReader, vEnds, hEnds [2]token) bool {
	// The latitude ends at the poles, the other angle may go all round.
	mostV, mostH := 90.0, 180.0
	if d.Type == TypeB {
		mostV, mostH = 180, 90
	}
	okV := d.checkAB(w, "vertical", d.VerticalDeg, vEnds, mostV)
	okH := d.checkAB(w, "horizontal", d.HorizontalDeg, hEnds, mostH)
	if !okV || !okH {
		return false
	}
	mirroredY, mirroredX := d.grid.v.mirrorHalf(), d.grid.h.mirrorHalf()
	d.Symmetry = map[[2]bool]Symmetry{{false, false}: Full, {true, false}: MirroredX, {false, true}: MirroredY, {true, true}: Quadrants}[[2]bool{mirroredX, mirroredY}]
	return true
}

// checkAB checks one set of angles of type A or B against its range.
func (d *Distribution) checkAB(w *tokenReader, what string, deg []float64, ends [2]token, most float64) bool {
	errors := len(w.errors)
	first, last := deg[0], deg[len(deg)-1]
	switch {
	case len(deg) < 2:
		w.failDescribed(ends[0].line, "one "+what+" angle", "at least two for type "+d.Type.String())
	case first < -most-angleTolerance:
		w.failAt(ends[0], "a "+what+" angle from "+formatNumber(-most)+" for type "+d.Type.String())
	case last > most+angleTolerance:
		w.failAt(ends[1], "a "+what+" angle up to "+formatNumber(most)+" for type "+d.Type.String())
	case sameAngle(last, 0):
		w.warn(ends[1].line, "odd_angles", "%s angles run from %s° to 0, the standard has them from 0 up; taken as symmetric", what, formatNumber(first))
	}
	return len(w.errors) == errors
}

// mirrorHalf mirrors angles that start or end at zero and reports whether it did.
func (a *axis) mirrorHalf() bool {
	half := sameAngle(a.deg[0], 0) || sameAngle(a.deg[len(a.deg)-1], 0)
	if half {
		a.mirror(0)
	}
	return half
}
