package match

import "testing"

// Two equal variances of ν degrees of freedom each have 2ν together (Welch 1947,
// Satterthwaite 1946), whatever their last bit is.
func TestFreedomOfEqualVariances(t *testing.T) {
	for nu := 1; nu <= 40; nu++ {
		for k := 1; k <= 200; k++ {
			v := estimate{variance: 0.1 * float64(k) / 3, nu: nu}
			if got := freedom(v, v); got != 2*nu {
				t.Fatalf("two variances %v of %d: %d degrees of freedom, expected %d", v.variance, nu, got, 2*nu)
			}
		}
	}
	// Of one without the other's variance there are its own.
	if got := freedom(estimate{2, 7}, estimate{0, 5}); got != 7 {
		t.Errorf("beside a variance of 0: %d, expected 7", got)
	}
}
