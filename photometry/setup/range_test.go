package setup

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestRange(t *testing.T) {
	for text, want := range map[string]Range{
		"1.5":            Fixed(1.5),
		"-2":             Fixed(-2),
		"\u22122.5":      Fixed(-2.5),
		"80 %":           Fixed(80),
		"30°":            Fixed(30),
		"1.5..3.0":       between(1.5, 3),
		"1.5 .. 3.0":     between(1.5, 3),
		"1.5…3.0":        between(1.5, 3),
		"1.5...3.0":      between(1.5, 3),
		"-3..-1":         between(-3, -1),
		"50 %..100 %":    between(50, 100),
		"2.1 (1.5..3.0)": {1.5, 3, 2.1, true, true},
		"1.5(1.5..3.0)":  {1.5, 3, 1.5, true, true},
		"1e-3..1e3":      between(1e-3, 1e3),
	} {
		var got Range
		if err := got.UnmarshalCSV(text); err != nil || got != want {
			t.Errorf("%q: %+v, %v, want %+v", text, got, err, want)
		}
		if free := strings.Contains(text, "(") || want.Low != want.High; got.Free() != free {
			t.Errorf("%q: free %v", text, got.Free())
		}
	}
	for text, says := range map[string]string{
		"3..1.5":       "a range with the lower end first: 1.5..3.0, not 3.0..1.5",
		"2..2":         "a range with two different ends",
		"1.5..":        rangeExpected,
		"..3":          rangeExpected,
		"a..b":         rangeExpected,
		"1..2..3":      rangeExpected,
		"about 2":      rangeExpected,
		"4 (1.5..3.0)": "a present value within the range",
		"x (1.5..3.0)": "a present value within the range",
		"(1.5..3.0)":   rangeExpected,
		"2 (3)":        rangeExpected,
		"NaN":          rangeExpected,
		"1..Inf":       rangeExpected,
		"0x1p3":        rangeExpected, // no number that people write
		"1.5 m..3 m":   rangeExpected,
	} {
		var got Range
		if err := got.UnmarshalCSV(text); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%q: %+v, %v does not say %q", text, got, err, says)
		}
	}
	for text, from := range map[string]bool{"1..3": true, "2 (1..3)": false, "2": false} {
		var r Range
		if err := r.UnmarshalCSV(text); err != nil || r.FromMiddle() != from {
			t.Errorf("%q: from the middle %v", text, r.FromMiddle())
		}
		if again := r.String(); again != text {
			t.Errorf("%q is written %q", text, again)
		}
	}
	if (Range{}).Free() || (Range{}).Or(7) != 7 || Fixed(3).Or(7) != 3 {
		t.Error("an empty cell")
	}
}

// between is a cell with a range, to start from its middle.
func between(low, high float64) Range {
	return Range{Low: low, High: high, At: (low + high) / 2, Set: true}
}

// What is written reads back the same.
func TestRangeRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		low := rapid.Float64Range(-1e6, 1e6).Draw(t, "low")
		var want Range
		switch rapid.IntRange(0, 3).Draw(t, "kind") {
		case 1:
			want = Fixed(low)
		case 2:
			want = between(low, low+rapid.Float64Range(1e-3, 1e6).Draw(t, "width"))
		case 3:
			want = between(low, low+rapid.Float64Range(1e-3, 1e6).Draw(t, "width"))
			want.At = want.Low + rapid.Float64Range(0, 1).Draw(t, "share")*(want.High-want.Low)
		}
		text := want.String()
		var got Range
		if text != "" {
			if err := got.UnmarshalCSV(text); err != nil {
				t.Fatalf("%q: %v", text, err)
			}
		}
		if got.Set != want.Set || got.Low != want.Low || got.High != want.High || math.Abs(got.At-want.At) > 1e-9*(1+math.Abs(want.At)) {
			t.Fatalf("%+v by %q is %+v", want, text, got)
		}
	})
}
