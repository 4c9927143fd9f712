package main

import (
	"math"
	"strings"

	"evenfall/photometry/colorimetry"
	"evenfall/plots/answers"
	"evenfall/testdata"
)

// colorChecks compute the published figures of color.
func colorChecks() []answers.Check {
	checks := temperatureChecks()
	return append(checks, observerCheck(), illuminantCheck(), planckianCheck(), daylightCheck())
}

func newColorCheck(source, quantity, unit string) answers.Check {
	c := newCheck(source, quantity)
	c.Unit = unit
	return c
}

// temperatureChecks hold color temperatures and Duv to each source.
func temperatureChecks() []answers.Check {
	var checks []answers.Check
	find := func(source, quantity, unit string) *answers.Check {
		for i := range checks {
			if checks[i].Source == source && checks[i].Quantity == quantity {
				return &checks[i]
			}
		}
		checks = append(checks, newColorCheck(source, quantity, unit))
		return &checks[len(checks)-1]
	}
	for _, f := range testdata.ColorTemperatures() {
		source, _, _ := strings.Cut(f.Source, ":")
		got, err := colorimetry.XY{X: f.X, Y: f.Y}.CCT()
		if err != nil {
			find(source, "color temperature", "K").OK = false
			continue
		}
		add(find(source, "color temperature", "K"), got.Kelvin, f.CCT, f.CCTTolerance)
		if f.HasDuv {
			add(find(source, "Duv", ""), got.Duv, f.Duv, f.DuvTolerance)
		}
	}
	return checks
}

// lastDigit is half of the twelfth decimal, more than which no figure of the
// observer has.
const lastDigit = 5e-13

// observerCheck holds the 1 nm table to two others.
func observerCheck() answers.Check {
	c := newColorCheck("CIE 018:2019", "color matching functions", "")
	for _, r := range append(testdata.ColorMatching5nm(), testdata.ColorMatchingSpots()...) {
		got := colorimetry.ColorMatching(r.WavelengthNM)
		for _, pair := range [][2]float64{{got.X, r.X}, {got.Y, r.Y}, {got.Z, r.Z}} {
			add(&c, pair[0], pair[1], math.Max(lastDigit, r.Tolerance*pair[1]))
		}
	}
	return c
}

// illuminantCheck sums the tabulated spectra, at their own steps.
func illuminantCheck() answers.Check {
	c := newColorCheck("CIE 15", "chromaticities of illuminants", "")
	for _, ill := range testdata.Illuminants() {
		var sum colorimetry.XYZ
		for i, p := range ill.Values {
			sum = sum.Add(colorimetry.ColorMatching(int(ill.FirstNM + ill.StepNM*float64(i))).Scale(p))
		}
		xy := sum.XY()
		add(&c, xy.X, ill.X, ill.XYTolerance)
		add(&c, xy.Y, ill.Y, ill.XYTolerance)
	}
	return c
}

// planckianCheck sums Planck's law as the library that published the points
// does: to 780 nm, with its c2.
func planckianCheck() answers.Check {
	const librarysC2 = 1.4388e-2 // m·K
	c := newColorCheck("colour-science", "Planckian locus, u and v", "")
	for _, p := range testdata.PlanckianPoints() {
		var sum colorimetry.XYZ
		for nm := colorimetry.FirstNM; nm <= 780; nm++ {
			m := float64(nm) * 1e-9
			sum = sum.Add(colorimetry.ColorMatching(nm).Scale(math.Pow(m/560e-9, -5) / math.Expm1(librarysC2/(m*p.Kelvin))))
		}
		uv := sum.UV()
		add(&c, uv.U, p.U, p.Tolerance)
		add(&c, uv.V, p.V, p.Tolerance)
	}
	return c
}

// daylightCheck holds the CIE daylight locus to two libraries.
func daylightCheck() answers.Check {
	c := newColorCheck("CIE 15, by lcms2 and colour-science", "daylight locus", "")
	for _, p := range testdata.DaylightPoints() {
		xy, err := colorimetry.DaylightXY(p.Kelvin)
		if err != nil {
			c.OK = false
			continue
		}
		add(&c, xy.X, p.X, p.Tolerance)
		add(&c, xy.Y, p.Y, p.Tolerance)
	}
	return c
}
