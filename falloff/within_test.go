package falloff

import (
	"math"
	"testing"
)

func within(t *testing.T, what string, got, want, relative float64) {
	t.Helper()
	if math.Abs(got-want) > relative*math.Abs(want) {
		t.Errorf("%s: got %.10g, want %.10g (off by %.2g of it)", what, got, want, math.Abs(got/want-1))
	}
}
