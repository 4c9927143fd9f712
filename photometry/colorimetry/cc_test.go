package colorimetry

import (
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestParseNeeds(t *testing.T) {
	for in, want := range map[string]CC{
		"needs 10M": -10, "has 10G": -10, "needs 1M": -1, "has 2G": -2, "needs 30M": -30,
		"needs 5G": 5, "has 5M": 5, "NEEDS cc2.5m": -2.5, "has 2,5 green": -2.5, "needs 4 magenta": -4,
		"0": 0, "needs 0": 0, "has 0G": 0, " need 7g ": 7,
	} {
		got, err := ParseNeeds(in)
		if err != nil {
			t.Errorf("%q: %v", in, err)
		}
		if got != want {
			t.Errorf("%q: %v, want %v", in, got, want)
		}
	}
}

// "needs 10M" and "has 10G" are the same light.
func TestNeedsIsHasOfTheOpposite(t *testing.T) {
	a, err := ParseNeeds("needs 10M")
	if err != nil {
		t.Fatal(err)
	}
	b, err := ParseNeeds("has 10G")
	if err != nil {
		t.Fatal(err)
	}
	if a != b || a.Needs() != "needs 10M" || a.Has() != "has 10G" || a.Color() != "magenta" {
		t.Errorf("%v, %v: %q, %q", a, b, a.Needs(), a.Has())
	}
}

func TestParseNeedsErrors(t *testing.T) {
	for in, says := range map[string][]string{
		"1M":          {"needs 1M", "has 1M", "needs 1G"},
		"cc 2G":       {"needs 2G", "has 2G", "needs 2M"},
		"needs 10":    {"color"},
		"needs -10M":  {"minus"},
		"needs 200M":  {"CC100"},
		"":            {"needs 10M"},
		"needs M":     {"needs 10M"},
		"needs 1M 2G": {"needs 10M"},
		"green":       {"needs 10M"},
	} {
		got, err := ParseNeeds(in)
		if err == nil || got != 0 {
			t.Errorf("%q: %v, %v", in, got, err)
			continue
		}
		for _, s := range says {
			if !strings.Contains(err.Error(), s) {
				t.Errorf("%q: %q does not say %q", in, err, s)
			}
		}
	}
}

func TestCCRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		cc := CC(rapid.Float64Range(-100, 100).Draw(t, "cc"))
		for _, s := range []string{cc.Needs(), cc.Has()} {
			got, err := ParseNeeds(s)
			if err != nil {
				t.Fatal(err)
			}
			if got != cc {
				t.Fatalf("%v came back from %q as %v", cc, s, got)
			}
		}
	})
}

func TestCCRound(t *testing.T) {
	for in, want := range map[CC]CC{-14.72: -14.5, 3.3: 3.5, 0.2: 0, -0.3: -0.5} {
		if got := in.Round(); got != want {
			t.Errorf("%v rounds to %v, want %v", in, got, want)
		}
	}
}

// What is read is written so that it reads back the same, whichever word is used.
func FuzzParseNeeds(f *testing.F) {
	for _, s := range []string{"needs 1M", "has 2G", "1M", "needs 30M", "has CC2.5 magenta", "0", "needs 1e3M", "needs .5g"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		cc, err := ParseNeeds(s)
		if err != nil {
			if cc != 0 {
				t.Errorf("%q: %v with %v", s, cc, err)
			}
			return
		}
		for _, again := range []string{cc.Needs(), cc.Has()} {
			if back, err := ParseNeeds(again); err != nil || back != cc {
				t.Errorf("%q is %v, but %q is %v, %v", s, cc, again, back, err)
			}
		}
	})
}

func TestParseFilter(t *testing.T) {
	for text, want := range map[string]CC{
		"30G": 30, "15M": -15, "CC7.5 magenta": -7.5, " 30 g ": 30, "7,5M": -7.5, "0": 0, "100G": 100,
	} {
		if got, err := ParseFilter(text); err != nil || got != want {
			t.Errorf("%q: %v, %v, want %v", text, got, err, want)
		}
	}
	for text, says := range map[string]string{
		"30": "no color", "": "not a filter", "needs 10M": "not a filter", "has 10G": "not a filter", "-15M": "not a filter", "+30G": "not a filter",
		"200G": "CC100", "green": "not a filter",
	} {
		if got, err := ParseFilter(text); err == nil || got != 0 || !strings.Contains(err.Error(), says) {
			t.Errorf("%q: %v, %v does not say %q", text, got, err, says)
		}
	}
}
