package lm63

import (
	"math"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// token is one word of a file: where it stands in the text, and its line.
type token struct{ from, to, line int }

// words are the words of a file behind “TILT=”, in one flat list with their
// places. Fields are read one after the other. A word that is no number is an
// error and keeps its place, so that what follows stays in line; at the end of
// the file ended is set and everything more is zero.
type words struct {
	*report
	text string
	list []token
	at   int // index of the next word
	// beyond counts words that are not listed, since no file has so many.
	beyond  int
	endLine int
	ended   bool
}

// mostWords is more than a file can need whose counts are within their limits.
const mostWords = mostValues + 2*mostAngles + 2*mostTilts + 100

// isSeparator tells what stands between words: spaces, tabs, line ends and
// commas, any number of them, and the end mark of old systems (0x1A).
func isSeparator(r rune) bool { return r == ' ' || r == ',' || r == 0x1a || unicode.IsSpace(r) }

// split lists the words of text from a place on.
func split(text string, from int, r *report) *words {
	w := &words{report: r, text: text, endLine: 1 + strings.Count(text[:from], "\n")}
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

func (w *words) add(from, to int) {
	if len(w.list) == mostWords {
		w.beyond++
		return
	}
	w.list = append(w.list, token{from, to, w.endLine})
}

func (w *words) word(t token) string { return w.text[t.from:t.to] }

// column counts in characters from 1.
func (w *words) column(t token) int {
	start := strings.LastIndexByte(w.text[:t.from], '\n') + 1
	return utf8.RuneCountInString(w.text[start:t.from]) + 1
}

// line is the line of the last word read.
func (w *words) line() int { return w.list[w.at-1].line }

// failAt adds an error about a word.
func (w *words) failAt(t token, expected string) {
	if len(w.errors) >= mostErrors {
		return // counting the column takes time on a long line
	}
	w.fail(&Error{Line: t.line, Column: w.column(t), Found: w.word(t), Expected: expected})
}

// failEnd adds the error that the file ends too early.
func (w *words) failEnd(found, expected string) {
	w.ended = true
	w.failWords(w.endLine, "the end of the file"+found, expected)
}

// number reads one number that fits; expected says what it is.
func (w *words) number(expected string, fits func(float64) bool) (float64, bool) {
	switch {
	case w.ended:
		return 0, false
	case w.at == len(w.list):
		w.failEnd("", expected)
		return 0, false
	}
	t := w.list[w.at]
	w.at++
	v, ok := parseNumber(w.word(t))
	if !ok || !fits(v) {
		w.failAt(t, expected)
		return 0, false
	}
	return v, true
}

// whole reads a whole number from lo to hi, with or without a decimal point.
func (w *words) whole(expected string, lo, hi int) (int, bool) {
	v, ok := w.number(expected, func(v float64) bool {
		return v == math.Trunc(v) && v >= float64(lo) && v <= float64(hi)
	})
	return int(v), ok
}

// numbers reads count numbers and returns them with their words. Where expected
// returns something for a number, that is what should stand there instead.
func (w *words) numbers(what string, count int, expected func(float64) string) ([]float64, []token) {
	if w.ended {
		return nil, nil
	}
	read := w.list[w.at:min(w.at+count, len(w.list))]
	w.at += len(read)
	out := make([]float64, len(read))
	for i, t := range read {
		v, ok := parseNumber(w.word(t))
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
func (w *words) ascending(what string, count int) ([]float64, []token) {
	last := math.Inf(-1)
	return w.numbers(what+" angles", count, func(v float64) string {
		before := last
		if last = v; v > before {
			return ""
		}
		return "a " + what + " angle above " + short(before) + ", as they ascend"
	})
}

// commaHint helps where decimal commas have made two numbers of one.
func (w *words) commaHint() string {
	for i := 1; i < len(w.text)-1; i++ {
		if w.text[i] == ',' && isDigit(w.text[i-1]) && isDigit(w.text[i+1]) {
			return " (a comma separates numbers in this format, it is no decimal comma)"
		}
	}
	return ""
}

func isDigit(c byte) bool { return c >= '0' && c <= '9' }

// largest is the size of the largest number that makes sense in a file.
const largest = 1e12

// parseNumber reads a decimal number. Words that a general parser would take
// for numbers (inf, nan, hexadecimal) are none here.
func parseNumber(s string) (float64, bool) {
	for i := range len(s) {
		switch c := s[i]; {
		case isDigit(c), c == '.', c == '-', c == '+', c == 'e', c == 'E':
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

// short writes a number for a message.
func short(v float64) string { return strconv.FormatFloat(v, 'g', 6, 64) }
