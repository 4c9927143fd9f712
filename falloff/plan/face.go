package plan

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// face is a flat convex outline that shines in a way that has no closed form.
type face struct {
	outline []r3.Vec
	// sends is the intensity in cd per m² of a place toward a receiver; ray runs from
	// the one to the other.
	sends func(p, ray r3.Vec) float64
	// limit is how large a part may be as a share of its distance, see enough.
	limit float64
	// small says that one element in the middle stands for what is seen of it: the outline
	// is one of very many cells.
	small bool
}

// illuminance is that in lx at a place, toward a unit normal, of what cones leave
// above the receiver's horizon. The outline is cut along the horizon and the shadow
// lines, so that a penumbra has no steps, and each piece is added up by triangles.
func (f face) illuminance(at, normal r3.Vec, past sight) float64 {
	above, _ := cut(f.outline, normal, at)
	sum := 0.0
	through(above, past, 1, func(piece []r3.Vec, weight float64) {
		if f.small {
			area, center := weighed(piece)
			sum += weight * area * f.element(at, normal, center)
			return
		}
		hub, from := piece[0], 1
		if len(piece) > 4 { // from one corner the triangles would be long and thin
			hub, from = middle(piece), 0
		}
		for i := from; i < len(piece)-from; i++ {
			sum += weight * f.triangle(past.tally, at, normal, hub, piece[i], piece[(i+1)%len(piece)], 0)
		}
	})
	return sum
}

func middle(corners []r3.Vec) (sum r3.Vec) {
	for _, p := range corners {
		sum = r3.Add(sum, p)
	}
	return r3.Scale(1/float64(len(corners)), sum)
}

// mostHalvings is how often a triangle is halved for a receiver that all but touches
// it.
const mostHalvings = 16

// triangle halves a triangle across its longest side until it is small for its
// distance.
func (f face) triangle(t *tally, at, normal, a, b, c r3.Vec, halvings int) float64 {
	for range 2 { // c to a becomes the longest side
		if r3.Norm2(r3.Sub(b, a)) > r3.Norm2(r3.Sub(a, c)) || r3.Norm2(r3.Sub(c, b)) > r3.Norm2(r3.Sub(a, c)) {
			a, b, c = b, c, a
		}
	}
	apart := r3.Norm2(r3.Sub(at, middle([]r3.Vec{a, b, c})))
	if r3.Norm2(r3.Sub(a, c)) > 2*f.limit*f.limit*apart && halvings < mostHalvings {
		half := r3.Scale(0.5, r3.Add(a, c))
		return f.triangle(t, at, normal, a, b, half, halvings+1) + f.triangle(t, at, normal, half, b, c, halvings+1)
	}
	t.add(len(triangleNodes))
	sum := 0.0
	for _, n := range triangleNodes {
		sum += n.weight * f.element(at, normal, r3.Add(r3.Scale(n.a, a), r3.Add(r3.Scale(n.b, b), r3.Scale(1-n.a-n.b, c))))
	}
	return sum * math.Sqrt(r3.Norm2(r3.Cross(r3.Sub(b, a), r3.Sub(c, a)))) / 2
}

// element is the illuminance that a place of the face gives per m² of it.
func (f face) element(at, normal, p r3.Vec) float64 {
	ray := r3.Sub(at, p)
	d2 := r3.Norm2(ray)
	return f.sends(p, ray) * math.Max(0, -r3.Dot(ray, normal)) / (d2 * math.Sqrt(d2))
}

// weighed is the area of a flat convex outline in m² and its center of mass.
func weighed(outline []r3.Vec) (area float64, center r3.Vec) {
	for i := 2; i < len(outline); i++ {
		a, b, c := outline[0], outline[i-1], outline[i]
		part := math.Sqrt(r3.Norm2(r3.Cross(r3.Sub(b, a), r3.Sub(c, a)))) / 2
		area += part
		center = r3.Add(center, r3.Scale(part/3, r3.Add(a, r3.Add(b, c))))
	}
	if area == 0 {
		return 0, outline[0]
	}
	return area, r3.Scale(1/area, center)
}

// triangleNodes is the rule of six nodes that is exact to the fourth degree, in
// coordinates of the corners (D. A. Dunavant, International Journal for Numerical
// Methods in Engineering 21, 1985, 1129; from memory, held by a test).
var triangleNodes = func() (nodes [6]struct{ a, b, weight float64 }) {
	for i, n := range []struct{ at, weight float64 }{{0.445948490915965, 0.223381589678011}, {0.091576213509771, 0.109951743655322}} {
		for k, ab := range [][2]float64{{n.at, n.at}, {n.at, 1 - 2*n.at}, {1 - 2*n.at, n.at}} {
			nodes[3*i+k].a, nodes[3*i+k].b, nodes[3*i+k].weight = ab[0], ab[1], n.weight
		}
	}
	return nodes
}()
