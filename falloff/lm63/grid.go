package lm63

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// grid holds the intensities at the angles of the file, in cd, factors applied.
type grid struct {
	kind     Type
	symmetry Symmetry
	v, h     axis
	cd       []float64 // by horizontal angle, then vertical: cd[j·len(v)+i]

	// Types A and B only: the sign of the angle does not matter (mirror), or it
	// does not and the file holds the negative half (flip).
	mirrorV, mirrorH, flipV, flipH bool
}

// fold brings angles of the ranges of AnglesOf into those of the file.
func (g *grid) fold(a Angles) Angles {
	h, v := a.HorizontalDeg, a.VerticalDeg
	if g.kind != TypeC {
		if g.mirrorH {
			h = math.Abs(h)
			if g.flipH {
				h = -h
			}
		}
		if g.mirrorV {
			v = math.Abs(v)
			if g.flipV {
				v = -v
			}
		}
		return Angles{h, v}
	}
	switch g.symmetry {
	case Quadrants:
		if h > 180 {
			h = 360 - h
		}
		if h > 90 {
			h = 180 - h
		}
	case MirroredY:
		if h > 180 {
			h = 360 - h
		}
	case MirroredX:
		if h < 90 {
			h = 180 - h
		} else if h > 270 {
			h = 540 - h
		}
	case Full:
		if first := g.h.deg[0]; first != 0 {
			h = first + math.Mod(h-first, 360)
			if h < first {
				h += 360
			}
		}
	}
	return Angles{h, v}
}

// at returns the intensity at angles that are folded, bilinear in between and
// zero outside.
func (g *grid) at(a Angles) float64 {
	i, s, ok := g.v.locate(a.VerticalDeg)
	if !ok {
		return 0
	}
	if g.symmetry == Axial {
		return g.cd[i] + s*(g.cd[i+1]-g.cd[i])
	}
	j, t, ok := g.h.locate(a.HorizontalDeg)
	if !ok {
		return 0
	}
	nv := len(g.v.deg)
	near, far := g.cd[j*nv+i:j*nv+i+2], g.cd[(j+1)*nv+i:(j+1)*nv+i+2]
	p := near[0] + s*(near[1]-near[0])
	q := far[0] + s*(far[1]-far[0])
	return p + t*(q-p)
}

// Intensity returns the intensity in cd toward a direction of the fixture's
// frame (see the package comment), a vector of any length. Between the angles of
// the file it is bilinear in the file's own angles,
//
//	I = (1−s)(1−t)·I₀₀ + s(1−t)·I₁₀ + (1−s)t·I₀₁ + st·I₁₁
//
// with s and t the parts of the vertical and the horizontal interval passed.
// Beyond the first and last angles it is zero. On the axis of type C, where C has
// no value, it is that of the plane C = 0. It is never negative, never above the
// peak, and zero for a vector without a direction. It does not allocate.
func (d *Distribution) Intensity(direction r3.Vec) float64 {
	n2 := r3.Norm2(direction)
	if !(n2 > 1e-200 && n2 < 1e200) {
		// Squares would lose such a vector.
		m := math.Max(math.Abs(direction.X), math.Max(math.Abs(direction.Y), math.Abs(direction.Z)))
		if !(m > 0) || math.IsInf(m, 0) {
			return 0
		}
		direction = r3.Vec{X: direction.X / m, Y: direction.Y / m, Z: direction.Z / m}
		if math.IsNaN(r3.Norm2(direction)) {
			return 0
		}
	}
	g := &d.grid
	if g.symmetry == Axial {
		flat := math.Sqrt(direction.X*direction.X + direction.Y*direction.Y)
		return g.at(Angles{VerticalDeg: math.Atan2(flat, direction.Z) * degrees})
	}
	return g.at(g.fold(g.kind.AnglesOf(direction)))
}

// IntensityAt returns the intensity in cd at angles of the file's own type, as
// Intensity does; angles beyond a full turn or past a pole are brought back.
// It is zero for angles that are NaN or infinite.
func (d *Distribution) IntensityAt(a Angles) float64 {
	g := &d.grid
	h, v := a.HorizontalDeg, a.VerticalDeg
	switch {
	case g.kind == TypeC && h >= 0 && h <= 360 && v >= 0 && v <= 180,
		g.kind == TypeA && math.Abs(h) <= 180 && math.Abs(v) <= 90,
		g.kind == TypeB && math.Abs(h) <= 90 && math.Abs(v) <= 180:
		return g.at(g.fold(a))
	}
	// Also where an angle is not finite: its direction then is not either.
	return d.Intensity(g.kind.Direction(a))
}

// Peak is the largest intensity and where it is.
type Peak struct {
	IntensityCD float64
	// Angles are in the file's own type, Direction is the unit vector in the
	// fixture's frame. Of several equal ones it is the first in the file; those
	// that symmetry adds are not told.
	Angles    Angles
	Direction r3.Vec
}

// Peak returns the largest intensity. A bilinear interpolant has it at one of
// the file's own angles.
func (d *Distribution) Peak() Peak { return d.peak }

// findPeak looks through the grid.
func (g *grid) findPeak() Peak {
	best := 0
	for k, v := range g.cd {
		if v > g.cd[best] {
			best = k
		}
	}
	nv := len(g.v.deg)
	a := Angles{HorizontalDeg: g.h.deg[best/nv], VerticalDeg: g.v.deg[best%nv]}
	return Peak{IntensityCD: g.cd[best], Angles: a, Direction: g.kind.Direction(a)}
}
