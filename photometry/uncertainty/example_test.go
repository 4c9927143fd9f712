package uncertainty_test

import (
	"fmt"
	"math"

	"evenfall/photometry/uncertainty"
)

// Nine places spread over 0.38 stop, read with a meter that repeats to 2 %: the
// interval reaches over a tolerance of 0.4 stop, so the surface is not proved even.
func ExampleSpreadInterval() {
	var classes uncertainty.Classes
	for _, lux := range []float64{800, 840, 870, 820, 900, 960, 1000, 1020, 1041} {
		classes.Add(lux, 1, 0)
	}
	scatter := uncertainty.Model{Stops: uncertainty.AssumedRepeatability / math.Ln2}
	lo, hi := uncertainty.SpreadInterval(classes.InStops(), scatter, uncertainty.FactorsFor(9, 0))
	fmt.Printf("%.2f to %.2f stop\n", lo, hi)
	for _, tolerance := range []float64{0.2, 0.4, 0.5} {
		fmt.Println(tolerance, uncertainty.Judge(lo, hi, tolerance))
	}
	// Output:
	// 0.24 to 0.46 stop
	// 0.2 fail
	// 0.4 unsure
	// 0.5 pass
}
