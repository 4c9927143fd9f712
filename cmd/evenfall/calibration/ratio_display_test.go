package calibration

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"

	"evenfall/photometry/ratio"
	"evenfall/photometry/setup"
)

// ofCoarseRatios are key and fill read from displays that round, as tables are written:
// the key 1.9 to 3.8 times the fill, whose level is anywhere within two stops.
func ofCoarseRatios() []simulation {
	var out []simulation
	for _, of := range []struct {
		name, header string
		fill         float64 // lx at most
		times        int
		shown        func(lx float64) string
	}{
		{"exposure values in thirds", "EV", 600, 1, func(lx float64) string { return thirdOf(math.Log2(lx / 2.5)) }},
		{"exposure values in tenths", "EV", 600, 1, func(lx float64) string { return fmt.Sprintf("%.1f", math.Log2(lx/2.5)) }},
		{"exposure values in tenths, read three times", "EV", 600, 3, func(lx float64) string { return fmt.Sprintf("%.1f", math.Log2(lx/2.5)) }},
		{"tenths of fc near 2 fc", "E (fc)", 12, 1, func(lx float64) string { return fmt.Sprintf("%.1f", lx/10.76391) }},
		{"whole lx near 6 lx", "E (lx)", 9, 1, func(lx float64) string { return fmt.Sprintf("%.0f", lx) }},
		{"whole lx near 6 lx, read three times", "E (lx)", 9, 3, func(lx float64) string { return fmt.Sprintf("%.0f", lx) }},
	} {
		out = append(out, simulation{subject: "ratio", generator: of.name, short: 300, full: 6000, most: missing("key to fill", "lighting ratio"), draw: func(r *rand.Rand, c *counts) {
			fill := of.fill * math.Exp2(-2*r.Float64())
			keyToFill := 1.9 * math.Exp2(r.Float64())
			var b strings.Builder
			if of.times == 1 {
				b.WriteString("# repeatability: 2%\n")
			}
			fmt.Fprintf(&b, "mark,role,%s,note\n", of.header)
			for k := range of.times {
				fmt.Fprintf(&b, "m,key,%s,%d\nm,fill,%s,%d\n", of.shown(keyToFill*fill*normal(r)), k, of.shown(fill*normal(r)), k)
			}
			read, err := setup.RatioOptions{}.Read(strings.NewReader(b.String()), "ratio.csv")
			must(err)
			result, err := ratio.Analyze(read.Input)
			must(err)
			m := result.Marks[0]
			if i := m.KeyToFillIntervalStops; i != nil {
				c.misses("key to fill", i[0], i[1], math.Log2(keyToFill))
			}
			if i := m.LightingRatioIntervalStops; i != nil {
				c.misses("lighting ratio", i[0], i[1], math.Log2(keyToFill+1))
			}
		}})
	}
	return out
}

// thirdOf writes stops as meters do that step in thirds: 8, 8.3, 8.7.
func thirdOf(stops float64) string {
	third := math.Round(stops * 3)
	return fmt.Sprintf("%.1f", third/3)
}
