package evenness

import (
	"math"
	"strings"
	"testing"

	"evenfall/photometry/survey"
)

// The step of a display as the readings have it, in stops at the darkest place; a note
// comes before it.
func TestStepOfTheDisplay(t *testing.T) {
	for name, c := range map[string]struct {
		sheet string
		want  float64
	}{
		"whole stops":       {"x,y,EV\n0,0,9\n1,0,10\n2,0,12\n", 1},
		"halves":            {"x,y,EV\n0,0,9\n1,0,10.5\n2,0,12\n", 0.5},
		"thirds":            {"x,y,f\n0,0,8\n1,0,7.1\n2,0,5.6\n", 1.0 / 3},
		"tenths":            {"x,y,EV\n0,0,9.3\n1,0,10.5\n2,0,12\n", 0.1},
		"tenths of f":       {"x,y,f\n0,0,8 3/10\n1,0,5.6 2/10\n2,0,8\n", 0.1},
		"none":              {"x,y,EV\n0,0,9.31\n1,0,10.52\n2,0,12\n", 0},
		"whole lux":         {"x,y,lux\n0,0,6\n1,0,7\n2,0,9\n", math.Log2(6.5 / 5.5)},
		"twos":              {"x,y,lux\n0,0,6\n1,0,8\n2,0,10\n", math.Log2(7.0 / 5)},
		"fives":             {"x,y,lux\n0,0,100\n1,0,105\n2,0,115\n", math.Log2(102.5 / 97.5)},
		"tenths of fc":      {"x,y,fc\n0,0,2.1\n1,0,2.2\n2,0,2.5\n", math.Log2(2.15 / 2.05)},
		"fine lux":          {"x,y,lux\n0,0,801\n1,0,807\n2,0,903\n", 0},
		"a unit of its own": {"x,y,lux\n0,0,6\n1,0,7\n2,0,9\n3,0,0.7 fc\n", math.Log2(6.5 / 5.5)},
		"noted":             {"# resolution: 0.2 stop\nx,y,lux\n0,0,6\n1,0,7\n2,0,9\n", 0.2},
		"among repeats":     {"x,y,lux\n0,0,6\n0,0,7\n1,0,8\n", math.Log2(6.5 / 5.5)},
	} {
		s, err := survey.Read([]survey.Input{{Name: "a.csv", Reader: strings.NewReader(c.sheet)}}, survey.ReadOptions{})
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if got := s.Settings.Resolution; math.Abs(got-c.want) > 1e-9 {
			t.Errorf("%s: a step of %.4f stop, want %.4f", name, got, c.want)
		}
	}
}

// Repeats that agree to the digit do not say that readings do not scatter.
func TestRepeatsThatAgree(t *testing.T) {
	r := judged(t, strings.NewReader("label,x (m),y (m),lux\nA,0,0,903\nA,0,0,903\nA,0,0,903\nA,0,0,903\nA,0,0,903\nB,1,0,801\n"))
	if r.Noise.Source != "assumed" || r.Noise.Stops < assumed {
		t.Errorf("%+v", r.Noise)
	}
}
