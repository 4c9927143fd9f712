package plan

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"evenfall/photometry/survey"
)

const degree = math.Pi / 180

// direction is where a lamp looks at a pan and tilt in degrees: pan 0 and tilt 0
// look along −z, pan turns toward +x, tilt toward +y.
func direction(panDeg, tiltDeg float64) r3.Vec {
	sp, cp := math.Sincos(panDeg * degree)
	st, ct := math.Sincos(tiltDeg * degree)
	return r3.Vec{X: sp * ct, Y: st, Z: -cp * ct}
}

// panTilt is the inverse of direction, for any length but zero.
func panTilt(v r3.Vec) (panDeg, tiltDeg float64) {
	return math.Atan2(v.X, -v.Z) / degree, math.Atan2(v.Y, math.Hypot(v.X, v.Z)) / degree
}

// angleBetween is the angle between two directions in degrees.
func angleBetween(a, b r3.Vec) float64 {
	return math.Atan2(r3.Norm(r3.Cross(a, b)), r3.Dot(a, b)) / degree
}

// pose is where something stands and how it is turned: three axes at right
// angles, right × up = front.
type pose struct {
	at               r3.Vec
	right, up, front r3.Vec
}

// newPose turns something at a place to look along front, upright as far as that
// goes, and then about its front by rotateDeg, counterclockwise as seen by
// someone it looks at.
func newPose(at, front r3.Vec, rotateDeg float64) pose {
	front = r3.Unit(front)
	upright := r3.Vec{Y: 1}
	if math.Abs(front.Y) > 1-1e-9 {
		upright = r3.Vec{Z: -1} // straight up or down: its top toward the surface
	}
	right := r3.Unit(r3.Cross(upright, front))
	up := r3.Cross(front, right)
	if rotateDeg != 0 {
		s, c := math.Sincos(rotateDeg * degree)
		right, up = r3.Add(r3.Scale(c, right), r3.Scale(s, up)), r3.Sub(r3.Scale(c, up), r3.Scale(s, right))
	}
	return pose{at, right, up, front}
}

// point is the place at u to the right and v upward on the plane of the pose.
func (p pose) point(u, v float64) r3.Vec {
	return r3.Add(p.at, r3.Add(r3.Scale(u, p.right), r3.Scale(v, p.up)))
}

// corners are those of a rectangle of w by h on the pose, counterclockwise from
// its front.
func (p pose) corners(w, h float64) []r3.Vec {
	return []r3.Vec{p.point(-w/2, -h/2), p.point(w/2, -h/2), p.point(w/2, h/2), p.point(-w/2, h/2)}
}

// local is a direction in the axes of the pose: x right, y up, z front.
func (p pose) local(v r3.Vec) r3.Vec {
	return r3.Vec{X: r3.Dot(v, p.right), Y: r3.Dot(v, p.up), Z: r3.Dot(v, p.front)}
}

// toCamera is the normal of the surface.
var toCamera = r3.Vec{Z: 1}

// r3Place is a place of a survey in space.
func r3Place(s *survey.Survey, i int) r3.Vec { return r3.Vec{X: s.X[i], Y: s.Y[i]} }
