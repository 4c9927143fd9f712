package falloff

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"evenfall/photometry"
	"evenfall/photometry/survey"
	"evenfall/photometry/table"
)

func readSeries(t *testing.T, sheet string) *survey.Series {
	t.Helper()
	s, err := survey.ReadSeries(survey.Input{Name: "lamp.csv", Reader: strings.NewReader(sheet)}, survey.ReadOptions{})
	if err != nil {
		t.Fatalf("%v\n%s", err, sheet)
	}
	return s
}

const lampSheet = "# title: a lamp\n# repeatability: 2 %\n# resolution: 0.1 stop\nlabel,distance (m),angle (deg),E (lx)\n" +
	"A,0.5,,2010\n,1,0,802\nC,1.5,-60,199\nD,2,,236\nE,3,,107\nF,5,,39.7\n"

// A file says no more and no less than its readings do.
func TestFitSeries(t *testing.T) {
	got, err := FitSeries(readSeries(t, lampSheet), Options{MarkM: 2})
	if err != nil {
		t.Fatal(err)
	}
	want := fitOrFail(t, []Reading{
		{DistanceM: 0.5, Level: 2010, Name: "A"}, {DistanceM: 1, Level: 802}, {DistanceM: 1.5, Level: 199, IncidenceDeg: -60, Name: "C"},
		{DistanceM: 2, Level: 236, Name: "D"}, {DistanceM: 3, Level: 107, Name: "E"}, {DistanceM: 5, Level: 39.7, Name: "F"},
	}, Options{MarkM: 2, Repeatability: 0.02, ResolutionStops: 0.1})
	if diff := cmp.Diff(want, got, cmpopts.IgnoreUnexported(Distance{}), cmpopts.EquateEmpty(), cmpopts.IgnoreFields(Distance{}, "Title", "Inferred", "ParseLog")); diff != "" {
		t.Error(diff)
	}
	if got.Title != "a lamp" || got.Repeatability.From != "note" {
		t.Errorf("%q, repeatability %+v", got.Title, got.Repeatability)
	}
	// A caller's own figures go before those of the notes.
	got, err = FitSeries(readSeries(t, lampSheet), Options{Repeatability: 0.03})
	if err != nil || math.Abs(got.Repeatability.Percent-3) > 1e-9 {
		t.Errorf("%v, %+v", err, got.Repeatability)
	}
}

// Faults come back with file, line and column, all together.
func TestFitSeriesFaults(t *testing.T) {
	for name, c := range map[string]struct{ sheet, want string }{
		"zero and dark":     {"distance (m),lux\n0,9\n1,0\n2,3\n", "lamp.csv:2:1: found \"0\", expected more than 0 m from the source\nlamp.csv:3:2: found \"0\", expected a level above zero"},
		"own unit":          {"distance (m),lux\n1,9\n-2 ft,3\n", `lamp.csv:3:1: found "-2 ft", expected more than 0 m`},
		"too far":           {"distance (m),lux\n1,9\n2e7,3\n", `lamp.csv:3:1: found "2e+07", expected a distance within 10 km`},
		"one place":         {"distance (m),lux\n2,9\n2,9\n", "lamp.csv:1: found 2 readings, all at one distance, expected readings at two distances or more"},
		"beyond the side":   {"distance (m),angle (deg),lux\n1,0,9\n2,90,3\n", `lamp.csv:3:2: found "90", expected less than 90°`},
		"dome at an angle":  {"# receptor: dome\ndistance (m),angle (deg),lux\n1,0,9\n2,60,3\n", "lamp.csv:4:2: found a dome receptor at 60°, expected a flat receptor, or the dome facing the source: a dome reads about (1 + cos)/2; at 60° 0.75 of the light head-on, a flat receptor 0.50, 0.58 stop less"},
		"no distances":      {"angle (deg),lux\n1,9\n2,3\n", "lamp.csv:1: found no column of distances"},
		"a gap":             {"distance (m),lux\n1,9\n,3\n", "lamp.csv:3:1: found an empty cell, expected a distance"},
		"two lamps":         {"distance (m),lamp,lux\n1,a,9\n2,b,3\n", "lamp.csv:1: found readings of the lamps a, b, expected readings of one lamp"},
		"through a filter":  {"distance (m),ND,lux\n1,0,9\n2,0.6,3\n", `lamp.csv:3:2: found "0.6", expected readings without a filter`},
		"not worth a level": {"distance (m),lux\n1,9\n2,1e13\n", `lamp.csv:3:2: found "1e+13", expected 1e-12 to 1e12`},
	} {
		s, err := survey.ReadSeries(survey.Input{Name: "lamp.csv", Reader: strings.NewReader(c.sheet)}, survey.ReadOptions{})
		if err == nil {
			_, err = FitSeries(s, Options{})
		}
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: error %v\nwant %s", name, err, c.want)
		}
		var several table.Errors
		var one *table.Error
		if !errors.As(err, &several) && !errors.As(err, &one) {
			t.Errorf("%s: a fault of kind %T", name, err)
		}
	}
}

