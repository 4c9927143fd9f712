package selfcheck

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"evenfall/photometry"
	"evenfall/photometry/evenness"
	"evenfall/photometry/lamps"
	"evenfall/photometry/ratio"
	"evenfall/photometry/spatial"
	"evenfall/photometry/survey"
	"evenfall/photometry/uncertainty"
	"evenfall/plots/answers"
	"evenfall/testdata"
)

// levels compute the figures of testdata's level table from its arguments, which the
// table explains.
var levels = map[string]func(x []float64) float64{
	"footcandle": func(x []float64) float64 { return photometry.Lux(x[0]) },
	"exposure": func(x []float64) float64 {
		return photometry.Exposure{ISO: x[1], ShutterS: x[2]}.FNumber(x[0], x[3])
	},
	"exposure value":    func(x []float64) float64 { return photometry.LevelFromEV(x[0], x[1], x[2]) },
	"flash":             func(x []float64) float64 { return photometry.FlashExposure(x[0], x[1], x[2]) },
	"marked f-number":   func(x []float64) float64 { return photometry.Thirds.ExactFNumber(x[0]) * math.Exp2(x[1]/x[2]/2) },
	"spacing":           func(x []float64) float64 { return evenness.AdvisedSpacing(x[0], x[1]) },
	"range of normals":  func(x []float64) float64 { return uncertainty.RangeQuantile(0.975, int(x[0])) },
	"mean range":        func(x []float64) float64 { return uncertainty.MeanRange(int(x[0])) },
	"studentized range": func(x []float64) float64 { return uncertainty.StudentizedRangeQuantile(x[0], int(x[1]), int(x[2])) },
}

// ratios compute the figures of testdata's table of ratios.
var ratios = map[string]func(x []float64) float64{
	"key to fill":          func(x []float64) float64 { return ratio.KeyToFill(x[0], x[1]) },
	"key to fill in stops": func(x []float64) float64 { return photometry.Stops(x[0], 1) },
	"flash key to fill": func(x []float64) float64 {
		exposure := func(mark float64) float64 {
			return photometry.FlashExposure(photometry.Thirds.ExactFNumber(mark), 100, photometry.FlatConstant)
		}
		return ratio.KeyToFill(exposure(x[0]), exposure(x[1]))
	},
	"lighting ratio": func(x []float64) float64 { return ratio.LightingRatioFrom(photometry.Factor(x[0])) },
	"density":        func(x []float64) float64 { return photometry.DensityStops(x[0]) },
	"filter factor":  func(x []float64) float64 { return photometry.FilterFactorStops(x[0]) },
	"flicker-safe angle": func(x []float64) float64 {
		return *ratio.SafeShutters(x[0], x[1])[int(x[2])-1].AngleDeg
	},
	"flicker-safe denominator": func(x []float64) float64 { return 1 / ratio.SafeShutters(x[0], 0)[int(x[1])-1].ShutterS },
	"frame rate in step": func(x []float64) float64 {
		if ratio.InStep(x[0], x[1]) {
			return 1
		}
		return 0
	},
}

// statistics judge the certified data sets as if they were surfaces, and solve the
// worked examples of nonnegative least squares.
var statistics = []source{
	{"NIST StRD univariate", "mean", "", answers.Published, func(check check) {
		for _, set := range testdata.UnivariateSets() {
			mean, _ := analyzed(set.Readings)
			check(mean, set.Mean, 1e-15*set.Mean)
		}
	}},
	{"NIST StRD univariate", "standard deviation", "", answers.Published, func(check check) {
		for _, set := range testdata.UnivariateSets() {
			_, sd := analyzed(set.Readings)
			// What double precision leaves of digits that agree to the first ten.
			check(sd, set.SD, 1e-15*set.Mean*math.Sqrt(float64(len(set.Readings))))
		}
	}},
	{"numerical libraries' examples", "nonnegative least squares", "", answers.Published, func(check check) {
		for _, p := range testdata.NonnegativeProblems() {
			x, _ := lamps.NonnegativeLeastSquares(mat.NewDense(p.Rows, p.Columns, p.A), p.B, 0)
			for i := range x {
				check(x[i], p.X[i], p.Within)
			}
		}
	}},
}

// analyzed is the mean and the standard deviation of readings along a line, 0 where
// they cannot be analyzed.
func analyzed(readings []float64) (mean, sd float64) {
	s := &survey.Survey{Level: readings, ReadingCount: len(readings), Reference: -1}
	for i := range readings {
		s.X, s.Y = append(s.X, float64(i)), append(s.Y, 0)
	}
	s.Extent, _ = spatial.BoxOf(s.X, s.Y)
	r, err := evenness.Analyze(s)
	if err != nil {
		return 0, 0
	}
	return r.Evenness.Mean, r.Evenness.CVPercent / 100 * r.Evenness.Mean
}
