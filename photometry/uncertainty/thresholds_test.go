package uncertainty

import (
	"math"
	"testing"
)

// The two-sided 95 % points of the normal and of Student's t with 3 and 4 degrees
// of freedom, from printed tables.
const (
	z975 = 1.959964
	t3   = 3.182446
	t4   = 2.776445
)

// near is within rounding of the printed tables.
func near(got, want float64) bool { return math.Abs(got-want) < 2e-6*math.Max(1, math.Abs(want)) }

// A tolerance is met by an interval that just reaches it, and missed only where
// all of the interval is beyond.
func TestJudgeAtTheLimit(t *testing.T) {
	const tolerance = 0.5
	over, under := math.Nextafter(tolerance, 1), math.Nextafter(tolerance, 0)
	for _, c := range []struct {
		lo, hi float64
		want   string
	}{{0, tolerance, Pass}, {tolerance, tolerance, Pass}, {0, over, Unsure}, {under, over, Unsure}, {tolerance, over, Unsure}, {over, over, Fail}, {over, 9, Fail}} {
		if got := Judge(c.lo, c.hi, tolerance); got != c.want {
			t.Errorf("%v to %v: %s, want %s", c.lo, c.hi, got, c.want)
		}
	}
}

func TestWorstVerdict(t *testing.T) {
	for _, c := range []struct {
		parts []string
		want  string
	}{{nil, Pass}, {[]string{Pass, ""}, Pass}, {[]string{"", Unsure}, Unsure}, {[]string{Unsure, Pass}, Unsure}, {[]string{Fail, Unsure}, Fail}, {[]string{Unsure, Fail}, Fail}, {[]string{Fail, Pass}, Fail}} {
		if got := WorstVerdict(c.parts...); got != c.want {
			t.Errorf("%q: %s, want %s", c.parts, got, c.want)
		}
	}
}

// The factors are the normal's, or Student's t, for one pair, and those of the
// range for the luckiest: of two readings √2 times the 98.75 % point (the range of
// two is a half normal times √2), of nine the 4.700411 of SOURCES.md.
func TestFactorsAreOfTables(t *testing.T) {
	for _, c := range []struct {
		n, nu int
		z, q  float64
	}{{2, 0, z975, math.Sqrt2 * 2.241403}, {9, 0, z975, 4.700411}, {2, 3, t3, math.Sqrt2 * 4.176535}, {2, 4, t4, math.Sqrt2 * 3.495406}} {
		if f := FactorsFor(c.n, c.nu); !near(f.Z, c.z) || math.Abs(f.Q/c.q-1) > 3e-5 {
			t.Errorf("%d readings, ν = %d: %+v, want %v and %v", c.n, c.nu, f, c.z, c.q)
		}
	}
	if !near(Factor(0), z975) || !near(Factor(4), t4) {
		t.Errorf("factors %v and %v", Factor(0), Factor(4))
	}
}

// Each term of the interval by hand: the extremes are of points read once and four
// times, a drift was taken out.
func TestIntervalTermByTerm(t *testing.T) {
	var c Classes
	for _, p := range []struct{ v, k float64 }{{0, 1}, {0.6, 4}, {0.2, 1}} {
		c.Add(p.v, p.k, 0)
	}
	m, f := Model{Stops: 0.05, Drift: 0.03}, Factors{Z: 2, Q: 4}
	pair := 0.05 * math.Sqrt(1+1.0/4)
	lo, hi := SpreadInterval(c, m, f)
	if wantLo, wantHi := 0.6-4*pair/math.Sqrt2-2*0.03, 0.6+2*math.Hypot(pair, 0.03); !near(lo, wantLo) || !near(hi, wantHi) {
		t.Errorf("spread %v to %v, by hand %v to %v", lo, hi, wantLo, wantHi)
	}
	// From a reference of 0.1 that was read nine times.
	pair = 0.05 * math.Sqrt(1.0/4+1.0/9)
	lo, hi = DeviationInterval(c, 0.1, 9, m, f)
	if wantLo, wantHi := 0.5-4*pair/math.Sqrt2-2*0.03, 0.5+2*math.Hypot(pair, 0.03); !near(lo, wantLo) || !near(hi, wantHi) {
		t.Errorf("deviation %v to %v, by hand %v to %v", lo, hi, wantLo, wantHi)
	}
	// A single point that was read more often makes no pair with itself.
	var single Classes
	single.Add(0, 4, 0)
	single.Add(0.01, 1, 0)
	single.Add(0.02, 1, 0)
	if _, hi := SpreadInterval(single, Model{Stops: 1}, Factors{Z: 2, Q: 4}); !near(hi, 0.01+2*math.Sqrt2) {
		t.Errorf("upper end %v, of the pair read once each %v", hi, 0.01+2*math.Sqrt2)
	}
	single = nil
	single.Add(0, 0.25, 0)
	single.Add(0.01, 1, 0)
	if _, hi := SpreadInterval(single, Model{Stops: 1}, Factors{Z: 2, Q: 4}); !near(hi, 0.01+2*math.Sqrt(4+1)) {
		t.Errorf("upper end %v, a point is paired with itself", hi)
	}
}

// With two noise models the interval holds under both.
func TestWidestHoldsUnderEachModel(t *testing.T) {
	narrow, wide := Model{Stops: 0.01}, Model{Stops: 0.02, Nu: 3}
	interval := func(m Model, f Factors) (float64, float64) { return 1 - f.Q*m.Stops, 1 + f.Z*m.Stops }
	for _, models := range [][]Model{{narrow, wide}, {wide, narrow}} {
		lo, hi := Widest(models, 2, interval)
		if !near(hi, 1+t3*0.02) || math.Abs(lo-(1-math.Sqrt2*4.176535*0.02)) > 1e-5 {
			t.Errorf("%v to %v", lo, hi)
		}
	}
}

// A mean of k readings keeps 1/k of a reading's variance: of one point read once
// and two read four times, half.
func TestPerReading(t *testing.T) {
	var c Classes
	c.Add(0, 1, 0)
	c.Add(0, 4, 0)
	c.Add(1, 4, 0)
	if got := c.PerReading(); !near(got, 0.5) {
		t.Errorf("%v of a reading's variance, want 1/2", got)
	}
}

// Readings until a width fits into the room: the square of the ratio, at least two.
func TestRepeatsFor(t *testing.T) {
	for _, c := range []struct {
		width, room float64
		want        int
	}{{0.1, 0.2, 2}, {0.3, 0.1, 9}, {0.3, 0.0999, 10}, {0.2, 0.1, 4}, {1, 0, 1e6}} {
		if got := RepeatsFor(c.width, c.room); got != c.want {
			t.Errorf("%v in %v: %d readings, want %d", c.width, c.room, got, c.want)
		}
	}
}
