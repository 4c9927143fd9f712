package document

import (
	"slices"
	"strings"
)

// units are what stays beside the figure before it.
var units = strings.Fields("lx fc % m ft cm mm in K W s stop stops mired cd cd/m² lm Duv high left right out")

// Unbroken keeps figures with their units on one line.
func Unbroken(text string) string {
	var b strings.Builder
	words := strings.Fields(text)
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

// joined is the same on a page, where a line may also break behind the dash of a range.
func joined(text string) string { return strings.ReplaceAll(Unbroken(text), "–", "–\u2060") }

// name is a cell of a table: a short one is not broken.
func name(text string) string {
	if len([]rune(text)) > 8 {
		return text
	}
	return strings.ReplaceAll(text, " ", "\u00a0")
}

// unhyphened is a text that does not break at its hyphens.
func unhyphened(text string) string { return strings.ReplaceAll(text, "-", "\u2011") }

// digit reports whether a word ends in a figure.
func digit(word string) bool {
	last := strings.TrimRight(word, ",;)")
	return last != "" && last[len(last)-1] >= '0' && last[len(last)-1] <= '9'
}
