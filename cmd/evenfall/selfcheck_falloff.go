package main

import (
	"math"

	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/spatial/r3"

	"evenfall/falloff"
	"evenfall/plots/answers"
	"evenfall/testdata"
)

// falloffChecks are the figures of sources of light, of the directional
// response index and of the fits.
func falloffChecks() []answers.Check {
	return append(sourceChecks(), viewFactorCheck(), directionalCheck(), nonlinearCheck())
}

// sourceChecks compute illuminances from surfaces and peak intensities of beams.
func sourceChecks() []answers.Check {
	surfaces := newCheck("Lambert's contour integral", "illuminance from a surface")
	for _, f := range testdata.Sources() {
		at, normal := vector(f.At), vector(f.Normal)
		var e float64
		switch f.Shape {
		case "disc":
			e = falloff.Disc{Normal: r3.Vec{Z: 1}, RadiusM: f.RadiusM, Luminance: f.Luminance}.Illuminance(at, normal)
		case "rectangle":
			panel, err := falloff.Rectangle(r3.Vec{}, r3.Vec{Z: 1}, r3.Vec{Y: 1}, f.WidthM, f.HeightM, f.Luminance)
			if err != nil {
				surfaces.OK = false
				continue
			}
			e = panel.Illuminance(at, normal)
		}
		add(&surfaces, e, f.Expected, f.RelativeTolerance*math.Abs(f.Expected))
	}
	beams := newCheck("cosine-power beam", "peak intensity")
	for _, f := range testdata.Beams() {
		m, err := falloff.BeamExponent(f.BeamDeg)
		if err != nil {
			beams.OK = false
			continue
		}
		add(&beams, m, f.Exponent, f.RelativeTolerance*f.Exponent)
		add(&beams, falloff.PeakIntensity(1000, m), f.CandelaPerKilolm, f.RelativeTolerance*f.CandelaPerKilolm)
	}
	return []answers.Check{surfaces, beams}
}

// viewFactorCheck computes published configuration factors, which are means of
// E/(π·L) over a patch, by Gauss–Legendre quadrature over the patch.
func viewFactorCheck() answers.Check {
	check := newCheck("Siegel and Howell; view-factor tables", "configuration factor")
	const luminance = 1 / math.Pi
	for _, f := range testdata.ViewFactors() {
		var source falloff.Source = falloff.Disc{Normal: r3.Vec{Z: 1}, RadiusM: f.RadiusM, Luminance: luminance}
		if f.Shape == "rectangle" {
			panel, err := falloff.Rectangle(r3.Vec{Y: f.HeightM / 2}, r3.Vec{Z: 1}, r3.Vec{Y: 1}, f.WidthM, f.HeightM, luminance)
			if err != nil {
				check.OK = false
				continue
			}
			source = panel
		}
		normal := r3.Vec{Z: -1}
		if f.Patch == "perpendicular strip" {
			normal = r3.Vec{Y: 1}
		}
		from, to := -f.PatchWidthM/2, f.PatchWidthM/2
		weight := func(float64) float64 { return 1 / f.PatchWidthM }
		if f.Patch == "disc" {
			from, to = 0, f.PatchRadiusM
			weight = func(x float64) float64 { return 2 * x / (to * to) }
		}
		got := quad.Fixed(func(x float64) float64 {
			return weight(x) * source.Illuminance(r3.Vec{X: x, Z: f.DistanceM}, normal)
		}, from, to, 100, nil, 0)
		add(&check, got, f.Expected, f.Tolerance)
	}
	return check
}

func vector(v [3]float64) r3.Vec { return r3.Vec{X: v[0], Y: v[1], Z: v[2]} }

// directionalCheck computes f2 of receptors that follow a power of the cosine.
func directionalCheck() answers.Check {
	check := newCheck("ISO/CIE 19476", "directional response f2")
	for _, f := range testdata.DirectionalIndex() {
		got := falloff.F2(func(deg float64) float64 { return math.Pow(math.Cos(deg*math.Pi/180), f.Exponent) }, f.ToDeg)
		add(&check, got, f.F2, f.RelativeTolerance*f.F2+1e-12)
	}
	return check
}

// nonlinearDigits is to how many digits the fits must hold the certified
// values.
const nonlinearDigits = 1e-6

// nonlinearCheck fits the certified data sets from both of their starts. The
// deviations are relative, since the parameters have sizes of their own.
func nonlinearCheck() answers.Check {
	check := newCheck("NIST StRD nonlinear", "parameters, relative")
	for _, set := range testdata.NISTNonlinear() {
		for _, start := range set.Starts {
			got, err := falloff.LeastSquares(falloff.Problem{
				Count: len(set.X),
				Residuals: func(r, b []float64) {
					for i, x := range set.X {
						r[i] = set.Y[i] - set.Model(b, x)
					}
				},
			}, start, falloff.Settings{})
			if err != nil {
				check.OK = false
				continue
			}
			for k, want := range set.Certified {
				add(&check, got.Params[k]/want, 1, nonlinearDigits)
			}
		}
	}
	return check
}
