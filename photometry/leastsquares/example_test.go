package leastsquares_test

import (
	"fmt"

	"evenfall/photometry/leastsquares"
)

// A level that falls by the same factor at every step.
func ExampleSolve() {
	x := []float64{0, 1, 2, 3}
	y := []float64{8.1, 3.9, 2.0, 1.0}
	got, err := leastsquares.Solve(leastsquares.Problem{
		Count: len(x),
		Residuals: func(r, b []float64) {
			for i := range r {
				level := b[0]
				for range int(x[i]) {
					level *= b[1]
				}
				r[i] = y[i] - level
			}
		},
	}, []float64{5, 0.8}, leastsquares.Settings{})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.2f, falling by %.2f a step\n", got.Params[0], got.Params[1])
	// Output:
	// 8.08, falling by 0.49 a step
}
