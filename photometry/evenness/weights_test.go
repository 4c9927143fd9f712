package evenness

import (
	"math"
	"strings"
	"testing"
)

// The mean of uneven columns weighs by the strip of each: by hand, on a surface
// 4 m wide with readings at 0.5, 1 and 3 m the strips are 0.75, 1.25 and 2 m.
func TestUnevenColumns(t *testing.T) {
	r := judged(t, strings.NewReader("# width: 4\n# height: 1\nlx,0.5,1,3\n0.25,100,200,300\n0.75,100,200,300\n"))
	if want := (0.75*100 + 1.25*200 + 2*300) / 4.0; math.Abs(r.Evenness.Mean-want) > 1e-9 {
		t.Errorf("mean %v, by hand %v", r.Evenness.Mean, want)
	}
	// Without a size the outer strips reach as far out as in: 0.5, 1.25, 2.
	r = judged(t, strings.NewReader("lx,0.5,1,3\n0.25,100,200,300\n0.75,100,200,300\n"))
	if want := (0.5*100 + 1.25*200 + 2*300) / 3.75; math.Abs(r.Evenness.Mean-want) > 1e-9 {
		t.Errorf("without a size: mean %v, by hand %v", r.Evenness.Mean, want)
	}
}
