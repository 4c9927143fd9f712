package causes

import (
	"math"
	"math/rand/v2"
	"testing"
)

// The derivatives of every model are those of its light, by differences.
func TestDerivatives(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	var in Surface
	for i := range 45 {
		in.X, in.Y = append(in.X, float64(i%9)), append(in.Y, float64(i/9))
		in.Stops, in.Order = append(in.Stops, random.NormFloat64()), append(in.Order, float64(i)/44)
	}
	s := newShape(in)
	for b := range bases {
		for k := range kinds {
			m := model{b, []fault{{brightPatch, -1}, {k, 7}}}
			z := make([]float64, m.parameters())
			for j := range z {
				z[j] = 0.7 * random.NormFloat64()
			}
			n := len(s.u)
			r, jac := make([]float64, n), make([]float64, n*len(z))
			s.evaluate(m, r, jac, z)
			plus, minus := make([]float64, n), make([]float64, n)
			for j := range z {
				const h = 1e-5
				at := z[j]
				z[j] = at + h
				s.evaluate(m, plus, nil, z)
				z[j] = at - h
				s.evaluate(m, minus, nil, z)
				z[j] = at
				for i := range n {
					if want, got := (plus[i]-minus[i])/(2*h), jac[i*len(z)+j]; math.Abs(got-want) > 1e-5*(1+math.Abs(want)) {
						t.Fatalf("base %d, fault %d, place %d: derivative %d is %g, by differences %g", b, k, i, j, got, want)
					}
				}
			}
		}
	}
}
