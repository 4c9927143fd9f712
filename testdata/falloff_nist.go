package testdata

import "math"

// NonlinearSet is one nonlinear regression problem of the NIST Statistical
// Reference Datasets: observations, model, the two published starts and the
// certified answer.
type NonlinearSet struct {
	// Name is NIST's name of the set.
	Name string
	// Model is y as a function of the parameters b and of x.
	Model func(b []float64, x float64) float64
	// X and Y are the observations, in NIST's order.
	X, Y []float64
	// Starts are NIST's start 1 (far) and start 2 (near).
	Starts [2][]float64
	// Certified are the certified parameters, StdDev their certified standard
	// deviations and SumSquares the certified residual sum of squares, each to
	// 11 digits.
	Certified, StdDev []float64
	SumSquares        float64
}

// NISTNonlinear returns the sets DanWood, Misra1a, Chwirut2, Bennett5,
// Eckerle4 and Thurber, freshly read on each call.
func NISTNonlinear() []NonlinearSet {
	sets := []NonlinearSet{
		{
			Name:       "DanWood",
			Model:      func(b []float64, x float64) float64 { return b[0] * math.Pow(x, b[1]) },
			Starts:     [2][]float64{{1, 5}, {0.7, 4}},
			Certified:  []float64{7.6886226176e-01, 3.8604055871e+00},
			StdDev:     []float64{1.8281973860e-02, 5.1726610913e-02},
			SumSquares: 4.3173084083e-03,
		},
		{
			Name:       "Misra1a",
			Model:      func(b []float64, x float64) float64 { return b[0] * (1 - math.Exp(-b[1]*x)) },
			Starts:     [2][]float64{{500, 0.0001}, {250, 0.0005}},
			Certified:  []float64{2.3894212918e+02, 5.5015643181e-04},
			StdDev:     []float64{2.7070075241e+00, 7.2668688436e-06},
			SumSquares: 1.2455138894e-01,
		},
		{
			Name:       "Chwirut2",
			Model:      func(b []float64, x float64) float64 { return math.Exp(-b[0]*x) / (b[1] + b[2]*x) },
			Starts:     [2][]float64{{0.1, 0.01, 0.02}, {0.15, 0.008, 0.010}},
			Certified:  []float64{1.6657666537e-01, 5.1653291286e-03, 1.2150007096e-02},
			StdDev:     []float64{3.8303286810e-02, 6.6621605126e-04, 1.5304234767e-03},
			SumSquares: 5.1304802941e+02,
		},
		{
			Name:       "Bennett5",
			Model:      func(b []float64, x float64) float64 { return b[0] * math.Pow(b[1]+x, -1/b[2]) },
			Starts:     [2][]float64{{-2000, 50, 0.8}, {-1500, 45, 0.85}},
			Certified:  []float64{-2.5235058043e+03, 4.6736564644e+01, 9.3218483193e-01},
			StdDev:     []float64{2.9715175411e+02, 1.2448871856e+00, 2.0272299378e-02},
			SumSquares: 5.2404744073e-04,
		},
		{
			Name: "Eckerle4",
			Model: func(b []float64, x float64) float64 {
				u := (x - b[2]) / b[1]
				return b[0] / b[1] * math.Exp(-0.5*u*u)
			},
			Starts:     [2][]float64{{1, 10, 500}, {1.5, 5, 450}},
			Certified:  []float64{1.5543827178e+00, 4.0888321754e+00, 4.5154121844e+02},
			StdDev:     []float64{1.5408051163e-02, 4.6803020753e-02, 4.6800518816e-02},
			SumSquares: 1.4635887487e-03,
		},
		{
			Name: "Thurber",
			Model: func(b []float64, x float64) float64 {
				return (b[0] + x*(b[1]+x*(b[2]+x*b[3]))) / (1 + x*(b[4]+x*(b[5]+x*b[6])))
			},
			Starts: [2][]float64{{1000, 1000, 400, 40, 0.7, 0.3, 0.03}, {1300, 1500, 500, 75, 1, 0.4, 0.05}},
			Certified: []float64{1.2881396800e+03, 1.4910792535e+03, 5.8323836877e+02, 7.5416644291e+01,
				9.6629502864e-01, 3.9797285797e-01, 4.9727297349e-02},
			StdDev: []float64{4.6647963344e+00, 3.9571156086e+01, 2.8698696102e+01, 5.5675370270e+00,
				3.1333340687e-02, 1.4984928198e-02, 6.5842344623e-03},
			SumSquares: 5.6427082397e+03,
		},
	}
	for i, name := range []string{"danwood", "misra1a", "chwirut2", "bennett5", "eckerle4", "thurber"} {
		for _, row := range rows[struct {
			Y float64 `csv:"y"`
			X float64 `csv:"x"`
		}]("nist_" + name + ".csv") {
			sets[i].X, sets[i].Y = append(sets[i].X, row.X), append(sets[i].Y, row.Y)
		}
	}
	return sets
}
