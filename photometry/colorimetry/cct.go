package colorimetry

import (
	"errors"
	"fmt"
	"math"

	"evenfall/photometry"
)

// The range in which a correlated color temperature is given. Ohno gives CCT and
// Duv from 1,000 K; the CIE gives no CCT beyond 0.05 from the locus (CIE 15,
// correlated color temperature).
const (
	MinKelvin = 1000.0
	MaxKelvin = 25000.0
	MaxDuv    = 0.05
)

// edge lets a value that was computed at the very end of the range pass in spite
// of rounding.
const edge = 1e-9

// Errors that a caller may distinguish with errors.Is.
var (
	// ErrOffWhite: the light is too far from the Planckian locus.
	ErrOffWhite = errors.New("too far from white for a color temperature")
	// ErrKelvin: the color temperature lies outside 1,000 K to 25,000 K.
	ErrKelvin = errors.New("color temperature outside 1,000 K to 25,000 K")
)

// CCT is a color as a meter shows it: correlated color temperature in kelvins
// and Duv, the signed distance from the Planckian locus in CIE 1960 (u, v),
// positive above the locus (green).
//
// Y. Ohno, Practical Use and Calculation of CCT and Duv, LEUKOS 10 (2014) 47–55,
// doi:10.1080/15502724.2014.839020.
//
// In a result Duv is NaN where only kelvins were read; JSON then leaves it out.
type CCT struct {
	Kelvin float64 `json:"cct_k"`
	Duv    float64 `json:"duv"`
}

// Mired returns 10⁶/K.
func Mired(kelvin float64) float64 { return 1e6 / kelvin }

// Kelvin returns 10⁶/mired.
func Kelvin(mired float64) float64 { return 1e6 / mired }

// Mired returns the color temperature in mired, 10⁶/K.
func (t CCT) Mired() float64 { return Mired(t.Kelvin) }

// String writes kelvins and Duv, as in 5600 K, Duv +0.0035; a Duv of zero has no sign.
func (t CCT) String() string {
	if math.IsNaN(t.Duv) {
		return fmt.Sprintf("%.0f K, Duv not known", t.Kelvin)
	}
	return fmt.Sprintf("%.0f K, Duv %s", t.Kelvin, photometry.FormatSigned(t.Duv, 4))
}

// Check returns nil if the color temperature is within 1,000 K to 25,000 K, Duv
// within ±0.05, and some light can have both. The error says what is wrong.
func (t CCT) Check() error {
	_, err := t.UV()
	return err
}

// UV returns the chromaticity that lies Duv from the Planckian locus along its
// normal at the color temperature. Errors as in Check.
func (t CCT) UV() (UV, error) {
	if !photometry.Finite(t.Kelvin, t.Duv) {
		return UV{}, fmt.Errorf("%w: %v K, Duv %v is not a pair of numbers", ErrNoSuchLight, t.Kelvin, t.Duv)
	}
	if t.Kelvin < MinKelvin*(1-edge) || t.Kelvin > MaxKelvin*(1+edge) {
		return UV{}, fmt.Errorf("%w: %g K", ErrKelvin, t.Kelvin)
	}
	if math.Abs(t.Duv) > MaxDuv*(1+edge) {
		return UV{}, fmt.Errorf("%w: Duv %g is more than %g from the Planckian locus: it is no white light, and kelvins do not describe it", ErrOffWhite, t.Duv, MaxDuv)
	}
	p, d := locus().point(t.Mired())
	// The locus runs toward higher u with mired, so the normal (−dv, du) points up.
	k := t.Duv / math.Sqrt(d.U*d.U+d.V*d.V)
	uv := UV{p.U - k*d.V, p.V + k*d.U}
	if err := uv.XY().Check(); err != nil {
		return UV{}, fmt.Errorf("%g K, Duv %+g: %w", t.Kelvin, t.Duv, err)
	}
	return uv, nil
}

// XY returns the CIE 1931 chromaticity of the color temperature and Duv. Errors
// as in Check.
func (t CCT) XY() (XY, error) {
	uv, err := t.UV()
	if err != nil {
		return XY{}, err
	}
	return uv.XY(), nil
}

// CCT returns the correlated color temperature and Duv of the chromaticity: the
// nearest point on the Planckian locus in CIE 1960 (u, v). It allocates nothing
// unless it fails: with ErrNoSuchLight off the horseshoe, ErrOffWhite beyond
// |Duv| 0.05, ErrKelvin beyond the ends of the range.
func (c XY) CCT() (CCT, error) {
	if err := c.Check(); err != nil {
		return CCT{}, err
	}
	return c.UV().cct()
}

// CCT is XY.CCT for a CIE 1960 chromaticity.
func (c UV) CCT() (CCT, error) {
	if err := c.XY().Check(); err != nil {
		return CCT{}, err
	}
	return c.cct()
}

// CCT is XY.CCT for a CIE 1976 chromaticity.
func (c UVPrime) CCT() (CCT, error) { return c.UV().CCT() }

func (c UV) cct() (CCT, error) {
	table := locus()
	mired := table.nearest(c)
	p, d := table.point(mired)
	du, dv := c.U-p.U, c.V-p.V
	duv := math.Copysign(math.Sqrt(du*du+dv*dv), d.U*dv-d.V*du)
	if math.Abs(duv) > MaxDuv*(1+edge) {
		return CCT{}, fmt.Errorf("%w: it lies %.3f from the Planckian locus, more than %g; give it as a chromaticity instead", ErrOffWhite, math.Abs(duv), MaxDuv)
	}
	kelvin := Kelvin(mired)
	if kelvin > MaxKelvin*(1+edge) {
		return CCT{}, fmt.Errorf("%w: the light is bluer than %g K", ErrKelvin, MaxKelvin)
	}
	if kelvin < MinKelvin*(1-edge) {
		return CCT{}, fmt.Errorf("%w: the light is redder than %g K", ErrKelvin, MinKelvin)
	}
	return CCT{kelvin, duv}, nil
}
