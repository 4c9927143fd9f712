package uncertainty

import (
	"math"
	"testing"
)

// A range of two normals is √2 times a half normal, which has a closed form.
func TestRangeOfTwo(t *testing.T) {
	for _, w := range []float64{0.1, 1, 2.5, 4} {
		if got, want := RangeCDF(w, 2), math.Erf(w/2); math.Abs(got-want) > 1e-12 {
			t.Errorf("P(range ≤ %v) = %.14f, closed form %.14f", w, got, want)
		}
	}
}

func BenchmarkQuantiles(b *testing.B) {
	for b.Loop() {
		RangeQuantile(OneSided, 45)
	}
}

func BenchmarkStudentizedQuantile(b *testing.B) {
	for b.Loop() {
		rangeTables.Clear()
		StudentizedRangeQuantile(OneSided, 45, 8)
	}
}
