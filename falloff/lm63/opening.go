package lm63

import (
	"cmp"
	"math"
)

// Shape is the form of a luminous opening.
type Shape string

// The shapes, given by the signs of the three dimensions: a negative dimension
// is a curved one.
const (
	Point     Shape = "point"
	Rectangle Shape = "rectangle" // flat, or a line where a side is zero
	Box       Shape = "box"       // with luminous sides
	Disc      Shape = "disc"      // circle or ellipse
	Cylinder  Shape = "cylinder"  // round or elliptical
	Ellipsoid Shape = "ellipsoid" // a sphere where all three are equal
)

// Opening is the luminous opening of the luminaire, its three sizes in meters
// along the axes of the fixture's frame, none negative; ZM is its depth along
// the aim.
type Opening struct {
	Shape      Shape
	XM, YM, ZM float64
}

// openingOf reads width, length and height (in meters, with the file's signs).
// Length lies along the photometric horizontal, height along photometric zero,
// width across both (LM-63-2002, key definitions): for type C length is along x,
// width along y and height along the aim; for type B width is along x and length
// along y; for type A width is along x, height along y and length along the aim
// (where only width and length are given, they are taken as the face: most
// writers mean that).
//
// Signs, as far as the editions define them: − − 0 disc, − − + cylinder along
// height, − − − ellipsoid, − + − cylinder along length, + − − cylinder along
// width, − 0 − disc that faces along length (2002 on; a sphere before); in
// editions before 2002 one negative number is a diameter, − 0 0 disc,
// − 0 + cylinder, 0 + − and + 0 − cylinders along length and width. It returns
// false for signs that none of them defines; sizes are then as written. From
// memory of the editions' tables.
func openingOf(width, length, height float64, t Type, g Generation) (Opening, bool) {
	shape, known := Rectangle, true
	w, l, h := math.Abs(width), math.Abs(length), math.Abs(height)
	curvedW, curvedL, curvedH := width < 0, length < 0, height < 0
	switch {
	case curvedW && curvedL && curvedH:
		shape = Ellipsoid
	case curvedW && curvedH:
		shape, l = horizontalOpening(l, w, g)
	case curvedL && curvedH:
		shape, w = horizontalOpening(w, l, g)
	case curvedH:
		shape, known = Cylinder, (w == 0) != (l == 0)
		w, l = cmp.Or(w, h), cmp.Or(l, h)
	case curvedW || curvedL:
		shape = Disc
		if h > 0 {
			shape = Cylinder
		}
		w, l = cmp.Or(w, l), cmp.Or(l, w) // one diameter for both
	case w == 0 && l == 0 && h == 0:
		shape = Point
	case w > 0 && l > 0 && h > 0:
		shape = Box
	}
	switch {
	case t == TypeC:
		return Opening{shape, l, w, h}, known
	case t == TypeB, h == 0:
		return Opening{shape, w, l, h}, known
	}
	return Opening{shape, w, h, l}, known
}

// horizontalOpening returns the shape, and the size along its axis, of an opening
// curved in height and across one of its other dimensions.
func horizontalOpening(along, across float64, g Generation) (Shape, float64) {
	switch {
	case along > 0:
		return Cylinder, along
	case g >= 2002:
		return Disc, 0
	}
	return Ellipsoid, across
}
