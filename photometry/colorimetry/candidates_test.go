package colorimetry

import (
	"fmt"
	"math/rand/v2"
	"testing"
)

// drawnBag is a bag of gels of any strength.
func drawnBag(r *rand.Rand, n int) (bag []Gel) {
	for k := range n {
		g := Gel{Name: fmt.Sprint("gel ", k), Mired: 260 * (r.Float64() - 0.5), CC: CC(70 * (r.Float64() - 0.5))}
		switch k % 3 {
		case 1:
			g.CC = 0
		case 2:
			g.Mired = 0
		}
		bag = append(bag, g)
	}
	return bag
}

// Of a large bag the stack advised is the best of all its pairs, each predicted.
func TestCandidatesHaveTheBestPair(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 3))
	for _, way := range [][2]CCT{{{3200, 0.01}, {5600, 0}}, {{5600, -0.005}, {3200, 0}}, {{2900, 0.002}, {3200, 0.002}}} {
		bag := drawnBag(r, 240)
		c, err := Correct(way[0], way[1], bag, Options{})
		if err != nil {
			t.Fatal(err)
		}
		sheets, _ := compile(bag)
		model, err := ModelOf(way[0])
		if err != nil {
			t.Fatal(err)
		}
		uv, _ := way[1].UV()
		p := newPredictor(model.Spectrum, way[1], uv.UVPrime(), Options{}.filled())
		if n := len(p.candidates(sheets)); n > len(sheets)+mostPairs {
			t.Errorf("%d candidates", n)
		}
		var best Stack
		found := false
		for i := range sheets {
			for j := range i {
				s, ok := p.predict(&sheets[j], &sheets[i])
				if ok && (!found || s.class() < best.class() || s.class() == best.class() && s.Penalty() < best.Penalty()) {
					best, found = s, true
				}
			}
		}
		if got := c.Stacks[0]; got.class() != best.class() || got.Penalty() > best.Penalty() {
			t.Errorf("%v to %v: %v with a penalty of %.3f, of all pairs %v with %.3f", way[0], way[1], got.Gels, got.Penalty(), best.Gels, best.Penalty())
		}
	}
}

// BenchmarkCorrectLarge is a bag of a thousand gels.
func BenchmarkCorrectLarge(b *testing.B) {
	bag := drawnBag(rand.New(rand.NewPCG(5, 3)), 1000)
	for b.Loop() {
		if _, err := Correct(CCT{3200, 0.01}, CCT{5600, 0}, bag, Options{}); err != nil {
			b.Fatal(err)
		}
	}
}
