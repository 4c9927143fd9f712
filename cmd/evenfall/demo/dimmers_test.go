package demo

import (
	"bytes"
	"slices"
	"testing"

	"evenfall/photometry"
	"evenfall/photometry/dimmer"
	"evenfall/photometry/setup"
)

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
	_, laws, err := dials()
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
	for _, law := range laws {
		on, err := lightOf("lamps.csv", law.Lamp)
		if err != nil {
			t.Fatal(err)
		}
		color, err := on.color.CCT()
		if err != nil {
			t.Fatal(err)
		}
		for _, percent := range []float64{15, 35, 60, 85} {
			level := on.onAxis(readAt) * law.share(percent)
			result, err := dimmer.Analyze(read.Input, dimmer.Wanted{Lamp: law.Lamp, Level: &photometry.Level{Value: level}})
			if err != nil {
				t.Fatal(err)
			}
			s := result.Lamp(law.Lamp).Setting
			if s == nil {
				t.Fatalf("%s: no setting for %.0f %%", law.Lamp, percent)
			}
			held("setting", s.Interval, percent)
			held("color temperature", *s.KelvinInterval, 1e6/(color.Mired()+law.mired(s.Percent)))
			held("Duv", *s.DuvInterval, color.Duv)
		}
	}
	for what, n := range misses {
		if n > 1 {
			t.Errorf("%s: missed %d of 12", what, n)
		}
	}
}
