package document

import "strings"

// Unbroken keeps figures with their units on one line.
func Unbroken(text string) string {
	var b strings.Builder
	words := strings.Fields(text)
	for i, word := range words {
		if i > 0 {
			// A figure stays with the unit after it.
			if digit(words[i-1]) && len([]rune(word)) <= 5 && !digit(word) {
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

// digit reports whether a word ends in a figure.
func digit(word string) bool {
	last := strings.TrimRight(word, ",;)")
	return last != "" && last[len(last)-1] >= '0' && last[len(last)-1] <= '9'
}
