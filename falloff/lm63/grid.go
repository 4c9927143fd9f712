package lm63

import (
	"math"
	"slices"
	"sort"

	"gonum.org/v1/gonum/spatial/r3"
)

// grid holds the intensities at the angles of the file, in cd, factors applied,
// and how these angles represent all directions.
type grid struct {
	kind Type
	// v and h include the mirror images that the symmetry implies.
	v, h axis
	cd   []float64 // by horizontal angle of the file, then by vertical one
	rows int       // how many vertical angles the file has
}

// axis is one set of ascending angles in degrees, at least two.
type axis struct {
	deg []float64
	// of is the index in the file of the angle that each mirrors.
	of []int
}

func newAxis(deg []float64) axis {
	a := axis{deg: slices.Clone(deg), of: make([]int, len(deg))}
	for i := range a.of {
		a.of[i] = i
	}
	return a
}

// mirror adds the mirror images of all angles about the first or the last one.
func (a *axis) mirror(about float64) {
	n := len(a.deg)
	for i := range n {
		if image := 2*about - a.deg[n-1-i]; !sameAngle(image, about) {
			a.deg, a.of = append(a.deg, image), append(a.of, a.of[n-1-i])
		}
	}
	if a.deg[n] < a.deg[0] { // the images come first
		a.deg, a.of = rotate(a.deg, n), rotate(a.of, n)
	}
}

// rotate returns s beginning with its element n.
func rotate[T any](s []T, n int) []T { return slices.Concat(s[n:], s[:n]) }

// angleTolerance is how far beyond its ends an axis is defined, in degrees, so that a
// direction computed to lie on the last angle is on it.
const angleTolerance = 1e-9

// sameAngle reports whether two angles in degrees are equal within angleTolerance.
func sameAngle(a, b float64) bool { return math.Abs(a-b) <= angleTolerance }

// locate returns the interval that contains v and how far into it v lies, from 0
// to 1; ok is false outside the axis and for NaN.
func (a *axis) locate(v float64) (i int, part float64, ok bool) {
	last := len(a.deg) - 1
	if !(v >= a.deg[0]-angleTolerance && v <= a.deg[last]+angleTolerance) {
		return 0, 0, false
	}
	i = sort.Search(last-1, func(k int) bool { return v < a.deg[k+1] })
	part = (v - a.deg[i]) / (a.deg[i+1] - a.deg[i])
	return i, min(max(part, 0), 1), true
}

// value is the intensity at the angle i of v and j of h.
func (g *grid) value(i, j int) float64 { return g.cd[g.h.of[j]*g.rows+g.v.of[i]] }

// at returns the intensity at angles of the ranges of AnglesOf, bilinear in
// between and zero outside.
func (g *grid) at(a Angles) float64 {
	i, s, ok := g.v.locate(a.VerticalDeg)
	if !ok {
		return 0
	}
	if g.kind == TypeC && a.HorizontalDeg < g.h.deg[0]-angleTolerance {
		a.HorizontalDeg += 360
	}
	j, t, ok := g.h.locate(a.HorizontalDeg)
	if !ok {
		return 0
	}
	p := g.value(i, j) + s*(g.value(i+1, j)-g.value(i, j))
	q := g.value(i, j+1) + s*(g.value(i+1, j+1)-g.value(i, j+1))
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
		// The squares of its components would underflow.
		m := math.Max(math.Abs(direction.X), math.Max(math.Abs(direction.Y), math.Abs(direction.Z)))
		if !(m > 0) || math.IsInf(m, 0) {
			return 0
		}
		direction = r3.Vec{X: direction.X / m, Y: direction.Y / m, Z: direction.Z / m}
		if math.IsNaN(r3.Norm2(direction)) {
			return 0
		}
	}
	if d.Symmetry == Axial { // the angle about the axis does not matter
		flat := math.Sqrt(direction.X*direction.X + direction.Y*direction.Y)
		return d.grid.at(Angles{d.grid.h.deg[0], math.Atan2(flat, direction.Z) * degrees})
	}
	return d.grid.at(d.Type.AnglesOf(direction))
}