// Units are told apart: a flash has no candela, a luminance is taken as
// relative and said to be.
func TestFitSeriesUnits(t *testing.T) {
	for name, c := range map[string]struct{ sheet, unit string }{
		"lux":       {"distance (m),lux\n1,90\n2,23\n", UnitLux},
		"EV":        {"distance (m),EV\n1,9\n2,7\n", UnitLux},
		"flash":     {"distance (m),f\n1,8\n2,4\n", UnitLuxSecond},
		"luminance": {"distance (m),L (cd/m²)\n1,90\n2,23\n", UnitRelative},
		"relative":  {"distance (m),relative\n1,1\n2,0.25\n", UnitRelative},
	} {
		d, err := FitSeries(readSeries(t, c.sheet), Options{})
		if err != nil {
			t.Fatal(err)
		}
		if d.Unit != c.unit || (d.IntensityCD != nil) != (c.unit == UnitLux) || (d.IntensityCDS != nil) != (c.unit == UnitLuxSecond) {
			t.Errorf("%s: unit %s, intensity %v, %v", name, d.Unit, d.IntensityCD, d.IntensityCDS)
		}
		if told := slices.ContainsFunc(d.Inferred, func(r photometry.Remark) bool { return r.Code == "luminance_of_card" }); told != (name == "luminance") {
			t.Errorf("%s: assumed %v", name, d.Inferred)
		}
	}
	// f/8 at 1 m, ISO 100: 2.5·64 lx·s.
	d, err := FitSeries(readSeries(t, "distance (m),f\n1,8\n2,4\n4,2\n8,1\n"), Options{})
	if err != nil || math.Abs(*d.IntensityCDS-160) > 0.5 {
		t.Errorf("%v, %g cd·s", err, *d.IntensityCDS)
	}
}

// A suspect is called by its label, or by its line.
func TestFitSeriesNames(t *testing.T) {
	sheet := "distance (m),label,lux\n1,A,4000\n1.5,B,1778\n2,,99.9\n3,D,444\n4,E,250\n6,F,111\n"
	d, err := FitSeries(readSeries(t, sheet), Options{})
	if err != nil {
		t.Fatal(err)
	}
	line := photometry.Found("by_line", "line", 4)
	var found photometry.Values
	for _, w := range d.Warnings {
		if w.Code == "decimal_slip" || w.Code == "lux_fc_swap" {
			found = w.Values
		}
	}
	if found == nil || !found["reading"].(Finding).Same(line) || found["at"] != photometry.Length(2) || found["level"] != (photometry.Level{Value: 99.9}) || !suspected(d).Same(line) {
		t.Errorf("%v, %v", found, d.Answer)
	}
	if len(d.Advice) != 1 || !d.Advice[0].Same(photometry.Found("suspect.read_again", "suspect", line)) {
		t.Errorf("%v", d.Advice)
	}
	for _, p := range d.Points {
		if (p.Name == "") != (p.DistanceM == 2) {
			t.Errorf("point %+v", p)
		}
	}
	d, err = FitSeries(readSeries(t, strings.Replace(sheet, "2,,", "2,C,", 1)), Options{})
	if err != nil || suspected(d).Text != "C" {
		t.Errorf("%v, %v", err, d.Answer)
	}
}

