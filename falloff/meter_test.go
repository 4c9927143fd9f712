package falloff

import (
	"encoding/json"
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"gonum.org/v1/gonum/integrate/quad"

	"evenfall/testdata"
)

// The index of known receptors, found independently.
func TestF2(t *testing.T) {
	for _, f := range testdata.DirectionalIndex() {
		got := F2(func(a float64) float64 { return math.Pow(math.Cos(a*math.Pi/180), f.Exponent) }, f.ToDeg)
		if math.Abs(got-f.F2) > f.RelativeTolerance*f.F2+1e-12 {
			t.Errorf("f2 of cos^%g to %g°: got %.11g, want %.11g", f.Exponent, f.ToDeg, got, f.F2)
		}
	}
	// A dome in closed form: |(1+c)/2/c − 1|·sin 2ε = (1 − c)·sin ε, whose
	// integral to E is (1 − cos E)²/2.
	c := 1 - math.Cos(85*math.Pi/180)
	within(t, "f2 of a dome", F2(func(a float64) float64 { return (1 + math.Cos(a*math.Pi/180)) / 2 }, 85), c*c/2, 1e-12)
	// A response that crosses the cosine, against brute force.
	wavy := func(a float64) float64 {
		e := a * math.Pi / 180
		return math.Cos(e) * (1 + 0.05*math.Sin(5*e)*math.Sin(5*e) - 0.03*math.Sin(e))
	}
	var sum float64
	const n = 2_000_000
	for i := range n {
		e := (float64(i) + 0.5) / n * 85 * math.Pi / 180
		sum += math.Abs(wavy(e*180/math.Pi)/math.Cos(e)-1) * math.Sin(2*e) * 85 * math.Pi / 180 / n
	}
	within(t, "f2 with sign changes", F2(wavy, 85), sum, 1e-7)
	for _, to := range []float64{0, -1, 86, math.NaN()} {
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("F2 to %g does not panic", to)
				}
			}()
			F2(wavy, to)
		}()
	}
}

// angles reads a response every step degrees from lo to hi, the receptor turned
// by tilt.
func angles(response func(e float64) float64, lo, hi, step, tilt, scatter float64, rng *rand.Rand) []AngleReading {
	var out []AngleReading
	for a := lo; a <= hi+1e-9; a += step {
		v := 1000 * response((a-tilt)*math.Pi/180)
		if scatter > 0 {
			v *= 1 + scatter*rng.NormFloat64()
		}
		out = append(out, AngleReading{AngleDeg: a, Level: v})
	}
	return out
}

