package match

import (
	"math"
	"slices"
	"strings"
	"testing"

	"evenfall/photometry"
	"evenfall/photometry/colorimetry"
	"evenfall/photometry/entry"
	"evenfall/photometry/spatial"
	"evenfall/photometry/survey"
	"evenfall/photometry/tolerance"
	"evenfall/photometry/uncertainty"
	"evenfall/testdata"
)

// gridSurvey is a survey of columns × rows places on a surface of 4.8 × 2.4 m,
// labelled, whose repeatability is stated.
func gridSurvey(columns, rows int, repeatability float64, level func(x, y float64) float64) *survey.Survey {
	s := &survey.Survey{Quantity: photometry.Illuminance, Reference: -1, Extent: spatial.Box{X0: 0, Y0: 0, X1: 4.8, Y1: 2.4}}
	s.Settings.Sized, s.Settings.Repeatability = true, &repeatability
	l := &spatial.Lattice{Even: true}
	for c := range columns {
		l.Xs = append(l.Xs, 4.8*(float64(c)+0.5)/float64(columns))
	}
	for r := range rows {
		l.Ys = append(l.Ys, 2.4*(float64(r)+0.5)/float64(rows))
	}
	for r, y := range l.Ys {
		for c, x := range l.Xs {
			l.Index = append(l.Index, int32(s.Len()))
			s.X, s.Y, s.Level = append(s.X, x), append(s.Y, y), append(s.Level, level(x, y))
			s.Label = append(s.Label, spatial.GridLabel(c, rows-1-r))
		}
	}
	s.Lattice, s.ReadingCount = l, s.Len()
	return s
}

