package causes_test

import (
	"fmt"
	"math"

	"evenfall/photometry/causes"
	"evenfall/photometry/spatial"
)

// Nine by five readings of a cloth that one lamp of two lights a stop too strongly.
func ExampleFind() {
	cloth := causes.Surface{Extent: spatial.Box{X1: 4, Y1: 2}, Scatter: 0.02, Tolerance: 0.5}
	lamp := func(x, y, at float64) float64 { return math.Pow((x-at)*(x-at)+(y-1)*(y-1)+16, -1.5) }
	for i := range 45 {
		x, y := 4*(float64(i%9)+0.5)/9, 2*(float64(i/9)+0.5)/5
		level := lamp(x, y, -1) + 2*lamp(x, y, 5)
		cloth.X, cloth.Y, cloth.Stops = append(cloth.X, x), append(cloth.Y, y), append(cloth.Stops, math.Log2(level))
	}
	for _, c := range causes.Find(cloth).Causes {
		fmt.Printf("%s: %s by %.1f stop\n", c.Name, c.Change.Code, c.Change.Stops)
	}
	// Output:
	// side_bright right: lower_side by 1.0 stop
}
