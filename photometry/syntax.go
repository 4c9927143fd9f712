package photometry

import (
	"fmt"
	"strconv"
	"strings"
)

// SyntaxError is text that cannot be read as what was asked for.
type SyntaxError struct {
	Found    string // the text as written
	Expected string // what would have been right, for people
}

// Error says both: found "…", expected ….
func (e *SyntaxError) Error() string {
	return fmt.Sprintf("found %q, expected %s", e.Found, e.Expected)
}

// ParseNumber reads a plain decimal number: digits and a point. It is what a
// reading falls back on where no table has said how its file writes numbers.
func ParseNumber(text string) (float64, error) {
	clean := strings.Replace(strings.TrimSpace(text), "\u2212", "-", 1)
	for _, r := range clean {
		if (r < '0' || r > '9') && !strings.ContainsRune("+-.eE", r) {
			return 0, &SyntaxError{text, "a number such as 12.5"}
		}
	}
	v, err := strconv.ParseFloat(clean, 64)
	if err != nil {
		return 0, &SyntaxError{text, "a number such as 12.5"}
	}
	return v, nil
}

var fractionSigns = map[string]float64{"½": 0.5, "⅓": 1.0 / 3, "⅔": 2.0 / 3, "¼": 0.25, "¾": 0.75}

// ParseFraction reads 1/3, 7/10, ½ and the like; ok is false where text is none.
func ParseFraction(text string) (value float64, ok bool) {
	if v, ok := fractionSigns[text]; ok {
		return v, true
	}
	above, below, found := strings.Cut(text, "/")
	if !found {
		return 0, false
	}
	a, errA := strconv.ParseUint(strings.TrimSpace(above), 10, 31)
	b, errB := strconv.ParseUint(strings.TrimSpace(below), 10, 31)
	if errA != nil || errB != nil || b == 0 {
		return 0, false
	}
	return float64(a) / float64(b), true
}

// mixed reads a number, a fraction, or a number and a signed fraction of a
// stop: 12, 1/3, 12 1/3, 8 -1/3, 5.6 + 7/10. whole is 0 and fractionOnly true
// where only a fraction stands.
func mixed(text string, parse func(string) (float64, error)) (whole, part float64, fractionOnly bool, err error) {
	text = strings.TrimSpace(text)
	if f, ok := ParseFraction(strings.TrimPrefix(text, "+")); ok {
		return 0, f, true, nil
	}
	if cut := strings.LastIndexAny(text, " \u00a0"); cut > 0 {
		tail := strings.TrimSpace(text[cut:])
		head := strings.TrimSpace(text[:cut])
		sign := 1.0
		for _, s := range []string{"+", "-", "\u2212"} {
			trimmedTail, inTail := strings.CutPrefix(tail, s)
			trimmedHead, inHead := strings.CutSuffix(head, s)
			if inTail || inHead {
				tail, head = strings.TrimSpace(trimmedTail), strings.TrimSpace(trimmedHead)
				if s != "+" {
					sign = -1
				}
				break
			}
		}
		if f, ok := ParseFraction(tail); ok {
			whole, err = parse(head)
			return whole, sign * f, false, err
		}
	}
	for _, glyph := range []string{"½", "⅓", "⅔", "¼", "¾"} {
		if head, ok := strings.CutSuffix(text, glyph); ok {
			f, _ := ParseFraction(glyph)
			whole, err = parse(strings.TrimSpace(head))
			return whole, f, false, err
		}
	}
	whole, err = parse(text)
	return whole, 0, false, err
}
