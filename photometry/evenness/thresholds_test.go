package evenness

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"evenfall/photometry"
	"evenfall/photometry/spatial"
	"evenfall/photometry/survey"
	"evenfall/photometry/tolerance"
	"evenfall/photometry/uncertainty"
)

// Points of printed tables: of the normal, two-sided 95 % and, for the range of two
// readings, √2 times the two-sided 97.5 %; of Student's t with four degrees of
// freedom the same.
const (
	z     = 1.959964
	q2    = math.Sqrt2 * 2.241403
	t4    = 2.776445
	q2of4 = math.Sqrt2 * 3.495406
)

// assumed is the scatter of one reading in stops where nothing better is known.
var assumed = 0.02 / math.Ln2

func near(got, want float64) bool { return math.Abs(got-want) < 2e-5*math.Max(1, math.Abs(want)) }

func nearBoth(got *[2]float64, lo, hi float64) bool {
	return got != nil && near(got[0], lo) && near(got[1], hi)
}

// fine is a display whose steps do not matter; round levels would look coarse.
const fine = "# resolution: 0.0001 stop\n"

// row is a sheet of levels a meter apart.
func row(notes string, levels ...float64) *strings.Reader {
	var b strings.Builder
	if !strings.Contains(notes, "resolution") {
		notes = fine + notes
	}
	fmt.Fprintf(&b, "# grid: %dx1\n", len(levels))
	b.WriteString(notes + "label,x (m),y (m),lux\n")
	for i, v := range levels {
		fmt.Fprintf(&b, "P%d,%d,0,%.12g\n", i, i, v)
	}
	return strings.NewReader(b.String())
}

// The interval of two places by hand, with what the readings' scatter is known by:
// the assumption, a note, five readings of one place, four.
func TestIntervalByWhatIsKnown(t *testing.T) {
	d := math.Log2(1.2)
	if e := judged(t, row("", 500, 600)).Evenness; !nearBoth(e.SpreadInterval, d-q2*assumed, d+z*math.Sqrt2*assumed) {
		t.Errorf("assumed: %v", e.SpreadInterval)
	}
	s := 0.01 / math.Ln2
	if e := judged(t, row("# repeatability: 1 %\n", 500, 600)).Evenness; !nearBoth(e.SpreadInterval, d-q2*s, d+z*math.Sqrt2*s) {
		t.Errorf("stated: %v", e.SpreadInterval)
	}
	s = math.Hypot(0.01/math.Ln2, 0.1/math.Sqrt(12))
	if e := judged(t, row("# repeatability: 1 %\n# resolution: 0.1 stop\n", 500, 600)).Evenness; !roundedInterval(e, d, uncertainty.Model{Stops: s, Half: 0.05}) {
		t.Errorf("with a step of the display: %v", e.SpreadInterval)
	}
	// The first place is read again, each time the same number of stops over and
	// under 500 lx and once there.
	again := func(size float64, signs ...float64) (content *strings.Reader, mean float64) {
		sheet := "label,x (m),y (m),lux\nP1,1,0,600\n"
		for _, sign := range signs {
			v := 500 * math.Exp2(sign*size)
			sheet += fmt.Sprintf("P0,0,0,%.12g\n", v)
			mean += v / float64(len(signs))
		}
		return strings.NewReader(sheet), mean
	}
	content, mean := again(0.01, 1, -1, 1, -1, 0)
	s, d = math.Sqrt(4*0.01*0.01/4), math.Log2(600/mean)
	pair := s * math.Sqrt(1+1.0/5)
	r := judged(t, content)
	if !nearBoth(r.Evenness.SpreadInterval, d-q2of4*pair/math.Sqrt2, d+t4*pair) || r.Noise.DegreesOfFreedom != 4 {
		t.Errorf("four repeats: %v, want %v to %v", r.Evenness.SpreadInterval, d-q2of4*pair/math.Sqrt2, d+t4*pair)
	}
	// What would be left of the scatter on an even surface: the mean range of two
	// is 2/√π.
	if want := 2 / math.Sqrt(math.Pi) * s * math.Sqrt((1+1.0/5)/2); !near(r.Evenness.NoiseFloorStops, want) {
		t.Errorf("noise floor %v, want %v", r.Evenness.NoiseFloorStops, want)
	}
	// With three degrees of freedom the assumption counts, being the wider here.
	content, mean = again(0.001, 1, -1, 1, -1)
	d, pair = math.Log2(600/mean), assumed*math.Sqrt(1+1.0/4)
	r = judged(t, content)
	if !nearBoth(r.Evenness.SpreadInterval, d-q2*pair/math.Sqrt2, d+z*pair) || r.Noise.DegreesOfFreedom != 3 {
		t.Errorf("three repeats: %v", r.Evenness.SpreadInterval)
	}
	if want := 2 / math.Sqrt(math.Pi) * assumed * math.Sqrt((1+1.0/4)/2); !near(r.Evenness.NoiseFloorStops, want) {
		t.Errorf("noise floor of three repeats %v, want %v", r.Evenness.NoiseFloorStops, want)
	}
}

