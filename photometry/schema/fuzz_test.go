package schema

import (
	"math"
	"testing"

	"evenfall/photometry"
	"evenfall/photometry/ratio"
)

// Any value of any note is read or refused in words: shutters, stops, ratios, tolerances,
// lengths and sizes among them; what is read is a number within its bounds.
func FuzzValues(f *testing.F) {
	for _, n := range Notes {
		f.Add(n.Declaration().Example)
	}
	for _, seed := range []string{"4.8x2.4", "16ft x 8ft", "15'9\"", "1/50 s", "172.8°", "4:1 key to fill", "± 1/3", "-1 1/3 stops", "10 mired, 0.003 Duv", "9×5", "0.6,0.3,4.2,2.2"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		said := func(what string, err error) bool {
			if err != nil && err.Error() == "" {
				t.Fatalf("%s %q: an error without a word", what, text)
			}
			return err == nil
		}
		holds := func(what string, ok bool, values ...float64) {
			for _, v := range values {
				if !ok || math.IsNaN(v) || math.IsInf(v, 0) {
					t.Fatalf("%s %q: %v", what, text, values)
				}
			}
		}
		for _, n := range Notes {
			said(n.Declaration().Name, Check(n, text))
		}
		if w, h, err := ParseSize(text, "m"); said("size", err) {
			holds("size", side.Hold(w) && side.Hold(h), w, h)
		}
		if columns, rows, err := ParseGridSize(text); said("grid", err) {
			holds("grid", columns >= 1 && rows >= 1 && columns*rows <= MostPlaces, float64(columns))
		}
		if l, err := ParseLength(text, "m"); said("length", err) {
			holds("length", math.Abs(l) <= FarthestM, l)
		}
		if s, err := photometry.ParseShutter(text, 25); said("shutter", err) {
			holds("shutter", s > 0, s)
		}
		if s, err := photometry.ParseStops(text, nil); said("stops", err) {
			holds("stops", true, s)
		}
		if target, err := ratio.ParseTarget(text, photometry.ParseNumber); said("target", err) {
			holds("target", true, target.Stops)
		}
	})
}
