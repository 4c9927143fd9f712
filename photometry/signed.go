package photometry

import (
	"regexp"
	"strings"
)

// hyphens are the hyphens before figures, and options of a command line with theirs, which
// are copied as they are. One within a word, a date or quotes is no sign.
var hyphens = regexp.MustCompile(`--[\w-]+[ =]-|(?:^|[^\p{L}\p{N}_"“'‘.)-])-\.?[0-9]`)

// Signed writes minus signs (U+2212), as wide as a plus, before figures. Every text of a
// screen, page or picture goes through it; JSON and tables to be read again keep the hyphen.
func Signed(text string) string {
	if !strings.Contains(text, "-") {
		return text
	}
	return hyphens.ReplaceAllStringFunc(text, func(found string) string {
		if strings.HasPrefix(found, "--") {
			return found
		}
		return strings.Replace(found, "-", "\u2212", 1)
	})
}
