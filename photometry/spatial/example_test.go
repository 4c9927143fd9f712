package spatial_test

import (
	"fmt"

	"evenfall/photometry/spatial"
)

// Six places in two rows of three, typed in any order, are a grid.
func ExampleFindLattice() {
	x := []float64{1, 0, 2, 0, 2, 1}
	y := []float64{0, 0, 0, 1, 1, 1}
	l := spatial.FindLattice(x, y)
	l.Fill(x, y)
	fmt.Println(l.Xs, l.Ys, l.Full())
	fmt.Println("top right is point", l.At(2, 1))
	// Output:
	// [0 1 2] [0 1] true
	// top right is point 4
}
