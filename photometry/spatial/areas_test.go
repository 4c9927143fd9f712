package spatial

import (
	"math"
	"math/rand/v2"
	"testing"
)

// Voronoi cells hold the area that a fine raster finds nearest to each point.
func TestVoronoiAgainstRaster(t *testing.T) {
	random := rand.New(rand.NewPCG(7, 7))
	box := Box{0, 0, 3, 2}
	var x, y []float64
	for range 25 {
		x, y = append(x, 3*random.Float64()), append(y, 2*random.Float64())
	}
	areas := NewPlaces(x, y).Areas(nil, &box)
	const step = 0.005
	counted := make([]float64, len(x))
	for px := step / 2; px < 3; px += step {
		for py := step / 2; py < 2; py += step {
			best := 0
			for i := range x {
				if math.Hypot(x[i]-px, y[i]-py) < math.Hypot(x[best]-px, y[best]-py) {
					best = i
				}
			}
			counted[best] += step * step
		}
	}
	sum := 0.0
	for i := range areas {
		sum += areas[i]
		if math.Abs(areas[i]-counted[i]) > 0.01 {
			t.Errorf("point %d: %.4f m², raster %.4f m²", i, areas[i], counted[i])
		}
	}
	if math.Abs(sum-6) > 1e-9 {
		t.Errorf("cells cover %.6f m² of 6", sum)
	}
}

func TestNearestFindsTheNearest(t *testing.T) {
	random := rand.New(rand.NewPCG(8, 8))
	var x, y []float64
	for range 300 {
		x, y = append(x, random.Float64()*4), append(y, random.Float64()*random.Float64())
	}
	places := NewPlaces(x, y)
	for i := range x {
		got := places.Nearest(i, 6)
		farthest := math.Hypot(x[got[5]]-x[i], y[got[5]]-y[i])
		nearer := 0
		for j := range x {
			if j != i && math.Hypot(x[j]-x[i], y[j]-y[i]) < farthest {
				nearer++
			}
		}
		if nearer > 5 {
			t.Fatalf("point %d: %d points are nearer than the sixth found", i, nearer)
		}
	}
}
