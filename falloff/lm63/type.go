package lm63

import (
	"cmp"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Type is the photometric type of a file: which axis its two angles turn about.
type Type uint8

// The photometric types by the standard's codes.
const (
	// TypeC has its pole along the aim: the vertical angle γ runs from the aim
	// (0) to straight back (180), the horizontal angle C turns about the aim.
	TypeC Type = 1
	// TypeB has its pole along x: H is the latitude toward x, V turns about x
	// from the aim (0) toward y (90).
	TypeB Type = 2
	// TypeA has its pole along y: V is the latitude toward y, H turns about y
	// from the aim (0) toward x (90).
	TypeA Type = 3
)

// String returns the letter of the type.
func (t Type) String() string {
	return cmp.Or(map[Type]string{TypeA: "A", TypeB: "B", TypeC: "C"}[t], "unknown")
}

// Angles are a direction in the angles of a photometric type, in degrees.
type Angles struct {
	HorizontalDeg, VerticalDeg float64
}

const (
	degree  = math.Pi / 180
	degrees = 180 / math.Pi
)

// Direction returns the unit vector of a direction in the fixture's frame:
//
//	A: (sin H·cos V, sin V, cos H·cos V)
//	B: (sin H, cos H·sin V, cos H·cos V)
//	C: (sin γ·cos C, sin γ·sin C, cos γ)
//
// It panics for a type that is none of the three. Source: the definitions of
// the types in LM-63-2002.
func (t Type) Direction(a Angles) r3.Vec {
	sinH, cosH := math.Sincos(a.HorizontalDeg * degree)
	sinV, cosV := math.Sincos(a.VerticalDeg * degree)
	switch t {
	case TypeA:
		return r3.Vec{X: sinH * cosV, Y: sinV, Z: cosH * cosV}
	case TypeB:
		return r3.Vec{X: sinH, Y: cosH * sinV, Z: cosH * cosV}
	case TypeC:
		return r3.Vec{X: sinV * cosH, Y: sinV * sinH, Z: cosV}
	}
	panic("lm63: unknown photometric type")
}

// AnglesOf is the inverse of Direction, for a direction of any length but zero:
// C from 0 to 360 and γ from 0 to 180 for type C; H from −180 to 180 and V from
// −90 to 90 for type A; H from −90 to 90 and V from −180 to 180 for type B. At
// a pole, where the turning angle has no value, it is zero (B and A straight
// back: 180).
func (t Type) AnglesOf(direction r3.Vec) Angles {
	x, y, z := direction.X, direction.Y, direction.Z
	switch t {
	case TypeA:
		return Angles{
			HorizontalDeg: math.Atan2(x, z) * degrees,
			VerticalDeg:   math.Atan2(y, math.Sqrt(x*x+z*z)) * degrees,
		}
	case TypeB:
		return Angles{
			HorizontalDeg: math.Atan2(x, math.Sqrt(y*y+z*z)) * degrees,
			VerticalDeg:   math.Atan2(y, z) * degrees,
		}
	case TypeC:
		c := math.Atan2(y, x) * degrees
		if c < 0 {
			c += 360
		}
		return Angles{
			HorizontalDeg: c,
			VerticalDeg:   math.Atan2(math.Sqrt(x*x+y*y), z) * degrees,
		}
	}
	panic("lm63: unknown photometric type")
}
