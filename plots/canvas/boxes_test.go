package canvas

import (
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/plot/vg"
)

// What boxes of many say of a box is what looking at every one of them says.
func TestBoxesAreFound(t *testing.T) {
	random := rand.New(rand.NewPCG(5, 7))
	box := func() vg.Rectangle {
		return Around(vg.Point{X: vg.Length(900*random.Float64() - 100), Y: vg.Length(700*random.Float64() - 100)}, vg.Length(40*random.Float64()*random.Float64()), vg.Length(30*random.Float64()))
	}
	var many boxes
	var all []vg.Rectangle
	for range 5 * fewBoxes {
		one := box()
		many.add(one)
		all = append(all, one)
		asked := box()
		if got, want := many.overlap(asked), Overlaps(asked, all); got != want {
			t.Fatalf("%v of %d: overlap %v, expected %v", asked, len(all), got, want)
		}
		if got, want := many.meets(asked), slices.ContainsFunc(all, func(other vg.Rectangle) bool { return Overlap(asked, other) > 0 }); got != want {
			t.Fatalf("%v of %d: meets %t, expected %t", asked, len(all), got, want)
		}
	}
}

// A line that leads far away is kept near the space alone, with the same pieces there.
func TestLinesFarAway(t *testing.T) {
	far := &FreeSpace{Within: Around(vg.Point{}, 100, 100)}
	from, to := vg.Point{X: -1e7, Y: -2e6}, vg.Point{X: 1e7, Y: 2e6}
	far.TakeLine(from, to)
	if n := len(far.lines.all); n < 150 || n > 200 {
		t.Errorf("%d pieces", n)
	}
	near := &FreeSpace{Within: far.Within}
	for _, points := range [][]vg.Point{{{X: -150, Y: 3}, {X: 150, Y: 3}}, {{X: 7, Y: -90}, {X: 7, Y: 300}}, {{X: 10, Y: 10}, {X: -60, Y: 80}, {X: -60, Y: 80}}} {
		before := len(near.lines.all)
		near.TakeLine(points...)
		if got, want := near.lines.all[before:], Along(points...); !slices.Equal(got, want) {
			t.Errorf("%v: %d pieces, expected %d", points, len(got), len(want))
		}
	}
	if _, free := far.Find(vg.Point{X: 5, Y: 5}, vg.Point{}); !free {
		t.Error("a line alone takes space")
	}
}

// A line is cut where it leaves a rectangle, and otherwise left as it is.
func TestClip(t *testing.T) {
	in := Around(vg.Point{}, 100, 50)
	for _, c := range []struct {
		from, to, a, b vg.Point
		some           bool
	}{
		{vg.Point{X: -3.3, Y: 7.7}, vg.Point{X: 99.9, Y: -49.9}, vg.Point{X: -3.3, Y: 7.7}, vg.Point{X: 99.9, Y: -49.9}, true},
		{vg.Point{}, vg.Point{X: 1e6, Y: 2e6}, vg.Point{}, vg.Point{X: 25, Y: 50}, true},
		{vg.Point{X: -200}, vg.Point{X: 200}, vg.Point{X: -100}, vg.Point{X: 100}, true},
		{vg.Point{X: -200, Y: 60}, vg.Point{X: 200, Y: 60}, vg.Point{}, vg.Point{}, false},
	} {
		if a, b, some := Clip(in, c.from, c.to); some != c.some || some && (a != c.a || b != c.b) {
			t.Errorf("%v to %v: %v to %v, %t", c.from, c.to, a, b, some)
		}
	}
}
