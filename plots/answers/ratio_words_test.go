package answers

import (
	"strings"
	"testing"

	"evenfall/photometry"
	"evenfall/photometry/ratio"
	"evenfall/plots/document"
)

// marked is the result of illuminances in lx at one mark.
func marked(t *testing.T, in ratio.Input, levels map[ratio.Role]float64) ratio.Mark {
	t.Helper()
	for _, role := range append(ratio.Roles, "key+fill") {
		if level, ok := levels[role]; ok {
			in.Readings = append(in.Readings, ratio.Reading{Mark: "m", Role: role, DistanceM: 3, Level: photometry.Level{Value: level, Quantity: photometry.Illuminance}})
		}
	}
	r, err := ratio.Analyze(in)
	if err != nil {
		t.Fatal(err)
	}
	return r.Marks[0]
}

// Sentences about lights name them with their levels and lengths in the reader's
// units.
func TestRatioSentences(t *testing.T) {
	us := document.Words{Unit: photometry.FC, Feet: true}
	for _, c := range []struct {
		words  document.Words
		levels map[ratio.Role]float64
		want   string
	}{
		{SI, map[ratio.Role]float64{"key": 400, "fill": 100, "back": 150, "key+fill": 650}, "key+fill reads 0.4 stop more than its parts add up to (650 lx read, 500 lx added). It fits the back (150 lx) being on as well. Until it is read again"},
		{us, map[ratio.Role]float64{"key": 400, "fill": 160, "ambient": 60, "key+fill": 500}, "It fits the ambient light (5.57 fc) being in each reading alone: take it off them."},
		{SI, map[ratio.Role]float64{"key": 400, "fill": 100, "key+fill": 250}, "key+fill reads 1.0 stop less than its parts add up to"},
		{SI, map[ratio.Role]float64{"key": 400, "key+fill": 500}, "Key plus fill less the key leaves 75.0 lx to 125 lx: too rough to rely on."},
		{SI, map[ratio.Role]float64{"key": 100, "fill": 400}, "The key is 2.0 stops below the fill."},
		{SI, map[ratio.Role]float64{"key": 100, "fill": 50, "spill": 0, "back": 0}, "No stops for what reads 0: back and spill."},
	} {
		said := strings.Join(Sentences(c.words, marked(t, ratio.Input{}, c.levels).Warnings), "\n")
		if !strings.Contains(said, c.want) {
			t.Errorf("%v: %q does not say %q", c.levels, said, c.want)
		}
	}
	target := ratio.Input{Target: &ratio.Target{Ratio: 4, Stops: 2, Convention: ratio.KeyToFillConvention}, AreaTargets: []ratio.AreaTarget{{Role: ratio.BackgroundRole, Stops: -1}}}
	m := marked(t, target, map[ratio.Role]float64{"key": 400, "fill": 200, "background": 100})
	for i, want := range []string{
		"take 1.0 stop off the fill: a double scrim (1.0 stop), a dimmer at 50 % of now, or 1.41 times its distance (4.24 m)",
		"give the key 1.0 stop more: 200 % of its output now, or 0.707 times its distance (2.12 m)",
		"give the background 1.0 stop more: 200 % of its output now, or 0.707 times its distance (2.12 m) (2.0 stops more in all where the key is changed and not the fill)",
	} {
		if got := Sentence(SI, m.ToTarget[i].Text.Finding); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
	if got := Sentence(us, m.ToTarget[0].Text.Finding); !strings.HasSuffix(got, "1.41 times its distance (13.9 ft)") {
		t.Errorf("in feet: %q", got)
	}
}

// A shutter is said to be safe, or the nearest safe one is named.
func TestShutterSentences(t *testing.T) {
	for _, c := range []struct {
		shutter, rate, mains float64
		want                 string
	}{
		{1. / 50, 24, 50, "50 Hz: the shutter is safe"},
		{1. / 50, 24, 60, "60 Hz: steady while 24 frames a second keep step with the mains; 1/60 s (144°) is safe at any phase, -0.26 stop"},
		{1. / 48, 24, 50, "50 Hz: lamps may flicker; 1/50 s (172.8°) is safe at any phase, -0.06 stop"},
		{1. / 2000, 1000, 50, "50 Hz: lamps may flicker; no shutter is safe at this frame rate"},
		{0, 25, 50, "50 Hz: safe are 1/100 (90°), 1/50 (180°), 1/33.33 (270°), 1/25 (360°)"},
	} {
		f := ratio.Flickers(c.shutter, c.rate, c.mains)[0]
		if got := Sentence(SI, f.Text.Finding); got != c.want {
			t.Errorf("%q, want %q", got, c.want)
		}
	}
}
