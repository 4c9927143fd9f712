package plots

import (
	"slices"
	"strings"
	"testing"

	"evenfall/photometry"
	"evenfall/photometry/ratio"
	"evenfall/photometry/uncertainty"
)

// testRatios are invented lights at three marks.
func testRatios() *ratio.Result {
	mark := func(label string, key, toFill float64, back, background *float64, verdict string) ratio.Mark {
		return ratio.Mark{Label: label, Unit: "lx", Key: &key, KeyToFillStops: &toFill, BackStops: back, BackgroundStops: background, Verdict: verdict}
	}
	v := func(stops float64) *float64 { return &stops }
	return &ratio.Result{
		Title: "Puppets", Date: "2026-03-04", ToleranceStops: 0.33,
		Target:      &ratio.Target{Convention: ratio.KeyToFillConvention, Stops: 2},
		AreaTargets: []ratio.AreaTarget{{Role: ratio.BackgroundRole, Stops: -1}, {Role: ratio.SpillRole, Stops: -3}},
		Marks: []ratio.Mark{
			mark("stage center", 351, 2, v(-0.5), v(-1), uncertainty.Pass),
			mark("stage left", 265, 1.5, v(-0.6), nil, uncertainty.Fail),
			mark("a mark with a very long name", 199, 2.1, v(0.5), nil, uncertainty.Unsure),
		},
	}
}

func TestRatioBars(t *testing.T) {
	key := func(m ratio.Mark) string { return photometry.FormatFigure(*m.Key) + " lx" }
	p := Ratio(testRatios(), RatioOptions{Key: key})
	samePicture(t, "ratio.png", p)
	samePicture(t, "ratio-narrow.png", Ratio(testRatios(), RatioOptions{Key: key, Narrow: true}))
	for _, want := range []string{
		"stage center: key 351 lx, fill \u22122.0 (target \u22122.3 to \u22121.7), back \u22120.5, background \u22121.0 (target \u22121.3 to \u22120.7), spill not read (at most \u22123.0), pass.",
		"background not read", "back +0.5, background not read", "FAIL",
	} {
		if !strings.Contains(p.Alt, want) {
			t.Errorf("%q is missing in %s", want, p.Alt)
		}
	}
	// A lighting ratio of 5:1 is key to fill 4:1.
	lighting := testRatios()
	lighting.Target = &ratio.Target{Convention: ratio.LightingConvention, Stops: photometry.Stops(5, 1)}
	if p := Ratio(lighting, RatioOptions{}); !strings.Contains(p.Alt, "fill −2.0 (target −2.3 to −1.7)") {
		t.Error(p.Alt)
	}
}

// A figure stands to the right of the key where its bar is to the left, even where all
// lights are far under the key.
func TestFiguresOffTheirBars(t *testing.T) {
	r, far := testRatios(), -7.6
	for i := range r.Marks {
		r.Marks[i].BackStops, r.Marks[i].BackgroundStops = nil, &far
	}
	for _, narrow := range []bool{false, true} {
		m := &ratioBars{result: r, opt: RatioOptions{Narrow: narrow}}
		m.gather()
		m.layOut()
		if end := m.at(0) + float64(textWidth(style(m.typeSize, false, ink, 0, 0), "−7.6")); end > m.wide()-8 {
			t.Errorf("narrow %t: the figure ends at %.0f of %.0f pixels", narrow, end, m.wide()-8)
		}
	}
}

func TestUndrawable(t *testing.T) {
	r := testRatios()
	if missing := Ratio(r, RatioOptions{}).Undrawable(); len(missing) > 0 {
		t.Errorf("plain names are said to be missing: %q", missing)
	}
	r.Marks[1].Label = "緑 left"
	if missing := Ratio(r, RatioOptions{}).Undrawable(); !slices.Equal(missing, []string{"緑"}) {
		t.Errorf("missing letters %q", missing)
	}
}
