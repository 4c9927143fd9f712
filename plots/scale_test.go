package plots

import (
	"errors"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"evenfall/photometry"
	"evenfall/photometry/entry"
	"evenfall/photometry/evenness"
	"evenfall/photometry/spatial"
	"evenfall/photometry/survey"
)

// labels are the edges of a scale as they are printed, the lowest first.
func labels(s Scale) string {
	var out []string
	for _, e := range s.Edges() {
		out = append(out, s.edgeLabel(e.Value))
	}
	return strings.Join(out, " ")
}

func TestNewScale(t *testing.T) {
	for _, test := range []struct {
		name              string
		kind              Kind
		low, high, lo, hi float64
		edges             string
	}{
		{"typical", Level, -0.21, 0.29, -0.58, 0.6, "−0.46 −0.21 +0.29 +0.54"},
		{"all within", Level, -0.25, 0.25, -0.02, 0.02, "−0.25 +0.25"},
		{"far beyond stays in four classes", Level, -0.25, 0.25, -6, 1.5, "−1.00 −0.75 −0.50 −0.25 +0.25 +0.50 +0.75 +1.00"},
		{"mired", Mired, -10, 10, -4, 21, "−10 +10 +20"},
		{"Duv in thousandths", Duv, -0.003, 0.003, -0.0014, 0.0009, "−3.0 +3.0"},
	} {
		t.Run(test.name, func(t *testing.T) {
			if got := labels(newScale(test.kind, test.low, test.high, test.lo, test.hi)); got != test.edges {
				t.Errorf("edges %s, want %s", got, test.edges)
			}
		})
	}
}

// The class of a value is the number of edges between it and the window.
func TestClassCountsEdges(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		low := rapid.Float64Range(-2, 1).Draw(t, "low")
		width := rapid.Float64Range(0.05, 2).Draw(t, "width")
		lo, hi := rapid.Float64Range(-9, 0).Draw(t, "lo"), rapid.Float64Range(0, 9).Draw(t, "hi")
		s := newScale(Level, low, low+width, lo, hi)
		v := rapid.Float64Range(-12, 12).Draw(t, "v")
		want := 0
		for _, e := range s.Edges() {
			if math.Abs(v-e.Value) < 1e-6 {
				return // at an edge either is right
			}
			if e.Class > 0 && v > e.Value {
				want++
			}
			if e.Class < 0 && v < e.Value {
				want--
			}
		}
		if got := s.Class(v); got != want {
			t.Fatalf("class %d of %v, want %d with the edges %s", got, v, want, labels(s))
		}
	})
	s := newScale(Level, -0.25, 0.25, -3, 3)
	for v, want := range map[float64]int{math.Inf(-1): -4, math.Inf(1): 4, math.NaN(): 0, 0.25: 0, -0.25: 0, 0.26: 1, 0.51: 2} {
		if got := s.Class(v); got != want {
			t.Errorf("class %d of %v, want %d", got, v, want)
		}
	}
	if got := s.Label(math.Inf(-1)); got != "none" {
		t.Errorf("a zero level is labeled %q", got)
	}
}

// No other window of the width holds more of the readings, by area, and none that holds
// as much has its middle nearer to the mean: compared with a search in small steps.
func TestWindowHoldsMost(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 14).Draw(t, "n")
		s := lattice(n, 1, 4, 1, func(x, y float64) float64 {
			return 1000 * math.Exp2(rapid.Float64Range(-1, 1).Draw(t, "stops"))
		})
		r := resultOf(s)
		r.Weights = make([]float64, n)
		for i := range r.Weights {
			r.Weights[i] = rapid.Float64Range(0.5, 2).Draw(t, "area")
		}
		c, err := newMapValues(r, Level)
		if err != nil {
			t.Fatal(err)
		}
		low, high, _ := c.window()
		_, mean := c.shotLevels()
		held := func(low, high float64) (sum float64) {
			for i := range s.Level {
				if v, _ := c.at(i); v >= low-1e-6 && v <= high+1e-6 {
					sum += r.Weights[i]
				}
			}
			return sum
		}
		if math.Abs(high-low-0.5) > 1e-9 {
			t.Fatalf("the window is %v wide", high-low)
		}
		best := held(low, high)
		for k := -400; k <= 400; k++ {
			middle := mean + float64(k)*0.01
			other := held(middle-0.25, middle+0.25)
			if other > best+1e-9 || other > best-1e-9 && math.Abs(middle-mean) < math.Abs((low+high)/2-mean)-1e-5 {
				t.Fatalf("%v to %v holds %v, about %v of the mean; from %v it is %v", low, high, best, (low+high)/2-mean, middle-0.25, other)
			}
		}
	})
}

