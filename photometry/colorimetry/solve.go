package colorimetry

import (
	"math"

	"evenfall/photometry"
)

// response is where a light lands in CIE 1960 (u, v) and how that changes with
// two controls p and q.
type response struct{ at, byP, byQ UV }

// accumulator sums tristimulus values and their derivatives by two controls.
type accumulator struct{ c, p, q XYZ }

func (a *accumulator) add(i int, power, dp, dq float64) {
	a.c.see(i, power)
	a.p.see(i, dp)
	a.q.see(i, dq)
}

func (a *accumulator) response() response {
	d := a.c.X + 15*a.c.Y + 3*a.c.Z
	at := UV{4 * a.c.X / d, 6 * a.c.Y / d}
	slope := func(t XYZ) UV {
		s := t.X + 15*t.Y + 3*t.Z
		return UV{(4*t.X - at.U*s) / d, (6*t.Y - at.V*s) / d}
	}
	return response{at, slope(a.p), slope(a.q)}
}

// landed is how near in u or v a solution must come, a ten-thousandth of what
// chromaticities are written to.
const landed = 1e-10

// limits bound the controls while solving: far outside them nothing real is
// found.
type limits struct{ pMin, pMax, qMin, qMax, pStep, qStep float64 }

// solve finds the controls that land on target, by Newton's method in two
// dimensions, each step bounded and halved while it leads away. ok is false
// where nothing within the limits lands there.
func solve(respond func(p, q float64) response, target UV, p, q float64, lim limits) (_, _ float64, ok bool) {
	off := func(r response) (du, dv, size float64) {
		du, dv = target.U-r.at.U, target.V-r.at.V
		return du, dv, math.Hypot(du, dv)
	}
	r := respond(p, q)
	du, dv, size := off(r)
	for range 100 {
		if size < landed {
			return p, q, true
		}
		det := r.byP.U*r.byQ.V - r.byP.V*r.byQ.U
		if det == 0 || !photometry.Finite(det) {
			return p, q, false
		}
		dp := (du*r.byQ.V - dv*r.byQ.U) / det
		dq := (dv*r.byP.U - du*r.byP.V) / det
		k := math.Min(1, math.Min(lim.pStep/math.Abs(dp), lim.qStep/math.Abs(dq)))
		for try := 0; ; try++ {
			np := math.Min(math.Max(p+k*dp, lim.pMin), lim.pMax)
			nq := math.Min(math.Max(q+k*dq, lim.qMin), lim.qMax)
			nr := respond(np, nq)
			ndu, ndv, nsize := off(nr)
			if nsize < size {
				p, q, r, du, dv, size = np, nq, nr, ndu, ndv, nsize
				break
			}
			if try == 30 {
				return p, q, false
			}
			k /= 2
		}
	}
	return p, q, false
}
