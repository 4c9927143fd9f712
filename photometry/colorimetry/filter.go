package colorimetry

import (
	"errors"
	"math"
	"sync"
)

// SurfaceTransmittance is what the two surfaces of one sheet of gel leave of the
// light: about 4 % is lost at each (Fresnel reflection at normal incidence for a
// refractive index near 1.5).
const SurfaceTransmittance = 0.92

// Filter is a spectral transmittance at 1 nm from 360 nm to 830 nm.
type Filter [Samples]float64

// The CC filter's absorption band is a Gaussian in wavelength (a model; see
// CCFilter). conversionRed and conversionBlue bound the band over which a
// conversion filter is scaled to a largest value of 1.
const (
	bandCenterNM     = 545.0
	bandWidthNM      = 100.0 // full width at half height
	conversionBlueNM = 430.0
	conversionRedNM  = 650.0
)

// shapes holds, at each wavelength, the logarithm of transmittance for one unit
// of each kind of filter.
type shapes struct {
	green   Spectrum // for one CC point of green, less a neutral part
	warming Spectrum // for one mired, warming
	cooling Spectrum // for one mired, cooling
}

var filterShapes = sync.OnceValue(func() *shapes {
	t := new(shapes)
	for i := range t.green {
		nm := float64(FirstNM + i)
		off := (nm - bandCenterNM) / bandWidthNM
		t.green[i] = math.Ln10 / 100 * math.Exp(-4*math.Ln2*off*off)
		rate := SecondRadiationConstant * 1e3 // nm for each mired
		t.warming[i] = math.Min(0, -rate*(1/nm-1/conversionRedNM))
		t.cooling[i] = math.Max(0, -rate*(1/nm-1/conversionBlueNM))
	}
	return t
})

// CCFilter returns a color compensating filter: with
// b(λ) = exp(−4 ln 2·((λ−545 nm)/100 nm)²) the density is CC/100·b for magenta
// and CC/100·(1−b) for green, times SurfaceTransmittance for its two surfaces.
// A model of the trade's filters, not of any maker's. Magenta and green of the
// same strength together are neutral.
func CCFilter(cc CC) *Filter {
	shape, neutral := &filterShapes().green, math.Ln10/100*max(0, float64(cc))
	return sampled[Filter](func(i int, _ float64) float64 { return SurfaceTransmittance * math.Exp(float64(cc)*shape[i]-neutral) })
}

// ConversionFilter returns a filter that moves light along the Planckian locus
// by a shift in mired, positive warming: T(λ) = exp(−c2·μ·(1/λ − 1/λ0)) with μ in
// 1/K, scaled to a largest value of 1 within 430 nm to 650 nm (λ0 is 650 nm for a
// warming and 430 nm for a cooling filter) and clamped to 1 outside, times
// SurfaceTransmittance. It turns one Wien radiator exactly into another.
func ConversionFilter(shiftMired float64) *Filter {
	shape := filterShapes().conversion(shiftMired)
	return sampled[Filter](func(i int, _ float64) float64 { return SurfaceTransmittance * math.Exp(shiftMired*shape[i]) })
}

func (t *shapes) conversion(shiftMired float64) *Spectrum {
	if shiftMired < 0 {
		return &t.cooling
	}
	return &t.warming
}

// NeutralFilter returns a neutral density filter: 10^−density at every
// wavelength, surfaces included.
func NeutralFilter(density float64) *Filter {
	return sampled[Filter](func(int, float64) float64 { return math.Pow(10, -density) })
}

// Combine returns the filters one behind the other: the product of their
// transmittances. Of no filter it is clear.
func Combine(filters ...*Filter) *Filter {
	f := NeutralFilter(0)
	for _, g := range filters {
		for i := range f {
			f[i] *= g[i]
		}
	}
	return f
}

// Transmitted is what a light becomes behind a filter.
type Transmitted struct {
	XY            XY
	Transmittance float64 // luminous, 0 to 1
	LossStops     float64 // −log2 of it
}

// ErrNoLight means that a filter lets nothing through that can be seen.
var ErrNoLight = errors.New("no light gets through")

// Through returns the chromaticity of a light behind the filter and the filter's
// luminous transmittance for that light, Σ s·T·ȳ / Σ s·ȳ.
func (f *Filter) Through(s *Spectrum) (Transmitted, error) {
	c, before := s.Filtered(f).XYZ(), s.XYZ().Y
	if !(before > 0) || !(c.Y > 0) {
		return Transmitted{}, ErrNoLight
	}
	t := c.Y / before
	return Transmitted{c.XY(), t, -math.Log2(t)}, nil
}
