package calibration

import (
	"math"
	"math/rand/v2"

	"evenfall/photometry"
	"evenfall/photometry/ratio"
)

// ofRatios are key, fill and background at a mark, the key read itself or by difference,
// once with a scatter that is noted or three times.
func ofRatios() []simulation {
	const fill, back = 150.0, 90.0
	var out []simulation
	for _, of := range []struct {
		name                string
		keyToFill           float64
		difference, repeats bool
	}{
		{"key 2.7 times the fill, each read", 8. / 3, false, false},
		{"key 2.7 times the fill, by difference", 8. / 3, true, false},
		{"key a third of the fill, by difference", 0.3, true, false},
		{"key a fiftieth of the fill, by difference", 0.02, true, false},
		{"key 1/500 of the fill, by difference", 0.002, true, false},
		{"key twice the fill, each read three times", 2, false, true},
		{"key like the fill, by difference, read three times", 1, true, true},
		{"key a fiftieth of the fill, by difference, read three times", 0.02, true, true},
	} {
		key := of.keyToFill * fill
		out = append(out, simulation{subject: "ratio", generator: of.name, short: 400, full: 6000, most: missing("key to fill", "lighting ratio", "background to key"), draw: func(r *rand.Rand, c *counts) {
			in := ratio.Input{AreaTargets: []ratio.AreaTarget{{Role: ratio.BackgroundRole}}}
			times := 1
			if of.repeats {
				times = 3
			} else {
				stated := scatter
				in.Repeatability = &stated
			}
			read := func(role ratio.Role, lx float64) {
				for range times {
					in.Readings = append(in.Readings, ratio.Reading{Mark: "m", Role: role, Level: photometry.Level{Value: lx * normal(r), Quantity: photometry.Illuminance}})
				}
			}
			if of.difference {
				read("key+fill", key+fill)
			} else {
				read("key", key)
			}
			read("fill", fill)
			read("background", back)
			result, err := ratio.Analyze(in)
			must(err)
			m := result.Marks[0]
			for name, x := range map[string]struct {
				interval *ratio.Interval
				truth    float64
			}{"key to fill": {m.KeyToFillIntervalStops, of.keyToFill}, "lighting ratio": {m.LightingRatioIntervalStops, of.keyToFill + 1}, "background to key": {m.Judged[0].IntervalStops, back / key}} {
				if x.interval != nil {
					c.misses(name, x.interval[0], x.interval[1], math.Log2(x.truth))
				}
			}
		}})
	}
	return out
}