// roundedInterval reports whether a spread d has the interval of rounded readings.
func roundedInterval(e Statistics, d float64, m uncertainty.Model) bool {
	lo, hi := uncertainty.SpreadInterval(uncertainty.Classes{{K: 1, N: 2, Low: 0, High: d}}, m, uncertainty.FactorsFor(2, 0))
	return hi-d > 0.06 && nearBoth(e.SpreadInterval, lo, hi)
}

// On each side of the tolerance the verdict is that of the interval, not of the
// spread that was read.
func TestVerdictIsOfTheInterval(t *testing.T) {
	pass, fail := z*math.Sqrt2*assumed, q2*assumed
	for _, c := range []struct {
		spread float64
		want   string
	}{{0.5 - pass - 1e-4, uncertainty.Pass}, {0.5 - pass + 1e-4, uncertainty.Unsure}, {0.5 + fail - 1e-4, uncertainty.Unsure}, {0.5 + fail + 1e-4, uncertainty.Fail}} {
		if r := judged(t, row("", 500, 500*math.Exp2(c.spread))); r.Verdict.Evenness != c.want || r.Verdict.Overall != c.want {
			t.Errorf("spread %.4f: %+v, want %s", c.spread, r.Verdict, c.want)
		}
	}
}

// A ± tolerance is about the reference, which scatters as well: by how often it was
// read, or without one as the mean of all places does.
func TestDeviationCountsTheReference(t *testing.T) {
	s := 0.01 / math.Ln2
	const notes = fine + "# repeatability: 1 %\n# tolerance: ±0.5 stop\n"
	two := func(n int) float64 { return uncertainty.FactorsFor(n, 0).Q / math.Sqrt2 }
	check := func(name string, r *Result, far, kRef float64, n int) {
		t.Helper()
		pair := s * math.Sqrt(1+1/kRef)
		if e := r.Evenness; r.Area != nil {
			e = *r.Area
			if !nearBoth(e.DeviationInterval, far-two(n)*pair, far+z*pair) {
				t.Errorf("%s: %v, want %v to %v", name, e.DeviationInterval, far-two(n)*pair, far+z*pair)
			}
		} else if !nearBoth(e.DeviationInterval, far-two(n)*pair, far+z*pair) {
			t.Errorf("%s: %v, want %v to %v", name, e.DeviationInterval, far-two(n)*pair, far+z*pair)
		}
	}
	check("read once", judged(t, row(notes+"# reference: P0\n", 500, 600, 550)), math.Log2(1.2), 1, 3)
	again := "label,x (m),y (m),lux\nP0,0,0,500\nP0,0,0,500\nP0,0,0,500\nP0,0,0,500\nP1,1,0,600\nP2,2,0,550\n"
	check("read four times", judged(t, strings.NewReader(notes+"# reference: P0\n"+again)), math.Log2(1.2), 4, 3)
	check("the mean of three", judged(t, row(notes, 500, 600, 550)), math.Log2(550.0/500), 3, 3)
	// Outside the part in shot the reference is one place more.
	check("out of shot", judged(t, row(notes+"# area: 0.5,-1,2.5,1\n# reference: P0\n", 500, 600, 550)), math.Log2(1.2), 1, 3)
	check("in shot", judged(t, row(notes+"# area: -0.5,-1,1.5,1\n# reference: P0\n", 500, 600, 550)), math.Log2(1.2), 1, 2)
	// Uneven places weigh by the strip that they stand for: 1, 2 and 3 of 6, so the
	// mean scatters as that of 36/14 readings.
	r := judged(t, strings.NewReader(notes+"# width: 6\n# height: 1\nx (m),y (m),lux\n0.5,0.5,500\n1.5,0.5,500\n4.5,0.5,600\n"))
	w := [3]float64{1, 2, 3}
	mean := (w[0]*500 + w[1]*500 + w[2]*600) / 6
	check("the weighted mean", r, math.Log2(mean/500), 36.0/14, 3)
	// The deviation decides, not the spread.
	for level, want := range map[float64]string{500 * math.Exp2(0.5-z*s*math.Sqrt2-1e-4): uncertainty.Pass, 500 * math.Exp2(0.5-z*s*math.Sqrt2+1e-4): uncertainty.Unsure} {
		if r := judged(t, row(notes+"# reference: P0\n", 500, level, 400)); r.Verdict.Evenness != want {
			t.Errorf("%.2f lx: %s, want %s", level, r.Verdict.Evenness, want)
		}
	}
}

