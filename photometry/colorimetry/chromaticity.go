package colorimetry

import "fmt"

// XYZ are CIE 1931 tristimulus values. Y carries the photometric level in
// whatever unit the caller uses (lx, cd/m², relative).
type XYZ struct{ X, Y, Z float64 }

// XY is a CIE 1931 chromaticity (x, y).
type XY struct {
	X float64 `json:"x"`
	Y float64 `json:"y"`
}

// UV is a CIE 1960 chromaticity (u, v), the plane in which CCT and Duv are
// defined.
type UV struct {
	U float64 `json:"u"`
	V float64 `json:"v"`
}

// UVPrime is a CIE 1976 chromaticity (u′, v′) with u′ = u and v′ = 1.5·v, the
// plane in which differences are counted in steps.
type UVPrime struct {
	U float64 `json:"u_prime"`
	V float64 `json:"v_prime"`
}

// XY returns x = X/(X+Y+Z), y = Y/(X+Y+Z). Of no light at all (a sum that is
// not positive) the chromaticity is absent: the zero XY, which Check refuses.
func (c XYZ) XY() XY {
	sum := c.X + c.Y + c.Z
	if !(sum > 0) {
		return XY{}
	}
	return XY{c.X / sum, c.Y / sum}
}

// UV returns u = 4X/(X+15Y+3Z), v = 6Y/(X+15Y+3Z), and the zero UV of no light.
func (c XYZ) UV() UV {
	d := c.X + 15*c.Y + 3*c.Z
	if !(d > 0) {
		return UV{}
	}
	return UV{4 * c.X / d, 6 * c.Y / d}
}

// Add returns the sum of two lights, which is how light mixes (Grassmann).
func (c XYZ) Add(d XYZ) XYZ { return XYZ{c.X + d.X, c.Y + d.Y, c.Z + d.Z} }

// Scale returns the light k times as strong.
func (c XYZ) Scale(k float64) XYZ { return XYZ{k * c.X, k * c.Y, k * c.Z} }

// XYZ returns the tristimulus values of a light with this chromaticity and the
// given level: X = x/y·Y, Z = (1−x−y)/y·Y. It panics if y is not positive, for
// no light has that; Check the chromaticity first.
func (c XY) XYZ(level float64) XYZ {
	if !(c.Y > 0) {
		panic("colorimetry: XYZ of a chromaticity without luminance (y must be positive)")
	}
	return XYZ{c.X / c.Y * level, level, (1 - c.X - c.Y) / c.Y * level}
}

// UV returns u = 4x/(−2x+12y+3), v = 6y/(−2x+12y+3) (CIE 1960). The divisor is
// positive for every chromaticity that Check accepts.
func (c XY) UV() UV {
	d := -2*c.X + 12*c.Y + 3
	return UV{4 * c.X / d, 6 * c.Y / d}
}

// UVPrime returns u′ = 4x/(−2x+12y+3), v′ = 9y/(−2x+12y+3) (CIE 1976).
func (c XY) UVPrime() UVPrime {
	d := -2*c.X + 12*c.Y + 3
	return UVPrime{4 * c.X / d, 9 * c.Y / d}
}

// XY returns x = 3u/(2u−8v+4), y = 2v/(2u−8v+4), the inverse of XY.UV.
func (c UV) XY() XY {
	d := 2*c.U - 8*c.V + 4
	return XY{3 * c.U / d, 2 * c.V / d}
}

// UVPrime returns u′ = u, v′ = 1.5·v.
func (c UV) UVPrime() UVPrime { return UVPrime{c.U, 1.5 * c.V} }

// UV returns u = u′, v = v′/1.5.
func (c UVPrime) UV() UV { return UV{c.U, c.V / 1.5} }

// XY returns x = 9u′/(6u′−16v′+12), y = 4v′/(6u′−16v′+12), the inverse of
// XY.UVPrime.
func (c UVPrime) XY() XY {
	d := 6*c.U - 16*c.V + 12
	return XY{9 * c.U / d, 4 * c.V / d}
}

// String writes the chromaticity as Parse reads it, xy:0.3127,0.3290 with four
// decimals.
func (c XY) String() string { return fmt.Sprintf("xy:%.4f,%.4f", c.X, c.Y) }

// String writes the chromaticity as Parse reads it, uv:0.1978,0.3122.
func (c UV) String() string { return fmt.Sprintf("uv:%.4f,%.4f", c.U, c.V) }

// String writes the chromaticity as Parse reads it, u'v':0.1978,0.4683.
func (c UVPrime) String() string { return fmt.Sprintf("u'v':%.4f,%.4f", c.U, c.V) }
