package photometry

import "testing"

// A minus sign stands before figures; what only looks like one stays, and so do options
// that are copied.
func TestSigned(t *testing.T) {
	for text, want := range map[string]string{
		"-0.26 stop, (-3 to -1)": "−0.26 stop, (−3 to −1)",
		"0.1–0.4, ±-.5":          "0.1–0.4, ±−.5",
		"at -1.6,-1.8 m":         "at −1.6,−1.8 m",
		"2026-03-04, cloth-2.csv, A-1, 1e-05, f-2, --5, “-0.6 m” on line 11": "2026-03-04, cloth-2.csv, A-1, 1e-05, f-2, --5, “-0.6 m” on line 11",
		"with --min -3 or --min=-2, -1":                                      "with --min -3 or --min=-2, −1",
	} {
		if got := Signed(text); got != want {
			t.Errorf("%q gives %q instead of %q", text, got, want)
		}
	}
}
