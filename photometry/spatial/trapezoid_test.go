package spatial

import (
	"math"
	"testing"
)

// The mean by area of even rows and columns whose outer places are on the border is that
// of the trapezoid rule, by hand for x² + y² over [−1, 1]²: 1/2 + 1/2 with three by three
// places, where the plain mean has 2/3 + 2/3. At the centers of cells all are equal.
func TestTrapezoidRule(t *testing.T) {
	box := Box{-1, -1, 1, 1}
	mean := func(at []float64) (weighted float64, areas []float64) {
		var x, y []float64
		for _, v := range at {
			for _, u := range at {
				x, y = append(x, u), append(y, v)
			}
		}
		areas = NewPlaces(x, y).Areas(FullLattice(at, at), &box)
		sum := 0.0
		for i, a := range areas {
			weighted, sum = weighted+a*(x[i]*x[i]+y[i]*y[i]), sum+a
		}
		return weighted / sum, areas
	}
	if got, areas := mean([]float64{-1, 0, 1}); math.Abs(got-1) > 1e-12 || math.Abs(areas[0]*4-areas[4]) > 1e-12 || math.Abs(areas[1]*2-areas[4]) > 1e-12 {
		t.Errorf("three by three: mean %v, areas %v", got, areas)
	}
	if got, _ := mean([]float64{-1, -0.5, 0, 0.5, 1}); math.Abs(got-0.75) > 1e-12 { // 2·(1/2 + 2·1/4 + 1/2)/4
		t.Errorf("five by five: mean %v", got)
	}
	if _, areas := mean([]float64{-0.5, 0.5}); areas != nil {
		t.Errorf("cell centers: %v", areas)
	}
	// What lies outside the border has no share, and what it cuts off none either.
	if _, areas := mean([]float64{-1.5, 0, 1}); math.Abs(areas[0]-0.0625) > 1e-12 || math.Abs(areas[4]-1.25*1.25) > 1e-12 {
		t.Errorf("outside: %v", areas)
	}
}
