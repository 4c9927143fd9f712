package colorimetry

import (
	_ "embed"
	"fmt"
	"math"
	"sync"

	"evenfall/photometry"
)

// Spectrum is a relative spectral distribution at 1 nm from 360 nm to 830 nm;
// only its shape matters.
type Spectrum [Samples]float64

// sampled is a spectrum or a filter by its value at each index and wavelength.
func sampled[T Spectrum | Filter](at func(i int, nm float64) float64) *T {
	t := new(T)
	for i := range Samples {
		(*t)[i] = at(i, float64(FirstNM+i))
	}
	return t
}

// XYZ returns the sums of the spectrum times x̄, ȳ and z̄ over 1 nm steps (CIE
// 15), without the factor 683 lm/W.
func (s *Spectrum) XYZ() XYZ {
	var c XYZ
	for i, p := range s {
		c.see(i, p)
	}
	return c
}

// Filtered returns the spectrum behind the filter.
func (s *Spectrum) Filtered(f *Filter) *Spectrum {
	return sampled[Spectrum](func(i int, _ float64) float64 { return s[i] * f[i] })
}

// Resample returns the spectrum given at even steps, linear between them, as
// CIE 15 has it for illuminants tabulated at 5 nm. Outside the values it is 0.
// It panics if there are fewer than two values or the step is not positive.
func Resample(firstNM, stepNM float64, values []float64) *Spectrum {
	if len(values) < 2 || !(stepNM > 0) {
		panic("colorimetry: Resample needs at least two values and a positive step")
	}
	out := new(Spectrum)
	for i := range out {
		x := (float64(FirstNM+i) - firstNM) / stepNM
		k := int(math.Floor(x))
		switch {
		case x < 0 || x > float64(len(values)-1):
		case k == len(values)-1:
			out[i] = values[k]
		default:
			out[i] = values[k] + (x-float64(k))*(values[k+1]-values[k])
		}
	}
	return out
}

// Planckian returns Planck's law, λ⁻⁵/(exp(c2/λT)−1), scaled to 1 at 560 nm. Any
// positive finite temperature in kelvins will do; others are an error.
func Planckian(kelvin float64) (*Spectrum, error) {
	if !photometry.Finite(kelvin) || kelvin <= 0 {
		return nil, fmt.Errorf("a Planckian radiator needs a positive temperature, not %v K", kelvin)
	}
	return planckian(Mired(kelvin)), nil
}

func planckian(mired float64) *Spectrum {
	a := SecondRadiationConstant * 1e3 * mired // c2/T in nm
	top := math.Expm1(a / 560)
	return sampled[Spectrum](func(_ int, nm float64) float64 { return math.Pow(560/nm, 5) * top / math.Expm1(a/nm) })
}

// DaylightXY returns the chromaticity of a CIE daylight illuminant at a
// correlated color temperature from 4,000 K to 25,000 K (CIE 15): a cubic in
// 10³/T for x, in two pieces that meet at 7,000 K, and
// y = −3.000x² + 2.870x − 0.275.
func DaylightXY(kelvin float64) (XY, error) {
	if !(kelvin >= 4000 && kelvin <= MaxKelvin) {
		return XY{}, fmt.Errorf("CIE daylight is defined from 4,000 K to 25,000 K, not at %g K", kelvin)
	}
	t := 1000 / kelvin
	x := 0.244063 + t*(0.09911+t*(2.9678-t*4.6070))
	if kelvin > 7000 {
		x = 0.237040 + t*(0.24748+t*(1.9018-t*2.0064))
	}
	return XY{x, -3*x*x + 2.87*x - 0.275}, nil
}

// daylightFactors are M1 and M2 of the CIE daylight spectrum S0 + M1·S1 + M2·S2
// (CIE 15): M1 = (−1.3515 − 1.7703x + 5.9114y)/M and
// M2 = (0.0300 − 31.4424x + 30.0717y)/M with M = 0.0241 + 0.2562x − 0.7341y.
func daylightFactors(c XY) (m1, m2 float64) {
	m := 0.0241 + 0.2562*c.X - 0.7341*c.Y
	return (-1.3515 - 1.7703*c.X + 5.9114*c.Y) / m, (0.0300 - 31.4424*c.X + 30.0717*c.Y) / m
}

//go:embed daylight.csv
var daylightCSV string

// daylightComponents are the mean S0 and the two eigenvectors S1 and S2 of
// daylight at 5 nm from 300 nm to 830 nm, from CIE 15 (table of the components
// of the relative spectral distribution of daylight). Between them the CIE
// interpolates linearly.
var daylightComponents = sync.OnceValue(func() [][3]float64 { return tabulated(daylightCSV) })

// daylight is that spectrum, 100 at 560 nm.
func daylight(m1, m2 float64) *Spectrum {
	components := daylightComponents()
	values := make([]float64, len(components))
	for i, s := range components {
		values[i] = s[0] + m1*s[1] + m2*s[2]
	}
	return Resample(300, 5, values)
}
