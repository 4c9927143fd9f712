package photometry

import "math"

// PointIlluminance is the illuminance in lx from a source small for its
// distance: E = I·cos(ε)/d², with the intensity I in candela toward the
// receiver, the distance d in meters and the cosine of the angle of incidence ε
// from the receiver's normal (1 is square on). Where the cosine is zero or less
// no light falls on the receiver and the result is 0. Source: the
// inverse-square and cosine laws of illumination (IES Lighting Handbook; CIE
// 17.4, 17-21-081).
func PointIlluminance(candela, meters, cosine float64) float64 {
	return candela / (meters * meters) * math.Max(0, cosine)
}

// InverseSquare moves a level from one distance of a small source to another:
// level·(from/to)². Both distances are positive and in one unit.
func InverseSquare(level, from, to float64) float64 {
	r := from / to
	return level * r * r
}

// InverseSquareStops is what that move costs or gains in stops, 2·log2(from/to):
// negative where to is the farther.
func InverseSquareStops(from, to float64) float64 { return 2 * math.Log2(from/to) }

// CosineFactor is the share of the square-on level that a flat receptor reads
// at an angle of incidence in degrees: max(0, cos ε).
func CosineFactor(incidenceDeg float64) float64 {
	return math.Max(0, math.Cos(incidenceDeg*math.Pi/180))
}

// DomeFactor is the share of the square-on level that an ideal hemispherical
// dome reads at an angle of incidence in degrees: (1 + cos ε)/2, from the area
// that the dome shows to the light. It never falls to zero before 180°.
func DomeFactor(incidenceDeg float64) float64 {
	return (1 + math.Cos(incidenceDeg*math.Pi/180)) / 2
}
