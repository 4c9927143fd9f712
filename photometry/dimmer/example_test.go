package dimmer_test

import (
	"fmt"

	"evenfall/photometry"
	"evenfall/photometry/dimmer"
)

// A lamp at four settings of its dimmer, half a stop down from 63 %.
func Example() {
	var in dimmer.Input
	for percent, lux := range map[float64]float64{10: 12, 25: 71, 63: 442, 100: 1120} {
		in.Readings = append(in.Readings, dimmer.Reading{Lamp: "key", Percent: percent, Level: photometry.Level{Value: lux}})
	}
	down := -0.5
	r, err := dimmer.Analyze(in, dimmer.Wanted{Stops: &down, FromPercent: 63})
	if err != nil {
		panic(err)
	}
	s := r.Lamps[0].Setting
	fmt.Printf("%.0f %%, from %.0f to %.0f; a linear one: %.0f %%\n", s.Percent, s.Interval[0], s.Interval[1], s.LinearPercent)
	// Output: 53 %, from 52 to 54; a linear one: 45 %
}
