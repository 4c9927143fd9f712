package falloff

import (
	"math"

	"evenfall/photometry"
)

// Law is how a level falls along the axis of one source:
//
//	E(d) = I/((d + o)² + R²) + A
//
// I alone is a point; an offset o says that the light seems to start o behind
// (positive) or ahead (negative) of where the distances are measured from; a
// Lambertian disc of radius R has I = π·L·R², with which the law is its exact
// form π·L·R²/(R² + d²); A is what the reading holds of other light. Sources:
// the inverse square law (Lambert, Photometria, 1760) and configuration B-12 of
// J. R. Howell, A Catalog of Radiation Heat Transfer Configuration Factors.
type Law struct {
	// Intensity is I, the effective intensity toward the readings as seen from
	// far away: level times square meters, so cd where levels are lux.
	Intensity float64
	// OffsetM is o in meters.
	OffsetM float64
	// SourceRadiusM is R in meters.
	SourceRadiusM float64
	// Ambient is A, in the unit of the level.
	Ambient float64
}

// Direct returns the source's own share of the level at distanceM on a receiver
// that faces it.
func (l Law) Direct(distanceM float64) float64 {
	s := distanceM + l.OffsetM
	return l.Intensity / (s*s + l.SourceRadiusM*l.SourceRadiusM)
}

// Level returns the level at distanceM (meters) on a receiver that faces the
// source.
func (l Law) Level(distanceM float64) float64 { return l.Direct(distanceM) + l.Ambient }

// LevelTilted returns the level where the source is incidenceDeg off the
// receiver's normal: the direct part falls with the cosine, the ambient part
// comes from all around and does not.
func (l Law) LevelTilted(distanceM, incidenceDeg float64) float64 {
	return l.Direct(distanceM)*photometry.CosineFactor(incidenceDeg) + l.Ambient
}

// Exponent returns the local exponent at distanceM, d ln E/d ln d: −2 where the
// inverse square holds, nearer to 0 close to a wide source or deep in ambient
// light.
func (l Law) Exponent(distanceM float64) float64 {
	s := distanceM + l.OffsetM
	direct := l.Direct(distanceM)
	return -2 * distanceM * s / (s*s + l.SourceRadiusM*l.SourceRadiusM) * direct / (direct + l.Ambient)
}

// DistanceAt returns the distance in meters at which the level is, the
// inverse of Level, and false where the law never reaches it in front of the
// source.
func (l Law) DistanceAt(level float64) (float64, bool) {
	direct := level - l.Ambient
	if !(direct > 0) || !(l.Intensity > 0) {
		return 0, false
	}
	s2 := l.Intensity/direct - l.SourceRadiusM*l.SourceRadiusM
	if !(s2 >= 0) {
		return 0, false
	}
	d := math.Sqrt(s2) - l.OffsetM
	return d, d > 0
}

// InverseSquareFrom returns the distance in meters from the light's own center,
// OffsetM behind the zero of the distances, beyond which its light is within the
// relative tolerance of the inverse square: R/√tolerance, at 1 % ten radii, which
// is the five-times rule (five diameters; IES). Ambient light is left out, since
// no distance outruns it.
func (l Law) InverseSquareFrom(tolerance float64) float64 {
	return l.SourceRadiusM / math.Sqrt(tolerance)
}

// AmbientFrom returns the distance in meters beyond which the ambient is more
// than the given share of the source's own light, and false where there is no
// ambient or where it is more at any distance.
func (l Law) AmbientFrom(share float64) (float64, bool) {
	if !(l.Ambient > 0) {
		return 0, false
	}
	return l.DistanceAt(l.Ambient/share + l.Ambient)
}
