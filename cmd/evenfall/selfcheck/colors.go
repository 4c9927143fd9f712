package selfcheck

import (
	"math"
	"slices"
	"strings"

	"evenfall/photometry/colorimetry"
	"evenfall/plots/answers"
	"evenfall/testdata"
)

// colors are the figures of color.
func colors() []source {
	return append(temperatures(), source{"CIE 018:2019", "color matching functions", "", answers.SecondCopy, observer},
		source{"CIE 15", "chromaticities of illuminants", "", answers.Published, illuminants},
		source{"colour-science", "Planckian locus, u and v", "", answers.Published, planckian},
		source{"CIE 15, by lcms2 and colour-science", "daylight locus", "", answers.Published, daylight})
}

// temperatures compare color temperatures and Duv with each source.
func temperatures() (sources []source) {
	bySource := map[string][]testdata.ColorTemperature{}
	var names []string
	for _, f := range testdata.ColorTemperatures() {
		name, _, _ := strings.Cut(f.Source, ":")
		if bySource[name] == nil {
			names = append(names, name)
		}
		bySource[name] = append(bySource[name], f)
	}
	for _, name := range names {
		figures := bySource[name]
		sources = append(sources, source{name, "color temperature", "K", answers.Published, func(check check) {
			for _, f := range figures {
				got, _ := colorimetry.XY{X: f.X, Y: f.Y}.CCT()
				check(got.Kelvin, f.CCT, f.CCTTolerance)
			}
		}})
		if slices.ContainsFunc(figures, func(f testdata.ColorTemperature) bool { return f.HasDuv }) {
			sources = append(sources, source{name, "Duv", "", answers.Published, func(check check) {
				for _, f := range figures {
					if got, _ := (colorimetry.XY{X: f.X, Y: f.Y}).CCT(); f.HasDuv {
						check(got.Duv, f.Duv, f.DuvTolerance)
					}
				}
			}})
		}
	}
	return sources
}

// lastDigit is half of the twelfth decimal, more than which no figure of the
// observer has.
const lastDigit = 5e-13

// observer compares the 1 nm table with two others.
func observer(check check) {
	for _, r := range append(testdata.ColorMatching5nm(), testdata.ColorMatchingSpots()...) {
		got := colorimetry.ColorMatching(r.WavelengthNM)
		for _, pair := range [][2]float64{{got.X, r.X}, {got.Y, r.Y}, {got.Z, r.Z}} {
			check(pair[0], pair[1], math.Max(lastDigit, r.Tolerance*pair[1]))
		}
	}
}

// illuminants sums the tabulated spectra, at their own steps.
func illuminants(check check) {
	for _, ill := range testdata.Illuminants() {
		var sum colorimetry.XYZ
		for i, p := range ill.Values {
			sum = sum.Add(colorimetry.ColorMatching(int(ill.FirstNM + ill.StepNM*float64(i))).Scale(p))
		}
		xy := sum.XY()
		check(xy.X, ill.X, ill.XYTolerance)
		check(xy.Y, ill.Y, ill.XYTolerance)
	}
}

// planckian sums Planck's law as the library that published the points does: to
// 780 nm, with its c2.
func planckian(check check) {
	const librarysC2 = 1.4388e-2 // m·K
	for _, p := range testdata.PlanckianPoints() {
		var sum colorimetry.XYZ
		for nm := colorimetry.FirstNM; nm <= 780; nm++ {
			m := float64(nm) * 1e-9
			sum = sum.Add(colorimetry.ColorMatching(nm).Scale(math.Pow(m/560e-9, -5) / math.Expm1(librarysC2/(m*p.Kelvin))))
		}
		uv := sum.UV()
		check(uv.U, p.U, p.Tolerance)
		check(uv.V, p.V, p.Tolerance)
	}
}

// daylight compares the CIE daylight locus with two libraries.
func daylight(check check) {
	for _, p := range testdata.DaylightPoints() {
		xy, _ := colorimetry.DaylightXY(p.Kelvin)
		check(xy.X, p.X, p.Tolerance)
		check(xy.Y, p.Y, p.Tolerance)
	}
}
