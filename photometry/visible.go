package photometry

import "strings"

// IsVisible reports whether a character may reach a screen: control characters, which
// a terminal may obey, and those that turn the direction of what follows may not
// (Unicode general category Cc; Unicode Standard Annex 9, explicit formatting). Line
// feeds and tabs may.
func IsVisible(c rune) bool {
	switch {
	case c == '\n' || c == '\t':
		return true
	case c < ' ', c >= 0x7f && c < 0xa0: // C0 and C1
		return false
	case c >= 0x202a && c <= 0x202e, c >= 0x2066 && c <= 0x2069, c == 0xfeff: // and the byte-order mark
		return false
	}
	return true
}

// Visible takes out of a text what may not reach a screen. What is not UTF-8 becomes
// U+FFFD.
func Visible(text string) string {
	return strings.Map(func(c rune) rune {
		if !IsVisible(c) {
			return -1
		}
		return c
	}, strings.ToValidUTF8(text, "\uFFFD"))
}
