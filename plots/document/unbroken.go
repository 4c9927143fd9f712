package document

import (
	"regexp"
	"slices"
	"strings"
)

// hyphens are the hyphens before figures, and options of a command line with theirs, which
// are copied as they are. One within a word, a date or quotes is no sign.
var hyphens = regexp.MustCompile(`--[\w-]+[ =]-|(?:^|[^\p{L}\p{N}_"“'‘.)-])-\.?[0-9]`)

// Signed writes minus signs (U+2212) before figures, as pictures have them. Every text of
// a screen or page goes through it; JSON and tables to be read again keep the hyphen.
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

// options are parentheses with options of the command line.
var options = regexp.MustCompile(` \([^()]*--[a-z][^()]*\)`)

// onPage is a text on a page or paper, which takes no options.
func onPage(text string) string { return Signed(options.ReplaceAllString(text, "")) }

// units are what stays beside the figure before it.
var units = strings.Fields("lx fc % m ft cm mm in K W s stop stops mired cd cd/m² lm Duv high left right out")

// Unbroken keeps figures with their signs and units on one line.
func Unbroken(text string) string {
	var b strings.Builder
	words := strings.Fields(onPage(text))
	for i, word := range words {
		if i > 0 {
			if digit(words[i-1]) && slices.Contains(units, strings.TrimRight(word, ",.;:)")) {
				b.WriteString("\u00a0")
			} else {
				b.WriteByte(' ')
			}
		}
		b.WriteString(word)
	}
	return b.String()
}

// joined is the same on a page, where a line may also break behind the dash of a range and
// the hyphens of a date.
func joined(text string) string { return whole(Unbroken(text)) }

// whole keeps ranges and dates on one line.
func whole(text string) string {
	return dates.ReplaceAllString(strings.ReplaceAll(text, "–", "–\u2060"), "$1-\u2060$2-\u2060$3")
}

var dates = regexp.MustCompile(`(\d{4})-(\d\d)-(\d\d)`)

// name is a cell of a table: one of a few letters is not broken, nor are coordinates.
func name(most int, text string) string {
	text = onPage(text)
	if n := len([]rune(text)); n > most && (n > 12 || !digit(text)) {
		return whole(text)
	}
	return strings.ReplaceAll(whole(text), " ", "\u00a0")
}

// unhyphened is a text that does not break at its hyphens.
func unhyphened(text string) string { return strings.ReplaceAll(text, "-", "\u2011") }

// digit reports whether a word ends in a figure.
func digit(word string) bool {
	last := strings.TrimRight(word, ",;)")
	return last != "" && last[len(last)-1] >= '0' && last[len(last)-1] <= '9'
}
