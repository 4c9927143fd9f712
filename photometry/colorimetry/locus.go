package colorimetry

import (
	"math"
	"sync"
)

// The table of the Planckian locus runs a little past both ends of the range of
// color temperatures, so that a light just beyond an end is recognized as such.
// In mired the locus is smooth and evenly bent; with a step of 5 the quintic
// between two nodes is within 1e-13 of the integral in u and v.
const (
	locusFirst    = 35.0 // mired, 28,571 K
	locusStep     = 5.0
	locusSegments = 201 // to 1,040 mired, 961 K
)

// segment is the locus between two nodes: u and v as polynomials in s = 0…1.
type segment struct{ u, v [6]float64 }

// node is the locus at one mired: place and first two derivatives with respect
// to mired.
type node struct{ u, v, du, dv, ddu, ddv float64 }

type locusTable struct {
	nodes    [locusSegments + 1]node
	segments [locusSegments]segment
}

var locus = sync.OnceValue(buildLocus)

// buildLocus integrates Planck's law with the observer at every node. Along
// evenly spaced mireds e^(c2·r/λ) grows by a constant factor a step, so 471
// exponentials serve for the whole table.
func buildLocus() *locusTable {
	t := new(locusTable)
	var rate, power, growth, scale [Samples]float64
	for i := range rate {
		nm := float64(FirstNM + i)
		rate[i] = SecondRadiationConstant * 1e3 / nm // c2·1e-6/λ: exponent for each mired
		power[i] = math.Exp(rate[i] * locusFirst)
		growth[i] = math.Exp(rate[i] * locusStep)
		scale[i] = math.Pow(560/nm, 5)
	}
	for k := range t.nodes {
		var f, d, dd XYZ
		for i := range power {
			w := 1 + 1/(power[i]-1) // e^x/(e^x−1)
			p := scale[i] / (power[i] - 1)
			dp := -rate[i] * p * w
			ddp := rate[i] * rate[i] * p * w * (2*w - 1)
			f.see(i, p)
			d.see(i, dp)
			dd.see(i, ddp)
			power[i] *= growth[i]
		}
		t.nodes[k] = projectNode(f, d, dd)
	}
	for k := range t.segments {
		a, b := &t.nodes[k], &t.nodes[k+1]
		t.segments[k] = segment{
			u: quintic(a.u, a.du, a.ddu, b.u, b.du, b.ddu),
			v: quintic(a.v, a.dv, a.ddv, b.v, b.dv, b.ddv),
		}
	}
	return t
}

// projectNode carries XYZ and its derivatives to u = 4X/D, v = 6Y/D with
// D = X+15Y+3Z.
func projectNode(f, d, dd XYZ) node {
	sum := func(c XYZ) float64 { return c.X + 15*c.Y + 3*c.Z }
	D, dD, ddD := sum(f), sum(d), sum(dd)
	n := node{u: 4 * f.X / D, v: 6 * f.Y / D}
	n.du = (4*d.X - n.u*dD) / D
	n.dv = (6*d.Y - n.v*dD) / D
	n.ddu = (4*dd.X - 2*n.du*dD - n.u*ddD) / D
	n.ddv = (6*dd.Y - 2*n.dv*dD - n.v*ddD) / D
	return n
}

// quintic returns the coefficients of the polynomial in s = 0…1 that has the
// given values and first and second derivatives (with respect to mired) at both
// ends of a step.
func quintic(f0, d0, a0, f1, d1, a1 float64) [6]float64 {
	const h = locusStep
	d0, d1, a0, a1 = d0*h, d1*h, a0*h*h, a1*h*h
	rise := f1 - f0
	return [6]float64{
		f0, d0, a0 / 2,
		10*rise - 6*d0 - 4*d1 - (3*a0-a1)/2,
		-15*rise + 8*d0 + 7*d1 + (3*a0-2*a1)/2,
		6*rise - 3*(d0+d1) - (a0-a1)/2,
	}
}

// at evaluates a polynomial of segment and its first two derivatives in s.
func at(c *[6]float64, s float64) (f, d, dd float64) {
	f = c[0] + s*(c[1]+s*(c[2]+s*(c[3]+s*(c[4]+s*c[5]))))
	d = c[1] + s*(2*c[2]+s*(3*c[3]+s*(4*c[4]+s*5*c[5])))
	dd = 2*c[2] + s*(6*c[3]+s*(12*c[4]+s*20*c[5]))
	return f, d, dd
}

// point returns the locus and its tangent (for each mired) at a mired inside the
// table.
func (t *locusTable) point(mired float64) (p, tangent UV) {
	x := (mired - locusFirst) / locusStep
	k := min(max(int(x), 0), locusSegments-1)
	s := x - float64(k)
	u, du, _ := at(&t.segments[k].u, s)
	v, dv, _ := at(&t.segments[k].v, s)
	return UV{u, v}, UV{du / locusStep, dv / locusStep}
}

// ahead is (p − locus)·tangent at a node: positive where the nearest point to p
// lies at a higher mired.
func (n *node) ahead(p UV) float64 { return (p.U-n.u)*n.du + (p.V-n.v)*n.dv }

// nearest solves (p − uv)·tangent = 0 for the mired of the nearest point on the
// locus. Beyond the ends of the table it returns the end. Within |Duv| 0.05 the
// locus bends so little (its radius of curvature is everywhere larger) that
// there is one solution, and the sign of (p − uv)·tangent brackets it.
func (t *locusTable) nearest(p UV) (mired float64) {
	lo, hi := 0, locusSegments
	if t.nodes[lo].ahead(p) <= 0 {
		return locusFirst
	}
	if t.nodes[hi].ahead(p) >= 0 {
		return locusFirst + locusStep*locusSegments
	}
	for hi-lo > 1 {
		if mid := (lo + hi) / 2; t.nodes[mid].ahead(p) > 0 {
			lo = mid
		} else {
			hi = mid
		}
	}
	g0, g1 := t.nodes[lo].ahead(p), t.nodes[hi].ahead(p)
	s := g0 / (g0 - g1)
	seg := &t.segments[lo]
	for range 8 {
		u, du, ddu := at(&seg.u, s)
		v, dv, ddv := at(&seg.v, s)
		x, y := p.U-u, p.V-v
		slope := x*ddu + y*ddv - du*du - dv*dv
		step := (x*du + y*dv) / slope
		s = min(max(s-step, 0), 1)
		if math.Abs(step) < 1e-12 {
			break
		}
	}
	return locusFirst + locusStep*(float64(lo)+s)
}