func mustMatch(t *testing.T, before, after *survey.Survey, o Options) *Result {
	t.Helper()
	r, err := Compare(before, after, o)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// The mean and the scatter of log2(today/before), where the stops are certified
// data of NIST: the offset is the mean, the rms about it the standard deviation
// of n, not n − 1.
func TestMatchCertifiedMeans(t *testing.T) {
	for _, set := range testdata.UnivariateSets() {
		n := float64(len(set.Readings))
		if set.Mean > 1000 {
			continue // a level of 2 to that many stops is no number
		}
		before := &survey.Survey{Reference: -1, ReadingCount: int(n)}
		after := &survey.Survey{Reference: -1, ReadingCount: int(n)}
		for i, stops := range set.Readings {
			for _, s := range []*survey.Survey{before, after} {
				s.X, s.Y = append(s.X, float64(i)), append(s.Y, 0)
			}
			before.Level = append(before.Level, 1000)
			after.Level = append(after.Level, 1000*math.Exp2(stops))
		}
		r := mustMatch(t, before, after, Options{})
		if math.Abs(r.OffsetStops/set.Mean-1) > 1e-13 {
			t.Errorf("%s: offset %.16g, certified mean %.16g", set.Name, r.OffsetStops, set.Mean)
		}
		if got := r.PatternRMSStops * math.Sqrt(n/(n-1)); math.Abs(got/set.SD-1) > 1e-8 {
			t.Errorf("%s: rms %.12g, certified standard deviation %.12g", set.Name, got, set.SD)
		}
	}
}

// Nine places by hand: half the light everywhere is one stop; besides, one
// place half a stop up changes mean, spread and rms as sums over nine say.
func TestMatchByHand(t *testing.T) {
	before := gridSurvey(3, 3, 0.01, func(x, y float64) float64 { return 500 + 100*x })
	after := gridSurvey(3, 3, 0.01, func(x, y float64) float64 { return (500 + 100*x) / 2 })
	after.Level[8] *= math.Sqrt2
	r := mustMatch(t, before, after, Options{})
	if want := (-8 - 0.5) / 9.0; math.Abs(r.OffsetStops-want) > 1e-12 {
		t.Errorf("offset %g, want %g", r.OffsetStops, want)
	}
	if math.Abs(*r.PatternStops-0.5) > 1e-12 || math.Abs(r.PatternRMSStops-0.5*math.Sqrt(8)/9) > 1e-12 {
		t.Errorf("pattern %g, rms %g", *r.PatternStops, r.PatternRMSStops)
	}
	// s = 0.01/ln 2 for each of two readings, over nine places.
	if half := r.OffsetInterval[1] - r.OffsetStops; math.Abs(half-1.959964*0.01/math.Ln2*math.Sqrt2/3) > 1e-7 {
		t.Errorf("half interval %g", half)
	}
	if r.Verdict.Offset != uncertainty.Fail || !r.OffsetSignificant || r.Verdict.Pattern != uncertainty.Unsure && r.Verdict.Pattern != uncertainty.Fail && r.Verdict.Pattern != uncertainty.Pass {
		t.Errorf("%+v", r.Verdict)
	}
	if r.Worst.Label == "C3" || math.Abs(r.Worst.Stops+1) > 1e-12 {
		t.Errorf("worst %+v", r.Worst)
	}
}

// A day in footcandles that is read as lux is asked about, not judged: 1 fc is 1/0.3048² lx
// (NIST SP 811), 3.43 stops. A light that fell by three stops is judged.
func TestMatchUnitsMixed(t *testing.T) {
	for factor, want := range map[float64]string{1 / (0.3048 * 0.3048): uncertainty.Unsure, 0.3048 * 0.3048: uncertainty.Unsure, 8: uncertainty.Fail} {
		before := gridSurvey(5, 3, 0.02, func(x, y float64) float64 { return 800 + 60*x })
		after := gridSurvey(5, 3, 0.02, func(x, y float64) float64 { return (800 + 60*x) * factor })
		r := mustMatch(t, before, after, Options{})
		if asked := r.Steps[0].Key == "match.units.settle"; r.Verdict.Overall != want || asked != (want == uncertainty.Unsure) {
			t.Errorf("times %.4f: %s, first %s, want %s", factor, r.Verdict.Overall, r.Steps[0].Key, want)
		}
	}
}

// What is odd about two days is said; what cannot be matched is an error.
func TestMatchOddDays(t *testing.T) {
	level := func(x, y float64) float64 { return 800 + 60*x }
	sheet := func() *survey.Survey { return gridSurvey(5, 3, 0.02, level) }
	warned := func(r *Result, code string) bool {
		return slices.ContainsFunc(r.Warnings, func(f photometry.Finding) bool { return f.Code == code })
	}
	for code, change := range map[string]func(a, b *survey.Survey){
		"same_readings":     func(a, b *survey.Survey) {},
		"dates_swapped":     func(a, b *survey.Survey) { a.Date, b.Date = "2026-03-05", "2026-03-04" },
		"other_surface":     func(a, b *survey.Survey) { a.Title, b.Title = "cloth", "floor" },
		"other_size":        func(a, b *survey.Survey) { b.Extent = spatial.Box{X0: 0, Y0: 0, X1: 3, Y1: 2.4} },
		"other_receptor":    func(a, b *survey.Survey) { b.Settings.Meter.Receptor = photometry.DomeReceptor },
		"tolerances_differ": func(a, b *survey.Survey) { b.Settings.Limits = tolerance.Limits{Stops: 0.2, Mired: 10, Duv: 0.003} },
		"labels_elsewhere":  func(a, b *survey.Survey) { b.Label[0], b.Label[1] = b.Label[1], b.Label[0] },
	} {
		a, b := sheet(), sheet()
		change(a, b)
		if r := mustMatch(t, a, b, Options{}); !warned(r, code) {
			t.Errorf("%s is not said: %v", code, r.Warnings)
		}
	}
	a, b := sheet(), sheet()
	a.Date, b.Date = "2026-03-04", "2026-03-05"
	b.Level[0] *= 1.01
	if r := mustMatch(t, a, b, Options{}); len(r.Warnings) > 0 || r.Verdict.Overall != uncertainty.Pass || r.Steps[0].Code != StepKeep {
		t.Errorf("nothing is odd, found %v %v %v", r.Warnings, r.Verdict, r.Steps)
	}
	flash := sheet()
	flash.Quantity = photometry.LuminousExposure
	if _, err := Compare(a, flash, Options{}); err == nil || !strings.Contains(err.Error(), "lx.s") {
		t.Errorf("flash against continuous light: %v", err)
	}
	away := sheet()
	for i := range away.X {
		away.X[i] += 20
	}
	if _, err := Compare(a, away, Options{}); err == nil || !strings.Contains(err.Error(), "--within") {
		t.Errorf("other places: %v", err)
	}
}

// Places are paired by label where that is nearly at the same place, else by
// position, one to one, and the others are listed.
func TestMatchPairs(t *testing.T) {
	at := func(label string, x, y float64) *survey.Survey {
		return &survey.Survey{Quantity: photometry.Illuminance, Reference: -1, X: []float64{x}, Y: []float64{y}, Level: []float64{100}, Label: []string{label}}
	}
	join := func(parts ...*survey.Survey) *survey.Survey {
		out := &survey.Survey{Quantity: photometry.Illuminance, Reference: -1}
		for _, p := range parts {
			out.X, out.Y, out.Level, out.Label = append(out.X, p.X...), append(out.Y, p.Y...), append(out.Level, p.Level...), append(out.Label, p.Label...)
		}
		out.Extent, _ = spatial.BoxOf(out.X, out.Y)
		out.ReadingCount = out.Len()
		return out
	}
	before := join(at("a", 0, 0), at("b", 1, 0), at("", 2, 0), at("d", 0, 1), at("e", 1, 1), at("f", 2, 1))
	// a by label, 5 cm off; b by position only, nearer than the other candidate;
	// the one without a label by position; d is elsewhere, and f is not there.
	after := join(at("A", 0.05, 0), at("", 1.02, 0), at("", 1.04, 0), at("x", 2, 0), at("d", 0.5, 0.5), at("e", 1, 1))
	r := mustMatch(t, before, after, Options{WithinM: 0.1})
	if r.PairedBy.Label != 2 || r.PairedBy.Position != 2 || math.Abs(r.PairedBy.MaxDistanceM-0.05) > 1e-12 {
		t.Errorf("%+v", r.PairedBy)
	}
	names := func(all []Place) (out string) {
		for _, p := range all {
			out += p.Label + photometry.FormatFigure(p.X) + " "
		}
		return out
	}
	if got := names(r.UnpairedBefore) + "/ " + names(r.UnpairedAfter); got != "d0 f2.00 / 1.04 d0.500 " {
		t.Errorf("unpaired: %s", got)
	}
	// Within 5 mm only what is there exactly.
	if r = mustMatch(t, before, after, Options{WithinM: 0.005}); r.Pairs != 2 {
		t.Errorf("%d pairs within 5 mm", r.Pairs)
	}
	// One place in common is an offset without a pattern.
	r = mustMatch(t, at("a", 0, 0), join(at("a", 0, 0), at("b", 1, 0)), Options{})
	if r.Pairs != 1 || r.PatternInterval != nil || r.Verdict.Pattern != uncertainty.Unsure || r.Verdict.Offset != uncertainty.Pass {
		t.Errorf("%+v", r)
	}
}

// A reading of either day that looks like a data-entry error is excluded and named, and
// the verdict waits for it.
func TestMatchSlips(t *testing.T) {
	level := func(x, y float64) float64 { return 800 + 60*x }
	for day := range 2 {
		days := []*survey.Survey{gridSurvey(9, 5, 0.01, level), gridSurvey(9, 5, 0.01, level)}
		days[1].Level[0] *= 1.001
		days[day].Level[20] /= photometry.Lux(1)
		r := mustMatch(t, days[0], days[1], Options{})
		if len(r.Suspects) != 1 || r.Suspects[0].Reasons[0] != entry.LuxFootcandleSwap || r.Suspects[0].Day != []string{DayBefore, DayAfter}[day] {
			t.Fatalf("suspects: %+v", r.Suspects)
		}
		if *r.PatternStops > 0.01 || math.Abs(r.OffsetStops) > 0.01 || r.Pairs != 44 {
			t.Errorf("pattern %g, offset %g of %d", *r.PatternStops, r.OffsetStops, r.Pairs)
		}
		if r.Verdict.Pattern != uncertainty.Unsure || r.Verdict.Overall != uncertainty.Unsure {
			t.Errorf("verdict %+v", r.Verdict)
		}
		if want := []string{"match.before.read_again", "match.read_again"}[day]; r.Steps[0].Key != want || r.Steps[0].Code != StepReadAgain {
			t.Errorf("steps: %v", r.Steps)
		}
	}
}

// A shift of color within what two meters may differ by settles nothing unless both days
// note the same meter; a larger one fails, none passes. Color temperatures alone may fail
// and never pass.
func TestColorAgainstMeters(t *testing.T) {
	day := func(duv, kelvin float64, meter string, withDuv bool) *survey.Survey {
		s := gridSurvey(3, 3, 0.01, func(x, y float64) float64 { return 500 + 10*x })
		s.Settings.MeterName, s.DuvRead = meter, withDuv
		for range s.Len() {
			uv, err := (colorimetry.CCT{Kelvin: kelvin, Duv: duv}).UV()
			if err != nil {
				t.Fatal(err)
			}
			s.U, s.V = append(s.U, uv.UVPrime().U), append(s.V, uv.UVPrime().V)
		}
		return s
	}
	for _, c := range []struct {
		duv, kelvin float64
		meters      [2]string
		withDuv     bool
		want, step  string
	}{
		{0.002, 5600, [2]string{"", ""}, true, uncertainty.Unsure, "match.meter.settle"},
		{0.002, 5600, [2]string{"one", "two"}, true, uncertainty.Unsure, "match.meter.settle"},
		{0.002, 5600, [2]string{"one", "One"}, true, uncertainty.Pass, "match.keep"},
		{0, 5600, [2]string{"", ""}, true, uncertainty.Pass, "match.keep"},
		{0.005, 5600, [2]string{"", ""}, true, uncertainty.Fail, "match.duv.find_lamp"},
		{0, 5600, [2]string{"one", "one"}, false, uncertainty.Unsure, "match.duv.settle"},
		{0, 4800, [2]string{"one", "one"}, false, uncertainty.Fail, "match.mired.find_lamp"},
	} {
		before, after := day(0, 5600, c.meters[0], c.withDuv), day(c.duv, c.kelvin, c.meters[1], c.withDuv)
		after.Level[4]++
		r := mustMatch(t, before, after, Options{})
		if r.Verdict.Color != c.want || len(r.Steps) == 0 || r.Steps[0].Key != c.step {
			t.Errorf("%+v: %+v, steps %v, pattern %v", c, r.Verdict, r.Steps, r.PatternInterval)
		}
	}
}

// A level in doubt is good to 5 %, whatever the meter: between days that agree, the widest
// pair has one reading of 1 % on each side of one in doubt and one that is not.
func TestMatchLevelInDoubt(t *testing.T) {
	day := func(first string) *survey.Survey {
		text := "# repeatability: 1 %\nx (m),y (m),lux\n0,0," + first + "\n1,0,742.00\n2,0,742.00\n"
		s, err := survey.Read([]survey.Input{{Name: "day", Reader: strings.NewReader(text)}}, survey.ReadOptions{})
		if err != nil {
			t.Fatal(err)
		}
		return s
	}
	one, doubt := 0.01/math.Ln2, math.Log2(1.05)
	r := mustMatch(t, day("742.00"), day("~742"), Options{})
	if want := 1.959964 * math.Sqrt(3*one*one+doubt*doubt); math.Abs(r.PatternInterval[1]-want) > 1e-3*want {
		t.Errorf("pattern up to %v, want %v", r.PatternInterval[1], want)
	}
}
