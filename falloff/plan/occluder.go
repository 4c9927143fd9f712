package plan

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// occluder is a rectangle in the way of light: what crosses it is weakened to
// inside, what passes beside it to outside. A flag is inside 0 and outside 1, a
// net lets part through, and the light that goes straight on through a frame
// has outside 0.
type occluder struct {
	row             int // of the table
	corners         [4]r3.Vec
	center, normal  r3.Vec
	radius          float64 // from the center to a corner
	inside, outside float64
}

func newOccluder(row int, p pose, w, h, inside, outside float64) *occluder {
	s := &occluder{row: row, center: p.at, normal: p.front, radius: math.Hypot(w, h) / 2, inside: inside, outside: outside}
	copy(s.corners[:], p.corners(w, h))
	return s
}

// cone is an occluder as one eye sees it: the half spaces, positive inside, of the
// planes through the eye and each edge, and of the occluder's own plane, positive
// beyond it.
type cone struct {
	*occluder
	eye    r3.Vec
	planes [4]r3.Vec  // normals through the eye
	sizes  [4]float64 // of the normals
	beyond r3.Vec     // normal of the occluder's plane, away from the eye
	flat   bool       // the eye lies in the occluder's plane, which then hides nothing
}

func (s *occluder) from(eye r3.Vec) cone {
	c := cone{occluder: s, eye: eye}
	side := r3.Dot(s.normal, r3.Sub(eye, s.center))
	if side == 0 {
		c.flat = true
		return c
	}
	c.beyond = s.normal
	if side > 0 {
		c.beyond = r3.Scale(-1, s.normal)
	}
	middle := r3.Sub(s.center, eye)
	for i := range s.corners {
		a, b := r3.Sub(s.corners[i], eye), r3.Sub(s.corners[(i+1)%4], eye)
		n := r3.Cross(a, b)
		if r3.Dot(n, middle) < 0 {
			n = r3.Scale(-1, n)
		}
		c.planes[i], c.sizes[i] = n, math.Sqrt(r3.Norm2(n))
	}
	return c
}

// cones are occluders as they are seen from a place.
func cones(occluders []*occluder, at r3.Vec) []*cone {
	seen, out := make([]cone, len(occluders)), make([]*cone, len(occluders))
	for i, s := range occluders {
		seen[i] = s.from(at)
		out[i] = &seen[i]
	}
	return out
}

// coverage is how much of something an occluder covers.
type coverage int

const (
	coversSome coverage = iota // or it is not known
	coversNone
	coversAll
)

// ball is a sphere that holds something.
type ball struct {
	center r3.Vec
	radius float64
}

// around is a ball about an outline, one point or more.
func around(outline []r3.Vec) (b ball) {
	b.center = middle(outline)
	for _, p := range outline {
		b.radius = math.Max(b.radius, r3.Norm(r3.Sub(p, b.center)))
	}
	return b
}

// covered is what an occluder covers of a ball, and so of all that is in it.
func (c *cone) covered(b ball) coverage {
	if c.flat {
		return coversNone
	}
	beyond := c.past(b.center)
	if beyond <= -b.radius {
		return coversNone
	}
	all := beyond > b.radius
	v := r3.Sub(b.center, c.eye)
	for i, n := range c.planes {
		d, reach := r3.Dot(n, v), b.radius*c.sizes[i]
		if d <= -reach {
			return coversNone
		}
		all = all && d > reach
	}
	if all {
		return coversAll
	}
	return coversSome
}

// part is what an occluder covers of a part of an outline in a ball of its own.
func (c *cone) part(outline func() [4]r3.Vec, b ball) coverage {
	if of := c.covered(b); of != coversSome {
		return of
	}
	corners := outline()
	if c.misses(corners[:]) {
		return coversNone
	}
	for _, p := range corners {
		if !c.covers(p) {
			return coversSome
		}
	}
	return coversAll
}

