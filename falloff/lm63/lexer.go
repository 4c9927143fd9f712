package lm63

import (
	"math"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// token is one word of a file with its place.
type token struct {
	text string
	line int
	// before is what stands on the line in front of the word.
	before string
}

// column counts in characters from 1.
func (t token) column() int {
	if t.line == 0 {
		return 0
	}
	return utf8.RuneCountInString(t.before) + 1
}

// lexer cuts text into words. Spaces, tabs, line ends and commas separate, any
// number of them, and so does the end mark of old systems (0x1A).
type lexer struct {
	text            string
	at, line, start int // place, its line (from 1) and where that line starts
}

// separator returns the length of the separator at the start of s, zero where
// there is none.
func separator(s string) int {
	switch c := s[0]; {
	case c == ' ' || c == ',' || c >= '\t' && c <= '\r' || c == 0x1a:
		return 1
	case c < utf8.RuneSelf:
		return 0
	}
	if r, n := utf8.DecodeRuneInString(s); unicode.IsSpace(r) {
		return n
	}
	return 0
}

// skip moves to the next word.
func (l *lexer) skip() {
	for l.at < len(l.text) {
		n := separator(l.text[l.at:])
		if n == 0 {
			return
		}
		if l.text[l.at] == '\n' {
			l.line, l.start = l.line+1, l.at+1
		}
		l.at += n
	}
}

// next returns the next word, and false at the end.
func (l *lexer) next() (token, bool) {
	l.skip()
	if l.at == len(l.text) {
		return token{line: l.line}, false
	}
	from := l.at
	for l.at < len(l.text) && separator(l.text[l.at:]) == 0 {
		l.at++
		for l.at < len(l.text) && !utf8.RuneStart(l.text[l.at]) {
			l.at++
		}
	}
	return token{text: l.text[from:l.at], line: l.line, before: l.text[l.start:from]}, true
}

// rest returns what is left of the line, and moves to the next line.
func (l *lexer) rest() string {
	s, _, more := strings.Cut(l.text[l.at:], "\n")
	l.at += len(s)
	if more {
		l.at++
		l.line, l.start = l.line+1, l.at
	}
	return s
}

// largest is the size of the largest number that makes sense in a file.
const largest = 1e12

// parseNumber reads a decimal number. Words that a general parser would take
// for numbers (inf, nan, hexadecimal) are none here.
func parseNumber(s string) (float64, bool) {
	for i := range len(s) {
		switch c := s[i]; {
		case c >= '0' && c <= '9', c == '.', c == '-', c == '+', c == 'e', c == 'E':
		default:
			return 0, false
		}
	}
	v, err := strconv.ParseFloat(s, 64)
	if err != nil || math.Abs(v) > largest {
		return 0, false
	}
	return v, true
}
