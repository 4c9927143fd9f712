package plan

import (
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

// An occluder that is left out covers no part of the light from any place of the other
// outline, and most of those far from the way are left out.
func TestBetween(t *testing.T) {
	r := rand.New(rand.NewPCG(17, 1))
	anywhere := func() r3.Vec { return r3.Vec{X: random(r, -2, 2), Y: random(r, -2, 2), Z: random(r, -2, 2)} }
	left, crossed := 0, 0
	for range 400 {
		to := newPose(anywhere(), anywhere(), 0).corners(random(r, 0.1, 2), random(r, 0.1, 2))
		from := []r3.Vec{anywhere()}
		if r.IntN(2) == 0 {
			from = newPose(anywhere(), anywhere(), 0).corners(random(r, 0.1, 1), random(r, 0.1, 1))
		}
		s := newOccluder(0, newPose(r3.Scale(0.3, anywhere()), anywhere(), 0), random(r, 0.1, 2), random(r, 0.1, 2), 0, 1)
		out := !slices.Contains(between(from, to, []*occluder{s}), s)
		if out {
			left++
		}
		covered := false
		for range 50 {
			eye := s.from(inPolygon(r, to))
			covered = covered || eye.covers(inPolygon(r, from))
		}
		if covered {
			crossed++
		}
		if covered && out {
			t.Fatalf("%v to %v: left out %v", from, to, s.corners)
		}
	}
	if left < 200 || crossed < 40 {
		t.Errorf("%d of 400 left out and %d in the way", left, crossed)
	}
}

// inPolygon is some place of a convex outline.
func inPolygon(r *rand.Rand, outline []r3.Vec) (p r3.Vec) {
	sum := 0.0
	for _, c := range outline {
		w := r.ExpFloat64()
		sum += w
		p = r3.Add(p, r3.Scale(w, c))
	}
	return r3.Scale(1/sum, p)
}