func check(t testing.TB, in MeterReadings, o Options) *Meter {
	t.Helper()
	m, err := CheckMeter(in, o)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

func TestMeterAngles(t *testing.T) {
	power := func(e float64) float64 { return math.Pow(math.Cos(e), 1.2) }
	// Read on one side: the index to 85°, no tilt.
	m := check(t, MeterReadings{Angles: angles(power, 0, 85, 5, 0, 0, nil)}, Options{})
	within(t, "f2 from 5° steps", *m.F2Percent, 8.7551920, 1e-6)
	if *m.F2ToDeg != 85 || m.TiltDeg != nil || !code(m.Warnings, "one_sided") {
		t.Errorf("to %g, tilt %v, %v", *m.F2ToDeg, m.TiltDeg, m.Warnings)
	}
	// Both sides, turned by 2°: the tilt comes out, and the index is that of the
	// receptor, to the angle that both sides reach.
	m = check(t, MeterReadings{Angles: angles(power, -85, 85, 5, 2, 0, nil)}, Options{})
	within(t, "tilt", *m.TiltDeg, 2, 1e-6)
	within(t, "f2 to", *m.F2ToDeg, 83, 1e-6)
	deg := func(e float64) float64 { return power(e * math.Pi / 180) }
	within(t, "f2 of a tilted meter", *m.F2Percent, 100*F2(deg, 83), 1e-4)
	// Only as far as was read.
	m = check(t, MeterReadings{Angles: angles(power, -60, 60, 10, 0, 0, nil)}, Options{})
	within(t, "f2 to 60°", *m.F2Percent, 100*F2(deg, 60), 1e-4)
	if *m.F2ToDeg != 60 || !code(m.Warnings, "f2_short") {
		t.Errorf("to %g, %v", *m.F2ToDeg, m.Warnings)
	}
	at, dev := m.AngleTable()
	if len(at) != 7 || at[6] != 60 {
		t.Fatalf("table %v %v", at, dev)
	}
	within(t, "deviation at 60°", dev[6], 100*(math.Pow(0.5, 0.2)-1), 1e-9)
	if !code(m.Causes, "directional") {
		t.Errorf("causes %v", m.Causes)
	}

	// A response outside the family of the tilt's own model: flat, then it drops.
	drop := func(e float64) float64 {
		s := math.Sin(e)
		return math.Cos(e) * (1 - 0.12*s*s*s*s*s*s)
	}
	m = check(t, MeterReadings{Angles: angles(drop, -85, 85, 5, -1.5, 0, nil)}, Options{})
	if math.Abs(*m.TiltDeg+1.5) > 0.1 {
		t.Errorf("tilt %g, want −1.5", *m.TiltDeg)
	}
	want := 100 * quad.Fixed(func(e float64) float64 {
		s := math.Sin(e)
		return 0.12 * s * s * s * s * s * s * math.Sin(2*e)
	}, 0, 83.5*math.Pi/180, 60, nil, 0)
	if math.Abs(*m.F2Percent-want) > 0.25 {
		t.Errorf("f2 %g, want %g", *m.F2Percent, want)
	}
}

// With scatter the tilt's interval holds the true tilt, and a perfect meter
// shows about the f2 that the noise figure foretells.
func TestMeterAnglesWithScatter(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 2))
	const runs = 200
	inside := 0
	hidden, over := 0, 0
	var f2, foretold float64
	for range runs {
		m := check(t, MeterReadings{Angles: angles(math.Cos, -80, 80, 10, 1, 0.01, rng)}, Options{Repeatability: 0.01})
		if m.TiltIntervalDeg.Contains(1) {
			inside++
		}
		f2 += *m.F2Percent / runs
		foretold += *m.F2NoisePercent / runs
		if m.F2AtMostPercent != nil {
			hidden++
		}
		// Ten times the scatter's own is no scatter.
		if m := check(t, MeterReadings{Angles: angles(func(e float64) float64 { return math.Pow(math.Cos(e), 1.3) }, -80, 80, 10, 1, 0.01, rng)}, Options{Repeatability: 0.01}); m.F2AtMostPercent != nil {
			over++
		}
	}
	if hidden < runs*9/10 || over > 0 {
		t.Errorf("the f2 of a perfect meter is told as at most in %d of %d, that of a bad one in %d", hidden, runs, over)
	}
	t.Logf("tilt inside in %d of %d; f2 of noise %.2f %%, foretold %.2f %%", inside, runs, f2, foretold)
	if inside < runs*85/100 {
		t.Errorf("the tilt is inside its interval in %d of %d", inside, runs)
	}
	if math.Abs(f2/foretold-1) > 0.4 {
		t.Errorf("f2 of noise %g %%, foretold %g %%", f2, foretold)
	}
}

