package lm63

import (
	"math"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// token is one word of a file: its byte range in the text, and its line.
type token struct{ from, to, line int }

// tokenReader reads the tokens after “TILT=” one field after another. A token
// that is not a number is an error but still counts as one field, so that later
// fields are read correctly; at the end of the file, ended is set and all
// further fields are zero.
type tokenReader struct {
	*report
	source string
	tokens []token
	next   int // index of the next token
	// dropped counts the tokens after the first maxTokens.
	dropped int
	endLine int
	ended   bool
}

// maxTokens is more than a file within the limits on its counts can need.
const maxTokens = maxValues + 2*maxAngles + 2*maxTilts + 100

// isSeparator reports whether r separates tokens: a space, tab, line end or
// comma, or the end-of-file mark of old systems (0x1A).
func isSeparator(r rune) bool { return r == ' ' || r == ',' || r == 0x1a || unicode.IsSpace(r) }

// newTokenReader splits the text from a byte offset on into tokens.
func newTokenReader(text string, from int, r *report) *tokenReader {
	w := &tokenReader{report: r, source: text, endLine: 1 + strings.Count(text[:from], "\n")}
	start := -1
	for i, c := range text[from:] {
		switch separates := isSeparator(c); {
		case separates && start >= 0:
			w.add(start, from+i)
			start = -1
		case !separates && start < 0:
			start = from + i
		}
		if c == '\n' {
			w.endLine++
		}
	}
	if start >= 0 {
		w.add(start, len(text))
	}
	return w
}

func (w *tokenReader) add(from, to int) {
	if len(w.tokens) == maxTokens {
		w.dropped++
		return
	}
	w.tokens = append(w.tokens, token{from, to, w.endLine})
}

func (w *tokenReader) text(t token) string { return w.source[t.from:t.to] }

// column counts in characters from 1.
func (w *tokenReader) column(t token) int {
	start := strings.LastIndexByte(w.source[:t.from], '\n') + 1
	return utf8.RuneCountInString(w.source[start:t.from]) + 1
}

// line is the line of the last token read.
func (w *tokenReader) line() int { return w.tokens[w.next-1].line }

// failAt adds an error about a token.
func (w *tokenReader) failAt(t token, expected string) {
	if len(w.errors) >= maxErrors {
		return // counting the column takes time on a long line
	}
	w.fail(&Error{Line: t.line, Column: w.column(t), Found: w.text(t), Expected: expected})
}

// failEnd adds the error that the file ends too early, and stops the reading.
func (w *tokenReader) failEnd(found, expected string) {
	w.ended = true
	w.failDescribed(w.endLine, "the end of the file"+found, expected)
}

// number reads one number that fits accepts; expected describes it in an error.
func (w *tokenReader) number(expected string, fits func(float64) bool) (float64, bool) {
	switch {
	case w.ended:
		return 0, false
	case w.next == len(w.tokens):
		w.failEnd("", expected)
		return 0, false
	}
	t := w.tokens[w.next]
	w.next++
	v, ok := parseNumber(w.text(t))
	if !ok || !fits(v) {
		w.failAt(t, expected)
		return 0, false
	}
	return v, true
}

// integer reads a whole number from lo to hi, with or without a decimal point.
func (w *tokenReader) integer(expected string, lo, hi int) (int, bool) {
	v, ok := w.number(expected, func(v float64) bool {
		return v == math.Trunc(v) && v >= float64(lo) && v <= float64(hi)
	})
	return int(v), ok
}

// numbers reads count numbers and returns them with their tokens. For a number
// that is not allowed, expected returns what is.
func (w *tokenReader) numbers(what string, count int, expected func(float64) string) ([]float64, []token) {
	if w.ended {
		return nil, nil
	}
	read := w.tokens[w.next:min(w.next+count, len(w.tokens))]
	w.next += len(read)
	out := make([]float64, len(read))
	for i, t := range read {
		v, ok := parseNumber(w.text(t))
		if out[i] = v; !ok {
			w.failAt(t, "a number, one of "+strconv.Itoa(count)+" "+what)
		} else if e := expected(v); e != "" {
			w.failAt(t, e)
		}
	}
	if len(read) < count {
		w.failEnd(" after "+strconv.Itoa(len(read))+" "+what, strconv.Itoa(count)+" of them"+w.commaHint())
	}
	return out, read
}

// ascending reads count angles.
func (w *tokenReader) ascending(what string, count int) ([]float64, []token) {
	last := math.Inf(-1)
	return w.numbers(what+" angles", count, func(v float64) string {
		before := last
		if last = v; v > before {
			return ""
		}
		return "a " + what + " angle above " + formatNumber(before) + ", as they ascend"
	})
}

// commaHint explains that a decimal comma splits one number into two.
func (w *tokenReader) commaHint() string {
	for i := 1; i < len(w.source)-1; i++ {
		if w.source[i] == ',' && isDigit(w.source[i-1]) && isDigit(w.source[i+1]) {
			return " (a comma separates numbers in this format, it is no decimal comma)"
		}
	}
	return ""
}

func isDigit(c byte) bool { return c >= '0' && c <= '9' }

// maxMagnitude is the largest absolute value of a number in a file.
const maxMagnitude = 1e12

// parseNumber reads a decimal number; inf, nan and hexadecimal numbers are not
// accepted.
func parseNumber(s string) (float64, bool) {
	for i := range len(s) {
		switch c := s[i]; {
		case isDigit(c), c == '.', c == '-', c == '+', c == 'e', c == 'E':
		default:
			return 0, false
		}
	}
	v, err := strconv.ParseFloat(s, 64)
	if err != nil || math.Abs(v) > maxMagnitude {
		return 0, false
	}
	return v, true
}

// formatNumber writes a number for a message.
func formatNumber(v float64) string { return strconv.FormatFloat(v, 'g', 6, 64) }
