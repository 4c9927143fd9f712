package evenness

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
)

// Where the light changes in one step during the walk, no line is taken out as if it
// were steady: wrong verdicts of 45 readings with the reference every ten stay within
// 2.5 %, at tolerances a hair over and under the true spread.
func TestLightThatSteps(t *testing.T) {
	const runs = 150
	random := rand.New(rand.NewPCG(61, 62))
	for _, step := range []float64{0.1, 0.2, 0.4} {
		wrongPass, wrongFail := 0, 0
		for range runs {
			when, tilt := random.Float64()*50, 0.3+0.4*random.Float64()
			sign := 1.0 - 2*float64(random.IntN(2))
			var b strings.Builder
			b.WriteString(fine + "# repeatability: 2 %\n# reference: R\nlabel,x (m),y (m),time (min),lux\n")
			minute, low, high := 0.0, math.Inf(1), 0.0
			read := func(label string, x, y, level float64) {
				if minute > when {
					level *= math.Exp2(sign * step)
				}
				fmt.Fprintf(&b, "%s,%g,%g,%g,%.3f\n", label, x, y, minute, level*math.Exp2(assumed*random.NormFloat64()))
				minute++
			}
			for i := range 45 {
				if i%10 == 0 {
					read("R", 2, 0.9, 800)
				}
				x, y := float64(i%9)/2, float64(i/9)/2
				v := 800 * math.Exp2(tilt*(x-2)/4)
				low, high = min(low, v), max(high, v)
				read(fmt.Sprint("P", i), x, y, v)
			}
			read("R", 2, 0.9, 800)
			low, high = min(low, 800), max(high, 800)
			e, spread := judged(t, strings.NewReader(b.String())).Evenness, math.Log2(high/low)
			if e.SpreadInterval[1] < spread {
				wrongPass++
			}
			if e.SpreadInterval[0] > spread {
				wrongFail++
			}
		}
		t.Logf("a step of %.1f: %.1f %% wrong passes, %.1f %% wrong fails", step, 100*float64(wrongPass)/runs, 100*float64(wrongFail)/runs)
		if most := 0.025*runs + 3*math.Sqrt(0.025*0.975*runs); float64(wrongPass) > most || float64(wrongFail) > most {
			t.Errorf("a step of %.1f stop: %d wrong passes, %d wrong fails of %d", step, wrongPass, wrongFail, runs)
		}
	}
}