// The part in shot decides and sets the zero; the whole is told beside it.
func TestPartInShotDecides(t *testing.T) {
	r := judged(t, row("# repeatability: 0.1 %\n# area: -0.5,-1,2.5,1\n", 500, 510, 520, 900))
	if r.Verdict.Evenness != uncertainty.Pass || !near(r.Reference.Level, 510) || !near(r.Area.SpreadStops, math.Log2(1.04)) || r.Area.SpreadInterval == nil {
		t.Errorf("%s, zero %v, area %+v", r.Verdict.Evenness, r.Reference.Level, r.Area)
	}
	if r.Evenness.SpreadInterval == nil || r.Evenness.SpreadInterval[0] < 0.5 {
		t.Errorf("the whole: %v", r.Evenness.SpreadInterval)
	}
	if r = judged(t, row("# repeatability: 0.1 %\n# area: 0.5,-1,3.5,1\n", 500, 510, 520, 900)); r.Verdict.Evenness != uncertainty.Fail {
		t.Errorf("in shot %s", r.Verdict.Evenness)
	}
	s, err := read("# area: 0.5,-1,1.5,1\nx (m),y (m),lux\n0,0,500\n1,0,510\n2,0,520\n")
	if err == nil {
		_, err = Judge(s)
	}
	if err == nil || !strings.Contains(err.Error(), "1 of the places read lie in the area") {
		t.Errorf("one place in shot: %v", err)
	}
}

// Taking a drift out widens the interval by the drift's own error: in quadrature for
// one pair, in full for the luckiest.
func TestDriftWidensTheInterval(t *testing.T) {
	// The reference falls by a stop in ten minutes; with 1 % stated its slope is
	// good to s/√(2·25 + 2·6.25) a minute, no other shape fits.
	s := 0.01 / math.Ln2
	r := judged(t, strings.NewReader("# repeatability: 1 %\n# reference: A\nlabel,x (m),y (m),time (min),lux\nA,0,0,0,1000\nA,0,0,2.5,840.8964152537\nB,1,0,5,848.5281374239\nA,0,0,7.5,594.6035575014\nA,0,0,10,500\n"))
	if !r.Drift.Corrected || !near(r.Levels[0], 500) || !near(r.Levels[1], 600) {
		t.Fatalf("%+v, levels %v", r.Drift, r.Levels)
	}
	d, pair, drift := math.Log2(1.2), s*math.Sqrt(1+1.0/4), 10*s/math.Sqrt(62.5)
	if e := r.Evenness; !nearBoth(e.SpreadInterval, d-q2*pair/math.Sqrt2-z*drift, d+z*math.Hypot(pair, drift)) {
		t.Errorf("%v, want %v to %v", e.SpreadInterval, d-q2*pair/math.Sqrt2-z*drift, d+z*math.Hypot(pair, drift))
	}
	// Two readings within scatter are left as they are, and do not exclude a line: the
	// difference of two readings is good to √2·s. It brings both places by as much to the end.
	pair = s * math.Sqrt(1+1.0/2)
	r = judged(t, strings.NewReader(fine+"# repeatability: 1 %\n# reference: A\nlabel,x (m),y (m),time (min),lux\nA,0,0,0,500\nB,1,0,5,600\nA,0,0,10,505\n"))
	drift = math.Sqrt2 * s
	if d := math.Log2(600 / 502.5); r.Drift.Corrected || !nearBoth(r.Evenness.SpreadInterval, d-q2*pair/math.Sqrt2-z*drift, d+z*math.Hypot(pair, drift)) {
		t.Errorf("%+v, %v", r.Drift, r.Evenness.SpreadInterval)
	}
}

