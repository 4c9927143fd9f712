package selfcheck_test

import (
	"fmt"

	"evenfall/cmd/evenfall/selfcheck"
)

// Every group of figures has its source, and how far off the worst one is.
func ExampleRun() {
	result := selfcheck.Run()
	for _, c := range result.Checks {
		if c.Figures == 0 || !c.OK {
			fmt.Printf("%s, %s: off by %g of %g\n", c.Source, c.Quantity, c.Largest, c.Allowed)
		}
	}
	fmt.Println("all within their tolerances:", result.OK)
	// Output:
	// all within their tolerances: true
}
