package plan

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// plane is the places p with normal·p = offset.
type plane struct {
	normal r3.Vec
	offset float64
}

func (a plane) height(p r3.Vec) float64 { return r3.Dot(a.normal, p) - a.offset }

// between are the occluders that may stand on a way from one convex outline to another.
// All ways lie in the convex hull of the two; an occluder beyond one of its planes, or
// with both outlines on one side of its own, stands in none.
func between(from, to []r3.Vec, occluders []*occluder) (out []*occluder) {
	both := slices.Concat(from, to)
	hull := append(hullPlanes(from, to, both), hullPlanes(to, from, both)...)
	for _, s := range occluders {
		own := plane{s.normal, r3.Dot(s.normal, s.center)}
		beyond := func(a plane) bool { return a.beyond(s.corners[:]) }
		if !own.beyond(both) && !(plane{r3.Scale(-1, own.normal), -own.offset}).beyond(both) && !slices.ContainsFunc(hull, beyond) {
			out = append(out, s)
		}
	}
	return out
}

// margin is how far beyond a plane is surely beyond, in meters: rounding is less.
const margin = 1e-6

// beyond reports whether all places lie on the outer side of the plane.
func (a plane) beyond(places []r3.Vec) bool {
	return !slices.ContainsFunc(places, func(p r3.Vec) bool { return a.height(p) < margin })
}

// hullPlanes are planes of the hull of two outlines, their normals outward: that of the
// one outline, and those through its edges and a corner of the other.
func hullPlanes(one, other, both []r3.Vec) (planes []plane) {
	if len(one) < 3 {
		return nil
	}
	for i, a := range one {
		along := r3.Sub(one[(i+1)%len(one)], a)
		for _, tip := range append([]r3.Vec{one[(i+2)%len(one)]}, other...) {
			normal := r3.Cross(along, r3.Sub(tip, a))
			size := r3.Norm(normal)
			if size == 0 {
				continue
			}
			p := plane{r3.Scale(1/size, normal), r3.Dot(normal, a) / size}
			low, high := math.Inf(1), math.Inf(-1)
			for _, c := range both {
				low, high = math.Min(low, p.height(c)), math.Max(high, p.height(c))
			}
			switch {
			case high < margin/2:
				planes = append(planes, p)
			case low > -margin/2:
				planes = append(planes, plane{r3.Scale(-1, p.normal), -p.offset})
			}
		}
	}
	return planes
}
