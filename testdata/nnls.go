package testdata

// NonnegativeProblem asks for the x ≥ 0 that makes |A·x − B| least.
type NonnegativeProblem struct {
	Name          string
	Rows, Columns int
	A             []float64 // row by row
	B, X          []float64
	Residual      float64 // |A·X − B|
	Within        float64 // to how much X and Residual are published
}

// NonnegativeProblems are worked examples of general numerical libraries.
func NonnegativeProblems() []NonnegativeProblem {
	return []NonnegativeProblem{
		{"SciPy optimize.nnls, all free", 3, 2, []float64{1, 0, 1, 0, 0, 1}, []float64{2, 1, 1}, []float64{1.5, 1}, 0.7071067811865475, 1e-14},
		{"SciPy optimize.nnls, all at zero", 3, 2, []float64{1, 0, 1, 0, 0, 1}, []float64{-1, -1, -1}, []float64{0, 0}, 1.7320508075688772, 1e-14},
		{"lsqnonneg, one at zero", 4, 2, []float64{0.0372, 0.2869, 0.6861, 0.7071, 0.6233, 0.6245, 0.6344, 0.6170},
			[]float64{0.8587, 0.1781, 0.0747, 0.8405}, []float64{0, 0.6929}, 0.9118, 5e-5},
	}
}
