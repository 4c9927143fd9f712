package document

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// longestStem is how many bytes of a title a file's name has at most.
const longestStem = 80

// FileStem is a title as a file's name without its ending, which leads into no folder:
// letters and digits, with hyphens for all else; empty where there is none of them.
func FileStem(title string) string {
	stem := strings.Join(strings.FieldsFunc(title, func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) && !unicode.IsMark(r) }), "-")
	for len(stem) > longestStem {
		_, size := utf8.DecodeLastRuneInString(stem)
		stem = strings.TrimRight(stem[:len(stem)-size], "-")
	}
	return stem
}