func TestMeterDome(t *testing.T) {
	dome := func(e float64) float64 { return (1 + math.Cos(e)) / 2 }
	series := angles(dome, -60, 60, 15, 0, 0, nil)
	_, err := CheckMeter(MeterReadings{Angles: series}, Options{Receptor: ReceptorDome})
	var part *PartError
	var in *InputError
	if !errors.As(err, &part) || part.Part != "angle" || !errors.As(err, &in) {
		t.Fatalf("a dome is taken: %v", err)
	}
	// (1 + cos 60°)/2 = 0.75 against 0.5: log2 1.5 = 0.58 stop.
	for _, words := range []string{"flat receptor", "0.75", "0.50", "0.58 stop"} {
		if !strings.Contains(err.Error(), words) {
			t.Errorf("%q does not say %q", err, words)
		}
	}
	// A dome that was not said to be one gives itself away.
	m := check(t, MeterReadings{Angles: series}, Options{})
	if m.F2Percent != nil || !code(m.Warnings, "dome") {
		t.Errorf("f2 %v of a dome, %v", m.F2Percent, m.Warnings)
	}
	// Its look-alike: a flat receptor that is far off, but no dome.
	poor := func(e float64) float64 { return math.Pow(math.Cos(e), 1.6) }
	if m := check(t, MeterReadings{Angles: angles(poor, -60, 60, 15, 0, 0, nil)}, Options{}); m.F2Percent == nil || code(m.Warnings, "dome") {
		t.Errorf("a poor flat receptor is taken for a dome: %v", m.Warnings)
	}
	// Repeats with a dome are fine.
	check(t, MeterReadings{Repeats: [][]float64{{100, 101, 99}}}, Options{Receptor: ReceptorDome})
}

func TestMeterRepeatability(t *testing.T) {
	// The sample standard deviation of 98, 99, 100, 101, 102 is √2.5.
	m := check(t, MeterReadings{Repeats: [][]float64{{98, 99, 100, 101, 102}}}, Options{})
	within(t, "repeatability", *m.RepeatabilityPercent, 1.58114, 1e-3)
	if m.RepeatabilityDegrees != 4 || m.RepeatabilityNote != "# repeatability: 1.6 %" || !code(m.Advice, "note") {
		t.Errorf("%d degrees, %q", m.RepeatabilityDegrees, m.RepeatabilityNote)
	}
	// χ² with 4 degrees of freedom: 0.484419 and 11.1433 (any table).
	within(t, "low end", m.RepeatabilityIntervalPercent.Lo, *m.RepeatabilityPercent*math.Sqrt(4/11.1433), 1e-5)
	within(t, "high end", m.RepeatabilityIntervalPercent.Hi, *m.RepeatabilityPercent*math.Sqrt(4/0.484419), 1e-5)
	// Groups of other lights pool, whatever their level.
	m = check(t, MeterReadings{Repeats: [][]float64{{98, 99, 100, 101, 102}, {9.8, 9.9, 10, 10.1, 10.2}}}, Options{})
	within(t, "pooled", *m.RepeatabilityPercent, 1.58114, 1e-3)
	if m.RepeatabilityDegrees != 8 {
		t.Errorf("%d degrees of freedom", m.RepeatabilityDegrees)
	}
	// A light without readings adds nothing to the sums that are pooled.
	m = check(t, MeterReadings{Repeats: [][]float64{{98, 99, 100, 101, 102}, {}}}, Options{})
	within(t, "with an empty group", *m.RepeatabilityPercent, 1.58114, 1e-3)
	if m.RepeatabilityDegrees != 4 {
		t.Errorf("%d degrees of freedom with an empty group", m.RepeatabilityDegrees)
	}
	// Few repeats are said to be few; repeats that agree say nothing.
	if m := check(t, MeterReadings{Repeats: [][]float64{{100, 102}}}, Options{}); !code(m.Warnings, "few_repeats") {
		t.Errorf("%v", m.Warnings)
	}
	if m := check(t, MeterReadings{Repeats: [][]float64{{100, 100, 100}}}, Options{}); !code(m.Warnings, "resolution_hides") || m.RepeatabilityNote != "" {
		t.Errorf("%v %q", m.Warnings, m.RepeatabilityNote)
	}
	for v, want := range map[float64]string{0.0123: "0.012", 0.5: "0.50", 1.44: "1.4", 9.96: "10.0", 23.4: "23"} {
		if got := twoDigits(v); got != want {
			t.Errorf("%g %% is written %s, want %s", v, got, want)
		}
	}
}

