package answers

import (
	"testing"

	"evenfall/falloff/balance"
	"evenfall/photometry"
	"evenfall/plots/document"
)

// Trims are said as people make them: by scrims, by a dimmer or both, and a level
// can be typed back as it is said.
func TestBalanceSentences(t *testing.T) {
	stops := -1.0
	trim := balance.Trim{Percent: 50, Stops: &stops, Scrim: "a double scrim", ScrimStops: 1}
	off := balance.Trim{}
	near := balance.Trim{Percent: 42, Stops: new(float64), Scrim: "a double scrim", ScrimStops: 1}
	*near.Stops = -1.25
	least := photometry.Level{Value: 250, Quantity: photometry.Illuminance}
	part := photometry.Level{Value: 0.25, Quantity: photometry.Relative}
	for _, c := range []struct {
		finding photometry.Finding
		words   document.Words
		want    string
	}{
		{photometry.Found("trim", "lamp", "left", "trim", trim, "scrims_only", false, "others", []string{}), SI, "Take 1.0 stop off left: a double scrim, or dim it to 50 %, and leave the others as they are."},
		{photometry.Found("trim", "lamp", "left", "trim", trim, "scrims_only", true, "others", []string{"right"}), SI, "Take 1.0 stop off left: a double scrim; and trim right as listed."},
		{photometry.Found("trim", "lamp", "left", "trim", near, "scrims_only", false, "others", []string{"b", "c"}), SI, "Take 1.2 stops off left: dim it to 42 %, or nearest a double scrim (1.0 stop); and trim 2 more as listed."},
		{photometry.Found("trim", "lamp", "left", "trim", off, "scrims_only", false, "others", []string{}), SI, "Switch left off, and leave the others as they are."},
		{photometry.Found("open_up", "loss", photometry.Stop(0.6), "flash", true), SI, "The mean falls by 0.6 stop: open up by that, or give it back in ISO."},
		{photometry.Found("open_up", "loss", photometry.Stop(0.6), "flash", false), SI, "The mean falls by 0.6 stop: open up by that, or give it back in shutter or ISO."},
		{photometry.Found("keep_light", "lit", true, "loss", photometry.Stop(1.5), "least", least, "percent", false, "spread", photometry.Stop(0.3)), SI,
			"The most even trims cost 1.5 stops at the darkest place. With --min 250lx the best spread is 0.30 stop, by the trims beside."},
		{photometry.Found("keep_light", "lit", false, "loss", photometry.Stop(1.5), "least", part, "percent", true, "spread", photometry.Stop(0.3)), SI,
			"The most even trims switch every lamp off. With --min 25.0% the best spread is 0.30 stop, by the trims beside."},
		{photometry.Found("tungsten_too_warm", "lamp", "left", "percent", photometry.Percentage(50), "from", photometry.Kelvin(3200), "after", photometry.Kelvin(2940), "shift", photometry.Mired(27.6), "allowed", 10.0), SI,
			"left is tungsten: dimmed to 50 % it warms from 3200 to about 2940 K, +28 mired, more than the 10.0 mired allowed: use scrims, nets or ND, which keep the color."},
		{photometry.Found("other_light", "more", photometry.Stop(0.2), "mean", least), document.Words{Unit: photometry.FC}, "All lamps together read 0.20 stop more than the lamps alone add up to: the rest, 23.2 fc on the mean, is other light, which no trim changes."},
	} {
		if got := Sentence(c.words, c.finding); got != c.want {
			t.Errorf("%q, want %q", got, c.want)
		}
	}
}
