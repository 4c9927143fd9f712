package plan

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"evenfall/photometry"
)

// cosines is a distribution of 100·cosᵐ cd to the front.
type cosines float64

func (m cosines) Intensity(v r3.Vec) float64 {
	return 100 * math.Pow(math.Max(0, v.Z/r3.Norm(v)), float64(m))
}

// Near by, a file of intensities shines from its luminous opening, each part of it
// alike: against single elements, with and without a flag before it. Far away it is
// the point that its file is of.
func TestLuminousOpening(t *testing.T) {
	const m = 3.0
	of := func(d Distribution) Options {
		return Options{Surface: box(1, 1), Distribution: func(string) (Distribution, error) { return d, nil }}
	}
	const header = "name,kind,file,x,y,z,aim x,aim y,aim z,width,height"
	lamp, flag := "a,file,a.ies,0,0,1.5,0.1,-0.2,0,,", "k,flag,,-1.1,0,0.8,-1.1,0,0,2,2"
	front := vec{0.1, -0.2, -1.5}.unit()
	all := board(vec{0, 0, 1.5}, front, vec{0, 1, 0}, 0.6, 0.4, m, 250, func(vec) float64 { return 100 * 2 * math.Pi / (m + 1) / (0.6 * 0.4) })
	var oval []element
	for _, e := range all {
		d := e.at.minus(vec{0, 0, 1.5})
		right := vec{0, 1, 0}.cross(front).unit()
		if x, y := d.dot(right)/0.3, d.dot(front.cross(right))/0.2; x*x+y*y < 1 {
			e.peak *= 4 / math.Pi
			oval = append(oval, e)
		}
	}
	point := newScene(t, row(header, lamp), of(Distribution{Intensity: cosines(m), FluxLM: 100, BeamDeg: 75}))
	if has := point.Warnings; len(has) > 0 {
		t.Errorf("a point: %v", has)
	}
	for name, c := range map[string]struct {
		round    bool
		elements []element
	}{"rectangle": {false, all}, "oval": {true, oval}} {
		o := of(Distribution{Intensity: cosines(m), FluxLM: 100, BeamDeg: 75, OpeningM: [2]float64{0.6, 0.4}, Round: c.round})
		open, shaded := newScene(t, row(header, lamp), o), newScene(t, row(header, lamp, flag), o)
		r := rand.New(rand.NewPCG(21, 1))
		for range 6 {
			at, normal := vec{random(r, -0.4, 0.4), random(r, -0.4, 0.4), random(r, 0, 1.2)}, vec{0, 0, 1}
			whole := lux(c.elements, at, normal)
			near(t, name, open.At(at.r3(), normal.r3()).Level, whole, 0.002)
			want := 0.0
			for _, e := range c.elements {
				// The flag covers x < −0.1 of the plane z = 0.8.
				s := (0.8 - at[2]) / (e.at[2] - at[2])
				if hit := at[0] + s*(e.at[0]-at[0]); at[2] > 0.8 || hit > -0.1 {
					want += lux([]element{e}, at, normal)
				}
			}
			if got := shaded.At(at.r3(), normal.r3()).Level; math.Abs(got-want) > 0.005*whole {
				t.Errorf("%s behind a flag at %.3v: %g, want %g of %g", name, at, got, want, whole)
			}
		}
		for _, z := range []float64{-10.4, -10.6, -50} { // either side of twenty times its size
			near(t, name+" far", open.At(r3.Vec{Z: z}, toCamera).Level, point.At(r3.Vec{Z: z}, toCamera).Level, 0.001)
		}
		// 1.5 m from a surface and 0.5 m from a mark, five times 0.6 m being 3 m.
		if w := open.Warnings; len(w) != 1 || w[0].Key != "near_file" || w[0].Values["from"] != photometry.Length(3) || w[0].Values["distance"] != photometry.Length(1.5) {
			t.Errorf("%s: %v", name, w)
		}
		res := NewResult(open)
		res.Marks = []Mark{{Label: "nose", Z: 1}, {Label: "far", Z: -2}}
		res.Conclude(open)
		if w := res.Warnings; len(w) != 2 || w[1].Values["mark"] != "nose" {
			t.Errorf("%s: %v", name, w)
		}
	}
}
