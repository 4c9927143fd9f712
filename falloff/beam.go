package falloff

import (
	"fmt"
	"math"

	"evenfall/photometry"

	"gonum.org/v1/gonum/spatial/r3"
)

// Beam is a point source whose intensity falls from its axis as a power of the
// cosine, I(γ) = I0·cosᵐ γ for γ < 90° and zero beyond: m = 0 shines evenly
// into the half space in front, m = 1 is a small Lambertian surface, a spot has
// m of 20 and more.
type Beam struct {
	// Place is where the source is, in meters.
	Place r3.Vec
	// Axis is where it points, any length but zero.
	Axis r3.Vec
	// PeakIntensity is I0 in cd.
	PeakIntensity float64
	// Exponent is m, at least 0.
	Exponent float64
}

// NewBeam returns the beam at place along axis that sends flux (lm) into a beam
// of beamDeg degrees, measured across from half intensity to half intensity. It
// returns an error where BeamExponent does.
func NewBeam(place, axis r3.Vec, fluxLM, beamDeg float64) (Beam, error) {
	m, err := BeamExponent(beamDeg)
	if err != nil {
		return Beam{}, err
	}
	return Beam{Place: place, Axis: axis, PeakIntensity: PeakIntensity(fluxLM, m), Exponent: m}, nil
}

// BeamExponent returns the exponent m at which cosᵐ falls to one half at half
// the beam angle, m = ln ½ / ln cos(beam/2). The beam angle is in degrees, more
// than 0 and less than 180, from half intensity on one side to half intensity
// on the other; anything else is an error.
func BeamExponent(beamDeg float64) (float64, error) {
	if !(beamDeg > 0 && beamDeg < 180) {
		return 0, fmt.Errorf("falloff: beam of %g°, expected more than 0 and less than 180", beamDeg)
	}
	return -math.Ln2 / logCos(beamDeg/2*math.Pi/180), nil
}

// logCos returns ln cos x for 0 < x < π/2, also where cos x is so near one that
// its logarithm would lose all digits.
func logCos(x float64) float64 {
	s := math.Sin(x)
	return 0.5 * math.Log1p(-s*s)
}

// BeamDeg is the inverse of BeamExponent: the full angle in degrees between the
// half intensities of cosᵐ, 2·acos(2^(−1/m)), for m > 0. For m = 0 it is 180.
func BeamDeg(exponent float64) float64 {
	return 2 * math.Acos(math.Exp2(-1/exponent)) * 180 / math.Pi
}

// PeakIntensity returns I0 = (m+1)·Φ/2π in cd of a source that sends the flux Φ
// (lm) into cosᵐ of the half space in front, from Φ = 2π·I0·∫cosᵐγ sin γ dγ.
func PeakIntensity(fluxLM, exponent float64) float64 {
	return (exponent + 1) * fluxLM / (2 * math.Pi)
}

// Flux returns Φ = 2π·I0/(m+1) in lm.
func (b Beam) Flux() float64 { return 2 * math.Pi * b.PeakIntensity / (b.Exponent + 1) }

// Illuminance returns E = I(γ)·cos θ/d² (inverse square and cosine laws), with θ
// between the receiver's normal and the direction to the source. At the source
// itself, where the law has no value, it returns zero.
func (b Beam) Illuminance(at, normal r3.Vec) float64 {
	axis, ok1 := unit(b.Axis)
	n, ok2 := unit(normal)
	ray := r3.Sub(at, b.Place)
	d2 := r3.Norm2(ray)
	if !ok1 || !ok2 || d2 == 0 {
		return 0
	}
	d := math.Sqrt(d2)
	front := r3.Dot(axis, ray) / d
	theta := -r3.Dot(n, ray) / d
	if front <= 0 || theta <= 0 {
		return 0
	}
	lobe := 1.0
	switch b.Exponent {
	case 0:
	case 1:
		lobe = front
	default:
		// Near the axis 1 − cos² keeps the digits that cos has lost.
		s := r3.Norm2(r3.Cross(axis, ray)) / d2
		lobe = math.Exp(0.5 * b.Exponent * math.Log1p(-math.Min(s, 1)))
	}
	return sane(photometry.PointIlluminance(b.PeakIntensity*lobe, d, theta))
}
