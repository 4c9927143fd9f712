package falloff

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
)

func TestRepeatability(t *testing.T) {
	l := trueLaws["point"]
	rng := rand.New(rand.NewPCG(5, 5))
	readings := ladder(l, 1, 8, 7, 0, nil)
	if d := fitOrFail(t, readings, Options{}); d.Repeatability.From != "assumed" || d.Repeatability.Percent != 2 || !code(d.Warnings, "repeatability_assumed") {
		t.Errorf("without anything known: %+v", d.Repeatability)
	}
	if d := fitOrFail(t, readings, Options{Repeatability: 0.01}); d.Repeatability.From != "note" || math.Abs(d.Points[0].SpreadStops-0.01/math.Ln2) > 1e-12 {
		t.Errorf("with a note: %+v", d.Repeatability)
	}
	// Eight repeats at one place with a known sample: ln levels ±e four times
	// each have the variance 8e²/7.
	const e = 0.005
	for i := range 8 {
		readings = append(readings, Reading{DistanceM: 2, Level: l.Level(2) * math.Exp(e*float64(2*(i%2)-1))})
	}
	d := fitOrFail(t, readings, Options{})
	// A ladder of 7 from 1 to 8 m stands at 2 m as well, and joins the group.
	want := 100 * math.Sqrt(8*e*e/8)
	if d.Repeatability.From != "repeats" || d.Repeatability.DegreesOfFreedom != 8 || math.Abs(d.Repeatability.Percent-want) > 1e-6 {
		t.Errorf("from repeats: %+v, want %g %%", d.Repeatability, want)
	}
	// Two repeats that agree by luck do not make a meter good.
	two := append(ladder(l, 1, 8, 6, 0.02, rng), Reading{DistanceM: 1, Level: 1})
	two[6].Level = two[0].Level * 1.001
	if d := fitOrFail(t, two, Options{}); d.Repeatability.From != "assumed" {
		t.Errorf("from one pair: %+v", d.Repeatability)
	}
	// The mean of k readings has s/√k; the display's step adds q²/12.
	one := ladder(l, 1, 8, 6, 0, nil)
	one[2].Repeats = 4
	d = fitOrFail(t, one, Options{Repeatability: 0.02, ResolutionStops: 0.1, ResolutionLevel: 1})
	stops := func(level float64, k float64) float64 {
		q := 1 / level / math.Ln2
		return math.Sqrt((0.02*0.02/math.Ln2/math.Ln2 + (0.1*0.1+q*q)/12) / k)
	}
	within(t, "s of a mean of four", d.Points[2].SpreadStops, stops(one[2].Level, 4), 1e-12)
	within(t, "s of one", d.Points[5].SpreadStops, stops(one[5].Level, 1), 1e-12)
}

func TestBadInput(t *testing.T) {
	good := ladder(trueLaws["point"], 1, 4, 4, 0, nil)
	with := func(change func([]Reading) []Reading) []Reading {
		return change(append([]Reading(nil), good...))
	}
	for _, c := range []struct {
		name     string
		readings []Reading
		o        Options
		indices  []int
		words    string
	}{
		{"nothing", nil, Options{}, []int{-1}, "no readings"},
		{"one reading", good[:1], Options{}, []int{-1}, "one reading"},
		{"one distance", []Reading{{DistanceM: 1, Level: 2}, {DistanceM: 1, Level: 3}}, Options{}, []int{-1}, "two distances"},
		{"zero distance", with(func(r []Reading) []Reading { r[2].DistanceM = 0; return r }), Options{}, []int{2}, "0 m"},
		{"levels and distances", with(func(r []Reading) []Reading {
			r[0].Level, r[1].Level, r[3].DistanceM = 0, math.NaN(), math.Inf(1)
			return r
		}), Options{}, []int{0, 1, 3}, "no number"},
		{"negative level", with(func(r []Reading) []Reading { r[1].Level = -3; return r }), Options{}, []int{1}, "above zero"},
		{"right angle", with(func(r []Reading) []Reading { r[1].IncidenceDeg = 90; return r }), Options{}, []int{1}, "less than 90°"},
		{"no angle", with(func(r []Reading) []Reading { r[1].IncidenceDeg = math.NaN(); return r }), Options{}, []int{1}, "angle"},
		{"tilted dome", with(func(r []Reading) []Reading { r[1].IncidenceDeg = 60; return r }), Options{Receptor: ReceptorDome}, []int{1}, "0.75 of the light head-on, a flat receptor 0.50, 0.58 stop less"},
		{"repeats", with(func(r []Reading) []Reading { r[1].Repeats = -1; return r }), Options{}, []int{1}, "repeats"},
		{"unit", good, Options{Unit: "cd/m2"}, []int{-1}, "lx.s"},
		{"receptor", good, Options{Receptor: "globe"}, []int{-1}, "flat or dome"},
		{"mark", good, Options{MarkM: -1}, []int{-1}, "mark"},
		{"level", good, Options{WantedLevel: math.NaN()}, []int{-1}, "wanted"},
		{"zone", good, Options{WithinStops: -1}, []int{-1}, "zone"},
		{"repeatability", good, Options{Repeatability: 2}, []int{-1}, "share"},
		{"resolution", good, Options{ResolutionStops: -1}, []int{-1}, "resolution"},
	} {
		d, err := FitDistance(c.readings, c.o)
		if err == nil {
			t.Errorf("%s: no error, %+v", c.name, d.Law())
			continue
		}
		if !strings.Contains(err.Error(), c.words) {
			t.Errorf("%s: %q does not say %q", c.name, err, c.words)
		}
		var all InputErrors
		var one *InputError
		switch {
		case errors.As(err, &all):
			var got []int
			for _, e := range all {
				got = append(got, e.Index)
			}
			if fmt.Sprint(got) != fmt.Sprint(c.indices) {
				t.Errorf("%s: faults at %v, want %v", c.name, got, c.indices)
			}
		case errors.As(err, &one):
			if one.Index != c.indices[0] {
				t.Errorf("%s: fault at %d", c.name, one.Index)
			}
		default:
			t.Errorf("%s: %T is no InputError", c.name, err)
		}
	}
}

