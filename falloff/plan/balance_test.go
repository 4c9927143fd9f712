package plan

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"evenfall/photometry/survey"
)

// Trims in half stops are the best of all combinations, by trying each.
func TestStepsAgainstAllCombinations(t *testing.T) {
	random := rand.New(rand.NewPCG(41, 42))
	grid := stepsOf(0.5)
	for run := range 20 {
		e := Evening{Maps: drawnMaps(random, 2+run%2, 10)}
		got, err := e.SolveSteps(context.Background(), 0.5)
		if err != nil {
			t.Fatal(err)
		}
		best := math.Inf(1)
		shares := make([]float64, len(e.Maps))
		var walk func(j int)
		walk = func(j int) {
			if j == len(shares) {
				best = min(best, e.Spread(shares))
				return
			}
			for _, share := range grid {
				shares[j] = share
				walk(j + 1)
			}
		}
		walk(0)
		if math.Abs(best-got.SpreadStops) > 1e-9 && got.Optimal || got.SpreadStops < best-1e-9 || best < got.BoundStops-1e-9 {
			t.Errorf("run %d: all combinations give %.6f stop, the search %+v", run, best, got)
		}
		if free, err := e.Solve(context.Background()); err != nil || free.SpreadStops > got.SpreadStops+provedGap {
			t.Errorf("run %d: free trims %.6f, in steps %.6f", run, free.SpreadStops, got.SpreadStops)
		}
	}
}

// lampFile is a map of one lamp over 9 × 5 places, or of some of them.
func lampFile(name string, level func(x, y float64) float64, some func(i int) bool) survey.LampInput {
	var b strings.Builder
	b.WriteString("# repeatability: 0.5 %\n")
	if name != "" {
		fmt.Fprintf(&b, "# lamp: %s\n", name)
	}
	b.WriteString("x (m),y (m),E (lx)\n")
	for i := range 45 {
		if some == nil || some(i) {
			x, y := 0.5*float64(i%9), 0.5*float64(i/9)
			fmt.Fprintf(&b, "%v,%v,%.4f\n", x, y, level(x, y))
		}
	}
	return survey.LampInput{Input: survey.Input{Name: name + ".csv", Reader: strings.NewReader(b.String())}}
}

func leftLamp(x, y float64) float64  { return 900 / (1 + 0.15*x*x + 0.05*(y-1)*(y-1)) }
func rightLamp(x, y float64) float64 { return 1500 / (1 + 0.15*(x-4)*(x-4) + 0.05*(y-1)*(y-1)) }

func balanced(t *testing.T, o BalanceOptions, inputs ...survey.LampInput) *BalanceResult {
	t.Helper()
	set, err := survey.ReadLampSet(inputs, survey.ReadOptions{})
	if err != nil {
		t.Fatal(err)
	}
	r, err := Balance(context.Background(), set, o)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// Lamps in any order get the same trims, and a few readings of each lamp beside
// one map of all come near to the answer of full maps.
func TestBalanceOfMapsAndShares(t *testing.T) {
	full := balanced(t, BalanceOptions{}, lampFile("left", leftLamp, nil), lampFile("right", rightLamp, nil))
	turned := balanced(t, BalanceOptions{}, lampFile("right", rightLamp, nil), lampFile("left", leftLamp, nil))
	if !full.Optimal || full.Maps != "full" || full.After.SpreadStops >= full.Before.SpreadStops {
		t.Errorf("full maps: %+v", full.After)
	}
	for name, trim := range full.Trims {
		if math.Abs(trim.Percent-turned.Trims[name].Percent) > 1e-6 {
			t.Errorf("%s: %.6f %%, in the other order %.6f %%", name, trim.Percent, turned.Trims[name].Percent)
		}
	}
	// The lamps are twins but for their strength: the right one goes down to it.
	if got := full.Trims["right"].Percent; math.Abs(got-60) > 0.5 || full.Trims["left"].Percent != 100 {
		t.Errorf("trims %+v, want right near 60 %% and left as it is", full.Trims)
	}
	few := func(i int) bool { return i%9%3 == 1 && i/9%2 == 0 }
	shares := balanced(t, BalanceOptions{}, lampFile("", func(x, y float64) float64 { return leftLamp(x, y) + rightLamp(x, y) }, nil),
		lampFile("left", leftLamp, few), lampFile("right", rightLamp, few))
	if shares.Maps != "shares" || shares.Shares == nil || math.Abs(shares.Trims["right"].Percent-full.Trims["right"].Percent) > 8 {
		t.Errorf("a few readings a lamp: %+v, %+v", shares.Trims, shares.Shares)
	}
}

// A least level is kept, and a lamp that is fixed stays.
func TestBalanceConstraints(t *testing.T) {
	in := func() []survey.LampInput {
		return []survey.LampInput{lampFile("left", leftLamp, nil), lampFile("right", rightLamp, nil)}
	}
	r := balanced(t, BalanceOptions{Least: 900}, in()...)
	if r.After.Min < 900*(1-1e-6) {
		t.Errorf("lowest level %.3f under 900", r.After.Min)
	}
	if r = balanced(t, BalanceOptions{Fixed: []string{"right"}}, in()...); r.Trims["right"].Percent != 100 || !r.Trims["right"].Fixed {
		t.Errorf("fixed lamp: %+v", r.Trims["right"])
	}
}
