package main

import (
	"math"
	"slices"

	"github.com/spf13/cobra"
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

func (a *app) selfcheckCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "selfcheck",
		Short: "Compute published figures on this machine and show how far off they are",
		Long: `Selfcheck computes figures that standards, handbooks and reference data sets
publish with the very code that judges your readings, and prints the largest
deviation from each source. It exits with 1 where one is out of bounds.`,
		Example: "  evenfall selfcheck",
		Args:    cobra.NoArgs,
		RunE: func(*cobra.Command, []string) error {
			checks := slices.Concat(levelChecks(), ratioChecks(), univariateChecks(), nonnegativeChecks(), colorChecks(), falloffChecks())
			result := answers.Selfcheck{Schema: "evenfall/selfcheck/1", OK: true, Checks: checks}
			for _, c := range checks {
				result.OK = result.OK && c.OK
			}
			if !result.OK {
				a.status = exitOutside
			}
			if a.json {
				return a.printJSON(result)
			}
			return a.show(answers.SelfcheckTable(result, a.words(), a.full))
		},
	}
}

// levelFunctions compute the figures of testdata's level table from its
// arguments, which the table explains.
var levelFunctions = map[string]func(x []float64) float64{
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

// levelChecks and ratioChecks group figures by what they are of.
func levelChecks() []answers.Check { return figureChecks(testdata.LevelFigures(), levelFunctions) }

func ratioChecks() []answers.Check { return figureChecks(testdata.RatioFigures(), ratioFunctions) }

func figureChecks(figures []testdata.Figure, functions map[string]func([]float64) float64) []answers.Check {
	var checks []answers.Check
	for _, f := range figures {
		if n := len(checks); n == 0 || checks[n-1].Quantity != f.Quantity || checks[n-1].Source != f.Source {
			checks = append(checks, newCheck(f.Source, f.Quantity))
		}
		add(&checks[len(checks)-1], functions[f.Quantity](f.Args), f.Want, f.Tolerance)
	}
	return checks
}

// ratioFunctions compute the figures of testdata's table of ratios.
var ratioFunctions = map[string]func(x []float64) float64{
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

// univariateChecks judge the certified data sets as if they were surfaces.
func univariateChecks() []answers.Check {
	mean, sd := newCheck("NIST StRD univariate", "mean"), newCheck("NIST StRD univariate", "standard deviation")
	for _, set := range testdata.UnivariateSets() {
		r, err := evenness.Analyze(rowOf(set.Readings))
		if err != nil {
			mean.OK = false
			continue
		}
		e := r.Evenness
		add(&mean, e.Mean, set.Mean, 1e-15*set.Mean)
		// What double precision leaves of digits that agree to the first ten.
		add(&sd, e.CVPercent/100*e.Mean, set.SD, 1e-15*set.Mean*math.Sqrt(float64(len(set.Readings))))
	}
	return []answers.Check{mean, sd}
}

// nonnegativeChecks solve the worked examples of nonnegative least squares.
func nonnegativeChecks() []answers.Check {
	check := newCheck("numerical libraries' examples", "nonnegative least squares")
	for _, p := range testdata.NonnegativeProblems() {
		x, _ := lamps.NonnegativeLeastSquares(mat.NewDense(p.Rows, p.Columns, p.A), p.B)
		for i := range x {
			add(&check, x[i], p.X[i], p.Within)
		}
	}
	return []answers.Check{check}
}

// rowOf is a survey of readings along a line.
func rowOf(levels []float64) *survey.Survey {
	s := &survey.Survey{Level: levels, Readings: len(levels), Reference: -1}
	for i := range levels {
		s.X, s.Y = append(s.X, float64(i)), append(s.Y, 0)
	}
	s.Extent, _ = spatial.BoxOf(s.X, s.Y)
	return s
}

func newCheck(source, quantity string) answers.Check {
	return answers.Check{Source: source, Quantity: quantity, OK: true}
}

// add compares one figure; the one worst against its bound is kept.
func add(c *answers.Check, got, want, allowed float64) {
	off := math.Abs(got - want)
	if c.Figures == 0 || off/allowed > c.Largest/c.Allowed {
		c.Largest, c.Allowed = off, allowed
	}
	c.Figures++
	c.OK = c.OK && off <= allowed
}
