package plan

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"evenfall/falloff"
	"evenfall/photometry"
)

// light is the shape of something that shines, at a strength of its own.
type light interface {
	// illuminance is that in lx at a place, toward a unit normal, of what occluders
	// leave of the light.
	illuminance(at, normal r3.Vec, past sight) float64
	// outline is a convex outline that holds all of it: one point for a point.
	outline() []r3.Vec
	// scaled is the same k times as strong.
	scaled(k float64) light
	// flux is all that leaves it, in lm.
	flux() float64
	// axial is its intensity on its axis in cd, from so far away that a face is a
	// point.
	axial() float64
}

// Intensity is a measured or computed distribution of intensity: cd toward a
// direction in the fixture's frame, a unit vector with z along the aim, y up and
// x to the right of someone behind the fixture who looks along its aim, as
// package lm63 has it.
type Intensity interface {
	Intensity(direction r3.Vec) float64
}

// passed is what occluders leave of the light of one point.
func passed(p r3.Vec, cones []*cone) float64 {
	left := 1.0
	for _, c := range cones {
		if c.covers(p) {
			left *= c.inside
		} else {
			left *= c.outside
		}
	}
	return left
}

// spot is a beam from a point.
type spot struct {
	falloff.Beam
	where []r3.Vec
}

func newSpot(b falloff.Beam) spot { return spot{b, []r3.Vec{b.Place}} }

func (s spot) illuminance(at, normal r3.Vec, past sight) float64 {
	if left := passed(s.Place, past.cones); left > 0 {
		return left * s.Illuminance(at, normal)
	}
	return 0
}
func (s spot) outline() []r3.Vec { return s.where }
func (s spot) scaled(k float64) light {
	s.PeakIntensity *= k
	return s
}
func (s spot) flux() float64  { return s.Flux() }
func (s spot) axial() float64 { return s.PeakIntensity }

// bulb shines from a point, evenly in all directions or as a distribution says, or
// from the luminous opening of a distribution, each part of it alike.
type bulb struct {
	pose
	intensity float64   // cd, or a factor on the distribution
	shape     Intensity // nil for even
	lumens    float64   // of the distribution at a factor of 1
	where     []r3.Vec  // the outline of the opening, or one point
	area      float64   // m² of the opening, 0 for a point
	size      float64   // m, largest dimension of the opening
	limit     float64   // as a share of the distance, of its parts
}

// farFromOpening is how many times the size of an opening away it is a point: the
// illuminance on the axis of a flat face then differs by less than a tenth of a
// percent.
const farFromOpening = 20

func (b bulb) illuminance(at, normal r3.Vec, past sight) float64 {
	ray := r3.Sub(at, b.at)
	if b.area > 0 && (len(past.cones) > 0 || r3.Norm(ray) < farFromOpening*b.size) {
		sends := func(_, ray r3.Vec) float64 { return b.toward(ray) / b.area }
		return face{b.where, sends, b.limit, false}.illuminance(at, normal, past)
	}
	facing, left := -r3.Dot(ray, normal), passed(b.at, past.cones)
	if !(facing > 0 && left > 0) {
		return 0
	}
	d := r3.Norm(ray)
	return left * math.Max(0, photometry.PointIlluminance(b.toward(ray), d, facing/d))
}

// toward is the intensity along a ray of any length.
func (b bulb) toward(ray r3.Vec) float64 {
	if b.shape == nil {
		return b.intensity
	}
	v := b.local(ray)
	v.X = -v.X // from behind, right and left are swapped
	return b.intensity * b.shape.Intensity(v)
}
func (b bulb) outline() []r3.Vec { return b.where }
func (b bulb) scaled(k float64) light {
	b.intensity *= k
	return b
}
func (b bulb) flux() float64 {
	if b.shape != nil {
		return b.intensity * b.lumens
	}
	return 4 * math.Pi * b.intensity
}
func (b bulb) axial() float64 { return b.toward(b.front) }

// lobe is what an element of a surface sends toward a receiver per unit of its
// intensity on the axis: cosᵐ of the angle at the element, the cosine at the
// receiver and the inverse square; ray runs from the element to the receiver.
func lobe(m float64, front, ray, normal r3.Vec) float64 {
	facing := -r3.Dot(ray, normal)
	ahead := r3.Dot(ray, front)
	if !(facing > 0 && ahead > 0) {
		return 0
	}
	d := math.Sqrt(r3.Norm2(ray))
	return photometry.PointIlluminance(math.Pow(ahead/d, m), d, facing/d)
}