// Where a drift is taken out, the scatter of the reference about its line counts as
// repeats with two degrees of freedom less than its readings.
func TestScatterAboutTheDriftCounts(t *testing.T) {
	// Errors at right angles to a constant and to time: Σe² = 28·0.01².
	errors := []float64{2, -3, -1, 3, 0, -2, 1}
	sum, first := 0.0, 0.0
	for i, e := range errors {
		sum += e
		first += float64(i) * e
	}
	if sum != 0 || first != 0 {
		t.Fatalf("not at right angles: %v and %v", sum, first)
	}
	sheet := "# reference: A\nlabel,x (m),y (m),time (min),lux\nB,1,0,6,600\n"
	for i, e := range errors {
		sheet += fmt.Sprintf("A,0,0,%d,%.12g\n", i, 500*math.Exp2(0.2*float64(i)+0.01*e))
	}
	r := judged(t, strings.NewReader(sheet))
	if want := 100 * math.Ln2 * math.Sqrt(28*0.01*0.01/5); !r.Drift.Corrected || r.Noise.DegreesOfFreedom != 5 || !near(r.Noise.RepeatabilityPercent, want) {
		t.Errorf("%+v, %+v, want %v %%", r.Drift, r.Noise, want)
	}
}

// A suspect that decides makes the verdict unsure; one that does not leaves it.
func TestSuspectsThatDecide(t *testing.T) {
	sheet := func(last float64, typed string) *strings.Reader {
		s := "# repeatability: 0.5 %\n# width: 5\n# height: 3\nlabel,lux\n"
		for i := range 15 {
			cell := fmt.Sprintf("%.5g", 500+float64(i%3))
			switch i {
			case 7:
				cell = typed
			case 14:
				cell = fmt.Sprintf("%.5g", last)
			}
			s += fmt.Sprintf("%c%d,%s\n", 'A'+i/5, 1+i%5, cell)
		}
		return strings.NewReader(s)
	}
	for _, c := range []struct {
		name          string
		last          float64
		typed         string
		with, without string
	}{
		{"it alone makes a fail", 500, "46.6", uncertainty.Unsure, uncertainty.Pass},
		{"a fail without it", 400, "46.6", uncertainty.Unsure, uncertainty.Unsure},
		{"none", 500, "501", uncertainty.Pass, ""},
	} {
		r := judged(t, sheet(c.last, c.typed))
		without := ""
		if r.Without != nil {
			without = r.Without.Verdict
		}
		if c.name == "a fail without it" {
			// 0.32 stop is no fail of 0.5; with a tighter tolerance it is.
			s, err := survey.Read([]survey.Input{{Name: "c.csv", Reader: sheet(c.last, c.typed)}}, survey.ReadOptions{})
			if err != nil {
				t.Fatal(err)
			}
			s.Settings.Limits = tolerance.Limits{Stops: 0.2, Mired: 10, Duv: 0.003}
			if r, err = Judge(s); err != nil {
				t.Fatal(err)
			}
			if r.Verdict.Evenness != uncertainty.Fail || r.Without == nil || r.Without.Verdict != uncertainty.Fail {
				t.Errorf("%s: %+v, without %+v", c.name, r.Verdict, r.Without)
			}
			continue
		}
		if r.Verdict.Evenness != c.with || without != c.without {
			t.Errorf("%s: %s, without %s; want %s and %s (%+v)", c.name, r.Verdict.Evenness, without, c.with, c.without, r.Suspects)
		}
	}
}

// The meter's own scatter is named as the cause where the interval reaches down to
// zero, and not where a difference is proved.
func TestScatterIsNamedAsTheCause(t *testing.T) {
	// Nine places, of which one stands up and one down; 4.700411 is the 97.5 % point
	// of the range of nine normals.
	for factor, want := range map[float64]bool{0.99: true, 1.01: false} {
		half := math.Exp2(factor * 4.700411 * assumed / 2)
		sheet := "# width: 3\n# height: 3\nlabel,lux\n"
		for i, v := range []float64{500, 500 * half, 500, 500, 500, 500, 500 / half, 500, 500} {
			sheet += fmt.Sprintf("%c%d,%.12g\n", 'A'+i/3, 1+i%3, v)
		}
		r := explainedSheet(t, sheet)
		if got := slices.ContainsFunc(r.Causes, func(c Cause) bool { return c.Code == CauseNoise }); got != want || (r.Evenness.SpreadInterval[0] == 0) != want {
			t.Errorf("%v of what scatter explains: %+v, interval %v", factor, r.Causes, r.Evenness.SpreadInterval)
		}
	}
}