func TestMeterLinearity(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 1))
	law := Law{Intensity: 500, OffsetM: 0.05}
	m := check(t, MeterReadings{Ladder: ladder(law, 0.5, 8, 9, 0, nil)}, Options{})
	if *m.LinearityStops > 1e-6 || !code(m.Causes, "linear") {
		t.Errorf("linearity %g, %v", *m.LinearityStops, m.Causes)
	}
	within(t, "from", *m.LinearityFrom, law.Level(8), 1e-9)
	// One range of the meter reads a tenth of a stop high.
	step := func(r []Reading) []Reading {
		for i := range r {
			if r[i].Level > 200 {
				r[i].Level *= math.Exp2(0.2)
			}
		}
		return r
	}
	m = check(t, MeterReadings{Ladder: step(ladder(law, 0.5, 8, 9, 0.005, rng))}, Options{Repeatability: 0.005})
	if *m.LinearityStops < 0.05 || *m.LinearityStops > 0.2 || !code(m.Causes, "not_linear") {
		t.Errorf("linearity %g, %v", *m.LinearityStops, m.Causes)
	}
	// Ambient light is not the meter's fault.
	m = check(t, MeterReadings{Ladder: ladder(Law{Intensity: 500, Ambient: 4}, 0.5, 8, 9, 0.005, rng)}, Options{Repeatability: 0.005})
	if !code(m.Warnings, "not_the_meter") {
		t.Errorf("%v", m.Warnings)
	}
	// Filters: an exact meter, and one whose level goes as E^1.02, which over
	// six stops about their middle strays by 3·0.02 stop.
	filters := func(power float64) []FilterReading {
		var out []FilterReading
		for s := range 7 {
			out = append(out, FilterReading{Density: 0.3 * float64(s), Level: 4000 * math.Exp2(-power*float64(s))})
		}
		return out
	}
	m = check(t, MeterReadings{Filters: filters(1)}, Options{})
	if *m.LinearityStops > 1e-9 || !code(m.Causes, "linear") {
		t.Errorf("linearity %g, %v", *m.LinearityStops, m.Causes)
	}
	m = check(t, MeterReadings{Filters: filters(1.02)}, Options{Repeatability: 0.005})
	within(t, "linearity by filters", *m.LinearityStops, 0.06, 1e-9)
	if !code(m.Causes, "not_linear") {
		t.Errorf("%v", m.Causes)
	}
	// The noise figure is the median of the largest deviation of a good meter.
	const runs = 400
	above := 0
	for range runs {
		f := filters(1)
		for i := range f {
			f[i].Level *= 1 + 0.01*rng.NormFloat64()
		}
		m := check(t, MeterReadings{Filters: f}, Options{Repeatability: 0.01})
		if *m.LinearityStops > *m.LinearityNoiseStops {
			above++
		}
	}
	if above < runs*4/10 || above > runs*6/10 {
		t.Errorf("a good meter strays beyond its noise figure in %d of %d", above, runs)
	}
}

