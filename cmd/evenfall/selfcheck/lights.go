package selfcheck

import (
	"math"

	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/spatial/r3"

	"evenfall/falloff"
	"evenfall/photometry/leastsquares"
	"evenfall/plots/answers"
	"evenfall/testdata"
)

// lights are the figures of sources of light, of the directional response index and
// of the fits.
var lights = []source{
	{"Lambert's contour integral", "illuminance from a surface", "", answers.Published, surfaces},
	{"cosine-power beam", "peak intensity", "", answers.Published, func(check check) {
		for _, f := range testdata.Beams() {
			m, _ := falloff.BeamExponent(f.BeamDeg)
			check(m, f.Exponent, f.RelativeTolerance*f.Exponent)
			check(falloff.PeakIntensity(1000, m), f.CandelaPerKilolm, f.RelativeTolerance*f.CandelaPerKilolm)
		}
	}},
	{"Siegel and Howell; view-factor tables", "configuration factor", "", answers.Published, viewFactors},
	{"ISO/CIE 19476", "directional response f2", "", answers.Published, func(check check) {
		for _, f := range testdata.DirectionalIndex() {
			got := falloff.F2(func(deg float64) float64 { return math.Pow(math.Cos(deg*math.Pi/180), f.Exponent) }, f.ToDeg)
			check(got, f.F2, f.RelativeTolerance*f.F2+1e-12)
		}
	}},
	{"NIST StRD nonlinear", "parameters, relative", "", answers.Published, fits},
}

// surfaces compute illuminances from a disc and a rectangle that face along z.
func surfaces(check check) {
	for _, f := range testdata.Sources() {
		source := surface(f.Shape, f.RadiusM, r3.Vec{}, f.WidthM, f.HeightM, f.Luminance)
		check(source.Illuminance(vector(f.At), vector(f.Normal)), f.Expected, f.RelativeTolerance*math.Abs(f.Expected))
	}
}

// surface is a disc about the origin, or a rectangle about its center.
func surface(shape string, radiusM float64, center r3.Vec, widthM, heightM, luminance float64) falloff.Source {
	if shape == "disc" {
		return falloff.Disc{Normal: r3.Vec{Z: 1}, RadiusM: radiusM, Luminance: luminance}
	}
	panel, _ := falloff.Rectangle(center, r3.Vec{Z: 1}, r3.Vec{Y: 1}, widthM, heightM, luminance)
	return panel
}

// viewFactors computes published configuration factors, which are means of E/(π·L)
// over a patch, by Gauss–Legendre quadrature over the patch.
func viewFactors(check check) {
	for _, f := range testdata.ViewFactors() {
		source := surface(f.Shape, f.RadiusM, r3.Vec{Y: f.HeightM / 2}, f.WidthM, f.HeightM, 1/math.Pi)
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
		check(got, f.Expected, f.Tolerance)
	}
}

func vector(v [3]float64) r3.Vec { return r3.Vec{X: v[0], Y: v[1], Z: v[2]} }

// nonlinearDigits is the number of digits to which the fits must match the certified
// values.
const nonlinearDigits = 1e-6

// fits fits the certified data sets from both of their starts. The deviations are
// relative, since the parameters have sizes of their own.
func fits(check check) {
	for _, set := range testdata.NISTNonlinear() {
		for _, start := range set.Starts {
			got, err := leastsquares.Solve(leastsquares.Problem{
				Count: len(set.X),
				Residuals: func(r, b []float64) {
					for i, x := range set.X {
						r[i] = set.Y[i] - set.Model(b, x)
					}
				},
			}, start, leastsquares.Settings{})
			for k, want := range set.Certified {
				share := 0.0 // where the fit failed
				if err == nil {
					share = got.Params[k] / want
				}
				check(share, 1, nonlinearDigits)
			}
		}
	}
}
