package survey

import (
	"math"
	"testing"
)

// The 97.5 % points agree with two independent routes (quadrature and a
// closed form for n = 2); see SOURCES.md, "Range of normals".
func TestRangeQuantile(t *testing.T) {
	for n, want := range map[int]float64{2: 3.169822, 5: 4.197026, 9: 4.700411, 25: 5.453453, 45: 5.841917,
		100: 6.332834, 200: 6.731600, 1000: 7.582259, 1_000_000: 10.517686} {
		if got := RangeQuantile(0.975, n); math.Abs(got-want) > 1e-6 {
			t.Errorf("n=%d: %.7f, want %.6f", n, got, want)
		}
	}
}

func TestMeanRange(t *testing.T) {
	for n, want := range map[int]float64{2: 1.128, 3: 1.693, 5: 2.326, 10: 3.078, 25: 3.931} {
		if got := MeanRange(n); math.Abs(got-want) > 6e-4 {
			t.Errorf("n=%d: %.4f, want %.3f", n, got, want)
		}
	}
}

func TestStudentizedRange(t *testing.T) {
	for _, c := range []struct {
		p     float64
		n, nu int
		want  float64
	}{{0.95, 3, 10, 3.877}, {0.95, 2, 10, 3.151}, {0.95, 5, 20, 4.232}, {0.95, 10, 60, 4.646}, {0.99, 4, 8, 6.204}, {0.95, 2, 1, 17.97}, {0.95, 20, 4, 9.233}} {
		if got := StudentizedRangeQuantile(c.p, c.n, c.nu); math.Abs(got-c.want) > 1e-3*c.want {
			t.Errorf("%v: %.4f", c, got)
		}
	}
}
func BenchmarkStudentized(b *testing.B) {
	for b.Loop() {
		rangeTables.Clear()
		StudentizedRangeQuantile(0.975, 45, 8)
	}
}
func BenchmarkRangeQ(b *testing.B) {
	for b.Loop() {
		RangeQuantile(0.975, 45)
	}
}
