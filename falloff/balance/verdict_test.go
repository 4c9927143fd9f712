package balance

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"

	"evenfall/photometry"
	"evenfall/photometry/spatial"
	"evenfall/photometry/survey"
)

// readSet is a set of full maps as a meter of some repeatability reads them.
func readSet(truth [][]float64, columns int, repeatability float64, random *rand.Rand) *survey.LampSet {
	n := len(truth[0])
	s := &survey.Survey{Quantity: photometry.Illuminance, Level: make([]float64, n), Reference: -1}
	for i := range n {
		s.X, s.Y = append(s.X, 0.5*float64(i%columns)), append(s.Y, 0.5*float64(i/columns))
	}
	s.Extent, _ = spatial.BoxOf(s.X, s.Y)
	s.Settings.Repeatability = &repeatability
	s.Settings.Limits = survey.Limits{Stops: 0.5, Mired: 10, Duv: 0.003}
	set := &survey.LampSet{Surface: s}
	for j, m := range truth {
		read := survey.LampMap{Name: string(rune('a' + j)), Read: n}
		for i, v := range m {
			v *= math.Exp2(repeatability / math.Ln2 * random.NormFloat64())
			read.Level = append(read.Level, v)
			s.Level[i] += v
		}
		set.Maps = append(set.Maps, read)
	}
	return set
}

// The interval after trimming holds the true spread of the trims chosen, and
// leaves 2.5 % at most on either side, though the trims are chosen by the same
// readings that the spread is computed from. Each case is another way in which
// the choice could fool the interval: more lamps than places have, so that any
// scatter is evened out; twins, of which the luckier is taken; lamps that fit
// together perfectly; and maps as they are.
func TestVerdictAfterTrimming(t *testing.T) {
	random := rand.New(rand.NewPCG(51, 52))
	even := func(n int) []float64 {
		out := make([]float64, n)
		for i := range out {
			out[i] = 500
		}
		return out
	}
	twin := drawnMaps(random, 1, 12)[0]
	cases := []struct {
		name    string
		truth   [][]float64
		columns int
	}{
		{"as many lamps as places", [][]float64{{400, 150, 100}, {100, 420, 150}, {80, 100, 390}}, 3},
		{"twins", [][]float64{twin, twin, twin}, 4},
		{"even lamps", [][]float64{even(9), even(9), even(9), even(9)}, 3},
		{"mirrored", [][]float64{{300, 250, 200, 150, 100}, {100, 150, 200, 250, 300}}, 5},
		{"two lamps", drawnMaps(random, 2, 45), 9},
		{"four lamps", drawnMaps(random, 4, 45), 9},
	}
	const runs = 1500
	for _, c := range cases {
		over, under := 0, 0
		for range runs {
			set := readSet(c.truth, c.columns, 0.02, random)
			r, err := Solve(context.Background(), set, Options{})
			if err != nil {
				t.Fatal(err)
			}
			e := MinSpreadProblem{Maps: c.truth}
			shares := make([]float64, len(c.truth))
			for j, name := range r.Lamps {
				shares[j] = r.Trims[name].Percent / 100
			}
			truly := e.Spread(shares)
			if truly > r.After.SpreadInterval[1] {
				over++
			}
			if truly < r.After.SpreadInterval[0] {
				under++
			}
		}
		t.Logf("%s: %.2f %% above the interval, %.2f %% below", c.name, 100*float64(over)/runs, 100*float64(under)/runs)
		// 2.5 % and three standard deviations of a count of so many runs.
		if most := 0.025*runs + 3*math.Sqrt(0.025*0.975*runs); float64(over) > most || float64(under) > most {
			t.Errorf("%s: %d above and %d below of %d", c.name, over, under, runs)
		}
	}
}
