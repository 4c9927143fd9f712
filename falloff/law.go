package falloff

import (
	"math"

	"evenfall/photometry"
)

// Law is how a level falls along the axis of one source:
//
//	E(d) = I/((d + o)² + R²) + A
//
// A point has only I; an offset o says that the light seems to start o behind
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

// LevelTilted returns the level where the source stands incidenceDeg off the
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

// DistanceAt returns the distance in meters at which the level stands, the
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

// InverseSquareFrom returns the distance in meters beyond which the source's own
// light stays within the relative tolerance of the inverse square I/d², with d
// measured as the readings are: |(I/d²)/Direct(d) − 1| ≤ tolerance. For a disc
// that is R/√tolerance, at 1 % the five-times rule (five diameters; IES). For an
// offset it is 1/(√(1+t) − 1), at 1 % about 200, times the offset: light that
// starts elsewhere takes long to look as if it started here. For a point it is
// zero. Ambient light is left out, since no distance outruns it.
func (l Law) InverseSquareFrom(tolerance float64) float64 {
	o, r2 := l.OffsetM, l.SourceRadiusM*l.SourceRadiusM
	// ((d+o)² + R²)/d² − 1 = ±t is a quadratic in 1/d: (o² + R²)·u² + 2o·u ∓ t = 0.
	a := o*o + r2
	if a == 0 {
		return 0
	}
	var from float64
	for _, t := range [2]float64{tolerance, -tolerance} {
		disc := o*o + a*t
		if disc < 0 {
			continue
		}
		for _, sign := range [2]float64{1, -1} {
			if u := (-o + sign*math.Sqrt(disc)) / a; u > 0 {
				from = math.Max(from, 1/u)
			}
		}
	}
	return from
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
