package colorimetry

import (
	"fmt"
	"math"

	"evenfall/photometry"
)

// Step is the distance in CIE 1976 (u′, v′) of one step of a u′v′ circle, which
// approximates a one-step MacAdam ellipse (CIE TN 001:2014).
const Step = 0.0011

// DeltaUVPrime returns the distance Δu′v′ between two chromaticities.
func DeltaUVPrime(a, b UVPrime) float64 { return math.Hypot(a.U-b.U, a.V-b.V) }

// Steps returns a distance Δu′v′ in steps of 0.0011.
func Steps(deltaUVPrime float64) float64 { return deltaUVPrime / Step }

// LocusPoints returns n points of the Planckian locus between two color
// temperatures, evenly spaced in mired, for plots. Errors as in CCT.Check. It
// panics if n is less than 2.
func LocusPoints(fromKelvin, toKelvin float64, n int) ([]UVPrime, error) {
	return across(n, CCT{Kelvin: fromKelvin}, CCT{Kelvin: toKelvin})
}

// IsothermPoints returns n points of the line of equal color temperature between
// two values of Duv, for plots. Errors as in CCT.Check. It panics if n is less
// than 2.
func IsothermPoints(kelvin, fromDuv, toDuv float64, n int) ([]UVPrime, error) {
	return across(n, CCT{kelvin, fromDuv}, CCT{kelvin, toDuv})
}

// across walks evenly in mired and Duv.
func across(n int, from, to CCT) ([]UVPrime, error) {
	if n < 2 {
		panic("colorimetry: a line needs at least 2 points")
	}
	if err := from.Check(); err != nil {
		return nil, err
	}
	if err := to.Check(); err != nil {
		return nil, err
	}
	out := make([]UVPrime, n)
	for i := range out {
		f := float64(i) / float64(n-1)
		t := CCT{
			Kelvin: Kelvin(from.Mired() + f*(to.Mired()-from.Mired())),
			Duv:    from.Duv + f*(to.Duv-from.Duv),
		}
		uv, err := t.UV()
		if err != nil {
			return nil, err
		}
		out[i] = uv.UVPrime()
	}
	return out, nil
}

// ToleranceOutline returns the outline of all colors within ± a tolerance in
// mired and in Duv of a reference, with perSide points a side, for plots. It is
// an error if the tolerance is not positive or reaches beyond what CCT.Check
// allows. It panics if perSide is less than 1.
func ToleranceOutline(reference CCT, mired, duv float64, perSide int) ([]UVPrime, error) {
	if perSide < 1 {
		panic("colorimetry: ToleranceOutline needs at least 1 point a side")
	}
	if !photometry.Finite(mired, duv) || mired <= 0 || duv <= 0 {
		return nil, fmt.Errorf("a color tolerance must be positive in mired and in Duv, not %v and %v", mired, duv)
	}
	vertex := func(i int) CCT {
		signs := [4][2]float64{{-1, -1}, {1, -1}, {1, 1}, {-1, 1}}[i%4]
		return CCT{Kelvin(reference.Mired() + signs[0]*mired), reference.Duv + signs[1]*duv}
	}
	var out []UVPrime
	for i := range 4 {
		side, err := across(perSide+1, vertex(i), vertex(i+1))
		if err != nil {
			return nil, err
		}
		out = append(out, side[:perSide]...)
	}
	return out, nil
}
