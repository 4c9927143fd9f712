package dimmer

import (
	"math"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/gonum/interp"

	"evenfall/photometry"
)

// The RPN 14 data of F. N. Fritsch and R. E. Carlson, SIAM J. Numer. Anal. 17 (1980) 238,
// table 2, on which a cubic spline overshoots. The data are as several libraries'
// tests print them; the values between are those that a numerical library's manual
// prints for the monotone cubic with the slopes of Brodlie, from memory.
var (
	rpnX   = []float64{7.99, 8.09, 8.19, 8.7, 9.2, 10, 12, 15, 20}
	rpnY   = []float64{0, 2.76429e-5, 4.37498e-2, 0.169183, 0.469428, 0.943740, 0.998636, 0.999919, 0.999994}
	rpnMid = [][2]float64{{7.99, 0}, {9.191, 0.4640}, {10.392, 0.9645}, {11.593, 0.9965}, {12.794, 0.9992}, {13.995, 0.9998}, {15.196, 0.9999}, {16.397, 1}, {20, 1}}
)

// TestMonotone holds the curve to the published data: it passes through them, never
// falls, and has the printed values between.
func TestMonotone(t *testing.T) {
	var knots []knot
	for i, x := range rpnX {
		knots = append(knots, knot{x: x, y: rpnY[i]})
	}
	var curve interp.FritschButland
	fit(&curve, knots)
	for i, x := range rpnX {
		if got := curve.Predict(x); math.Abs(got-rpnY[i]) > 1e-12 {
			t.Errorf("at %g: %g, data %g", x, got, rpnY[i])
		}
	}
	before := 0.0
	for x := 7.99; x <= 20; x += 0.001 {
		y := curve.Predict(x)
		if y < before-1e-15 || y > 1 {
			t.Fatalf("at %g: %g after %g", x, y, before)
		}
		before = y
	}
	for _, p := range rpnMid {
		if got := curve.Predict(p[0]); math.Abs(got-p[1]) > 0.5e-4 {
			t.Errorf("at %g: %.4f, printed %.4f", p[0], got, p[1])
		}
	}
}

// ladder are the readings of a lamp whose level over its dial, as a share, is a law.
func ladder(law func(p float64) float64, percents ...float64) (readings []Reading) {
	for _, p := range percents {
		readings = append(readings, Reading{Lamp: "key", Percent: p, Level: photometry.Level{Value: 1000 * law(p/100)}})
	}
	return readings
}

func square(p float64) float64 { return p * p }

// TestSetting finds the settings of dimmers whose laws are known.
func TestSetting(t *testing.T) {
	stops := -1.0
	for _, c := range []struct {
		name string
		law  func(p float64) float64
		want float64 // for a stop less than full
	}{
		{"linear", func(p float64) float64 { return p }, 50},
		{"square law", square, 100 * math.Sqrt(0.5)},
		{"cube", func(p float64) float64 { return p * p * p }, 100 * math.Cbrt(0.5)},
	} {
		r, err := Analyze(Input{Readings: ladder(c.law, 100, 60, 30, 10)}, Wanted{Stops: &stops, FromPercent: 100})
		if err != nil {
			t.Fatal(err)
		}
		l := r.Lamps[0]
		s := l.Setting
		if math.Abs(s.Percent-c.want) > 0.01 || s.Interval[0] > c.want || s.Interval[1] < c.want || s.LinearPercent != 50 || !r.Settled {
			t.Errorf("%s: %+v, want %g", c.name, s, c.want)
		}
		if math.Abs(*l.AboveStops-1) > 1e-9 || math.Abs(*l.BelowStops-(l.RangeStops-1)) > 1e-9 {
			t.Errorf("%s: %g above, %g below", c.name, *l.AboveStops, *l.BelowStops)
		}
		if off := math.Log2(c.law(0.1) / 0.1); math.Abs(*l.OffLinear-off) > 1e-9 || off != 0 && *l.OffLinearAt != 10 {
			t.Errorf("%s: off linear %g, want %g", c.name, *l.OffLinear, off)
		}
	}
	// A logarithmic dial: eight stops in equal steps. Its curve is bent, and the interval says so.
	log := func(p float64) float64 { return math.Exp2(8 * (p - 1)) }
	r, err := Analyze(Input{Readings: ladder(log, 10, 25, 50, 75, 100)}, Wanted{Level: &photometry.Level{Value: 1000 * log(0.6)}})
	if err != nil {
		t.Fatal(err)
	}
	if s := r.Lamps[0].Setting; s.Interval[0] > 60 || s.Interval[1] < 60 || s.Interval[1]-s.Interval[0] > 12 {
		t.Errorf("logarithmic: %+v", s)
	}
}

// TestColor shifts the color with the setting.
func TestColor(t *testing.T) {
	readings := ladder(square, 10, 25, 50, 100)
	for i, k := range []float64{2400, 2700, 2950, 3200} {
		readings[i].Kelvin = &k
	}
	r, err := Analyze(Input{Readings: readings}, Wanted{})
	if err != nil {
		t.Fatal(err)
	}
	s := r.Lamp("KEY").Change(100, -2)
	if math.Abs(s.Percent-50) > 1e-4 || math.Abs(*s.Kelvin-2950) > 1e-2 || math.Abs(*s.Mired-(1e6/2950-1e6/3200)) > 1e-3 || s.Duv != nil {
		t.Errorf("%+v", s)
	}
	if r.Lamp("fill").Change(100, -1) != nil || r.Lamp("key").Change(5, -1) != nil || r.Lamp("key").Change(100, -7) != nil {
		t.Error("a setting that nothing was read of")
	}
}

