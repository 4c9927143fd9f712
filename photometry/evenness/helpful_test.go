package evenness

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"evenfall/photometry"
	"evenfall/photometry/spatial"
	"evenfall/photometry/survey"
)

// read makes a survey of points with a level that a function gives.
func readAt(t *testing.T, x, y []float64, level func(x, y float64) float64) (*survey.Survey, *Result) {
	t.Helper()
	var b strings.Builder
	b.WriteString("x (m),y (m),E (lx)\n")
	for i := range x {
		fmt.Fprintf(&b, "%v,%v,%v\n", x[i], y[i], level(x[i], y[i]))
	}
	s, err := survey.Read([]survey.Input{{Name: "cloth.csv", Reader: strings.NewReader(b.String())}}, survey.ReadOptions{})
	if err != nil {
		t.Fatal(err)
	}
	r, err := Analyze(s)
	if err != nil {
		t.Fatal(err)
	}
	return s, r
}

// The most helpful place is where the light runs most from what was read: at the
// steep side, not at the level one, and nowhere where the light is even. Expected
// by the exact level that the readings were made of.
func TestMostHelpful(t *testing.T) {
	var x, y []float64
	for _, label := range strings.Fields("A2 A5 A8 C8 C5 C2 E2 E5 E8") {
		c, row, _ := spatial.ParseGridLabel(label)
		px, py := spatial.GridPosition(c, row, 9, 5, 4.8, 2.4, false)
		x, y = append(x, px), append(y, py)
	}
	bow := func(x, _ float64) float64 { return 1000 * math.Exp2(-0.12*x*x) } // steeper to the right
	_, r := readAt(t, x, y, bow)
	openX, openY := []float64{0.27, 1.6, 3.2, 4.53}, []float64{1.2, 1.2, 1.2, 1.2}
	h, ok := r.MostHelpful(openX, openY)
	// Of the differences to the nearest read place, 0.08, 0.23, 0.69 and 0.54.
	if !ok || h.Index != 2 {
		t.Fatalf("%+v %v, want the place at 3.2 m", h, ok)
	}
	if want := math.Abs(photometry.Stops(bow(3.2, 1.2), bow(4.0, 1.2))); math.Abs(h.Stops-want) > 0.01 {
		t.Errorf("%.3f stop predicted, the light runs %.3f", h.Stops, want)
	}
	if h.Near != "B3" {
		t.Errorf("nearest is %s", h.Near)
	}
	_, r = readAt(t, x, y, func(x, _ float64) float64 { return 1000 + x })
	if h, ok := r.MostHelpful(openX, openY); ok {
		t.Errorf("even light: %+v", h)
	}
	if _, ok := r.MostHelpful(nil, nil); ok {
		t.Error("nothing left to read, and yet a place")
	}
	// One error does not draw the walk to itself.
	_, r = readAt(t, x, y, func(px, py float64) float64 {
		if px == x[4] && py == y[4] {
			return 96
		}
		return 1000
	})
	if h, ok := r.MostHelpful(openX, openY); ok {
		t.Errorf("a slip in even light: %+v", h)
	}
}