// A ± tolerance and a difference of two days have their window about zero.
func TestCenteredWindows(t *testing.T) {
	_, r := scene()
	r.Limits.EachSide = true
	if s, _ := scaleOf(r, Level); s.Low != -0.5 || s.High != 0.5 || s.describeWindow() != "within ±0.50 stop" {
		t.Errorf("±0.5 stop has the window %v to %v, %s", s.Low, s.High, s.describeWindow())
	}
	r.Limits.EachSide = false
	r.Reference.Words = "the day before"
	if s, _ := scaleOf(r, Level); s.Low != -0.25 || s.High != 0.25 || s.describeWindow() != "within ±0.25 stop" {
		t.Errorf("a difference has the window %v to %v, %s", s.Low, s.High, s.describeWindow())
	}
}

// Readings out of shot do not move the window.
func TestWindowOfPartInShot(t *testing.T) {
	s := lattice(9, 1, 9, 1, func(x, y float64) float64 {
		if x < 6 {
			return 250
		}
		return 1000
	})
	s.Area = &spatial.Box{X0: 6, X1: 9, Y1: 1}
	scale, err := scaleOf(resultOf(s), Level)
	if err != nil {
		t.Fatal(err)
	}
	if at := math.Log2(1000 / resultOf(s).Reference.Level); scale.Class(at) != 0 || scale.Class(at-2) >= 0 {
		t.Errorf("the window is %v to %v, the part in shot at %v", scale.Low, scale.High, at)
	}
}

// A level of zero has no logarithm: it is in the lowest class.
func TestScaleOfZeroLevels(t *testing.T) {
	s := lattice(3, 3, 1, 1, func(x, y float64) float64 { return max(0, 900*(x-0.3)) })
	scale, err := scaleOf(resultOf(s), Level)
	if err != nil {
		t.Fatal(err)
	}
	if scale.Class(math.Inf(-1)) != -shades || scale.clamp(math.Inf(-1)) > scale.Low-(shades-1)*scale.Step {
		t.Errorf("zero levels are not in the lowest class: %s", labels(scale))
	}
	s = lattice(3, 3, 1, 1, func(x, y float64) float64 { return 1000 * math.Exp2(-40*x) })
	if scale, err = scaleOf(resultOf(s), Level); err != nil || scale.least < scale.most-maxDepthStops-1e-9 {
		t.Errorf("a beam that falls 27 stops is held to %v to %v, %v", scale.least, scale.most, err)
	}
}

func TestScaleOfSuspects(t *testing.T) {
	_, r := scene()
	scale, err := scaleOf(r, Level)
	if err != nil {
		t.Fatal(err)
	}
	if scale.least < -1.5 {
		t.Errorf("the suspect at −3.6 stops sets the scale: %v to %v", scale.least, scale.most)
	}
	r.Suspects = nil
	if all, _ := scaleOf(r, Level); all.least > -3.6 {
		t.Errorf("without suspects the scale must hold all readings: %v to %v", all.least, all.most)
	}
	// Rows in doubt are not single readings and stay.
	r.Suspects = []survey.Suspect{{Label: "rows B, D", Point: 20, Reasons: []string{entry.SerpentineAsRows}}}
	if rows, _ := scaleOf(r, Level); rows.least > -3.6 {
		t.Errorf("rows in doubt were left out: %v to %v", rows.least, rows.most)
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
		{Level, "reference C5, 1076 lx"},
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
	if got := scale.levelAt(1); math.Abs(got-photometry.Lux(200)) > 1e-9 {
		t.Errorf("a stop above 100 fc is %v lx", got)
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
