package causes_test

import (
	"math/rand/v2"
	"testing"

	"evenfall/photometry/causes"
)

func benchmark(b *testing.B, columns, rows int) {
	var all []causes.Surface
	for n, fault := range faults {
		r := random{rand.New(rand.NewPCG(uint64(n+1), 7))}
		all = append(all, r.walk(r.simulate(fault).scene, columns, rows))
	}
	b.ResetTimer()
	for i := range b.N {
		causes.Find(all[i%len(all)])
	}
}

func BenchmarkFind45(b *testing.B)   { benchmark(b, 9, 5) }
func BenchmarkFind2000(b *testing.B) { benchmark(b, 50, 40) }
