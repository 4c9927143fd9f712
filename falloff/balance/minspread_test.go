package balance

import (
	"context"
	"errors"
	"math"
	"math/rand/v2"
	"testing"
)

// By hand: two lamps on two places. Lamp 1 gives 4 and 1, lamp 2 gives 1 and 2.
// Shares a and b are even where 4a + b = a + 2b, b = 3a: the most light at a =
// 1/3, b = 1.
func TestMinSpreadByHand(t *testing.T) {
	got, err := MinSpreadProblem{Maps: [][]float64{{4, 1}, {1, 2}}}.Solve(context.Background())
	if err != nil || !got.Optimal || got.SpreadStops > 1e-9 || math.Abs(got.Shares[0]-1.0/3) > 1e-7 || math.Abs(got.Shares[1]-1) > 1e-9 {
		t.Errorf("%+v, %v", got, err)
	}
	// With a light of 1 on the first place alone that no trim changes: 1 + 4a + b
	// = a + 2b, b = 1 + 3a, which only a = 0, b = 1 allows.
	got, err = MinSpreadProblem{Maps: [][]float64{{4, 1}, {1, 2}}, Rest: []float64{1, 0}}.Solve(context.Background())
	if err != nil || !got.Optimal || got.SpreadStops > 1e-7 || got.Shares[0] > 1e-7 || math.Abs(got.Shares[1]-1) > 1e-7 {
		t.Errorf("with a fixed light: %+v, %v", got, err)
	}
	// Two equal, symmetric lamps stay as they are.
	got, err = MinSpreadProblem{Maps: [][]float64{{3, 2, 1}, {1, 2, 3}}}.Solve(context.Background())
	if err != nil || !got.Optimal || got.SpreadStops > 1e-9 || got.Shares[0] != 1 || got.Shares[1] != 1 {
		t.Errorf("symmetric lamps: %+v, %v", got, err)
	}
}

// drawnMaps are lamps of some kind over places in a row.
func drawnMaps(random *rand.Rand, lamps, places int) [][]float64 {
	maps := make([][]float64, lamps)
	for j := range maps {
		center, width := random.Float64(), 0.2+random.Float64()
		for i := range places {
			x := float64(i%50)/50 - center
			y := float64(i/50)/50 - 0.5
			maps[j] = append(maps[j], 1000/(1+(x*x+y*y)/width/width)*(1+0.02*random.NormFloat64()))
		}
	}
	return maps
}

// No shares of a fine raster do better, and the bound proves it.
func TestMinSpreadAgainstRaster(t *testing.T) {
	random := rand.New(rand.NewPCG(31, 32))
	for run := range 60 {
		e := MinSpreadProblem{Maps: drawnMaps(random, 2+run%2, 12)}
		if run%3 == 1 {
			e.Rest = make([]float64, 12)
			for i := range e.Rest {
				e.Rest[i] = 100 * random.Float64()
			}
		}
		if run%4 == 2 {
			low := math.Inf(1)
			for _, v := range e.Levels(ones(len(e.Maps))) {
				low = min(low, v)
			}
			e.Least = low * (0.3 + 0.7*random.Float64())
		}
		got, err := e.Solve(context.Background())
		if err != nil || !got.Optimal {
			t.Fatalf("run %d: %+v, %v", run, got, err)
		}
		const steps = 60
		best := math.Inf(1)
		shares := make([]float64, len(e.Maps))
		var walk func(j int)
		walk = func(j int) {
			if j == len(shares) {
				levels := e.Levels(shares)
				low := math.Inf(1)
				for _, v := range levels {
					low = min(low, v)
				}
				if low >= e.Least && low > 0 {
					best = min(best, spreadOf(levels))
				}
				return
			}
			for k := range steps + 1 {
				shares[j] = float64(k) / steps
				walk(j + 1)
			}
		}
		walk(0)
		if best < got.SpreadStops-1e-9 {
			t.Errorf("run %d: the raster finds %.6f stop, the program %.6f", run, best, got.SpreadStops)
		}
		// And the raster comes near, so that the answer is no bound only.
		if best > got.SpreadStops+0.25 {
			t.Errorf("run %d: the raster's best is %.3f stop, the program says %.3f", run, best, got.SpreadStops)
		}
		if low := spreadOf(e.Levels(got.Shares)); math.Abs(low-got.SpreadStops) > 1e-12 {
			t.Errorf("run %d: shares give %.9f, told %.9f", run, low, got.SpreadStops)
		}
	}
}

// Adding a lamp never makes the best worse, and scaling all levels changes
// nothing.
func TestMinSpreadProperties(t *testing.T) {
	random := rand.New(rand.NewPCG(33, 34))
	for run := range 40 {
		maps := drawnMaps(random, 4, 45)
		solve := func(maps [][]float64) MinSpreadSolution {
			got, err := MinSpreadProblem{Maps: maps}.Solve(context.Background())
			if err != nil || !got.Optimal {
				t.Fatalf("run %d: %+v, %v", run, got, err)
			}
			return got
		}
		fewer, all := solve(maps[:3]), solve(maps)
		if all.SpreadStops > fewer.SpreadStops+2e-6 {
			t.Errorf("run %d: a lamp more makes %.6f of %.6f stop", run, all.SpreadStops, fewer.SpreadStops)
		}
		scaled := make([][]float64, 4)
		for j, m := range maps {
			for _, v := range m {
				scaled[j] = append(scaled[j], 0.01*v)
			}
		}
		if again := solve(scaled); math.Abs(again.SpreadStops-all.SpreadStops) > 2e-6 {
			t.Errorf("run %d: scaled %.6f, was %.6f", run, again.SpreadStops, all.SpreadStops)
		}
	}
}

func TestMinSpreadRefusals(t *testing.T) {
	var dark *DarkError
	if _, err := (MinSpreadProblem{Maps: [][]float64{{1, 0}, {2, 0}}}).Solve(context.Background()); !errors.As(err, &dark) {
		t.Errorf("a dark place: %v", err)
	}
	var far *UnreachableError
	if _, err := (MinSpreadProblem{Maps: [][]float64{{1, 2}, {2, 1}}, Least: 6}).Solve(context.Background()); !errors.As(err, &far) || math.Abs(far.Got-3) > 1e-12 {
		t.Errorf("out of reach: %v", err)
	}
}

// BenchmarkMinSpread balances 24 lamps over 2,000 places; the yardstick is in
// cmd/evenfall, where a table of 100,000 rows is read ten times.
func BenchmarkMinSpread(b *testing.B) {
	random := rand.New(rand.NewPCG(35, 36))
	e := MinSpreadProblem{Maps: drawnMaps(random, 24, 2000)}
	for b.Loop() {
		got, err := e.Solve(context.Background())
		if err != nil || !got.Optimal {
			b.Fatalf("%+v, %v", got, err)
		}
	}
}
