package falloff

import (
	"math"

	"evenfall/photometry"

	"gonum.org/v1/gonum/spatial/r3"
)

// Source is a source of light with a place in space.
type Source interface {
	// Illuminance returns the illuminance in lx at the point at (meters) of a
	// receiver whose front looks along normal (any length but zero). It is zero
	// behind the receiver, behind the source and in the source's own plane, and
	// never negative or NaN for finite arguments.
	Illuminance(at, normal r3.Vec) float64
}

// unit returns v at length one, and false where v has no direction.
func unit(v r3.Vec) (r3.Vec, bool) {
	n := math.Sqrt(r3.Norm2(v))
	if n == 0 || !photometry.Finite(n) {
		return r3.Vec{}, false
	}
	return r3.Scale(1/n, v), true
}

// across returns a unit vector at right angles to the unit vector w.
func across(w r3.Vec) r3.Vec {
	// The axis least along w gives the best conditioned product.
	e := r3.Vec{X: 1}
	switch x, y, z := math.Abs(w.X), math.Abs(w.Y), math.Abs(w.Z); {
	case y <= x && y <= z:
		e = r3.Vec{Y: 1}
	case z <= x && z <= y:
		e = r3.Vec{Z: 1}
	}
	u, _ := unit(r3.Cross(e, w))
	return u
}

// sane turns what rounding leaves at the edges (a tiny negative, or NaN on the
// very rim of a source) into zero.
func sane(e float64) float64 {
	if e > 0 && !math.IsInf(e, 1) {
		return e
	}
	return 0
}