// Little to go by is not an error, but neither is it an answer that is settled.
func TestTooLittle(t *testing.T) {
	l := trueLaws["point"]
	for name, c := range map[string]struct {
		readings []Reading
		code     string
	}{
		"two readings": {ladder(l, 1, 4, 2, 0, nil), "few_readings"},
		"three":        {ladder(l, 1, 4, 3, 0, nil), "few_readings"},
		"short range":  {ladder(l, 1, 1.5, 8, 0, nil), "short_range"},
	} {
		d := fitOrFail(t, c.readings, Options{})
		if d.Settled || d.Settles != (Settles{}) || !code(d.Warnings, c.code) || d.Next == nil || d.Next.DistanceM == nil || !code(d.Advice, "read_again") {
			t.Errorf("%s: settled %v, %v, %v", name, d.Settled, d.Warnings, d.Advice)
		}
		within(t, name, *d.IntensityCD, 1000, 1e-6)
		within(t, name+", expected", *d.Next.Expected, l.Level(*d.Next.DistanceM), 1e-5)
	}
}

// Laws fitted to many readings are those fitted to their means within small steps: the
// ends of the intervals move by less than a hundredth of them.
func TestManyReadingsArePooled(t *testing.T) {
	random := rand.New(rand.NewPCG(5, 17))
	var readings []Reading
	for range 2 * mostFitted {
		d := 0.5 + 9.5*random.Float64()
		readings = append(readings, Reading{DistanceM: d, Level: (900/(d*d+0.04) + 3) * math.Exp(0.01*random.NormFloat64())})
	}
	s := newSeries(readings, Options{Repeatability: 0.01})
	each := *s
	each.fitted = s.columns
	if len(s.fitted.d) > mostFitted || len(each.fitted.d) != len(readings) {
		t.Fatalf("%d and %d readings", len(s.fitted.d), len(each.fitted.d))
	}
	got, want := newRegion(s, s.tape(false)), newRegion(&each, s.tape(false))
	for name, of := range map[string]func(Law) float64{
		"radius":  func(l Law) float64 { return l.SourceRadiusM },
		"offset":  func(l Law) float64 { return l.OffsetM },
		"ambient": func(l Law) float64 { return l.Ambient },
		"candela": func(l Law) float64 { return l.Intensity },
	} {
		g, w := got.interval(of), want.interval(of)
		if limit := 0.01 * (w.Hi - w.Lo); math.Abs(g.Lo-w.Lo) > limit || math.Abs(g.Hi-w.Hi) > limit {
			t.Errorf("%s: %v, each reading alone %v", name, g, w)
		}
	}
	// χ² scatters by √(2n) itself.
	if off := math.Abs(got.best.chi2 - want.best.chi2); off > 0.03*math.Sqrt(2*float64(len(readings))) {
		t.Errorf("χ² %g, each reading alone %g", got.best.chi2, want.best.chi2)
	}
}
