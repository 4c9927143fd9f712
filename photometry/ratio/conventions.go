package ratio

import (
	"math"
	"strconv"
	"strings"

	"evenfall/photometry"
)

// Two conventions are in use for one pair of lights. Key to fill divides the key
// alone by the fill alone; the lighting ratio divides what the key's side of a
// subject gets, key plus fill, by what the other side gets, the fill alone. Both
// are handbook usage; which one is meant has to be said.

// KeyToFill is the key alone divided by the fill alone, in one quantity.
func KeyToFill(key, fill float64) float64 { return key / fill }

// LightingRatioFrom is the lighting ratio of lights in a ratio of key to fill:
// one more.
func LightingRatioFrom(keyToFill float64) float64 { return keyToFill + 1 }

// KeyToFillFrom is the ratio of key to fill behind a lighting ratio: one less.
func KeyToFillFrom(lightingRatio float64) float64 { return lightingRatio - 1 }

// Target is a wanted ratio of a mark in one convention.
type Target struct {
	Ratio      float64 `json:"ratio"`
	Stops      float64 `json:"stops"`      // log2 of it
	Convention string  `json:"convention"` // key_to_fill or lighting_ratio
	// Assumed says that the convention was not said.
	Assumed bool `json:"assumed,omitempty"`
}

// The conventions of a target.
const (
	KeyToFillConvention = "key_to_fill"
	LightingConvention  = "lighting_ratio"
)

// isRatio reports whether a figure is a ratio of key and fill, in either convention.
func isRatio(of string) bool { return of == KeyToFillConvention || of == LightingConvention }

// Name is the convention in words.
func (t Target) Name() string {
	if t.Convention == LightingConvention {
		return "lighting ratio"
	}
	return "key to fill"
}

// keyToFill is the ratio of key to fill that the target asks for.
func (t Target) keyToFill() float64 {
	if t.Convention == LightingConvention {
		return KeyToFillFrom(t.Ratio)
	}
	return t.Ratio
}

// ParseTarget reads a ratio of lights: 4:1, 4 to 1, 2.5:1, or stops between them,
// 2 stops. Words behind it say which is meant, "key to fill" or "lighting ratio"
// ("key plus fill to fill"); without them it is key to fill, and Assumed is set.
// A lighting ratio is more than 1:1. parse reads numbers; nil is a plain one.
func ParseTarget(text string, parse func(string) (float64, error)) (Target, error) {
	wrong := &photometry.SyntaxError{Found: text, Expected: "a ratio such as 4:1 or 2 stops, and which: key to fill, or lighting ratio"}
	if parse == nil {
		parse = photometry.ParseNumber
	}
	body := strings.ToLower(strings.TrimSpace(text))
	t := Target{Convention: KeyToFillConvention, Assumed: true}
	for _, c := range []struct{ words, convention string }{
		{"key plus fill to fill", LightingConvention}, {"key+fill to fill", LightingConvention}, {"key+fill:fill", LightingConvention},
		{"lighting ratio", LightingConvention}, {"lighting", LightingConvention},
		{"key to fill", KeyToFillConvention}, {"key:fill", KeyToFillConvention},
	} {
		if strings.Contains(body, c.words) {
			t.Convention, t.Assumed = c.convention, false
			body = strings.Trim(strings.Replace(body, c.words, "", 1), " ,()")
			break
		}
	}
	above, below, ok := strings.Cut(body, ":")
	if !ok {
		above, below, ok = strings.Cut(body, " to ")
	}
	if ok {
		a, errA := parse(strings.TrimSpace(above))
		b, errB := parse(strings.TrimSpace(below))
		if errA != nil || errB != nil || !(a > 0 && b > 0) {
			return t, wrong
		}
		t.Ratio = a / b
	} else {
		if !strings.Contains(body, "stop") {
			return t, wrong
		}
		stops, err := photometry.ParseStops(body, parse)
		if err != nil {
			return t, wrong
		}
		t.Ratio = photometry.Factor(stops)
	}
	if !(t.Ratio >= 1e-3 && t.Ratio <= 1e4) {
		return t, &photometry.SyntaxError{Found: text, Expected: "a ratio that lights can have, up to 10000:1"}
	}
	if t.Convention == LightingConvention && !(t.Ratio > 1) {
		return t, &photometry.SyntaxError{Found: text, Expected: "a lighting ratio above 1:1, since key plus fill is more than the fill"}
	}
	t.Stops = math.Log2(t.Ratio)
	return t, nil
}

// Format prints a ratio to one: 4.0:1, 0.80:1, 16:1.
func Format(ratio float64) string {
	digits := 1
	switch {
	case ratio >= 10:
		digits = 0
	case ratio < 1:
		digits = 2
	}
	return strconv.FormatFloat(ratio, 'f', digits, 64) + ":1"
}
