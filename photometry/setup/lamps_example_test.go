package setup_test

import (
	"fmt"
	"strings"

	"evenfall/photometry/setup"
)

// A cell with a range is free for a solver.
func ExampleReadLamps() {
	lamps, err := setup.ReadLamps(strings.NewReader("name,kind,x (m),y (m),z (m),flux (lm)\nkey,point,-1,2,1.5..3.0,9000\n"), "lamps.csv")
	if err != nil {
		panic(err)
	}
	z := lamps.Rows[0].Z
	fmt.Println(z.Free(), z.Low, z.High, z.At)
	// Output: true 1.5 3 2.25
}
