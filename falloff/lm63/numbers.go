package lm63

import (
	"math"
	"strconv"
)

// numbers reads the fields of a file one after the other. A word that is no
// number is an error and keeps its place, so that what follows stays in line;
// at the end of the file ended is set and everything more is zero.
type numbers struct {
	*lexer
	*report
	ended bool
	last  token
}

// number reads one number; expected says what it is.
func (n *numbers) number(expected string) (float64, bool) {
	if n.ended {
		return 0, false
	}
	t, ok := n.next()
	if !ok {
		n.ended = true
		n.failWords(t.line, "the end of the file", expected)
		return 0, false
	}
	n.last = t
	v, ok := parseNumber(t.text)
	if !ok {
		n.failAt(t, expected)
	}
	return v, ok
}

// within reads a number for which fits holds.
func (n *numbers) within(expected string, fits func(float64) bool) (float64, bool) {
	v, ok := n.number(expected)
	if ok && !fits(v) {
		n.failAt(n.last, expected)
		return 0, false
	}
	return v, ok
}

// whole reads a whole number from lo to hi, with or without a decimal point.
func (n *numbers) whole(expected string, lo, hi int) (int, bool) {
	v, ok := n.within(expected, func(v float64) bool {
		return v == math.Trunc(v) && v >= float64(lo) && v <= float64(hi)
	})
	return int(v), ok
}

// list reads count numbers and hands each to check. Memory grows with what the
// file holds, not with what it says.
func (n *numbers) list(what string, count int, check func(float64, token)) []float64 {
	if n.ended {
		return nil
	}
	out := make([]float64, 0, min(count, len(n.text)-n.at))
	for range count {
		t, ok := n.next()
		if !ok {
			n.ended = true
			n.failWords(t.line, "the end of the file after "+strconv.Itoa(len(out))+" "+what,
				strconv.Itoa(count)+" of them"+n.commaHint())
			return out
		}
		n.last = t
		v, ok := parseNumber(t.text)
		if !ok {
			n.failAt(t, "a number, one of "+strconv.Itoa(count)+" "+what)
		} else {
			check(v, t)
		}
		out = append(out, v)
	}
	return out
}

// ascending reads count angles and returns them with the places of the first
// and the last.
func (n *numbers) ascending(what string, count int) ([]float64, [2]token) {
	var ends [2]token
	previous, some := 0.0, false
	out := n.list(what+" angles", count, func(v float64, t token) {
		if some && v <= previous {
			n.failAt(t, "a "+what+" angle above "+short(previous)+", as they ascend")
		}
		if !some {
			ends[0] = t
		}
		previous, some, ends[1] = v, true, t
	})
	return out, ends
}

// commaHint helps where decimal commas have made two numbers of one.
func (n *numbers) commaHint() string {
	for i := 1; i < len(n.text)-1; i++ {
		if n.text[i] == ',' && isDigit(n.text[i-1]) && isDigit(n.text[i+1]) {
			return " (a comma separates numbers in this format, it is no decimal comma)"
		}
	}
	return ""
}

func isDigit(c byte) bool { return c >= '0' && c <= '9' }

// short writes a number for a message.
func short(v float64) string { return strconv.FormatFloat(v, 'g', 6, 64) }