// suspected is the reading that the answer names.
func suspected(d *Distance) Finding {
	suspect, _ := d.Answer.Values["suspect"].(Finding)
	return suspect
}

// The answer is one of a few, and each is told where it is true.
func TestAnswer(t *testing.T) {
	for name, c := range map[string]struct {
		law     Law
		code    string
		counted float64
		beside  string
	}{
		"point":          {Law{Intensity: 1000}, HoldsAllTheWay, 0, ""},
		"disc":           {Law{Intensity: 1000, SourceRadiusM: 0.2}, HoldsFrom, 0, ""},
		"wide disc":      {Law{Intensity: 1000, SourceRadiusM: 2}, HoldsBeyond, 0, ""},
		"offset":         {Law{Intensity: 1000, OffsetM: 0.8}, HoldsAllTheWay, 0.8, ""},
		"ahead":          {Law{Intensity: 1000, OffsetM: -0.2}, HoldsAllTheWay, -0.2, ""},
		"ambient":        {Law{Intensity: 1000, Ambient: 20}, HoldsAllTheWay, 0, "beyond.besides"},
		"bright ambient": {Law{Intensity: 1000, Ambient: 5000}, HoldsBy, 0, "besides"},
	} {
		d := fitOrFail(t, ladder(c.law, 0.5, 10, 12, 0, nil), Options{Repeatability: 0.0002, TapeChecked: c.counted == 0})
		v := d.Answer.Values
		if d.Answer.Code != c.code || v["besides"].(Finding).Key != c.beside {
			t.Errorf("%s: %s %v", name, d.Answer.Code, v)
		}
		if c.code == HoldsAllTheWay && v["read"] != (photometry.Range{From: 0.5, To: 10}) {
			t.Errorf("%s: read over %v", name, v["read"])
		}
		if counted := v["counted"].(Finding); c.counted != 0 {
			within(t, name, float64(counted.Values["offset"].(photometry.Length)), c.counted, 1e-2)
		} else if counted.Key != "" {
			t.Errorf("%s: counted from %v", name, counted)
		}
	}
	// 1 % of 1000/d² is 20 lx at √0.5 m.
	d := fitOrFail(t, ladder(Law{Intensity: 1000, Ambient: 20}, 0.5, 10, 12, 0, nil), Options{Repeatability: 0.002})
	within(t, "ambient from", float64(d.Answer.Values["besides"].(Finding).Values["beyond"].(photometry.Length)), math.Sqrt(0.5), 1e-3)
	// A series that could hide a source says from where on the law is sure.
	d = fitOrFail(t, ladder(Law{Intensity: 1000}, 0.5, 10, 12, 0, nil), Options{Repeatability: 0.05})
	want := d.Intervals.InverseSquareFromM.Hi
	if d.Answer.Code != HoldsUnsettled || !(want > 0.5) || d.Answer.Values["latest"] != photometry.Length(want) {
		t.Errorf("sure from %g m: %v", want, d.Answer)
	}
	d = fitOrFail(t, []Reading{{DistanceM: 1, Level: 100}, {DistanceM: 2, Level: 100}}, Options{})
	if d.Answer.Key != "anywhere."+HoldsUnsettled {
		t.Errorf("%v", d.Answer)
	}
	rising := []Reading{{DistanceM: 1, Level: 36}, {DistanceM: 2, Level: 56}, {DistanceM: 3, Level: 100}, {DistanceM: 4, Level: 225}}
	d = fitOrFail(t, rising, Options{Repeatability: 0.02})
	if d.Answer.Code != NoInverse || d.Best != nil || d.Intervals != nil || d.Settles != (Settles{}) {
		t.Errorf("%+v", d)
	}
	// log2(225/36) stops are gained on the way.
	if want := -math.Log2(225.0 / 36); math.Abs(d.Lost.Stops-want) > 1e-9 || d.Lost.FromM != 1 || d.Lost.ToM != 4 {
		t.Errorf("lost %+v, want %g stops", d.Lost, want)
	}
}

