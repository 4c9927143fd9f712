package mesh_test

import (
	"fmt"

	"evenfall/plots/mesh"
)

// A spline through readings, its values on a mesh, and where they pass a limit.
func Example() {
	s, err := mesh.NewSpline([]float64{0, 2, 0, 2}, []float64{0, 0, 1, 1}, []float64{0, 2, 0, 2})
	if err != nil {
		fmt.Println(err)
		return
	}
	m := mesh.New(mesh.EvenlySpaced(0, 2, 9), mesh.EvenlySpaced(0, 1, 5))
	for k := range m.Z {
		m.Z[k] = s.At(m.Xs[k%9], m.Ys[k/9])
	}
	line := m.Isolines(0.5)[0]
	fmt.Printf("from x %.2f, y %.2f to x %.2f, y %.2f\n", line[0].X, line[0].Y, line[len(line)-1].X, line[len(line)-1].Y)
	// Output: from x 0.50, y 1.00 to x 0.50, y 0.00
}