// round is an evenly bright disc with cosᵐ lobes.
type round struct {
	pose
	radius, m float64
	peak      float64 // cd on the axis from far away
	rim       []r3.Vec
}

// rimCorners is how many straight edges stand for a disc's rim where a shadow
// falls on it: the area differs by 0.6 %, and is made good.
const rimCorners = 32

func newRound(p pose, radius, m, peak float64) round {
	return round{pose: p, radius: radius, m: m, peak: peak, rim: p.rim(2*radius, 2*radius)}
}

// rim is an ellipse of w by h on the pose as a polygon of its own area.
func (p pose) rim(w, h float64) (corners []r3.Vec) {
	out := math.Sqrt(2*math.Pi/(rimCorners*math.Sin(2*math.Pi/rimCorners))) / 2
	for i := range rimCorners {
		s, c := math.Sincos(2 * math.Pi * float64(i) / rimCorners)
		corners = append(corners, p.point(out*w*c, out*h*s))
	}
	return corners
}

func (r round) illuminance(at, normal r3.Vec, past sight) float64 {
	switch {
	case r.m != 1 && (len(past.cones) > 0 || math.Abs(r3.Dot(normal, r3.Sub(r.at, at))) < r.radius):
		sends := func(_, ray r3.Vec) float64 { return r.luminance() * cosPower(r.m, r.front, ray) }
		return face{r.rim, sends, enough(r.m), false}.illuminance(at, normal, past)
	case r.m != 1:
		return r.rings(at, normal, past.tally)
	case len(past.cones) > 0:
		return polygons(r.rim, r.luminance(), at, normal, past)
	}
	return falloff.Disc{Center: r.at, Normal: r.front, RadiusM: r.radius, Luminance: r.luminance()}.Illuminance(at, normal)
}

// luminance is that on the axis, cd/m².
func (r round) luminance() float64 { return r.peak / (math.Pi * r.radius * r.radius) }

// rings adds up elements on rings, finer where the receiver, which sees all of them,
// is near for the disc's size or for the width of the lobe.
func (r round) rings(at, normal r3.Vec, t *tally) float64 {
	d := r3.Norm(r3.Sub(at, r.at))
	k := 1
	for limit := enough(r.m) * d; 2*r.radius/float64(k) > limit && k < 16; k *= 2 {
	}
	around := 12 * k
	t.add(k * len(gauss) * around)
	sum := 0.0
	for band := range k {
		for _, g := range gauss {
			// Rings of equal area in the square of the radius.
			rr := r.radius * math.Sqrt((float64(band)+g.at)/float64(k))
			for i := range around {
				s, c := math.Sincos(2 * math.Pi * (float64(i) + 0.5) / float64(around))
				sum += g.weight * lobe(r.m, r.front, r3.Sub(at, r.point(rr*c, rr*s)), normal)
			}
		}
	}
	return r.peak * sum / float64(k*around)
}

func (r round) outline() []r3.Vec { return r.rim }
func (r round) scaled(k float64) light {
	r.peak *= k
	return r
}
func (r round) flux() float64  { return 2 * math.Pi * r.peak / (r.m + 1) }
func (r round) axial() float64 { return r.peak }

// polygons is the illuminance of what is seen of an evenly bright
// Lambertian outline.
func polygons(outline []r3.Vec, luminance float64, at, normal r3.Vec, past sight) float64 {
	sum := 0.0
	through(outline, past, 1, func(piece []r3.Vec, weight float64) {
		past.add(len(piece))
		if p, err := falloff.NewPolygon(piece, luminance); err == nil { // a sliver has no light
			sum += weight * p.Illuminance(at, normal)
		}
	})
	return sum
}

// node is a place and weight of a quadrature on 0 to 1.
type node struct{ at, weight float64 }

// gauss is the Gauss–Legendre rule of three nodes, at ½ ± √(3/5)/2.
var gauss = [3]node{
	{0.5 - 0.5*0.7745966692414834, 5.0 / 18}, {0.5, 8.0 / 18}, {0.5 + 0.5*0.7745966692414834, 5.0 / 18},
}

// pair is the Gauss–Legendre rule of two nodes of equal weight, at ½ ± 1/√12.
var pair = [2]float64{0.5 - 0.2886751345948129, 0.5 + 0.2886751345948129}

// enough is how large a part of a surface may be, as a share of its distance, so
// that four elements in a square stand for it within a thousandth or two. A lobe
// of cosᵐ is about 1/√(m+3) wide.
func enough(m float64) float64 { return math.Min(0.5, 1/math.Sqrt(m+3)) }
