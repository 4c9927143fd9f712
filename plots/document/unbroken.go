package document

import (
	"regexp"
	"slices"
	"strings"

	"evenfall/photometry"
)

// options are parentheses with options of the command line.
var options = regexp.MustCompile(` \([^()]*--[a-z][^()]*\)`)

// onPage is a text on a page or paper, which takes no options.
func onPage(text string) string { return photometry.Signed(options.ReplaceAllString(text, "")) }

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

// inCell is a text in a cell of a table: one of up to eight letters is not broken, nor
// are coordinates.
func inCell(text string) string {
	text = onPage(text)
	if n := len([]rune(text)); n > 8 && (n > 12 || !digit(text)) {
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
