package colorimetry

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// StandardIlluminant returns the spectrum of a CIE illuminant by name: A, D50,
// D55, D65, D75 or E, in any case.
//
// A is 100·(560/λ)⁵·(exp(1.435e7/(2848·560))−1)/(exp(1.435e7/(2848·λ))−1), λ in
// nm (ISO/CIE 11664-2). The D illuminants are CIE daylight at 1.4388/1.4380
// times their nominal temperature, with M1 and M2 rounded to three decimals, as
// CIE 15 has it for the published tables. E is 100 throughout.
func StandardIlluminant(name string) (*Spectrum, error) {
	switch strings.ToUpper(strings.TrimSpace(name)) {
	case "A":
		return sampled[Spectrum](func(_ int, nm float64) float64 {
			return 100 * math.Pow(560/nm, 5) * math.Expm1(1.435e7/(2848*560)) / math.Expm1(1.435e7/(2848*nm))
		}), nil
	case "D50", "D55", "D65", "D75":
		nominal, _ := strconv.ParseFloat(strings.TrimSpace(name)[1:], 64)
		return standardDaylight(100 * nominal)
	case "E":
		return sampled[Spectrum](func(int, float64) float64 { return 100 }), nil
	}
	return nil, fmt.Errorf("illuminant %q is not one of A, D50, D55, D65, D75, E", name)
}

func standardDaylight(nominalKelvin float64) (*Spectrum, error) {
	c, err := DaylightXY(nominalKelvin * 1.4388 / 1.4380)
	if err != nil {
		return nil, err
	}
	m1, m2 := daylightFactors(c)
	return daylight(math.Round(m1*1000)/1000, math.Round(m2*1000)/1000), nil
}

// SourceSpectrum returns the spectrum of a light named as a maker's sheet names
// it: an illuminant as in StandardIlluminant, or a Planckian radiator by its
// temperature, as in 3200K.
func SourceSpectrum(name string) (*Spectrum, error) {
	if s, err := StandardIlluminant(name); err == nil {
		return s, nil
	}
	t, err := ParseCCT(name)
	if err != nil || t.Duv != 0 {
		return nil, fmt.Errorf("light source %q is not known: write A, D50, D55, D65, D75, E or a color temperature such as 3200K", name)
	}
	return Planckian(t.Kelvin)
}
