package plan

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"evenfall/photometry/setup"
	"evenfall/photometry/spatial"
)

// newScene is the scene of a table of lamps, columns divided by blanks where the
// text has no commas.
func newScene(t testing.TB, text string, o Options) *Scene {
	t.Helper()
	s, err := tryScene(text, o)
	if err != nil {
		t.Fatalf("%v\n%s", err, text)
	}
	return s
}

func tryScene(text string, o Options) (*Scene, error) {
	l, err := setup.ReadLamps(strings.NewReader(text), "lamps.csv")
	if err != nil {
		return nil, err
	}
	return NewScene(l, o)
}

// row is a table of one header and some rows.
func row(header string, rows ...string) string {
	return header + "\n" + strings.Join(rows, "\n") + "\n"
}

func near(t testing.TB, what string, got, want, relative float64) {
	t.Helper()
	if !(math.Abs(got-want) <= relative*math.Abs(want)) {
		t.Errorf("%s: %.9g, want %.9g within %g (off by %.3g)", what, got, want, relative, got/want-1)
	}
}

// vec is a vector of the independent integrations, which share no code with the
// package.
type vec [3]float64

func (a vec) plus(b vec) vec      { return vec{a[0] + b[0], a[1] + b[1], a[2] + b[2]} }
func (a vec) times(k float64) vec { return vec{k * a[0], k * a[1], k * a[2]} }
func (a vec) minus(b vec) vec     { return a.plus(b.times(-1)) }
func (a vec) dot(b vec) float64   { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }
func (a vec) size() float64       { return math.Sqrt(a.dot(a)) }
func (a vec) unit() vec           { return a.times(1 / a.size()) }
func (a vec) cross(b vec) vec {
	return vec{a[1]*b[2] - a[2]*b[1], a[2]*b[0] - a[0]*b[2], a[0]*b[1] - a[1]*b[0]}
}
func (a vec) r3() r3.Vec                            { return r3.Vec{X: a[0], Y: a[1], Z: a[2]} }
func of(v r3.Vec) vec                               { return vec{v.X, v.Y, v.Z} }
func random(r *rand.Rand, from, to float64) float64 { return from + (to-from)*r.Float64() }

// element is a small part of a source: a place, where it looks, its intensity on
// its own axis in cd, and the exponent of its lobe.
type element struct {
	at, front vec
	peak, m   float64
}

// lux adds up elements by the inverse-square and cosine laws, one by one.
func lux(elements []element, at, normal vec) float64 {
	sum := 0.0
	for _, e := range elements {
		ray := at.minus(e.at)
		d := ray.size()
		out, in := ray.dot(e.front)/d, -ray.dot(normal)/d
		if out > 0 && in > 0 {
			sum += e.peak * math.Pow(out, e.m) * in / (d * d)
		}
	}
	return sum
}

// board is a rectangle as n × n elements: at, front and the direction of its
// height, with what each element sends out in lm per m².
func board(at, front, up vec, w, h, m float64, n int, exitance func(p vec) float64) []element {
	front = front.unit()
	right := up.cross(front).unit()
	up = front.cross(right)
	var out []element
	for i := range n {
		for j := range n {
			p := at.plus(right.times(w * ((float64(i)+0.5)/float64(n) - 0.5))).plus(up.times(h * ((float64(j)+0.5)/float64(n) - 0.5)))
			lumens := exitance(p) * w * h / float64(n*n)
			out = append(out, element{p, front, lumens * (m + 1) / (2 * math.Pi), m})
		}
	}
	return out
}

// beam is a point source of a flux and beam angle.
func beam(at, aim vec, flux, beamDeg float64) element {
	m := math.Log(0.5) / math.Log(math.Cos(beamDeg/2*math.Pi/180))
	return element{at, aim.minus(at).unit(), flux * (m + 1) / (2 * math.Pi), m}
}

func box(w, h float64) *spatial.Box { return &spatial.Box{X1: w, Y1: h} }
