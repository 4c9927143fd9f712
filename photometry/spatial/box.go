package spatial

import (
	"iter"
	"math"
	"strings"

	"evenfall/photometry"
)

// Box is a rectangle on the surface in meters, X0 < X1 and Y0 < Y1.
type Box struct {
	X0 float64 `json:"x0_m"`
	Y0 float64 `json:"y0_m"`
	X1 float64 `json:"x1_m"`
	Y1 float64 `json:"y1_m"`
}

// Width and Height are the sides in meters.
func (b Box) Width() float64  { return b.X1 - b.X0 }
func (b Box) Height() float64 { return b.Y1 - b.Y0 }

// Center is the middle of the box.
func (b Box) Center() (x, y float64) { return (b.X0 + b.X1) / 2, (b.Y0 + b.Y1) / 2 }

// Local turns meters into coordinates of the box from -1 to 1; a box without width
// or height stays at 0.
func (b Box) Local(x, y float64) (u, v float64) {
	cx, cy := b.Center()
	if w := b.Width(); w > 0 {
		u = 2 * (x - cx) / w
	}
	if h := b.Height(); h > 0 {
		v = 2 * (y - cy) / h
	}
	return u, v
}

// Contains reports whether a point lies in the box or within a millionth of its
// size of the border, so that rounded positions on the border count.
func (b Box) Contains(x, y float64) bool {
	ex, ey := 1e-6*b.Width(), 1e-6*b.Height()
	return x >= b.X0-ex && x <= b.X1+ex && y >= b.Y0-ey && y <= b.Y1+ey
}

// String is the box as a note has it: left, bottom, right, top.
func (b Box) String() string {
	f := photometry.FormatFigure
	return strings.Join([]string{f(b.X0), f(b.Y0), f(b.X1), f(b.Y1)}, ", ")
}

// Grow is the box with dx added left and right and dy below and above.
func (b Box) Grow(dx, dy float64) Box {
	return Box{b.X0 - dx, b.Y0 - dy, b.X1 + dx, b.Y1 + dy}
}

// Union is the smallest box around both.
func (b Box) Union(other Box) Box {
	return Box{min(b.X0, other.X0), min(b.Y0, other.Y0), max(b.X1, other.X1), max(b.Y1, other.Y1)}
}

// Around yields points around the border of the box, so many a side.
func (b Box) Around(parts int) iter.Seq2[float64, float64] {
	return func(yield func(x, y float64) bool) {
		for k := range parts {
			dx, dy := float64(k)/float64(parts)*b.Width(), float64(k)/float64(parts)*b.Height()
			if !yield(b.X0+dx, b.Y0) || !yield(b.X1, b.Y0+dy) || !yield(b.X1-dx, b.Y1) || !yield(b.X0, b.Y1-dy) {
				return
			}
		}
	}
}

// Spacing is the side of the square that each of n places in the box has to
// itself; for places in a line, the step between them. In meters.
func (b Box) Spacing(n int) float64 {
	if area := b.Width() * b.Height(); area > 0 {
		return math.Sqrt(area / float64(n))
	}
	return max(b.Width(), b.Height()) / float64(max(1, n-1))
}

// BoxOf is the smallest box around points; ok is false for no points.
func BoxOf(x, y []float64) (b Box, ok bool) {
	if len(x) == 0 {
		return Box{}, false
	}
	b = Box{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
	for i := range x {
		b.X0, b.X1 = min(b.X0, x[i]), max(b.X1, x[i])
		b.Y0, b.Y1 = min(b.Y0, y[i]), max(b.Y1, y[i])
	}
	return b, true
}
