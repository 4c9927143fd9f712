package plots

import (
	"strings"
	"testing"

	"evenfall/photometry"
	"evenfall/photometry/dimmer"
)

// testDimmer is a square-law dimmer at four settings that flickers at the lowest, half a
// stop down from 63 %.
func testDimmer(t *testing.T) *dimmer.Lamp {
	t.Helper()
	var in dimmer.Input
	for _, q := range []struct{ percent, level, kelvin float64 }{{10, 12, 2500}, {25, 71, 2800}, {63, 442, 3050}, {100, 1120, 3200}} {
		flickers := q.percent < 20
		in.Readings = append(in.Readings, dimmer.Reading{Lamp: "key", Percent: q.percent, Level: photometry.Level{Value: q.level}, Kelvin: &q.kelvin, Flickers: &flickers})
	}
	stops := -0.5
	r, err := dimmer.Analyze(in, dimmer.Wanted{Stops: &stops, FromPercent: 63})
	if err != nil {
		t.Fatal(err)
	}
	return r.Lamps[0]
}

// TestDimmer draws every part and says in words what it draws.
func TestDimmer(t *testing.T) {
	l := testDimmer(t)
	p := Dimmer(l, "2026-03-04", "Up to 3.2 stops under a linear dial.", photometry.LX, false)
	var svg strings.Builder
	if err := p.Write(&svg, "svg"); err != nil {
		t.Fatal(err)
	}
	for _, text := range []string{"key, level over its dimmer", "dimmer (%)", "illuminance (lx)", "CCT (K)", "wanted: 53 %", "flicker seen", "a linear dial", "from 10 to 100 %, 6.54 stops in all", "2500 K at 10 %, 3200 K at 100 %"} {
		if !strings.Contains(svg.String(), text) {
			t.Errorf("the picture lacks %q", text)
		}
	}
	if Dimmer(&dimmer.Lamp{Name: "one"}, "", "", photometry.LX, false) != nil {
		t.Error("a picture of a lamp without a curve")
	}
}