// Readings that scatter more than twice what the notes say are told from four
// degrees of freedom on.
func TestNotesThatRepeatsContradict(t *testing.T) {
	told := func(size float64, n int) bool {
		sheet := "# repeatability: 1 %\nlabel,x (m),y (m),lux\nP1,1,0,500\n"
		for i := range n {
			sheet += fmt.Sprintf("P0,0,0,%.12g\n", 500*math.Exp2(size*float64(1-2*(i%2))))
		}
		return slices.ContainsFunc(judged(t, strings.NewReader(sheet)).Warnings, hasCode("repeats_scatter"))
	}
	// Six readings ± a about their mean: Σ = 6a² with ν = 5.
	limit := 2 * 0.01 / math.Ln2 * math.Sqrt(5.0/6)
	if told(0.99*limit, 6) || !told(1.01*limit, 6) {
		t.Error("not told at twice the scatter of the notes")
	}
	if told(0.1, 4) || !told(0.1, 5) {
		t.Error("not told from four degrees of freedom on")
	}
}

// Readings stand close enough at the spacing of EN 12464-1, p = 0.2·5^(log10 d): d
// the longer side, the shorter where the longer is twice it, at most 10 m.
func TestSamplingSpacing(t *testing.T) {
	for _, c := range []struct{ w, h, want float64 }{{1, 1, 0.2}, {10, 10, 1}, {10, 5.1, 1}, {10, 5, 0.2 * math.Pow(5, math.Log10(5))}, {4.8, 2.4, 0.2 * math.Pow(5, math.Log10(2.4))}, {2.4, 4.8, 0.2 * math.Pow(5, math.Log10(2.4))}, {300, 300, 10}, {250, 250, 0.2 * math.Pow(5, math.Log10(250))}} {
		if got := AdvisedSpacing(c.w, c.h); !near(got, c.want) {
			t.Errorf("%v × %v m: %v, want %v", c.w, c.h, got, c.want)
		}
	}
	grid := func(n int, size float64, edges bool) *Sampling {
		s := &survey.Survey{Reference: -1, Extent: spatial.Box{X1: size, Y1: size}}
		at := make([]float64, n)
		for i := range at {
			at[i] = size * (float64(i) + 0.5) / float64(n)
			if edges {
				at[i] = size * float64(i) / float64(n-1)
			}
		}
		for _, y := range at {
			for _, x := range at {
				s.X, s.Y, s.Level = append(s.X, x), append(s.Y, y), append(s.Level, 1)
			}
		}
		return sampling(s, spatial.NewPlaces(s.X, s.Y))
	}
	// A square of 10 m asks for 1 m: ten cells a side do, nine do not.
	if p := grid(10, 10, false); !p.Enough || !near(p.SpacingM, 1) || p.EdgesRead {
		t.Errorf("ten cells: %+v", p)
	}
	if p := grid(9, 10, false); p.Enough {
		t.Errorf("nine cells: %+v", p)
	}
	if p := grid(11, 10, true); !p.Enough || !p.EdgesRead {
		t.Errorf("edges: %+v", p)
	}
	// A tenth of the spacing from each side counts as read there.
	border := func(off float64) bool {
		s := &survey.Survey{Reference: -1, Extent: spatial.Box{X1: 1, Y1: 1}, X: []float64{0, 1, 0, 1 - off}, Y: []float64{0, 0, 1 - off, 1 - off}, Level: []float64{1, 1, 1, 1}}
		return sampling(s, spatial.NewPlaces(s.X, s.Y)).EdgesRead
	}
	// Four readings of a square of 1 m ask for 0.2 m, of which a tenth is 0.02 m.
	if !border(0.0199) || border(0.0201) {
		t.Error("the border is not a tenth of the advised spacing wide")
	}
}

