package screen_test

import (
	"fmt"

	"evenfall/falloff/screen"
	"evenfall/photometry/spatial"
)

// A cloth of 3 × 2 m at 1000 lx and 64 cd/m², a subject 2 m before it.
func Example() {
	r := screen.Analyze(screen.Input{
		Places: []screen.Place{{Label: "middle", X: 1.5, Y: 1, Light: 1000, Luminance: 64}},
		Lit:    &spatial.Box{X1: 3, Y1: 2},
		Marks:  []screen.Mark{{Label: "subject", Key: 800, ToScreenM: 2}},
	})
	m := r.Marks[0]
	fmt.Printf("reflects %.0f %%, %+.1f stops, spill %.0f lx\n", 100*r.Reflectance, *m.ScreenToKey, *m.Spill)
	// Output: reflects 20 %, +0.5 stops, spill 63 lx
}
