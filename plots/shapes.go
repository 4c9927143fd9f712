package plots

import (
	"image/color"
	"math"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// polygon is the closed path from each point to the next.
func polygon(points ...vg.Point) (path vg.Path) {
	path.Move(points[0])
	for _, p := range points[1:] {
		path.Line(p)
	}
	path.Close()
	return path
}

func circle(center vg.Point, radius vg.Length) (path vg.Path) {
	path.Move(vg.Point{X: center.X + radius, Y: center.Y})
	path.Arc(center, radius, 0, 2*math.Pi)
	path.Close()
	return path
}

// regularPolygon is the path of a polygon with its first corner at an angle.
func regularPolygon(center vg.Point, radius vg.Length, corners int, start float64) vg.Path {
	points := make([]vg.Point, corners)
	for i := range points {
		sin, cos := math.Sincos(start + 2*math.Pi*float64(i)/float64(corners))
		points[i] = vg.Point{X: center.X + radius*vg.Length(cos), Y: center.Y + radius*vg.Length(sin)}
	}
	return polygon(points...)
}

// closedOutline is a rectangle's corners, with the first again at the end.
func closedOutline(r vg.Rectangle) []vg.Point {
	return []vg.Point{r.Min, {X: r.Max.X, Y: r.Min.Y}, r.Max, {X: r.Min.X, Y: r.Max.Y}, r.Min}
}

// turned is the path of a rectangle clockwise.
func turned(r vg.Rectangle) vg.Path {
	return polygon(r.Min, vg.Point{X: r.Min.X, Y: r.Max.Y}, r.Max, vg.Point{X: r.Max.X, Y: r.Min.Y})
}

func fill(c draw.Canvas, path vg.Path, clr color.Color) {
	c.SetColor(clr)
	c.Fill(path)
}