// A meter that shows E^0.92 strays from the inverse-square law by half of 0.08
// stop a stop over the ladder, here 3·0.08 about its middle, and no ladder alone
// tells that from a source behind its zero: it is said, and nothing is settled.
// Filters of known density tell, as does a fine meter over a ladder so long that
// the offset's curve shows.
func TestMeterBentOrMoved(t *testing.T) {
	bend := func(r []Reading, power float64) []Reading {
		for i := range r {
			r[i].Level = 1000 * math.Pow(r[i].Level/1000, power)
		}
		return r
	}
	for _, power := range []float64{0.92, 0.95, 0.97, 1.02} {
		m := check(t, MeterReadings{Ladder: bend(ladder(Law{Intensity: 1000}, 0.5, 4, 7, 0, nil), power)}, Options{})
		if m.Settled || m.Ladder == nil || !code(m.Warnings, "offset_or_meter") {
			t.Fatalf("%g: %+v, %v", power, m.Ladder, m.Warnings)
		}
		within(t, "exponent", m.Ladder.Exponent, power, 1e-9)
		within(t, "stray", m.Ladder.ZeroOffsetStops, 3*math.Abs(1-power), 1e-6)
		if (m.Ladder.OffsetM > 0) != (power < 1) {
			t.Errorf("%g: offset %g", power, m.Ladder.OffsetM)
		}
	}
	// A good meter that is 15 cm off is not settled either, and the offset is told.
	moved := ladder(Law{Intensity: 900, OffsetM: 0.15}, 0.5, 4, 7, 0, nil)
	m := check(t, MeterReadings{Ladder: moved}, Options{})
	within(t, "offset", m.Ladder.OffsetM, 0.15, 1e-6)
	if m.Settled || *m.LinearityStops > 1e-6 {
		t.Errorf("settled %v, %g", m.Settled, *m.LinearityStops)
	}
	// Filters over as many stops settle it, either way.
	filters := func(power float64) []FilterReading {
		var out []FilterReading
		for s := range 7 {
			out = append(out, FilterReading{Density: 0.3 * float64(s), Level: 4000 * math.Exp2(-power*float64(s))})
		}
		return out
	}
	if m = check(t, MeterReadings{Ladder: moved, Filters: filters(1)}, Options{}); !m.Settled || !code(m.Causes, "linear") || m.Ladder == nil {
		t.Errorf("good meter: settled %v, %v", m.Settled, m.Causes)
	}
	if m = check(t, MeterReadings{Ladder: bend(ladder(Law{Intensity: 1000}, 0.5, 4, 7, 0, nil), 0.92), Filters: filters(0.92)}, Options{}); !m.Settled || !code(m.Causes, "not_linear") {
		t.Errorf("bent meter: settled %v, %v", m.Settled, m.Causes)
	}
	// A fine meter over a long ladder shows the difference itself: bent…
	m = check(t, MeterReadings{Ladder: bend(ladder(Law{Intensity: 1000}, 0.5, 16, 11, 0, nil), 0.92)}, Options{Repeatability: 0.005})
	if !m.Settled || !code(m.Causes, "not_linear") || !code(m.Warnings, "bent") {
		t.Errorf("long ladder: settled %v, %v, %v", m.Settled, m.Causes, m.Warnings)
	}
	within(t, "long ladder", *m.LinearityStops, 5*0.08, 1e-6)
	// … and in its place: one in a hundred good meters at most is doubted.
	rng := rand.New(rand.NewPCG(9, 1))
	doubted := 0
	for range 400 {
		m := check(t, MeterReadings{Ladder: ladder(Law{Intensity: 1000}, 0.5, 4, 7, 0.02, rng)}, Options{})
		if m.Ladder != nil {
			doubted++
		}
	}
	if doubted > 20 {
		t.Errorf("%d of 400 good meters are doubted", doubted)
	}
}

