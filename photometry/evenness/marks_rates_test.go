package evenness

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"testing"

	"evenfall/photometry/spatial"
	"evenfall/photometry/uncertainty"
)

// markedLights are surfaces of 4 by 3 places in stops, whatever their spread.
var markedLights = map[string]func(random *rand.Rand, x, y float64) func(x, y float64) float64{
	"uneven": func(random *rand.Rand, _, _ float64) func(x, y float64) float64 {
		return func(_, _ float64) float64 { return random.NormFloat64() }
	},
	"gradient": func(_ *rand.Rand, x, y float64) func(x, y float64) float64 {
		return func(px, py float64) float64 { return (x-0.5)*px + (y-0.5)*py }
	},
	"hot spot": func(_ *rand.Rand, x, y float64) func(x, y float64) float64 {
		return func(px, py float64) float64 { return math.Exp(-4 * ((px-x)*(px-x) + (py-y)*(py-y))) }
	},
	"two levels": func(random *rand.Rand, x, _ float64) func(x, y float64) float64 {
		return func(px, _ float64) float64 { return math.Copysign(1, px-0.2-0.6*x) }
	},
}

// marking is how a sheet marks its readings: the share in doubt, how these scatter (a
// deviate of standard deviation 1), and whether the meter runs out of range, with the
// limit written or not.
type marking struct {
	doubt   float64
	deviate func(*rand.Rand) float64
	range_  bool
	written bool
}

func normal(random *rand.Rand) float64 { return random.NormFloat64() }

func uniform(random *rand.Rand) float64 { return math.Sqrt(3) * (2*random.Float64() - 1) }

// markedSheet is a sheet whose places truly have a spread.
func markedSheet(random *rand.Rand, light func(*rand.Rand, float64, float64) func(x, y float64) float64, spread float64, how marking) string {
	at := light(random, random.Float64(), random.Float64())
	truth := make([]float64, 12)
	for i := range truth {
		truth[i] = at(float64(i%4)/3, float64(i/4)/2)
	}
	low, high := slices.Min(truth), slices.Max(truth)
	readings, doubts := make([]float64, 12), make([]bool, 12)
	for i, v := range truth {
		scatter := assumed * random.NormFloat64()
		if doubts[i] = random.Float64() < how.doubt; doubts[i] {
			scatter = 0.05 / math.Ln2 * how.deviate(random)
		}
		readings[i] = 800 * math.Exp2(spread*(v-low)/max(high-low, 1e-9)+scatter)
	}
	sorted := slices.Sorted(slices.Values(readings))
	least, most := sorted[random.IntN(3)], sorted[11-random.IntN(3)]
	var b strings.Builder
	b.WriteString("label,lux\n")
	for i, v := range readings {
		text := fmt.Sprintf("%.1f", v)
		switch {
		case how.range_ && v > most:
			text = map[bool]string{true: fmt.Sprintf(">%.1f", most), false: "OL"}[how.written]
		case how.range_ && v < least:
			text = map[bool]string{true: fmt.Sprintf("<%.1f", least), false: "Lo"}[how.written]
		case doubts[i]:
			text = []string{"~" + text, text + "?"}[random.IntN(2)]
		}
		fmt.Fprintf(&b, "%s,%s\n", spatial.GridLabel(i%4, i/4), text)
	}
	return b.String()
}

// Of surfaces whose spread is just over the tolerance at most 2.5 % pass, and of those just
// within at most 2.5 % fail, within three standard errors, also where readings are in doubt
// and over or under the meter's range. Readings in doubt scatter by 5 %, normally as the
// verdict takes it, or evenly between limits, which it does not know.
func TestRatesOfMarkedReadings(t *testing.T) {
	runs := 20
	if os.Getenv("CALIBRATION") != "" {
		runs = 2000
	}
	markings := map[string]marking{
		"doubt":              {doubt: 0.2, deviate: normal},
		"doubt, not normal":  {doubt: 0.2, deviate: uniform},
		"out of range":       {range_: true, written: true},
		"no limit written":   {range_: true},
		"both":               {doubt: 0.2, deviate: normal, range_: true, written: true},
		"both, none written": {doubt: 0.3, deviate: uniform, range_: true},
	}
	for name, how := range markings {
		passes, fails, all := 0, 0, 0
		for kind, light := range markedLights {
			random := rand.New(rand.NewPCG(uint64(len(name)), uint64(len(kind))))
			wrongPasses, wrongFails := 0, 0
			for range runs {
				if judged(t, strings.NewReader(markedSheet(random, light, 0.505, how))).Verdict.Evenness == uncertainty.Pass {
					wrongPasses++
				}
				if judged(t, strings.NewReader(markedSheet(random, light, 0.495, how))).Verdict.Evenness == uncertainty.Fail {
					wrongFails++
				}
			}
			if most := 0.025*float64(runs) + 3*math.Sqrt(0.025*0.975*float64(runs)); float64(max(wrongPasses, wrongFails)) > most {
				t.Errorf("%s, %s: %d wrong passes and %d wrong fails of %d each, at most %.1f", name, kind, wrongPasses, wrongFails, runs, most)
			}
			passes, fails, all = passes+wrongPasses, fails+wrongFails, all+runs
		}
		t.Logf("%-20s %.2f %% wrong passes, %.2f %% wrong fails", name, 100*float64(passes)/float64(all), 100*float64(fails)/float64(all))
	}
}
