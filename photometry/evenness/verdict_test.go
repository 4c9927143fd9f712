package evenness

import (
	"math"
	"math/rand/v2"
	"testing"

	"evenfall/photometry"
	"evenfall/photometry/uncertainty"
)

// A verdict is wrong at most 2.5 % of the time. Each surface is judged against
// the tolerance that makes the error likeliest: its own true spread, a hair
// under it for a pass and a hair over it for a fail.
func TestWrongVerdicts(t *testing.T) {
	const runs = 2000
	const r = 0.02
	sd := photometry.ReadingStops(r, 0)
	surfaces := map[string]func(x, y float64) float64{
		"flat":     func(x, y float64) float64 { return 0 },
		"bowed":    func(x, y float64) float64 { return -0.4 * (x*x + y*y) },
		"hot spot": func(x, y float64) float64 { return 0.6 * math.Exp(-((x-0.5)*(x-0.5)+(y-0.3)*(y-0.3))/0.05) },
	}
	// Three binomial standard errors over 2.5 %.
	bound := 0.025 + 3*math.Sqrt(0.025*0.975/runs)
	random := rand.New(rand.NewPCG(1, 2))
	for name, shape := range surfaces {
		for _, n := range []int{9, 45, 200} {
			columns := int(math.Sqrt(float64(n) * 2))
			truth := make([]float64, n)
			for i := range truth {
				truth[i] = shape(2*float64(i%columns)/float64(columns)-1, 2*float64(i/columns)*float64(columns)/float64(n)-1)
			}
			spread := spreadOf(truth)
			for _, design := range []struct {
				name    string
				repeats int // readings of each point
				again   int // further readings of one point only
				known   bool
			}{{"repeatability known", 1, 0, true}, {"known, two readings each", 2, 0, true}, {"estimated, two readings each", 2, 0, false},
				{"estimated, one point read nine times", 1, 8, false}} {
				wrongPass, wrongFail := 0, 0
				factors := map[int]uncertainty.Factors{}
				for range runs {
					observed, repeats := make([]float64, n), make([]int32, n)
					squares, nu := 0.0, 0
					for i, v := range truth {
						k := design.repeats
						if i == n/3 {
							k += design.again
						}
						readings := make([]float64, k)
						sum := 0.0
						for j := range readings {
							readings[j] = v + sd*random.NormFloat64()
							sum += readings[j]
						}
						observed[i], repeats[i] = sum/float64(k), int32(k)
						for _, x := range readings {
							squares += (x - observed[i]) * (x - observed[i])
						}
						nu += k - 1
					}
					m := uncertainty.Model{Stops: sd, Nu: 0}
					if !design.known {
						m = uncertainty.Model{Stops: math.Sqrt(squares / float64(nu)), Nu: nu}
					}
					if _, ok := factors[m.Nu]; !ok {
						factors[m.Nu] = uncertainty.FactorsFor(n, m.Nu)
					}
					lo, hi := uncertainty.SpreadInterval(classesOf(observed, repeats), m, factors[m.Nu])
					if hi < spread {
						wrongPass++
					}
					if lo > spread {
						wrongFail++
					}
				}
				for what, wrong := range map[string]int{"passes": wrongPass, "fails": wrongFail} {
					if share := float64(wrong) / runs; share > bound {
						t.Errorf("%s, n = %d, %s: %.2f %% wrong %s, at most %.2f %%", name, n, design.name, 100*share, what, 100*bound)
					}
				}
			}
		}
	}
}

// On a flat surface a fail is wrong exactly 2.5 % of the time: the interval is
// no wider than it must be.
func TestWrongFailsAreNotTooRare(t *testing.T) {
	const runs, n = 4000, 45
	random := rand.New(rand.NewPCG(3, 4))
	f := uncertainty.FactorsFor(n, 0)
	wrong := 0
	for range runs {
		observed := make([]float64, n)
		for i := range observed {
			observed[i] = random.NormFloat64()
		}
		if lo, _ := uncertainty.SpreadInterval(classesOf(observed, nil), uncertainty.Model{Stops: 1, Nu: 0}, f); lo > 0 {
			wrong++
		}
	}
	share, se := float64(wrong)/runs, math.Sqrt(0.025*0.975/runs)
	if math.Abs(share-0.025) > 3*se {
		t.Errorf("%.2f %% wrong fails on a flat surface, want 2.5 %% within %.2f %%", 100*share, 300*se)
	}
}

func spreadOf(values []float64) float64 {
	low, high := math.Inf(1), math.Inf(-1)
	for _, v := range values {
		low, high = min(low, v), max(high, v)
	}
	return high - low
}

// The interval is the design's formula where every point is read once.
func TestIntervalFormula(t *testing.T) {
	observed := []float64{0.1, 0.5, 0.35, 0.9, 0.2, 0.6, 0.75, 0.15, 0.4}
	s := photometry.ReadingStops(0.03, 0.1)
	lo, hi := uncertainty.SpreadInterval(classesOf(observed, nil), uncertainty.Model{Stops: s, Nu: 0}, uncertainty.FactorsFor(9, 0))
	// s = √((r/ln 2)² + resolution²/12); q_9 from SOURCES.md.
	want := math.Sqrt(math.Pow(0.03/math.Ln2, 2) + 0.01/12)
	if math.Abs(hi-(0.8+1.95996*math.Sqrt2*want)) > 1e-6 || math.Abs(lo-(0.8-4.700411*want)) > 1e-6 {
		t.Errorf("interval %.6f to %.6f", lo, hi)
	}
}

// Fresh repeats of the two extremes alone prove a fail.
func TestRepeatsOfExtremesProveAFail(t *testing.T) {
	observed := []float64{0, 0.58, 0.2, 0.3, 0.25, 0.4, 0.35, 0.28, 0.33}
	once := classesOf(observed, nil)
	m, f := uncertainty.Model{Stops: photometry.ReadingStops(0.02, 0), Nu: 0}, uncertainty.FactorsFor(9, 0)
	if lo, hi := uncertainty.SpreadInterval(once, m, f); uncertainty.Judge(lo, hi, 0.5) != uncertainty.Unsure {
		t.Fatalf("%.3f to %.3f is not unsure", lo, hi)
	}
	repeats := []int32{6, 6, 1, 1, 1, 1, 1, 1, 1}
	if lo, hi := uncertainty.SpreadInterval(classesOf(observed, repeats), m, f); uncertainty.Judge(lo, hi, 0.5) != uncertainty.Fail {
		t.Errorf("%.3f to %.3f with repeats is not a fail", lo, hi)
	}
}

// classesOf groups a column of values; nil repeats means once each.
func classesOf(values []float64, repeats []int32) uncertainty.Classes {
	var c uncertainty.Classes
	for i, v := range values {
		k := int32(1)
		if repeats != nil {
			k = repeats[i]
		}
		c.Add(v, float64(k), 0)
	}
	return c
}