func TestMeterBadInput(t *testing.T) {
	flat := angles(math.Cos, 0, 80, 20, 0, 0, nil)
	for name, c := range map[string]struct {
		in    MeterReadings
		o     Options
		words string
	}{
		"nothing":         {MeterReadings{}, Options{}, "no readings"},
		"receptor":        {MeterReadings{Angles: flat}, Options{Receptor: "globe"}, "flat or dome"},
		"repeatability":   {MeterReadings{Angles: flat}, Options{Repeatability: -1}, "share"},
		"single repeat":   {MeterReadings{Repeats: [][]float64{{3}}}, Options{}, "two readings or more"},
		"zero repeat":     {MeterReadings{Repeats: [][]float64{{3, 0}}}, Options{}, "reading 2"},
		"right angle":     {MeterReadings{Angles: append(flat[:len(flat):len(flat)], AngleReading{95, 3})}, Options{}, "95°"},
		"dark angle":      {MeterReadings{Angles: append(flat[:len(flat):len(flat)], AngleReading{85, 0})}, Options{}, "level of 0"},
		"two angles":      {MeterReadings{Angles: flat[:2]}, Options{}, "three angles"},
		"no axis":         {MeterReadings{Angles: flat[1:]}, Options{}, "0°"},
		"narrow":          {MeterReadings{Angles: []AngleReading{{0, 3}, {5, 3}, {10, 3}}}, Options{}, "beyond 20°"},
		"short ladder":    {MeterReadings{Ladder: []Reading{{DistanceM: 1, Level: 4}, {DistanceM: 2, Level: 1}}}, Options{}, "three distances"},
		"bad ladder":      {MeterReadings{Ladder: []Reading{{DistanceM: 1, Level: 4}, {DistanceM: 0, Level: 1}, {DistanceM: 3, Level: 1}}}, Options{}, "reading 2"},
		"bad filter":      {MeterReadings{Filters: []FilterReading{{0, 4}, {-0.3, 1}, {0.3, 2}}}, Options{}, "density of -0.3"},
		"too few filters": {MeterReadings{Filters: []FilterReading{{0, 4}, {0.3, 2}}}, Options{}, "three densities"},
	} {
		_, err := CheckMeter(c.in, c.o)
		if err == nil || !strings.Contains(err.Error(), c.words) {
			t.Errorf("%s: %v does not say %q", name, err, c.words)
		}
	}
}

func TestMeterJSON(t *testing.T) {
	m := check(t, MeterReadings{
		Repeats: [][]float64{{98, 99, 100, 101, 102}},
		Angles:  angles(math.Cos, -80, 80, 20, 0.5, 0, nil),
		Ladder:  ladder(trueLaws["point"], 1, 8, 6, 0, nil),
		Filters: []FilterReading{{0, 400}, {0.3, 200}, {0.6, 100}},
	}, Options{Receptor: ReceptorFlat})
	b, err := json.Marshal(m)
	if err != nil {
		t.Fatal(err)
	}
	var fields map[string]any
	if err := json.Unmarshal(b, &fields); err != nil {
		t.Fatal(err)
	}
	for _, f := range []string{"schema", "repeatability_percent", "f2_percent", "f2_to_deg", "tilt_deg", "linearity_stops", "points"} {
		if _, ok := fields[f]; !ok {
			t.Errorf("no field %s", f)
		}
	}
	if n := len(m.Points); n != 5+9+6+3 {
		t.Errorf("%d points", n)
	}
	// What was not read is absent.
	b, err = json.Marshal(check(t, MeterReadings{Repeats: [][]float64{{98, 102}}}, Options{}))
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range []string{"f2_percent", "tilt_deg", "linearity_stops"} {
		if strings.Contains(string(b), f) {
			t.Errorf("%s in %s", f, b)
		}
	}
}

// Whatever finite readings come, there is an answer or an error, and no NaN.
func FuzzCheckMeter(f *testing.F) {
	f.Add(-80.0, 0.2, -40.0, 0.7, 0.0, 1.0, 40.0, 0.8, 80.0, 0.17)
	f.Add(0.0, 1.0, 0.0, 1.0, 25.0, 1.0, 89.999999, 1e-300, 1e-9, 1e300)
	f.Fuzz(func(t *testing.T, a1, e1, a2, e2, a3, e3, a4, e4, a5, e5 float64) {
		in := MeterReadings{Angles: []AngleReading{{a1, e1}, {a2, e2}, {a3, e3}, {a4, e4}, {a5, e5}}}
		m, err := CheckMeter(in, Options{})
		if err != nil {
			return
		}
		if _, err := json.Marshal(m); err != nil {
			t.Fatalf("%v: %v", in, err)
		}
	})
}