// What a series does not show is bounded: a size or an ambient level inside the
// bound is not seen, one well outside it is.
func TestHiddenBounds(t *testing.T) {
	known := Options{Repeatability: 0.02, TapeChecked: true}
	d := fitOrFail(t, ladder(Law{Intensity: 1000}, 0.5, 8, 9, 0, nil), known)
	if iv := d.Intervals; iv.SourceRadiusM.Lo > 0 || iv.Ambient.Lo > 0 || code(d.Causes, "source_size") || code(d.Causes, "ambient") {
		t.Fatalf("%+v", iv)
	}
	size, ambient := d.Intervals.SourceRadiusM.Hi, d.Intervals.Ambient.Hi
	if !(size > 0 && size < 0.5) || !(ambient > 0 && ambient < 2) {
		t.Errorf("a size of %g m or %g lx could hide", size, ambient)
	}
	if d := fitOrFail(t, ladder(Law{Intensity: 1000, SourceRadiusM: 2 * size}, 0.5, 8, 9, 0, nil), known); !code(d.Causes, "source_size") {
		t.Errorf("twice the size that could hide is not seen: %+v", d.Intervals)
	}
	if d := fitOrFail(t, ladder(Law{Intensity: 1000, Ambient: 2 * ambient}, 0.5, 8, 9, 0, nil), known); !code(d.Causes, "ambient") {
		t.Errorf("twice the ambient light that could hide is not seen: %+v", d.Intervals)
	}
}

// A block of rows that was pasted twice counts once and is said to; single equal
// readings are honest repeats, and so are readings at another time.
func TestCopiedRows(t *testing.T) {
	const rows = "0.5,3990,10:00\n1,1003,10:01\n2,252,10:02\n4,62.1,10:03\n8,15.7,10:04\n"
	const header = "# repeatability: 2 %\ndistance (m),lux,time\n"
	once, err := FitSeries(readSeries(t, header+rows), Options{})
	if err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct {
		more   string
		copied bool
	}{
		"all pasted again":  {rows, true},
		"pasted twice more": {rows + rows, true},
		"one again":         {"2,252,10:02\n", false},
		"one four times":    {strings.Repeat("2,252,10:02\n", 8), false},
		"read again later":  {strings.ReplaceAll(rows, "10:", "11:"), false},
		"three of them":     {rows[:strings.Index(rows, "4,62")], false},
	} {
		d, err := FitSeries(readSeries(t, header+rows+c.more), Options{})
		if err != nil {
			t.Fatal(err)
		}
		said := slices.ContainsFunc(d.Warnings, func(f photometry.Finding) bool { return f.Code == "copied_rows" && f.Values["first"] == 8 })
		if said != c.copied || (d.Readings == once.Readings) != c.copied {
			t.Errorf("%s: %d readings, %v", name, d.Readings, d.Warnings)
		}
		if c.copied && !cmp.Equal(d.Intervals, once.Intervals) {
			t.Errorf("%s: %v, once %v", name, d.Intervals, once.Intervals)
		}
		if !c.copied && d.Intervals.Intensity().width() >= once.Intervals.Intensity().width() {
			t.Errorf("%s: more readings tell no more", name)
		}
	}
}

// What is outside the readings by more than a tenth is said to be extrapolated.
func TestExtrapolated(t *testing.T) {
	readings := ladder(Law{Intensity: 1000}, 1, 4, 6, 0, nil)
	d := fitOrFail(t, readings, Options{MarkM: 2, WantedLevel: 250, Repeatability: 0.02})
	if d.MarkExtrapolated || d.Depth.NearExtrapolated || d.Depth.FarExtrapolated || d.Wanted.Extrapolated {
		t.Errorf("%+v %+v %+v", d, d.Depth, d.Wanted)
	}
	d = fitOrFail(t, readings, Options{MarkM: 5, WantedLevel: 5000, Repeatability: 0.02})
	if !d.MarkExtrapolated || d.Depth.NearExtrapolated || !d.Depth.FarExtrapolated || !d.Wanted.Extrapolated {
		t.Errorf("%+v %+v %+v", d, d.Depth, d.Wanted)
	}
	// Beyond the last reading the loss is that on the way to the mark.
	if d.Lost.FromM != 1 || d.Lost.ToM != 5 || math.Abs(d.Lost.Stops-2*math.Log2(5)) > 1e-6 {
		t.Errorf("lost %+v", d.Lost)
	}
}

