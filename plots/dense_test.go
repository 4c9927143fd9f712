package plots

import (
	"testing"

	"gonum.org/v1/plot/vg"
)

// Of very many points what is left still reaches where they all reach, and few are drawn.
func TestDense(t *testing.T) {
	var line []vg.Point
	marks, n := newDrawn(20*manyPoints), 0
	for i := range 20 * manyPoints {
		at := vg.Point{X: vg.Length(i) * 800 / (20 * manyPoints), Y: vg.Length(i * 7919 % 300)}
		line = append(line, at)
		if marks.first(at, dot) {
			n++
		}
	}
	thin := outlined(line)
	low, high := thin[0].Y, thin[0].Y
	for i, at := range thin {
		low, high = min(low, at.Y), max(high, at.Y)
		if i > 0 && at.X < thin[i-1].X {
			t.Fatalf("point %d goes back", i)
		}
	}
	if low != 0 || high != 299 || len(thin) > 1600 || thin[len(thin)-1].X < 799 {
		t.Errorf("%d points from %v to %v, to %v", len(thin), low, high, thin[len(thin)-1].X)
	}
	if n > 200*75 {
		t.Errorf("%d marks", n)
	}
	if few := line[:manyPoints]; len(outlined(few)) != manyPoints || newDrawn(manyPoints) != nil {
		t.Error("a picture that people read has lost points")
	}
}
