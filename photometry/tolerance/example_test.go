package tolerance_test

import (
	"fmt"

	"evenfall/photometry/tolerance"
)

// A cloth to be keyed is judged by half a stop in all.
func ExampleNamed() {
	kind, err := tolerance.Named("Screen")
	if err != nil {
		fmt.Println(err)
		return
	}
	limits := kind.Limits()
	fmt.Println(limits.Total(), *limits.GoodStops, limits.Mired)
	// Output: 0.5 0.3 15
}