// hides reports whether the occluder covers a point as an eye sees it: what its cone
// says, without the rest of that.
func (s *occluder) hides(p, eye r3.Vec) bool {
	side := r3.Dot(s.normal, r3.Sub(eye, s.center))
	far := r3.Dot(s.normal, r3.Sub(p, s.center))
	if !(side > 0 && far < 0 || side < 0 && far > 0) {
		return false
	}
	middle, v := r3.Sub(s.center, eye), r3.Sub(p, eye)
	for i := range s.corners {
		n := r3.Cross(r3.Sub(s.corners[i], eye), r3.Sub(s.corners[(i+1)%4], eye))
		if inside := r3.Dot(n, middle) < 0; inside != (r3.Dot(n, v) < 0) || r3.Dot(n, v) == 0 {
			return false
		}
	}
	return true
}

// past is how far a point lies beyond the occluder's plane, in meters.
func (c *cone) past(p r3.Vec) float64 { return r3.Dot(c.beyond, r3.Sub(p, c.center)) }

// covers reports whether the ray from a point to the eye crosses the occluder.
func (c *cone) covers(p r3.Vec) bool {
	if c.flat || c.past(p) <= 0 {
		return false
	}
	v := r3.Sub(p, c.eye)
	for _, n := range c.planes {
		if r3.Dot(n, v) < 0 {
			return false
		}
	}
	return true
}

// misses reports whether the occluder surely covers no part of a convex outline.
func (c *cone) misses(outline []r3.Vec) bool {
	if c.flat {
		return true
	}
	some := false
	for _, p := range outline {
		if c.past(p) > 0 {
			some = true
			break
		}
	}
	if !some {
		return true
	}
	for _, n := range c.planes {
		out := true
		for _, p := range outline {
			if r3.Dot(n, r3.Sub(p, c.eye)) > 0 {
				out = false
				break
			}
		}
		if out {
			return true
		}
	}
	return false
}

// through cuts a convex outline along the shadow lines of all occluders and calls
// f with each piece and what the occluders leave of its light. Pieces that get
// nothing are left out. The cut is exact, so a penumbra has no steps.
func through(outline []r3.Vec, past sight, weight float64, f func(piece []r3.Vec, weight float64)) {
	if weight == 0 || len(outline) < 3 || past.over() {
		return
	}
	if len(past.cones) == 0 {
		f(outline, weight)
		return
	}
	c, rest := past.cones[0], sight{past.cones[1:], past.tally}
	past.add(2)
	if c.misses(outline) {
		through(outline, rest, weight*c.outside, f)
		return
	}
	left, near := cut(outline, c.beyond, c.center)
	through(near, rest, weight*c.outside, f)
	for _, n := range c.planes {
		var beside []r3.Vec
		left, beside = cut(left, n, c.eye)
		through(beside, rest, weight*c.outside, f)
		if len(left) < 3 {
			return
		}
	}
	through(left, rest, weight*c.inside, f)
}

// cut parts a convex outline along the plane through a place (Sutherland and Hodgman,
// Communications of the ACM 17, 1974, 32); above is on the side of the normal. An
// outline all on one side is returned as it is.
func cut(outline []r3.Vec, normal, through r3.Vec) (above, below []r3.Vec) {
	n := len(outline)
	if n < 3 {
		return nil, nil
	}
	var room [8]float64
	heights, over := room[:0], 0
	for _, p := range outline {
		h := r3.Dot(normal, r3.Sub(p, through))
		if heights = append(heights, h); h > 0 {
			over++
		}
	}
	switch over {
	case 0:
		return nil, outline
	case n:
		return outline, nil
	}
	// Each side gets the two places where the edge is crossed.
	both := make([]r3.Vec, n+4)
	above, below = both[:0:over+2], both[over+2:over+2]
	a, ha := outline[n-1], heights[n-1]
	for i, b := range outline {
		hb := heights[i]
		if (ha > 0) != (hb > 0) {
			t := ha / (ha - hb)
			p := r3.Add(a, r3.Scale(t, r3.Sub(b, a)))
			above, below = append(above, p), append(below, p)
		}
		if hb > 0 {
			above = append(above, b)
		} else {
			below = append(below, b)
		}
		a, ha = b, hb
	}
	return above, below
}
