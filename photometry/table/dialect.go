package table

import (
	"bytes"
	"slices"
	"strconv"
	"strings"
	"unicode"
)

// Dialect is what was inferred about the way a file is written.
type Dialect struct {
	// Encoding is "UTF-8", "UTF-8 with byte-order mark", "UTF-16 LE",
	// "UTF-16 BE", "Windows-1252" or, for a workbook, "xlsx".
	Encoding string

	// Delimiter is ',', ';' or tab; 0 for a workbook.
	Delimiter rune

	// Decimal is '.' or ','. Where nothing in the file decided it, Settled is false
	// and Decimal is '.'.
	Decimal rune
	Settled bool
	// SettledBy is the first cell that decided Decimal.
	SettledBy Cell

	// Group is the separator seen between groups of three digits, 0 for none.
	Group rune

	// LineEnd is "LF", "CRLF", "CR", "mixed", or "" where there is none.
	LineEnd string
}

// String describes what was inferred:
//
//	Windows-1252, CRLF, semicolons, decimal comma (from "1,25" on line 4), groups of digits set apart by "."
func (d Dialect) String() string {
	lineEnd := d.LineEnd
	if lineEnd == "mixed" {
		lineEnd = "mixed line ends"
	}
	decimal := describeSign(d.Decimal)
	switch {
	case !d.Settled:
		decimal += " assumed"
	case d.SettledBy.Line > 0:
		decimal += " (from " + quoteShort(d.SettledBy.Text) + " on line " + strconv.Itoa(d.SettledBy.Line) + ")"
	}
	group := ""
	switch {
	case unicode.IsSpace(d.Group):
		group = "groups of digits set apart by spaces"
	case d.Group != 0:
		group = "groups of digits set apart by " + quoteShort(string(d.Group))
	}
	delimiter := map[rune]string{',': "commas", ';': "semicolons", '\t': "tabs"}[d.Delimiter]
	parts := []string{d.Encoding, lineEnd, delimiter, decimal, group}
	return strings.Join(slices.DeleteFunc(parts, func(part string) bool { return part == "" }), ", ")
}

// Number reads a number typed in this dialect: a sign, digits, the decimal
// sign, an exponent; groups of three digits may be set apart by the other
// sign, by a no-break space or by an apostrophe. Where the dialect is not
// settled, both signs are understood, and a text that can be read in two ways
// (1,234) is an error; 1.234 then has a decimal point. Errors are *Error
// without a place.
func (d Dialect) Number(text string) (float64, error) {
	n := scanNumeral(bytes.TrimSpace([]byte(text)))
	fail := func(expected string) (float64, error) {
		return 0, &Error{Found: strings.TrimSpace(text), Expected: expected}
	}
	sign := d.Decimal
	switch {
	case n.digits == "":
		return fail("a number")
	case !n.ambiguous:
		ownPoints := d.Encoding == encodingXLSX // a workbook's numbers have points whatever its texts have
		if n.decimal != 0 && d.Settled && n.decimal != sign && !ownPoints {
			return fail("a number with a " + describeSign(sign))
		}
	case !d.Settled && n.decimal == ',':
		return fail(ambiguityAdvice(strings.TrimSpace(text), ","))
	case !d.Settled:
		sign = '.'
	}
	v, ok := n.parse()
	if !ok {
		return fail("a number of less than 1.8e308")
	}
	return n.inDecimal(v, sign), nil
}

// ParseNumber reads a number with no file around it, such as one from the
// command line: 1.25 and 1,25 are both one and a quarter; 1,234 can be read in
// two ways and is an error that says how to settle it; 1.234 has a decimal
// point. Errors are *Error without a place.
func ParseNumber(text string) (float64, error) { return Dialect{Decimal: '.'}.Number(text) }

// rewrite writes the numbers inside a text of this dialect with a decimal
// point, without groups, and scaled by unit: “1,5..3,0” in centimeters
// gives “0.015..0.03”. The rest of the text stays.
func (d Dialect) rewrite(text string, unit scale) string {
	if unit == (scale{1, 1}) && d.Decimal != ',' && !strings.Contains(text, ",") {
		return text
	}
	raw := []byte(text)
	var b strings.Builder
	done := 0
	for token := range numberTokens(raw) {
		v, err := d.Number(text[token[0]:token[1]])
		if err != nil {
			continue
		}
		b.WriteString(text[done:token[0]])
		b.WriteString(strconv.FormatFloat(unit.of(v), 'g', -1, 64))
		done = token[1]
	}
	b.WriteString(text[done:])
	return b.String()
}

// ParseNumbers reads a list of exactly n numbers, such as the value of a note
// “area: 0.3,0.2,4.5,2.2”, whatever divides them: semicolons, tabs, blanks or
// commas, in this order. So “0,3;0,2;4,5;2,2” and “0,3 0,2 4,5 2,2” are the
// same four numbers. Errors are *Error without a place.
func ParseNumbers(text string, n int) ([]float64, error) {
	text = strings.TrimSpace(text)
	var failed error
	for _, divide := range []func(string) []string{
		func(s string) []string { return strings.Split(s, ";") },
		func(s string) []string { return strings.Split(s, "\t") },
		strings.Fields,
		func(s string) []string { return strings.Split(s, ",") },
	} {
		parts := divide(text)
		if len(parts) != n {
			continue
		}
		numbers := make([]float64, n)
		var err error
		for i, part := range parts {
			if numbers[i], err = ParseNumber(part); err != nil {
				break
			}
		}
		if err == nil {
			return numbers, nil
		}
		failed = err
	}
	e := &Error{Found: text, Expected: strconv.Itoa(n) + " numbers with commas between them"}
	if n == 1 {
		e.Expected = "a number"
	}
	if one, ok := failed.(*Error); ok && one.Expected != "a number" {
		e.Expected += ": " + one.Expected
	}
	return nil, e
}
