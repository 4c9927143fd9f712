package balance

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"evenfall/falloff"
	"evenfall/photometry/spatial"
	"evenfall/photometry/survey"
)

// litSet is a cloth of 4.8 × 2.4 m lit by two lamps from its sides and one from
// below, each by its own law of distance and beam, so that shares of the light
// follow no polynomial.
func litSet(t *testing.T) []falloff.Source {
	t.Helper()
	var out []falloff.Source
	for _, l := range []struct{ at, aim r3.Vec }{
		{r3.Vec{X: -1.4, Y: 1.9, Z: 2.8}, r3.Vec{X: 3, Y: 1.1}},
		{r3.Vec{X: 5.9, Y: 1.6, Z: 2.2}, r3.Vec{X: 2.2, Y: 1.2}},
		{r3.Vec{X: 2.4, Y: -0.6, Z: 2.5}, r3.Vec{X: 2.4, Y: 1.4}},
	} {
		beam, err := falloff.NewBeam(l.at, r3.Sub(l.aim, l.at), 20_000, 75)
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, beam)
	}
	return out
}

func gridPlace(i int) (x, y float64) {
	return 4.8 * (float64(i%9) + 0.5) / 9, 2.4 * (float64(4-i/9) + 0.5) / 5
}

// fewPlaces reads all lamps together everywhere and each alone at some places
// of the 9 × 5 grid, with a meter's scatter.
func fewPlaces(t *testing.T, lamps []falloff.Source, alone []string, repeatability float64, random *rand.Rand) *survey.LampSet {
	t.Helper()
	var b strings.Builder
	fmt.Fprintf(&b, "# width: 4.8\n# height: 2.4\n# grid: 9x5\n# repeatability: %v %%\nlamp,label,E (lx)\n", 100*repeatability)
	level := func(j, i int) float64 {
		x, y := gridPlace(i)
		return lamps[j].Illuminance(r3.Vec{X: x, Y: y}, r3.Vec{Z: 1})
	}
	scattered := func(v float64) float64 { return v * math.Exp2(repeatability/math.Ln2*random.NormFloat64()) }
	for i := range 45 {
		sum := 0.0
		for j := range lamps {
			sum += level(j, i)
		}
		fmt.Fprintf(&b, ",%s,%.3f\n", spatial.GridLabel(i%9, i/9), scattered(sum))
	}
	for j := range lamps {
		for _, label := range alone {
			column, row, ok := spatial.ParseGridLabel(label)
			if !ok {
				t.Fatal(label)
			}
			fmt.Fprintf(&b, "lamp %d,%s,%.3f\n", j, label, scattered(level(j, 9*row+column)))
		}
	}
	set, err := survey.ReadLampSet([]survey.LampInput{{Input: survey.Input{Name: "cloth.csv", Reader: strings.NewReader(b.String())}}}, survey.ReadOptions{})
	if err != nil {
		t.Fatal(err)
	}
	return set
}

// A few readings of each lamp beside one map of all of them predict the surface
// after trimming as well as they say: the interval holds the spread that the
// lamps' own laws give for the trims, and it is of some use.
func TestFewPlacesPredictTheTrimmedSurface(t *testing.T) {
	lamps := litSet(t)
	random := rand.New(rand.NewPCG(71, 72))
	truth := make([][]float64, len(lamps))
	for j := range lamps {
		for i := range 45 {
			x, y := gridPlace(i)
			truth[j] = append(truth[j], lamps[j].Illuminance(r3.Vec{X: x, Y: y}, r3.Vec{Z: 1}))
		}
	}
	for _, c := range []struct {
		alone []string
		error float64 // rms, % of the light, no more
		width float64 // of the interval on the mean, stops, no more
	}{
		{[]string{"B2", "B5", "B8", "D2", "D5", "D8"}, 4, 0.4},
		{[]string{"A1", "A5", "A9", "C1", "C5", "C9", "E1", "E5", "E9"}, 4, 0.33},
		{[]string{"B2", "B8", "D2", "D8"}, 12, 1.1},
	} {
		const runs = 15
		outside, width, missed, claimed := 0, 0.0, 0.0, 0.0
		for range runs {
			r, err := Solve(context.Background(), fewPlaces(t, lamps, c.alone, 0.01, random), Options{Least: 300})
			if err != nil {
				t.Fatal(err)
			}
			if r.Maps != "shares" || r.Shares.ErrorPercent == nil || *r.Shares.ErrorPercent > c.error {
				t.Fatalf("%v: %+v", c.alone, r.Shares)
			}
			shares := make([]float64, len(lamps))
			for j, name := range r.Lamps {
				shares[j] = r.Trims[name].Percent / 100
			}
			truly := MinSpreadProblem{Maps: truth}.Spread(shares)
			in := r.After.SpreadInterval
			if truly < in[0] || truly > in[1] {
				outside++
			}
			width += (in[1] - in[0]) / runs
			missed += math.Abs(truly-r.After.SpreadStops) / runs
			claimed += r.Shares.LevelErrorStops / runs
		}
		t.Logf("%v: %d of %d outside, mean width %.2f stop, missed by %.3f, level error %.3f", c.alone, outside, runs, width, missed, claimed)
		if float64(outside) > 0.05*runs+3*math.Sqrt(0.05*0.95*runs) {
			t.Errorf("%v: the truth is outside the interval in %d of %d runs", c.alone, outside, runs)
		}
		if width > c.width {
			t.Errorf("%v: intervals %.2f stop wide say nothing", c.alone, width)
		}
	}
}