// Color is judged by the interval of its largest shifts: by the scatter that is assumed of
// a color read once, or where repeats tell by theirs.
func TestColorVerdictLimits(t *testing.T) {
	sheet := func(kelvin, duv float64) *strings.Reader {
		return strings.NewReader(fmt.Sprintf(fine+"# grid: 3x1\n# reference: A\nlabel,x (m),y (m),lux,CCT (K),Duv\nA,0,0,500,5000,0\nB,1,0,500,%.6f,%.8f\nC,2,0,500,5000,0\n", kelvin, duv))
	}
	kelvins := func(mired float64) float64 { return 1e6 / (200 + mired) }
	const mired, green = uncertainty.AssumedMired, uncertainty.AssumedDuv
	pair, q3 := z*math.Sqrt2, uncertainty.RangeQuantile(0.975, 3)
	for _, c := range []struct {
		mired, duv float64
		want       string
	}{{10 - pair*mired - 0.01, 0, uncertainty.Pass}, {10 - pair*mired + 0.01, 0, uncertainty.Unsure}, {10 + q3*mired - 0.01, 0, uncertainty.Unsure}, {10 + q3*mired + 0.01, 0, uncertainty.Fail},
		{-10 + pair*mired + 0.01, 0, uncertainty.Pass}, {-10 - q3*mired - 0.01, 0, uncertainty.Fail}, {0, 0.003 - pair*green - 1e-5, uncertainty.Pass}, {0, 0.003 - pair*green + 1e-5, uncertainty.Unsure},
		{0, 0.003 + q3*green + 1e-5, uncertainty.Fail}, {0, -0.003 - q3*green - 1e-5, uncertainty.Fail}} {
		r := judged(t, sheet(kelvins(c.mired), c.duv))
		if r.Verdict.Color != c.want || r.Verdict.Overall != c.want || r.Verdict.Evenness != uncertainty.Pass {
			t.Errorf("%v mired, %v Duv: %+v, want %s", c.mired, c.duv, r.Verdict, c.want)
		}
	}
	// Without Duv only the mired are judged, and nothing passes.
	r := judged(t, strings.NewReader("# reference: A\nlabel,x (m),y (m),lux,CCT (K)\nA,0,0,500,5000\nB,1,0,500,5100\n"))
	if r.Color.VerdictDuv != "" || r.Color.MaxDuvShift != nil || r.Verdict.Color != uncertainty.Unsure || r.Color.VerdictMired != uncertainty.Pass {
		t.Errorf("without Duv: %+v", r.Color)
	}
	// The reference is read five times, ±1 mired about 200 and once there; B once, 6
	// mired off. s² = 4/4, t with four degrees of freedom, three places.
	b := "# reference: A\nlabel,x (m),y (m),lux,CCT (K),Duv\n"
	for _, off := range []float64{1, -1, 1, -1, 0} {
		b += fmt.Sprintf("A,0,0,500,%.6f,0\n", kelvins(off))
	}
	r = judged(t, strings.NewReader(b+fmt.Sprintf("B,1,0,500,%.6f,0\nC,2,0,500,5000,0\n", kelvins(6))))
	pair = math.Sqrt(1 + 1.0/5)
	lo, hi := 6-uncertainty.FactorsFor(3, 4).Q*pair/math.Sqrt2, 6+t4*pair
	if got := r.Color.MiredInterval; got == nil || math.Abs(got[0]-lo) > 0.02 || math.Abs(got[1]-hi) > 0.02 {
		t.Errorf("%v, want %v to %v", got, lo, hi)
	}
	if r.Color.VerdictMired != uncertainty.Pass {
		t.Errorf("%v: %s", r.Color.MiredInterval, r.Color.VerdictMired)
	}
	r = judged(t, strings.NewReader(b+fmt.Sprintf("B,1,0,500,%.6f,0\nC,2,0,500,5000,0\n", kelvins(8))))
	if r.Color.VerdictMired != uncertainty.Unsure || r.Verdict.Color != uncertainty.Unsure || r.Verdict.Overall != uncertainty.Unsure {
		t.Errorf("%v: %+v", r.Color.MiredInterval, r.Verdict)
	}
	// Only what is in shot decides.
	r = judged(t, strings.NewReader("# area: -0.5,-1,1.5,1\nlabel,x (m),y (m),lux,CCT (K),Duv\nA,0,0,500,5000,0\nB,1,0,500,5010,0\nC,2,0,500,3000,0\n"))
	if r.Color.Points != 2 {
		t.Errorf("%d colors in shot", r.Color.Points)
	}
}

// One color that is 0.01 off in u', v' and three times as far as any other is told.
func TestOneColorFarOff(t *testing.T) {
	told := func(far, next float64, n int) bool {
		s := &survey.Survey{Reference: 0, Level: slices.Repeat([]float64{500}, n), Y: make([]float64, n)}
		for i := range n {
			s.X, s.U, s.V = append(s.X, float64(i)), append(s.U, 0.21), append(s.V, 0.49)
		}
		s.U[1] += next
		s.U[2] += far
		r, err := Judge(s)
		if err != nil {
			t.Fatal(err)
		}
		return slices.ContainsFunc(r.Warnings, hasCode("color_far_off"))
	}
	for _, c := range []struct {
		far, next float64
		n         int
		want      bool
	}{{0.0101, 0.003, 5, true}, {0.0099, 0.003, 5, false}, {0.0121, 0.004, 5, true}, {0.0119, 0.004, 5, false}, {0.0101, 0.003, 4, false}} {
		if got := told(c.far, c.next, c.n); got != c.want {
			t.Errorf("%v off, the next %v, %d places: told %v", c.far, c.next, c.n, got)
		}
	}
}

