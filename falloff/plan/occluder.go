package plan

import (
	"slices"

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
	inside, outside float64
}

func newOccluder(row int, p pose, w, h, inside, outside float64) *occluder {
	s := &occluder{row: row, center: p.at, normal: p.front, inside: inside, outside: outside}
	copy(s.corners[:], p.corners(w, h))
	return s
}

// cone is an occluder as one eye sees it: the half spaces, positive inside, of the
// planes through the eye and each edge, and of the occluder's own plane, positive
// beyond it.
type cone struct {
	*occluder
	eye    r3.Vec
	planes [4]r3.Vec // normals through the eye
	beyond r3.Vec    // normal of the occluder's plane, away from the eye
	flat   bool      // the eye lies in the occluder's plane, which then hides nothing
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
		c.planes[i] = n
	}
	return c
}

// cones adds occluders as they are seen from a place.
func cones(to []cone, occluders []*occluder, at r3.Vec) []cone {
	to = slices.Grow(to, len(occluders))
	for _, s := range occluders {
		to = append(to, s.from(at))
	}
	return to
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
func through(outline []r3.Vec, cones []cone, weight float64, f func(piece []r3.Vec, weight float64)) {
	if weight == 0 || len(outline) < 3 {
		return
	}
	if len(cones) == 0 {
		f(outline, weight)
		return
	}
	c, rest := &cones[0], cones[1:]
	if c.misses(outline) {
		through(outline, rest, weight*c.outside, f)
		return
	}
	left, near := cut(outline, func(p r3.Vec) float64 { return c.past(p) })
	through(near, rest, weight*c.outside, f)
	for _, n := range c.planes {
		var beside []r3.Vec
		left, beside = cut(left, func(p r3.Vec) float64 { return r3.Dot(n, r3.Sub(p, c.eye)) })
		through(beside, rest, weight*c.outside, f)
		if len(left) < 3 {
			return
		}
	}
	through(left, rest, weight*c.inside, f)
}

// cut parts a convex outline where height changes its sign (Sutherland and
// Hodgman, Communications of the ACM 17, 1974, 32). An outline all on one side is
// returned as it is.
func cut(outline []r3.Vec, height func(r3.Vec) float64) (above, below []r3.Vec) {
	n := len(outline)
	if n < 3 {
		return nil, nil
	}
	over := 0
	for _, p := range outline {
		if height(p) > 0 {
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
	above, below = make([]r3.Vec, 0, over+2), make([]r3.Vec, 0, n-over+2)
	a := outline[n-1]
	ha := height(a)
	for _, b := range outline {
		hb := height(b)
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
