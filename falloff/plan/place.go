package plan

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"evenfall/photometry/setup"
)

// place finds where a fixture stands and looks.
func (b *builder) place(i int) {
	l, f := &b.rows[i], &b.Fixtures[i]
	f.Name, f.Kind = l.Name, l.Kind
	for _, c := range []struct {
		name string
		r    setup.Range
	}{{"x", l.X}, {"z", l.Z}} {
		if !c.r.Set {
			b.fail(i, c.name, "a position in meters")
		}
	}
	f.At = r3.Vec{X: l.X.At, Y: b.height(i), Z: l.Z.At}
	if box := b.options.Surface; box != nil && f.At.Z <= 0 && l.Z.Set {
		if box.Grow(1e-9, 1e-9).Contains(f.At.X, f.At.Y) || l.Z.At == 0 {
			b.fail(i, "z", "a place in front of the surface, z above 0")
		} else {
			b.warn("behind_surface", "lamp", l.Name)
		}
	}
	if l.X.Set && l.Z.Set && (l.Y.Set || l.StandHeight.Set) {
		b.aim(i)
	}
}

// height is y of a fixture, from its own cell or from its height above the floor.
func (b *builder) height(i int) float64 {
	l, floor := &b.rows[i], b.floor()
	switch {
	case !l.Y.Set && !l.StandHeight.Set:
		b.fail(i, "y", "a height in meters above the surface's lower edge, or a stand height above the floor")
	case !l.Y.Set || l.StandHeight.Free():
		if b.options.FloorY == nil {
			b.assume("surface_on_floor")
		}
		return floor + l.StandHeight.At
	case l.StandHeight.Set && b.options.FloorY != nil && math.Abs(floor+l.StandHeight.At-l.Y.At) > 0.02 && !l.Y.Free():
		b.fail(i, "stand height", fmt.Sprintf("%.2f, since y is %.2f m and the floor is at %.2f m; or one of them left empty", l.Y.At-floor, l.Y.At, floor))
	}
	return l.Y.At
}

// floor is where the floor is, at the surface's lower edge where nobody says.
func (s *Scene) floor() float64 {
	if s.options.FloorY == nil {
		return 0
	}
	return *s.options.FloorY
}

// aim finds where a fixture looks, from its aim or its pan and tilt.
func (b *builder) aim(i int) {
	l, f := &b.rows[i], &b.Fixtures[i]
	aimed := l.AimX.Set || l.AimY.Set || l.AimZ.Set
	turned := l.Pan.Set || l.Tilt.Set
	bare := l.Kind == setup.Point && !l.Beam.Set
	front := direction(l.Pan.At, l.Tilt.At)
	switch {
	case aimed && (!l.AimX.Set || !l.AimY.Set):
		column := "aim x"
		if l.AimX.Set {
			column = "aim y"
		}
		b.fail(i, column, "both aim x and aim y (an empty aim z is 0, on the surface)")
	case aimed:
		at := r3.Vec{X: l.AimX.At, Y: l.AimY.At, Z: l.AimZ.At}
		toward := r3.Sub(at, f.At)
		if r3.Norm(toward) < 1e-6 {
			b.fail(i, "aim x", "an aim away from the lamp's own place")
			return
		}
		if off := angleBetween(toward, front); turned && off > 1 && !free(l.Pan, l.Tilt, l.AimX, l.AimY, l.AimZ, l.X, l.Y, l.Z) {
			pan, tilt := panTilt(toward)
			b.fail(i, "pan", fmt.Sprintf("pan %.1f and tilt %.1f, where the aim is, within 1 degree (it is %.1f off); or one of the two left empty", pan, tilt, off))
		}
		if !turned || !free(l.Pan, l.Tilt) {
			front = toward
		}
	case !turned && !bare:
		b.fail(i, "aim x", "an aim (aim x, aim y), or pan and tilt")
		return
	}
	f.Aimed = !bare
	f.pose = newPose(f.At, front, l.Rotate.At)
	f.Aim = f.pose.front
}