// What would settle an unsure verdict is counted from the interval: k readings at
// each place narrow it by √k.
func TestReadingsThatSettle(t *testing.T) {
	advised := func(spread float64, notes string) string {
		for _, a := range judged(t, row(notes, 500, 500*math.Exp2(spread))).Advice {
			if a.Code == "repeat_all" || a.Code == "repeat_extremes" || a.Code == "at_the_limit" || a.Code == "needs_repeats" {
				told := a.Code
				for _, name := range []string{"times", "brightest", "darkest"} {
					switch v := a.Values[name].(type) {
					case photometry.Times:
						told += fmt.Sprintf(" %d", v)
					case photometry.Point:
						told += " " + v.Label
					}
				}
				return told
			}
		}
		return ""
	}
	width := z * math.Sqrt2 * assumed
	for _, c := range []struct {
		spread float64
		notes  string
		want   string
	}{
		{0.5 - width/math.Sqrt(4) - 1e-4, "", "repeat_all 4"},
		{0.5 - width/math.Sqrt(4) + 1e-4, "", "repeat_all 5"},
		{0.5 - width/3 - 1e-4, "", "repeat_all 9"},
		{0.5 - width/3 + 1e-4, "", "at_the_limit"},
		{0.5 + q2*assumed/2 + 1e-4, "", "repeat_extremes 3 P1 P0"},
		{0.5 + q2*assumed/3 - 1e-4, "", "at_the_limit"},
		{0.8, "", ""},
		{0, "", ""},
	} {
		if got := advised(c.spread, c.notes); got != c.want {
			t.Errorf("spread %.4f: %q, want %q", c.spread, got, c.want)
		}
	}
	// Even an even surface of two places could not pass (2/√π + 1.96·√2)·s.
	needs := (2/math.Sqrt(math.Pi) + z*math.Sqrt2) * assumed
	for factor, want := range map[float64]bool{0.999: true, 1.001: false} {
		_, got := repeatsUpFront(factor*needs, assumed, 2)
		if got != want {
			t.Errorf("%v of the least tolerance: %v", factor, got)
		}
	}
	// Too few repeats are asked for before anything else.
	few := strings.NewReader(fine + "# tolerance: 0.3 stop\n# grid: 2x1\nlabel,x (m),y (m),lux\nP0,0,0,500\nP0,0,0,505\nP1,1,0,600\n")
	if r := judged(t, few); r.Verdict.Evenness != uncertainty.Unsure || !advises(r, "repeat_some") {
		t.Errorf("%s, %+v", r.Verdict.Evenness, r.Advice)
	}
}

// advises reports whether a surface's advice has a code.
func advises(r *Result, code string) bool {
	return slices.ContainsFunc(r.Advice, func(a Advice) bool { return a.Code == code })
}

// hasCode finds a finding by its code.
func hasCode(code string) func(photometry.Finding) bool {
	return func(f photometry.Finding) bool { return f.Code == code }
}

