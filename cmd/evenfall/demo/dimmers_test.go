package demo

import (
	"bytes"
	"math"
	"slices"
	"testing"

	"evenfall/photometry"
	"evenfall/photometry/colorimetry"
	"evenfall/photometry/dimmer"
	"evenfall/photometry/setup"
)

// dial is the law of a lamp's dimmer: the level is the dial's share to a power, and the
// color cools by so many mired with each stop up, which is negative where it warms.
type dial struct {
	Lamp          string
	Power, Cooler float64
}

// dials are the laws of the dimmers that were read, and readAt is how far in front of each
// lamp, in meters.
var dials = []dial{{"cloth left", 1, 0}, {"cloth right", 1.8, -3}, {"fill panel", 1.4, -2}}

const readAt = 2.5

// share is the lamp's light at a setting in percent, as a share of its light at full.
func (d dial) share(percent float64) float64 { return math.Pow(percent/100, d.Power) }

// mired is the color at a setting against that at full.
func (d dial) mired(percent float64) float64 { return d.Cooler * math.Log2(d.share(percent)) }

// Each reading of a lamp over its dimmer follows from the lamp on its axis and the dimmer's
// law.
func TestDimmersFollowFromTheLamps(t *testing.T) {
	s, h := predicted(t, "lamps.csv"), &held{t: t}
	_, rows := fileNamed(t, "dimmers.csv")
	for _, r := range rows {
		lamp, percent := r["lamp"], r.number(t, "dimmer (%)")
		law := dials[slices.IndexFunc(dials, func(d dial) bool { return d.Lamp == lamp })]
		what, color := lamp+" at "+r["dimmer (%)"], colorsOf(t)[lamp]
		h.level(what, r["E (lx)"], onAxis(t, s, lamp, readAt)*law.share(percent))
		h.color(what, r, colorimetry.CCT{Kelvin: 1e6 / (color.Mired() + law.mired(percent)), Duv: color.Duv})
	}
	h.scatters("dimmers.csv")
}

// What is said of a dimmer between the settings read comes out of the scene's laws: the
// setting, the color temperature and Duv, each within its interval. An interval of 95 %
// may miss once in twelve.
func TestDimmersComeOutOfTheScene(t *testing.T) {
	files, err := Files()
	if err != nil {
		t.Fatal(err)
	}
	file := files[slices.IndexFunc(files, func(f File) bool { return f.Name == "dimmers.csv" })]
	read, err := setup.ReadDimmers(bytes.NewReader(file.Content), file.Name)
	if err != nil {
		t.Fatal(err)
	}
	misses := map[string]int{}
	held := func(what string, i [2]float64, truth float64) {
		t.Helper()
		t.Logf("%s: %.5g, said to be %.5g to %.5g", what, truth, i[0], i[1])
		if truth < i[0] || truth > i[1] {
			misses[what]++
		}
	}
	s := predicted(t, "lamps.csv")
	for _, law := range dials {
		color := colorsOf(t)[law.Lamp]
		for _, percent := range []float64{15, 35, 60, 85} {
			level := onAxis(t, s, law.Lamp, readAt) * law.share(percent)
			result, err := dimmer.Analyze(read.Input, dimmer.Wanted{Lamp: law.Lamp, Level: &photometry.Level{Value: level}})
			if err != nil {
				t.Fatal(err)
			}
			at := result.Lamp(law.Lamp).Setting
			if at == nil {
				t.Fatalf("%s: no setting for %.0f %%", law.Lamp, percent)
			}
			held("setting", at.Interval, percent)
			held("color temperature", *at.KelvinInterval, 1e6/(color.Mired()+law.mired(at.Percent)))
			held("Duv", *at.DuvInterval, color.Duv)
		}
	}
	for what, n := range misses {
		if n > 1 {
			t.Errorf("%s: missed %d of 12", what, n)
		}
	}
}
