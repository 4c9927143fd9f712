package table

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"evenfall/photometry"
)

// Error is one thing wrong at one place of a file. Its message reads
//
//	cloth.csv:12:3: found "abc", expected a level such as 1250 or 116 fc
//
// with the sheet in brackets after the file where there is one
// (cloth.xlsx[K]:12:3). Line and Column count from 1, Column in cells; zero
// is not known and is left out.
type Error struct {
	File, Sheet  string
	Line, Column int

	// Found is the text of the cell as in the file; the message quotes it, and
	// shortens it where it is long. Where InWords is set it is a description
	// instead (“an empty file”), printed without quotes.
	Found   string
	InWords bool

	// Expected describes what is allowed, to follow the word “expected”.
	Expected string

	// Err is the underlying error (of a reader that failed), usually nil.
	Err error
}

// Error returns the message.
func (e *Error) Error() string {
	var b strings.Builder
	writePlace(&b, e.File, e.Sheet, e.Line, e.Column)
	b.WriteString("found ")
	switch {
	case e.InWords:
		b.WriteString(e.Found)
	case strings.TrimSpace(e.Found) == "":
		b.WriteString("an empty cell")
	default:
		b.WriteString(quoteShort(e.Found))
	}
	if e.Expected != "" {
		b.WriteString(", expected ")
		b.WriteString(e.Expected)
	}
	return b.String()
}

// Within returns the message where the name of the file is shown separately, with
// the place in words: line 12, column 3: found "abc", expected a level.
func (e *Error) Within(file string) string {
	var where []string
	if e.File != file && e.File != "" {
		where = append(where, e.File)
	}
	if e.Sheet != "" {
		where = append(where, "sheet "+e.Sheet)
	}
	if e.Line > 0 {
		where = append(where, "line "+strconv.Itoa(e.Line))
	}
	if e.Column > 0 {
		where = append(where, "column "+strconv.Itoa(e.Column))
	}
	placeless := Error{Found: e.Found, InWords: e.InWords, Expected: e.Expected}
	if len(where) == 0 {
		return placeless.Error()
	}
	return strings.Join(where, ", ") + ": " + placeless.Error()
}

// Unwrap returns the underlying error, if any.
func (e *Error) Unwrap() error { return e.Err }

// maxListed is how many errors the message of Errors lists.
const maxListed = 20

// Errors are all the errors of a file (or of several), in the order of their
// lines. The message has one line for each of the first 20 and counts the rest.
type Errors []*Error

// Error returns the message, one line per error.
func (e Errors) Error() string {
	if len(e) == 0 {
		return "no errors"
	}
	var lines []string
	left := e
	for len(left) > 0 && len(lines) < maxListed {
		alike := left.alike()
		lines = append(lines, left[0].Error())
		if alike < fewAlike {
			left = left[1:]
			continue
		}
		lines[len(lines)-1] += fmt.Sprintf(" (the first of %d such cells of column %s, to line %d)", alike, ColumnName(left[0].Column), left[alike-1].Line)
		left = left[alike:]
	}
	if len(left) > 0 {
		lines = append(lines, fmt.Sprintf("and %d more", len(left)))
	}
	return strings.Join(lines, "\n")
}

// fewAlike is from how many errors of one column on, one after the other and with one
// expectation, the message lists the first alone.
const fewAlike = 6

// alike counts the errors at the start that differ in their lines and cells alone.
func (e Errors) alike() int {
	n := 1
	for n < len(e) && e[n].Column == e[0].Column && e[n].Expected == e[0].Expected && e[n].File == e[0].File && e[n].Sheet == e[0].Sheet && e[0].Column > 0 {
		n++
	}
	return n
}

// Unwrap returns the single errors, for errors.Is and errors.As.
func (e Errors) Unwrap() []error {
	out := make([]error, len(e))
	for i, one := range e {
		out[i] = one
	}
	return out
}

// Sort puts the errors in the order of their lines and columns. Files and
// sheets stay in the order in which they first come.
func (e Errors) Sort() {
	type place struct{ file, sheet string }
	order := make(map[place]int)
	for _, one := range e {
		p := place{one.File, one.Sheet}
		if _, seen := order[p]; !seen {
			order[p] = len(order)
		}
	}
	slices.SortStableFunc(e, func(a, b *Error) int {
		return cmp.Or(
			cmp.Compare(order[place{a.File, a.Sheet}], order[place{b.File, b.Sheet}]),
			cmp.Compare(a.Line, b.Line),
			cmp.Compare(a.Column, b.Column),
		)
	})
}

// ErrOrNil returns the errors, sorted, as an error, or nil where there are
// none. A function that collects errors ends with it.
func (e Errors) ErrOrNil() error {
	if len(e) == 0 {
		return nil
	}
	e.Sort()
	return e
}

// maxErrors is how many errors of a file are kept. With more it is probably the
// wrong file.
const maxErrors = 10_000

// errorList collects the errors of a file; after maxErrors it adds one that says
// that there are more.
type errorList struct{ all Errors }

func (l *errorList) add(e *Error) {
	if l.full() {
		return
	}
	l.all = append(l.all, e)
	if l.full() {
		l.all = append(l.all, &Error{File: e.File, Sheet: e.Sheet, Line: e.Line + 1, Found: strconv.Itoa(maxErrors) + " errors", InWords: true,
			Expected: "fewer; the rest of the file was not read"})
	}
}

// full reports whether there are so many errors that reading on is useless.
func (l *errorList) full() bool { return len(l.all) >= maxErrors }

// Warning is something that a person should know about a file that could still be
// read. Line and Column are as in Error.
type Warning struct {
	File, Sheet  string
	Line, Column int
	Text         string
}

// String returns the warning with its place, as Error does.
func (w Warning) String() string {
	var b strings.Builder
	writePlace(&b, w.File, w.Sheet, w.Line, w.Column)
	b.WriteString(w.Text)
	return b.String()
}

// Findings are warnings as those of a result, each under the code table.
func Findings(warnings []Warning) (out []photometry.Finding) {
	for _, w := range warnings {
		out = append(out, photometry.Finding{Code: "table", Text: w.String()})
	}
	return out
}

// writePlace writes “file[sheet]:line:column: ” as far as it is known.
func writePlace(b *strings.Builder, file, sheet string, line, column int) {
	b.WriteString(file)
	if sheet != "" {
		b.WriteByte('[')
		b.WriteString(sheet)
		b.WriteByte(']')
	}
	for _, n := range []int{line, column} {
		if n <= 0 {
			break
		}
		if b.Len() > 0 {
			b.WriteByte(':')
		}
		b.WriteString(strconv.Itoa(n))
	}
	if b.Len() > 0 {
		b.WriteString(": ")
	}
}

// maxQuotedLength is how many characters of a cell a message quotes.
const maxQuotedLength = 40

// quoteShort quotes a cell's text with escapes for invisible characters, and
// shortens it where it is long.
func quoteShort(s string) string {
	text := []rune(strings.TrimSpace(s))
	if len(text) > maxQuotedLength {
		text = append(text[:maxQuotedLength-1], '…')
	}
	var b strings.Builder
	b.WriteByte('"')
	for _, r := range text {
		if unicode.IsPrint(r) { // a quote inside stays as it was typed: 8' 6"
			b.WriteRune(r)
			continue
		}
		q := strconv.QuoteRune(r)
		b.WriteString(q[1 : len(q)-1])
	}
	b.WriteByte('"')
	return b.String()
}
