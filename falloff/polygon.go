package falloff

import (
	"errors"
	"fmt"
	"math"

	"evenfall/photometry"

	"gonum.org/v1/gonum/spatial/r3"
)

// Polygon is a flat Lambertian surface with straight edges: a panel, a frame of
// diffusion, a bounce, a window. It shines to its front only, the side from
// which its corners run counterclockwise. Make one with NewPolygon or
// Rectangle.
type Polygon struct {
	corners   []r3.Vec
	normal    r3.Vec
	luminance float64
	area      float64
}

// NewPolygon returns the polygon with the given corners (meters,
// counterclockwise as seen from the lit side) and luminance (cd/m²). The corners
// are copied. It need not be convex, but its edges may not cross. It returns an
// error where there are fewer than three corners, where they enclose no area or
// where one is off the plane of the rest by more than a millionth of the
// polygon's size.
func NewPolygon(corners []r3.Vec, luminance float64) (Polygon, error) {
	if len(corners) < 3 {
		return Polygon{}, fmt.Errorf("falloff: polygon of %d corners, expected at least 3", len(corners))
	}
	var area2 r3.Vec
	var size float64
	for i, c := range corners {
		if !photometry.Finite(c.X, c.Y, c.Z) {
			return Polygon{}, fmt.Errorf("falloff: corner %d of the polygon is not finite", i+1)
		}
		rel := r3.Sub(c, corners[0])
		next := r3.Sub(corners[(i+1)%len(corners)], corners[0])
		area2 = r3.Add(area2, r3.Cross(rel, next))
		size = math.Max(size, math.Sqrt(r3.Norm2(rel)))
	}
	n, ok := unit(area2)
	if !ok || math.Sqrt(r3.Norm2(area2)) < 1e-12*size*size {
		return Polygon{}, errors.New("falloff: the corners of the polygon enclose no area")
	}
	for i, c := range corners {
		if math.Abs(r3.Dot(n, r3.Sub(c, corners[0]))) > 1e-6*size {
			return Polygon{}, fmt.Errorf("falloff: corner %d is off the plane of the polygon", i+1)
		}
	}
	return Polygon{
		corners:   append([]r3.Vec(nil), corners...),
		normal:    n,
		luminance: luminance,
		area:      math.Sqrt(r3.Norm2(area2)) / 2,
	}, nil
}

// Rectangle returns the rectangle of widthM by heightM meters about center whose
// front looks along normal and whose height runs along up, as nearly as a right
// angle to normal allows. Looking at its front with up upward, the width runs
// across. It returns an error where a size is not positive, normal is zero or up
// runs along normal.
func Rectangle(center, normal, up r3.Vec, widthM, heightM, luminance float64) (Polygon, error) {
	if !(widthM > 0 && heightM > 0) {
		return Polygon{}, fmt.Errorf("falloff: rectangle of %g by %g m, expected more than 0", widthM, heightM)
	}
	w, ok := unit(normal)
	if !ok {
		return Polygon{}, errors.New("falloff: the rectangle's normal has no direction")
	}
	right, ok := unit(r3.Cross(up, w))
	if !ok {
		return Polygon{}, errors.New("falloff: the rectangle's up runs along its normal")
	}
	x := r3.Scale(widthM/2, right)
	y := r3.Scale(heightM/2, r3.Cross(w, right))
	return NewPolygon([]r3.Vec{
		r3.Sub(r3.Sub(center, x), y),
		r3.Sub(r3.Add(center, x), y),
		r3.Add(r3.Add(center, x), y),
		r3.Add(r3.Sub(center, x), y),
	}, luminance)
}

// Luminance returns the luminance in cd/m².
func (s Polygon) Luminance() float64 { return s.luminance }

// Illuminance returns the exact illuminance at any point and tilt by Lambert's
// contour integral, the sum over the edges a→b seen from the receiver
//
//	E = L/2 · Σ atan2(|a×b|, a·b) · n·(a×b)/|a×b|
//
// with the part below the receiver's horizon cut away edge by edge. It allocates
// nothing. Sources: J. H. Lambert, Photometria (1760); P. Moon, The Scientific
// Basis of Illuminating Engineering (1936), chapter 10; D. R. Baum, H. E.
// Rushmeier, J. M. Winget, Computer Graphics 23 (1989) 325.
func (s Polygon) Illuminance(at, normal r3.Vec) float64 {
	n, ok := unit(normal)
	if !ok || len(s.corners) == 0 {
		return 0
	}
	if !(r3.Dot(s.normal, r3.Sub(at, s.corners[0])) > 0) {
		return 0
	}
	last := len(s.corners) - 1
	a := r3.Sub(s.corners[last], at)
	ha := r3.Dot(n, a)
	var sum float64
	var first, left r3.Vec // where the contour came up first and went down last
	var rose, sank bool
	for _, c := range s.corners {
		b := r3.Sub(c, at)
		hb := r3.Dot(n, b)
		switch {
		case ha > 0 && hb > 0:
			sum += edgeAngle(a, b, n)
		case ha > 0:
			cut := crossing(a, b, ha, hb)
			sum += edgeAngle(a, cut, n)
			left, sank = cut, true
		case hb > 0:
			cut := crossing(a, b, ha, hb)
			sum += edgeAngle(cut, b, n)
			switch {
			case sank:
				sum += edgeAngle(left, cut, n)
				sank = false
			case !rose:
				first = cut
			}
			rose = true
		}
		a, ha = b, hb
	}
	if sank && rose {
		sum += edgeAngle(left, first, n)
	}
	// Counterclockwise from the front is clockwise from the receiver.
	return sane(-s.luminance / 2 * sum)
}

// crossing returns where the edge a→b meets the horizon, given the heights of
// its ends above it.
func crossing(a, b r3.Vec, ha, hb float64) r3.Vec {
	t := ha / (ha - hb)
	return r3.Add(a, r3.Scale(t, r3.Sub(b, a)))
}

// edgeAngle returns the angle under which the edge a→b is seen times the
// component along n of the unit normal of the plane through it and the eye.
func edgeAngle(a, b, n r3.Vec) float64 {
	// a×(b−a) instead of a×b: a far, short edge keeps its digits.
	g := r3.Cross(a, r3.Sub(b, a))
	size := math.Sqrt(r3.Norm2(g))
	if size == 0 {
		return 0
	}
	return math.Atan2(size, r3.Dot(a, b)) * (r3.Dot(n, g) / size)
}
