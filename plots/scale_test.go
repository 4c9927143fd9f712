package plots

import (
	"errors"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"evenfall/photometry"
	"evenfall/photometry/evenness"
	"evenfall/photometry/survey"
)

func TestNewScale(t *testing.T) {
	for _, test := range []struct {
		name          string
		kind          Kind
		lo, hi, least float64
		min, max      float64
		step          float64
		labels        string // of the ticks, lowest first
	}{
		{"typical", Level, -0.35, 0.27, 0.5, -0.4, 0.3, 0.1, "−0.4 −0.3 −0.2 −0.1 0.0 +0.1 +0.2 +0.3"},
		{"even surface keeps its tolerance", Level, -0.02, 0.02, 0.5, -0.3, 0.3, 0.1, "−0.3 −0.2 −0.1 0.0 +0.1 +0.2 +0.3"},
		{"tight tolerance shows hundredths", Level, -0.05, 0.04, 0.2, -0.15, 0.10, 0.05, "−0.15 −0.10 −0.05 0.00 +0.05 +0.10"},
		{"all equal", Level, 0, 0, 0.3, -0.15, 0.15, 0.05, "−0.15 −0.10 −0.05 0.00 +0.05 +0.10 +0.15"},
		{"nothing", Level, 0, 0, 0.5, -0.3, 0.3, 0.1, "−0.3 −0.2 −0.1 0.0 +0.1 +0.2 +0.3"},
		{"reference below all", Level, 1.1, 1.3, 0.5, 0, 1.4, 0.2, "0.0 +0.2 +0.4 +0.6 +0.8 +1.0 +1.2 +1.4"},
		{"wide", Level, -6, 1.5, 0.5, -6, 2, 1, "−6.0 −5.0 −4.0 −3.0 −2.0 −1.0 0.0 +1.0 +2.0"},
		{"mired is symmetric", Mired, -4, 11, 20, -15, 15, 5, "−15 −10 −5 0 +5 +10 +15"},
		{"mired keeps its tolerance", Mired, -1, 1, 20, -10, 10, 5, "−10 −5 0 +5 +10"},
		{"Duv in thousandths", Duv, -0.0014, 0.0009, 0.006, -0.003, 0.003, 0.001, "−3.0 −2.0 −1.0 0.0 +1.0 +2.0 +3.0"},
	} {
		t.Run(test.name, func(t *testing.T) {
			s := newScale(test.kind, test.lo, test.hi, test.least)
			if math.Abs(s.Min-test.min) > 1e-12 || math.Abs(s.Max-test.max) > 1e-12 || s.Step != test.step {
				t.Errorf("from %v to %v by %v, want %v to %v by %v", s.Min, s.Max, s.Step, test.min, test.max, test.step)
			}
			var labels []string
			for _, tick := range s.Ticks() {
				labels = append(labels, tick.Label)
			}
			if got := strings.Join(labels, " "); got != test.labels {
				t.Errorf("ticks %s, want %s", got, test.labels)
			}
		})
	}
}

// For any data, a scale includes them and zero, in few steps of a usual size.
func TestScaleHoldsData(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		kind := Kind(rapid.IntRange(0, 2).Draw(t, "kind"))
		unit := map[Kind]float64{Level: 1, Mired: 30, Duv: 0.01}[kind]
		lo := unit * rapid.Float64Range(-12, 12).Draw(t, "lo")
		hi := lo + unit*rapid.Float64Range(0, 12).Draw(t, "span")
		least := unit * rapid.Float64Range(0.01, 2).Draw(t, "least")
		s := newScale(kind, lo, hi, least)
		// A billionth of a step may stick out, so that 0.3 by sums needs no 0.4.
		if hair := 1e-8 * s.Step; s.Min > min(lo, 0)+hair || s.Max < max(hi, 0)-hair {
			t.Fatalf("%v to %v does not hold %v to %v and zero", s.Min, s.Max, lo, hi)
		}
		if s.Max-s.Min < least*(1-1e-9) {
			t.Fatalf("%v to %v is narrower than %v", s.Min, s.Max, least)
		}
		if kind != Level && s.Min != -s.Max {
			t.Fatalf("%v to %v is not symmetric", s.Min, s.Max)
		}
		ticks := s.Ticks()
		if len(ticks) < 2 || len(ticks) > 11 {
			t.Fatalf("%d ticks from %v to %v", len(ticks), s.Min, s.Max)
		}
		zero, seen := false, map[string]bool{}
		for i, tick := range ticks {
			zero = zero || tick.Value == 0
			if seen[tick.Label] || strings.Contains(tick.Label, "NaN") {
				t.Fatalf("labels %v", ticks)
			}
			seen[tick.Label] = true
			if i > 0 && tick.Value <= ticks[i-1].Value {
				t.Fatalf("ticks do not rise: %v", ticks)
			}
		}
		if !zero {
			t.Fatalf("zero is not marked: %v", ticks)
		}
		if f := s.Fraction(lo); !(f >= 0 && f <= 1) {
			t.Fatalf("fraction %v", f)
		}
	})
}