// Computed levels scatter as the readings behind them do, each by its own factor;
// one error that runs smoothly may be off both ways; levels that were chosen for
// looking even are bounded at both ends by the factor of the luckiest pair of those that
// may be the extremes: one where they are far apart, all where they are even.
func TestComputedLevelsScatter(t *testing.T) {
	s, d := 0.01/math.Ln2, math.Log2(1.2)
	set := func(notes string) *survey.LampSet {
		r := judged(t, row("# repeatability: 1 %\n"+notes, 500, 600))
		return &survey.LampSet{Surface: r.Survey, Together: true}
	}
	levels := []float64{500, 600}
	judge := func(notes string, c Computed) *Result {
		return JudgeComputed(set(notes), c)
	}
	pair := math.Sqrt2 * s
	for _, c := range []struct {
		name   string
		c      Computed
		lo, hi float64
	}{
		{"as they are", Computed{Level: levels}, d - q2*s, d + z*pair},
		{"of other shares", Computed{Level: levels, Of: []float64{2, 2}}, d - q2*2*s, d + z*2*pair},
		// Smooth errors of a difference: 0.02 and 0.03 stop apart, nothing in common.
		{"with smooth errors", Computed{Level: levels, Errors: [][]float64{{0.02, 0}, {0, 0.03}}}, d - math.Hypot(q2*s, z*math.Hypot(0.02, 0.03)), d + z*math.Hypot(pair, math.Hypot(0.02, 0.03))},
		{"with one the other way", Computed{Level: levels, Errors: [][]float64{{0.02, -0.03}}}, d - math.Hypot(q2*s, z*0.05), d + z*math.Hypot(pair, 0.05)},
		{"with one in common", Computed{Level: levels, Errors: [][]float64{{0.4, 0.4}}}, d - q2*s, d + z*pair},
		{"chosen", Computed{Level: levels, Chosen: true}, d - z*pair, d + z*pair},
		{"chosen and even", Computed{Level: []float64{500, 500}, Chosen: true}, 0, q2 * s},
	} {
		e := judge("", c.c).Evenness
		if !nearBoth(e.SpreadInterval, c.lo, c.hi) {
			t.Errorf("%s: %v, want %v to %v", c.name, e.SpreadInterval, c.lo, c.hi)
		}
		of := 1.0
		if c.c.Of != nil {
			of = c.c.Of[0]
		}
		if want := 2 / math.Sqrt(math.Pi) * of * s; !near(e.NoiseFloorStops, want) {
			t.Errorf("%s: noise floor %v, want %v", c.name, e.NoiseFloorStops, want)
		}
	}
	e := judge("# tolerance: ±0.5 stop\n# reference: P0\n", Computed{Level: levels}).Evenness
	if !nearBoth(e.DeviationInterval, d-q2*s, d+z*pair) {
		t.Errorf("from the reference: %v", e.DeviationInterval)
	}
	if r := judge("", Computed{Level: []float64{0, 600}}); r.Verdict.Evenness != uncertainty.Fail {
		t.Errorf("an unlit place: %s", r.Verdict.Evenness)
	}
	// A place that is left out makes the verdict unsure where it would change it.
	r := judged(t, row("# repeatability: 1 %\n", 500, 510, 900))
	three := &survey.LampSet{Surface: r.Survey, Together: true}
	for last, want := range map[float64]string{900: uncertainty.Unsure, 520: uncertainty.Pass} {
		if r := JudgeComputed(three, Computed{Level: []float64{500, 510, last}, Excluded: []bool{false, false, true}}); r.Verdict.Evenness != want || r.Evenness.Points != 2 {
			t.Errorf("left out %v lx: %s", last, r.Verdict.Evenness)
		}
	}
}

// One drift was taken out of all levels: that they were chosen adds nothing to its
// error.
func TestChosenLevelsAfterADrift(t *testing.T) {
	sheet := "# repeatability: 1 %\n# reference: A\nlabel,x (m),y (m),time (min),lamp,lux\n" +
		"A,0,0,0,,1000\nA,0,0,2.5,,840.8964152537\nB,1,0,5,,848.5281374239\nA,0,0,7.5,,594.6035575014\nA,0,0,10,,500\nA,0,0,,left,300\nB,1,0,,left,300\n"
	set, err := survey.ReadLampSet([]survey.LampInput{{Input: survey.Input{Name: "wall.csv", Reader: strings.NewReader(sheet)}}}, survey.ReadOptions{})
	if err != nil {
		t.Fatal(err)
	}
	models, _ := set.Scatter()
	s, drift := 0.01/math.Ln2, 10*0.01/math.Ln2/math.Sqrt(62.5)
	if len(models) != 1 || !near(models[0].Drift, drift) {
		t.Fatalf("%+v, want a drift good to %v", models, drift)
	}
	d := math.Log2(1.2)
	for chosen, factor := range map[bool]float64{false: q2 / math.Sqrt2, true: z} {
		r := JudgeComputed(set, Computed{Level: []float64{500, 600}, Chosen: chosen})
		lo, hi := d-factor*math.Sqrt2*s-z*drift, d+z*math.Hypot(math.Sqrt2*s, drift)
		if !nearBoth(r.Evenness.SpreadInterval, lo, hi) {
			t.Errorf("chosen %v: %v, want %v to %v", chosen, r.Evenness.SpreadInterval, lo, hi)
		}
	}
}