// Readings that no law explains are not said to keep one, however wide the
// intervals are stretched; an entry error among four distances is named where the
// rest keep the plain law, and an odd reading that is no known error is not.
func TestNoLawIsNoAnswer(t *testing.T) {
	for name, c := range map[string]struct {
		rows, code, suspect string
	}{
		"two readings off":    {"1,900\n2,500\n3,100\n4,90\n5,36\n", NoLawFits, ""},
		"a decimal slip":      {"1,900\n1,905\n1,895\n2,225\n4,5.6\n3,100\n", NoLawFits, "decimal_slip"},
		"half a stop at four": {"1,900\n2,225\n3,100\n4,79.5\n", "", ""},
		"all in order":        {"1,900\n2,225\n3,100\n4,56.3\n5,36\n", HoldsUnsettled, ""},
	} {
		d, err := FitSeries(readSeries(t, "# repeatability: 2 %\ndistance (m),E (lx)\n"+c.rows), Options{})
		if err != nil {
			t.Fatal(err)
		}
		if c.code != "" && d.Answer.Code != c.code || c.code != HoldsAllTheWay && d.Answer.Code == HoldsAllTheWay {
			t.Errorf("%s: %v", name, d.Answer)
		}
		for _, slip := range []string{"decimal_slip", "lux_fc_swap", "outlier"} {
			if code(d.Warnings, slip) != (slip == c.suspect) && slip != "lux_fc_swap" {
				t.Errorf("%s: %v", name, d.Warnings)
			}
		}
	}
}

// Of a series with two first readings at a distance nothing is settled, and the
// candelas' interval holds those that either of them alone gives.
func TestConflictInSeries(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 1))
	for range 12 {
		d := 1 + 2*rng.Float64()
		first, rest := 900/(d*d), ""
		second := first * (0.6 + rng.Float64())
		for _, at := range []float64{0.5, 0.8, 1.2, 2, 3.2, 5} {
			rest += fmt.Sprintf("%g,%.4g,\n", at, 900/(at*at)*(1+0.01*rng.NormFloat64()))
		}
		fit := func(rows string) *Distance {
			got, err := FitSeries(readSeries(t, "# repeatability: 1 %\ndistance (m),E (lx),status\n"+rest+rows), Options{})
			if err != nil {
				t.Fatal(err)
			}
			return got
		}
		both := fit(fmt.Sprintf("%.3f,%.4g,conflict\n%.3f,%.4g,conflict\n", d, first, d, second))
		if both.Settled || both.Settles != (Settles{}) || both.Readings != 7 {
			t.Errorf("%.0f or %.0f lx at %.2f m: %d readings settle %+v", first, second, d, both.Readings, both.Settles)
		}
		for _, level := range []float64{first, second} {
			alone := fit(fmt.Sprintf("%.3f,%.4g,\n", d, level))
			in, out := alone.IntensityIntervalCD, both.IntensityIntervalCD
			if alone.Settles.Intensity && (in.Lo < 0.97*out.Lo || in.Hi > 1.03*out.Hi) {
				t.Errorf("%.0f or %.0f lx at %.2f m: %v cd does not hold %v of %.0f lx", first, second, d, *out, *in, level)
			}
		}
	}
	// A meter's own readings scatter as they do, whichever of two counts.
	angles := "angle (deg),E (lx),status\n-60,500,\n-30,866,\n0,1000,\n30,866,\n60,500,conflict\n60,400,conflict\n"
	m, err := CheckSeries(readSeries(t, angles), Options{})
	if err != nil || m.Settled || m.RepeatabilityPercent != nil || m.TenthStopToDeg != nil {
		t.Errorf("%v: settled %v, repeatability %v, tenth of a stop to %v", err, m.Settled, m.RepeatabilityPercent, m.TenthStopToDeg)
	}
}
