package lm63

import "math"

// Symmetry is how the angles of a file stand for all directions.
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

// is reports whether an angle is the one that decides the symmetry.
func is(a, b float64) bool { return math.Abs(a-b) <= slack }

// arrange works out symmetry and range from the angles, and joins what the file
// leaves open. It reports what does not fit at the tokens of the first and last
// angles, and returns false where it cannot go on.
func (g *grid) arrange(r *report, vEnds, hEnds [2]token) bool {
	if g.kind == TypeC {
		return g.arrangeC(r, vEnds, hEnds)
	}
	return g.arrangeAB(r, vEnds, hEnds)
}

func (g *grid) arrangeC(r *report, vEnds, hEnds [2]token) bool {
	v, h := g.v.deg, g.h.deg
	if v[0] < -slack || v[0] > 180 {
		r.failAt(vEnds[0], "a first vertical angle from 0 to 90 for type C")
		return false
	}
	if v[len(v)-1] > 180+slack {
		r.failAt(vEnds[1], "a last vertical angle up to 180 for type C")
		return false
	}
	if len(h) == 1 {
		g.symmetry = Axial
		if !is(h[0], 0) {
			r.warn(hEnds[0].line, "axial_plane", "the only plane is at %s°, taken as axially symmetric", short(h[0]))
		}
		return true
	}
	first, last := h[0], h[len(h)-1]
	switch {
	case is(last-first, 360):
		g.symmetry = Full
		if !is(first, 0) {
			r.warn(hEnds[0].line, "odd_angles", "horizontal angles run from %s° to %s°, the standard has 0 to 360", short(first), short(last))
		}
		g.checkSeam(r, hEnds[1].line)
		return true
	case is(first, 0) && is(last, 90):
		g.symmetry = Quadrants
		return true
	case is(first, 0) && is(last, 180):
		g.symmetry = MirroredY
		return true
	case is(first, 90) && is(last, 270):
		g.symmetry = MirroredX
		return true
	case len(h) > 2 && first >= -slack && last > 180 && last < first+360:
		// The plane at 360 is the one at 0; editions before 2002 let it be left
		// out. A wider gap is missing data.
		if gap := first + 360 - last; gap > 1.5*g.h.widest() {
			break
		}
		g.symmetry = Full
		r.warn(hEnds[1].line, "planes_joined", "the plane at %s° is missing, the one at %s° stands for it", short(first+360), short(first))
		nv := len(v)
		g.h = newAxis(append(h, first+360))
		g.cd = append(g.cd, g.cd[:nv]...)
		return true
	}
	r.failWords(hEnds[1].line, "horizontal angles from "+short(first)+" to "+short(last),
		"0 only, 0 to 90, 0 to 180, 90 to 270 or 0 to 360 for type C")
	return false
}

func (g *grid) arrangeAB(r *report, vEnds, hEnds [2]token) bool {
	// The latitude ends at the poles, the other angle may go all round.
	mostV, mostH := 90.0, 180.0
	if g.kind == TypeB {
		mostV, mostH = 180, 90
	}
	ok := true
	check := func(what string, a *axis, ends [2]token, most float64) (mirrored bool) {
		first, last := a.deg[0], a.deg[len(a.deg)-1]
		switch {
		case len(a.deg) < 2:
			r.failWords(ends[0].line, "one "+what+" angle", "at least two for type "+g.kind.String())
			ok = false
		case first < -most-slack:
			r.failAt(ends[0], "a "+what+" angle from "+short(-most)+" for type "+g.kind.String())
			ok = false
		case last > most+slack:
			r.failAt(ends[1], "a "+what+" angle up to "+short(most)+" for type "+g.kind.String())
			ok = false
		}
		if ok && is(last, 0) {
			r.warn(ends[1].line, "odd_angles", "%s angles run from %s° to 0, the standard has them from 0 up; taken as symmetric", what, short(first))
		}
		return is(first, 0) || is(last, 0)
	}
	g.mirrorV = check("vertical", &g.v, vEnds, mostV)
	g.mirrorH = check("horizontal", &g.h, hEnds, mostH)
	if !ok {
		return false
	}
	g.flipV = g.mirrorV && g.v.deg[0] < -slack
	g.flipH = g.mirrorH && g.h.deg[0] < -slack
	switch {
	case g.mirrorH && g.mirrorV:
		g.symmetry = Quadrants
	case g.mirrorH:
		g.symmetry = MirroredX
	case g.mirrorV:
		g.symmetry = MirroredY
	default:
		g.symmetry = Full
	}
	return true
}

// seamShare is how much of the peak may differ where the file gives one
// direction twice.
const seamShare = 0.02

// checkSeam warns where the planes at 0 and 360 differ.
func (g *grid) checkSeam(r *report, line int) {
	nv, last := len(g.v.deg), len(g.h.deg)-1
	peak, apart := 0.0, 0.0
	for _, v := range g.cd {
		peak = math.Max(peak, v)
	}
	for i := range nv {
		apart = math.Max(apart, math.Abs(g.cd[i]-g.cd[last*nv+i]))
	}
	if apart > seamShare*peak {
		r.warn(line, "seam", "the first and the last horizontal angle are the same plane, yet differ by %.0f %% of the peak", 100*apart/peak)
	}
}

// checkPoles warns where planes of type C disagree on the aim or straight back.
func (g *grid) checkPoles(r *report, line int, peak float64) {
	if g.kind != TypeC {
		return
	}
	nv := len(g.v.deg)
	for _, pole := range []struct {
		name string
		at   int
		deg  float64
	}{{"along the aim", 0, 0}, {"straight back", nv - 1, 180}} {
		if !is(g.v.deg[pole.at], pole.deg) {
			continue
		}
		lo, hi := math.Inf(1), math.Inf(-1)
		for j := range g.h.deg {
			lo, hi = math.Min(lo, g.cd[j*nv+pole.at]), math.Max(hi, g.cd[j*nv+pole.at])
		}
		if hi-lo > seamShare*peak {
			r.warn(line, "pole", "the planes differ %s by %.0f %% of the peak, though it is one direction", pole.name, 100*(hi-lo)/peak)
		}
	}
}

// checkEdges warns where the angles end in the middle of the light.
func (g *grid) checkEdges(r *report, vEnds, hEnds [2]token, peak float64) {
	const share = 0.05
	nv, nh := len(g.v.deg), len(g.h.deg)
	edge := func(what string, t token, deg float64, vertical bool, at int) {
		if r := math.Mod(math.Abs(deg), 90); is(r, 0) || is(r, 90) {
			return
		}
		top := 0.0
		if vertical {
			for j := range nh {
				top = math.Max(top, g.cd[j*nv+at])
			}
		} else {
			for i := range nv {
				top = math.Max(top, g.cd[at*nv+i])
			}
		}
		if top > share*peak {
			r.warn(t.line, "cut_off", "%s angles end at %s° with %.0f %% of the peak; nothing is known beyond, taken as dark", what, short(deg), 100*top/peak)
		}
	}
	edge("vertical", vEnds[0], g.v.deg[0], true, 0)
	edge("vertical", vEnds[1], g.v.deg[nv-1], true, nv-1)
	if g.kind != TypeC {
		edge("horizontal", hEnds[0], g.h.deg[0], false, 0)
		edge("horizontal", hEnds[1], g.h.deg[nh-1], false, nh-1)
	}
}
