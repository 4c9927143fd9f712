package main

import (
	"regexp"
	"strings"
	"testing"
)

// mostWords is how many words a sentence of a command's help may have: twenty, and a few
// more for names in a list.
const mostWords = 24

// The help of every command is in short sentences.
func TestHelpIsShort(t *testing.T) {
	end := regexp.MustCompile(`[.?!:](\s+|$)`)
	for _, c := range (&app{}).root().Commands() {
		if c.Name() == "completion" || c.Name() == "help" {
			continue // of the library
		}
		for paragraph := range strings.SplitSeq(c.Long, "\n\n") {
			for _, sentence := range end.Split(strings.Join(strings.Fields(paragraph), " "), -1) {
				if n := len(strings.Fields(sentence)); n > mostWords && !strings.HasPrefix(paragraph, "  ") {
					t.Errorf("%s: %d words, at most %d: %s", c.Name(), n, mostWords, sentence)
				}
			}
		}
	}
}
