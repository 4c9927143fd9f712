package evenness

import (
	"math"
	"testing"

	"evenfall/photometry/survey"
	"evenfall/photometry/uncertainty"
	"evenfall/testdata"
)

// Every published figure of evenness and of the statistics behind a verdict;
// SOURCES.md names where each comes from.
func TestPublishedFigures(t *testing.T) {
	functions := map[string]func(x []float64) float64{
		"spacing":           func(x []float64) float64 { return AdvisedSpacing(x[0], x[1]) },
		"range of normals":  func(x []float64) float64 { return uncertainty.RangeQuantile(0.975, int(x[0])) },
		"mean range":        func(x []float64) float64 { return uncertainty.MeanRange(int(x[0])) },
		"studentized range": func(x []float64) float64 { return uncertainty.StudentizedRangeQuantile(x[0], int(x[1]), int(x[2])) },
	}
	seen := 0
	for _, f := range testdata.LevelFigures() {
		compute, ours := functions[f.Quantity]
		if !ours {
			continue
		}
		seen++
		if got := compute(f.Args); math.Abs(got-f.Want) > f.Tolerance {
			t.Errorf("%s (%s) of %v: %.9g, want %.9g ± %.1g", f.Quantity, f.Source, f.Args, got, f.Want, f.Tolerance)
		}
	}
	if seen < 25 {
		t.Errorf("%d figures checked, expected the whole table", seen)
	}
}

// NIST StRD univariate: the mean and standard deviation behind U_o and the
// coefficient of variation, to 14 and 10 digits.
func TestCertifiedMeans(t *testing.T) {
	for _, set := range testdata.UnivariateSets() {
		s := &survey.Survey{Level: set.Readings, Reference: -1, ReadingCount: len(set.Readings)}
		for i := range set.Readings {
			s.X, s.Y = append(s.X, float64(i)), append(s.Y, 0)
		}
		r, err := Analyze(s)
		if err != nil {
			t.Fatal(err)
		}
		if got := r.Evenness.Mean; math.Abs(got/set.Mean-1) > 1e-14 {
			t.Errorf("%s: mean %.16g, certified %.16g", set.Name, got, set.Mean)
		}
		// NumAcc4 keeps ten significant digits of its deviation in double
		// precision: the readings themselves are rounded in the ninth.
		if got := r.Evenness.CVPercent / 100 * r.Evenness.Mean; math.Abs(got/set.SD-1) > 1e-7 {
			t.Errorf("%s: standard deviation %.15g, certified %.15g", set.Name, got, set.SD)
		}
	}
}