func TestScaleEnds(t *testing.T) {
	s := newScale(Level, -1, 1, 0.5)
	for _, test := range []struct{ value, fraction float64 }{
		{math.Inf(-1), 0}, {-5, 0}, {-1, 0}, {0, 0.5}, {1, 1}, {9, 1}, {math.Inf(1), 1}, {math.NaN(), 0},
	} {
		if got := s.Fraction(test.value); math.Abs(got-test.fraction) > 1e-12 {
			t.Errorf("Fraction(%v) = %v, want %v", test.value, got, test.fraction)
		}
	}
	if got := s.Label(math.Inf(-1)); got != "none" {
		t.Errorf("a zero level is labeled %q", got)
	}
}

// A level of zero has no logarithm: it takes the darkest color and the lowest
// tick says so.
func TestScaleOfZeroLevels(t *testing.T) {
	s := lattice(3, 3, 1, 1, func(x, y float64) float64 { return max(0, 900*(x-0.3)) })
	scale, err := scaleOf(resultOf(s), Level)
	if err != nil {
		t.Fatal(err)
	}
	if !scale.Below || !strings.HasPrefix(scale.Ticks()[0].Label, "≤ ") {
		t.Errorf("zero levels are not shown: %+v", scale.Ticks())
	}
	if scale.Min < -20 || math.IsInf(scale.Min, 0) {
		t.Errorf("scale from %v", scale.Min)
	}
	s = lattice(3, 3, 1, 1, func(x, y float64) float64 { return 1000 * math.Exp2(-40*x) })
	if scale, err = scaleOf(resultOf(s), Level); err != nil || scale.Max-scale.Min > maxDepthStops+2*scale.Step || !scale.Below {
		t.Errorf("a beam that falls 27 stops has the scale %v to %v, %v", scale.Min, scale.Max, err)
	}
}

func TestScaleOfSuspects(t *testing.T) {
	_, r := scene()
	scale, err := scaleOf(r, Level)
	if err != nil {
		t.Fatal(err)
	}
	if scale.Min < -1.5 {
		t.Errorf("the suspect at −3.6 stops sets the scale: %v to %v", scale.Min, scale.Max)
	}
	r.Suspects = nil
	if all, _ := scaleOf(r, Level); all.Min > -3.6 {
		t.Errorf("without suspects the scale must hold all readings: %v to %v", all.Min, all.Max)
	}
	// Rows in doubt are not single readings and stay.
	r.Suspects = []survey.Suspect{{Label: "rows B, D", Point: 20, Reasons: []string{survey.SerpentineAsRows}}}
	if rows, _ := scaleOf(r, Level); rows.Min > -3.6 {
		t.Errorf("rows in doubt were left out: %v to %v", rows.Min, rows.Max)
	}
}

func TestScaleWords(t *testing.T) {
	s, r := scene()
	colored(s, r)
	r.Reference = evenness.Reference{Label: "C5", Level: photometry.Lux(100)}
	for _, test := range []struct {
		kind Kind
		want string
	}{
		{Level, "reference C5, 1080 lx"},
		{Mired, "the mean color, 5580 K"},
		{Duv, "the mean color, 5580 K, Duv +0.0012"},
	} {
		scale, err := scaleOf(r, test.kind)
		if err != nil {
			t.Fatal(err)
		}
		if scale.Zero != test.want {
			t.Errorf("zero of the %v map is %q, want %q", test.kind, scale.Zero, test.want)
		}
	}
	scale, _ := scaleOf(r, Level)
	if got := scale.LevelAt(1, photometry.FC); got != "200 fc" {
		t.Errorf("a stop above 100 fc is %q", got)
	}
	if got := scale.LevelAt(-1, photometry.LX); got != "538 lx" {
		t.Errorf("a stop below 100 fc is %q", got)
	}
}

func TestScaleErrors(t *testing.T) {
	s, r := scene()
	if _, err := scaleOf(r, Mired); !errors.Is(err, ErrNoColor) {
		t.Errorf("a survey without color: %v", err)
	}
	r.Color = &evenness.ColorResult{Shifts: &evenness.Shifts{Mired: nanColumn(s.Len()), Duv: nanColumn(s.Len())}}
	if _, err := scaleOf(r, Duv); !errors.Is(err, ErrNoColor) {
		t.Errorf("a survey whose colors are all absent: %v", err)
	}
	r.Survey = &survey.Survey{}
	if _, err := scaleOf(r, Level); !errors.Is(err, ErrNoReadings) {
		t.Errorf("a survey without points: %v", err)
	}
}

func nanColumn(n int) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = math.NaN()
	}
	return out
}

func TestThousands(t *testing.T) {
	for n, want := range map[int]string{0: "0", 45: "45", 999: "999", 1000: "1,000", 15734: "15,734", 1000000: "1,000,000"} {
		if got := formatCount(n); got != want {
			t.Errorf("%d prints %q", n, got)
		}
	}
}

func scaleOf(r *evenness.Result, kind Kind) (Scale, error) {
	c, err := newMapValues(r, kind)
	if err != nil {
		return Scale{}, err
	}
	return c.scale(), nil
}
