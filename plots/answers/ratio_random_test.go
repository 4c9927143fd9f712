package answers

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"testing"

	"evenfall/photometry"
	"evenfall/photometry/ratio"
	"evenfall/plots/document"
)

// Whatever is read, zeros, lights missing and several quantities at several marks, is
// compared and told without a panic, with intervals in order and a result that is JSON.
func TestAnythingIsCompared(t *testing.T) {
	r := rand.New(rand.NewPCG(91, 1))
	roles := []ratio.Role{"key", "fill", "key+fill", "back", "background", "spill", "ambient", "key+back"}
	for range 3000 {
		in := ratio.Input{Camera: ratio.Camera{ISO: 100 * float64(r.IntN(2)), ShutterS: 0.02 * float64(r.IntN(2))}}
		for range 1 + r.IntN(10) {
			level := photometry.Level{Value: []float64{0, 1, 100, 101, 400, 412.5, 1e5}[r.IntN(7)], Quantity: photometry.Illuminance}
			if r.IntN(8) == 0 {
				level.Quantity = []photometry.Quantity{photometry.LuminousExposure, photometry.Luminance, photometry.Relative}[r.IntN(3)]
			}
			in.Readings = append(in.Readings, ratio.Reading{Mark: []string{"a", "b", "c"}[r.IntN(3)], Role: roles[r.IntN(len(roles))], Lamp: []string{"", "", "x", "y"}[r.IntN(4)], Level: level})
		}
		if convention := []string{"", ratio.KeyToFillConvention, ratio.LightingConvention}[r.IntN(3)]; convention != "" {
			in.Target = &ratio.Target{Ratio: 3, Stops: math.Log2(3), Convention: convention}
		}
		if r.IntN(2) == 0 {
			in.AreaTargets = []ratio.AreaTarget{{Role: ratio.SpillRole, Stops: -3}, {Role: ratio.BackgroundRole, Stops: -1}}
		}
		res, err := ratio.Analyze(in)
		if err != nil {
			continue // it does not mix
		}
		Ratio(res, "", document.Words{Unit: photometry.LX}, true)
		if _, err := json.Marshal(Describe(res)); err != nil {
			t.Fatalf("%+v: %v", in, err)
		}
		for _, m := range res.Marks {
			for _, i := range []*ratio.Interval{m.KeyToFillIntervalStops, m.LightingRatioIntervalStops} {
				if i != nil && !(i[0] <= i[1]) {
					t.Fatalf("%+v: interval %v", in, *i)
				}
			}
			for _, j := range m.Judged {
				if j.Verdict == "pass" && j.IntervalStops == nil {
					t.Fatalf("%+v: %+v", in, j)
				}
			}
		}
	}
}
