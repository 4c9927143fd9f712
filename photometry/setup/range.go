package setup

import (
	"math"
	"strconv"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/table"
)

// Range is a cell of a lamp table that is a number, or the ends between which
// a solver may choose: 1.5..3.0. The present value may be before the ends,
// 2.1 (1.5..3.0); without it the middle is where a solver starts. The zero
// value is an empty cell.
type Range struct {
	Low, High float64 // equal for a number
	At        float64 // the number, the stated present value, or the middle
	Set       bool    // the cell is not empty
	Stated    bool    // a range with its present value
}

// Fixed is a cell with a number.
func Fixed(v float64) Range { return Range{Low: v, High: v, At: v, Set: true} }

// Free reports whether the cell leaves a choice.
func (r Range) Free() bool { return r.Set && r.Low < r.High }

// FromMiddle reports whether a free cell starts from the middle of its range, as
// one without a present value does.
func (r Range) FromMiddle() bool { return r.Free() && !r.Stated && r.At == (r.Low+r.High)/2 }

// Or is the cell's number, or another where the cell is empty.
func (r Range) Or(other float64) float64 {
	if !r.Set {
		return other
	}
	return r.At
}

const rangeExpected = "a number, or a range such as 1.5..3.0 with the lower end first"

// UnmarshalCSV reads a cell.
func (r *Range) UnmarshalCSV(text string) error {
	wrong := &table.Error{Found: text, Expected: rangeExpected}
	body := strings.TrimSpace(text)
	stated := ""
	if open := strings.IndexByte(body, '('); open >= 0 && strings.HasSuffix(body, ")") {
		stated, body = strings.TrimSpace(body[:open]), strings.TrimSpace(body[open+1:len(body)-1])
		if stated == "" {
			return wrong
		}
	}
	low, high, isRange := cutRange(body)
	if !isRange {
		v, ok := plainNumber(body)
		if !ok || stated != "" {
			return wrong
		}
		*r = Fixed(v)
		return nil
	}
	a, okA := plainNumber(low)
	b, okB := plainNumber(high)
	switch {
	case !okA || !okB:
		return wrong
	case a > b:
		wrong.Expected = "a range with the lower end first: 1.5..3.0, not 3.0..1.5"
		return wrong
	case a == b:
		wrong.Expected = "a range with two different ends, or a plain number"
		return wrong
	}
	at := (a + b) / 2
	if stated != "" {
		v, ok := plainNumber(stated)
		if !ok || v < a || v > b {
			wrong.Expected = "a present value within the range, as in 2.1 (1.5..3.0)"
			return wrong
		}
		at = v
	}
	*r = Range{Low: a, High: b, At: at, Set: true, Stated: stated != ""}
	return nil
}

// cutRange splits a range at two dots or an ellipsis.
func cutRange(text string) (low, high string, ok bool) {
	for _, between := range []string{"…", "...", ".."} {
		if low, high, ok := strings.Cut(text, between); ok {
			return strings.TrimSpace(low), strings.TrimSpace(high), true
		}
	}
	return "", "", false
}

// plainNumber reads a number; a sign of percent or degrees may follow, which
// changes nothing where it is.
func plainNumber(text string) (float64, bool) {
	text = strings.TrimSpace(strings.TrimRight(strings.TrimSpace(text), "%°"))
	v, err := photometry.ParseNumber(text)
	return v, err == nil && !math.IsInf(v, 0)
}

// String is the cell as it is written in a table.
func (r Range) String() string {
	number := func(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }
	switch {
	case !r.Set:
		return ""
	case !r.Free():
		return number(r.At)
	case !r.Stated && r.At == (r.Low+r.High)/2:
		return number(r.Low) + ".." + number(r.High)
	}
	return number(r.At) + " (" + number(r.Low) + ".." + number(r.High) + ")"
}
