package evenness

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"evenfall/photometry/survey"
)

// Displays of coarse steps: the true spread is above the interval's upper end (a
// wrong pass at a tolerance a hair under it) or below its lower end (a wrong fail) in
// at most 2.5 % of surveys, over three shapes and every phase of the level against
// the steps. The step is found from the readings alone.
func TestCoarseDisplays(t *testing.T) {
	const runs = 400
	bound := 0.025 + 3*math.Sqrt(0.025*0.975/runs)
	displays := []struct {
		name, header string
		level        float64 // of the middle, lx
		show         func(lx float64) string
	}{
		{"thirds of a stop", "EV", 800, exposureValue(3)},
		{"tenths of a stop", "EV", 800, exposureValue(10)},
		{"whole lux near 6 lx", "lux", 6, func(lx float64) string { return fmt.Sprintf("%.0f", lx) }},
	}
	shapes := map[string]func(x, y float64) float64{
		"slope":    func(x, y float64) float64 { return x + 0.3*y },
		"bowed":    func(x, y float64) float64 { return -x*x - y*y },
		"hot spot": func(x, y float64) float64 { return math.Exp(-((x-1)*(x-1) + y*y) / 0.5) },
	}
	random := rand.New(rand.NewPCG(21, 22))
	for _, display := range displays {
		for shape, f := range shapes {
			wrongPass, wrongFail := 0, 0
			for range runs {
				spread, base := 0.5, display.level*math.Exp2(random.Float64()-0.5)
				var truth []float64
				for i := range 9 {
					truth = append(truth, f(float64(i%3)-1, float64(i/3)-1))
				}
				scale := spread / spreadOf(truth)
				var b strings.Builder
				b.WriteString("x (m),y (m)," + display.header + "\n")
				for i, v := range truth {
					lx := base * math.Exp2(v*scale+assumed*random.NormFloat64())
					fmt.Fprintf(&b, "%d,%d,%s\n", i%3, i/3, display.show(lx))
				}
				e := judged(t, strings.NewReader(b.String())).Evenness
				if e.SpreadInterval[1] < spread {
					wrongPass++
				}
				if e.SpreadInterval[0] > spread {
					wrongFail++
				}
			}
			t.Logf("%s, %s: %.1f %% wrong passes, %.1f %% wrong fails", display.name, shape, 100*float64(wrongPass)/runs, 100*float64(wrongFail)/runs)
			if p, f := float64(wrongPass)/runs, float64(wrongFail)/runs; p > bound || f > bound {
				t.Errorf("%s, %s: %.1f %% wrong passes, %.1f %% wrong fails", display.name, shape, 100*p, 100*f)
			}
		}
	}
}

// exposureValue shows a level at ISO 100 to a part of a stop.
func exposureValue(perStop float64) func(lx float64) string {
	return func(lx float64) string {
		return fmt.Sprintf("%.9f", math.Round(math.Log2(lx/2.5)*perStop)/perStop)
	}
}

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