// TestColorOfNoMired ends an interval that reaches beyond 0 mired where color temperatures do.
func TestColorOfNoMired(t *testing.T) {
	readings := ladder(square, 12, 25, 50, 100)
	for i, k := range []float64{1000, 25000, 1000, 25000} {
		readings[i].Kelvin = &k
	}
	r, err := Analyze(Input{Readings: readings}, Wanted{})
	if err != nil {
		t.Fatal(err)
	}
	k, _ := r.Lamps[0].Curve.Color(94)
	if low, high := k.Interval[0], k.Interval[1]; !(low < k.Value && k.Value < high && high == 25000) {
		t.Errorf("%+v", k)
	}
}

// TestFewRows says what two and three rows cannot.
func TestFewRows(t *testing.T) {
	for n, code := range map[int]string{1: "one_row", 2: "few_rows", 3: "few_rows", 4: ""} {
		r, err := Analyze(Input{Readings: ladder(square, 100, 25, 50, 10)[:n]}, Wanted{Level: &photometry.Level{Value: 400}})
		if err != nil {
			t.Fatal(err)
		}
		l := r.Lamps[0]
		if got := slices.ContainsFunc(l.Warnings, func(f photometry.Finding) bool { return f.Code == code }); got != (code != "") || r.Settled != (n >= FewestRows) {
			t.Errorf("%d rows: %v, settled %v", n, l.Warnings, r.Settled)
		}
		// Between two rows nothing is known but that it lies there.
		if s := l.Setting; n == 2 && (s.Interval[0] > 26 || s.Interval[1] < 99) {
			t.Errorf("two rows: %+v", s)
		}
	}
}

// TestFlicker finds the lowest setting from which on no flicker was seen.
func TestFlicker(t *testing.T) {
	readings := ladder(square, 10, 25, 50, 100)
	for i, seen := range []bool{true, true, false, false} {
		readings[i].Flickers = &seen
	}
	stops := -3.0
	r, err := Analyze(Input{Readings: readings}, Wanted{Stops: &stops, FromPercent: 100})
	if err != nil {
		t.Fatal(err)
	}
	l := r.Lamps[0]
	if *l.FlickerFreeFrom != 50 || *l.FlickerAt != 25 || l.Setting.Flickers {
		t.Errorf("free from %v, seen at %v, %+v", *l.FlickerFreeFrom, *l.FlickerAt, l.Setting)
	}
	if s := l.Change(100, -4); !s.Flickers {
		t.Errorf("%+v", s)
	}
}

// TestPooled puts rows that fall within their scatter at their mean.
func TestPooled(t *testing.T) {
	readings := ladder(square, 10, 30, 60, 90, 100)
	readings[3].Level.Value, readings[4].Level.Value = 1010, 1000
	r, err := Analyze(Input{Readings: readings}, Wanted{})
	if err != nil {
		t.Fatal(err)
	}
	c := r.Lamps[0].Curve
	if a, b := c.Level(90), c.Level(100); a != b || math.Abs(a-math.Sqrt(1010*1000)) > 1e-9 {
		t.Errorf("%g at 90 %%, %g at 100 %%", a, b)
	}
}

// TestBadInput refuses what no dimmer does.
func TestBadInput(t *testing.T) {
	flash := ladder(square, 10, 50, 100)
	flash[1].Level.Quantity = photometry.LuminousExposure
	falls := ladder(square, 10, 50, 100)
	falls[2].Level.Value, falls[1].Line = 200, 3
	high := ladder(square, 10, 30, 50, 100)
	high[1].Level.Value *= 1000
	for want, readings := range map[string][]Reading{
		"reading 1: found 101, expected a setting from 0 to 100 %":                ladder(square, 101),
		"reading 3: found 200, expected no less light than on line 3, which":      falls,
		"reading 2: found 90000, expected no more light than on reading 3, which": high,
		"reading 2: found 1200, expected the level of reading 1, which has 100":   {{Lamp: "a", Percent: 100, Level: photometry.Level{Value: 1000}}, {Lamp: "A", Percent: 100, Level: photometry.Level{Value: 1200}}},
		"reading 2: found luminous exposure, expected illuminance as on":          flash,
		"reading 1: found 0, expected a level above 0 at some setting of key":     {{Lamp: "key", Percent: 0}},
		"reading 1: found -1, expected a level of 0 or more":                      {{Lamp: "key", Percent: 10, Level: photometry.Level{Value: -1}}},
	} {
		_, err := Analyze(Input{Readings: readings}, Wanted{})
		if err == nil || !strings.Contains(err.Error(), want) || strings.Contains(err.Error(), "\n") {
			t.Errorf("%v, want %s", err, want)
		}
	}
	// Repeats within their scatter are no error, and a lamp may be dark at the low end.
	ok := append(ladder(square, 0, 100, 50, 10), ladder(func(p float64) float64 { return 1.03 * p * p }, 100)...)
	if _, err := Analyze(Input{Readings: ok}, Wanted{}); err != nil {
		t.Error(err)
	}
}
