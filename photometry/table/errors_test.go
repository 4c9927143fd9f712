package table

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"runtime"
	"strings"
	"testing"
	"testing/iotest"

	"github.com/google/go-cmp/cmp"
)

// TestErrorMessages spells errors with as much of the place as is known.
func TestErrorMessages(t *testing.T) {
	for _, c := range []struct {
		err  Error
		want string
	}{
		{Error{File: "cloth.csv", Line: 12, Column: 3, Found: "abc", Expected: "a level such as 1250 or 116 fc"},
			`cloth.csv:12:3: found "abc", expected a level such as 1250 or 116 fc`},
		{Error{File: "cloth.xlsx", Sheet: "K", Line: 12, Column: 3, Found: "abc"}, `cloth.xlsx[K]:12:3: found "abc"`},
		{Error{File: "cloth.csv", Line: 12, Found: ""}, `cloth.csv:12: found an empty cell`},
		{Error{Found: "an empty file", InWords: true, Expected: "a table"}, `found an empty file, expected a table`},
		{Error{File: "f", Found: strings.Repeat("é", 50)}, `f: found "` + strings.Repeat("é", 39) + `…"`},
		{Error{File: "f", Found: "a\x00\nb"}, `f: found "a\x00\nb"`},
		{Error{File: "f", Found: `8' 6"`}, `f: found "8' 6""`},
	} {
		if got := c.err.Error(); got != c.want {
			t.Errorf("%s\nwant %s", got, c.want)
		}
	}
}

// TestErrors sorts, lists and unwraps.
func TestErrors(t *testing.T) {
	var many Errors
	if many.ErrOrNil() != nil {
		t.Error("no errors are an error")
	}
	for i := range 25 {
		many = append(many, &Error{File: "f", Line: 25 - i, Column: 1, Found: "x"})
	}
	many = append(many, &Error{File: "f", Line: 3, Column: 2, Found: "y", Err: io.ErrUnexpectedEOF})
	err := many.ErrOrNil()
	lines := strings.Split(err.Error(), "\n")
	if len(lines) != 5 || lines[0] != `f:1:1: found "x"` || lines[3] != `f:3:2: found "y"` || lines[4] != `f:4:1: found "x" (the first of 22 such cells of column A, to line 25)` {
		t.Errorf("%q", lines)
	}
	var different Errors
	for i := range 26 {
		different = append(different, &Error{File: "f", Line: i + 1, Column: i + 1, Found: "x"})
	}
	if lines := strings.Split(different.Error(), "\n"); len(lines) != 21 || lines[20] != "and 6 more" {
		t.Errorf("%q", lines)
	}
	if !errors.Is(err, io.ErrUnexpectedEOF) {
		t.Error("the error beneath is not found")
	}
	var one *Error
	if !errors.As(err, &one) || one.Line != 1 {
		t.Errorf("%v", one)
	}
}

// TestFaults names the place of everything wrong, all of it together.
func TestFaults(t *testing.T) {
	for _, c := range []struct{ name, in, want string }{
		{"empty", "", "f.csv: found an empty file, expected a header row with the names of the columns, and rows below it"},
		{"blank", "\n \n,,\n", "f.csv: found an empty file, expected a header row with the names of the columns, and rows below it"},
		{"notes only", "# width: 4.8\n", "f.csv: found notes and no table, expected a header row with the names of the columns, and rows below it"},
		{"extra cells", "x,y\n1,2\n\n1,2,,3,4\n1,2,\" \"\n1,2,5",
			"f.csv:4:4: found \"3\", expected no more than the 2 cells of the header\nf.csv:6:3: found \"5\", expected no more than the 2 cells of the header"},
		{"extra cell", "x\n1;2\n1,2\n\t3,4\n", "f.csv:3:2: found \"2\", expected no more than the 1 cell of the header\n" +
			"f.csv:4:2: found \"4\", expected no more than the 1 cell of the header"},
		{"open quote", "x,y\n1,2\n1,\"two\nthree,4\n5,6\n", "f.csv:3:2: found a quote that opens here and is never closed, expected a closing quote"},
		{"text behind a quote", "x,y\n1,\"2\" m\n", "f.csv:2:2: found \"m\", expected nothing between a closing quote and the end of the cell"},
		{"line numbers behind long cells", "x,y\n1,\"a\r\nb\nc\"\n1,2,3\n", "f.csv:5:3: found \"3\", expected no more than the 2 cells of the header"},
		{"control characters", "x,y\n1,2\n1,\x07\n", "f.csv:3:2: found \"\\a\", expected text without control characters"},
		{"CR line ends", "x,y\r1,2\r1,2,3\r", "f.csv:3:3: found \"3\", expected no more than the 2 cells of the header"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := ReadColumns(strings.NewReader(c.in), "f.csv", allNumbers)
			if err == nil {
				t.Fatal("no error")
			}
			if diff := cmp.Diff(c.want, err.Error()); diff != "" {
				t.Errorf("(want, got):\n%s", diff)
			}
		})
	}
}

// TestForeignFiles says what a file is that is not a table.
func TestForeignFiles(t *testing.T) {
	for in, want := range map[string]string{
		"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR":  "a PNG picture",
		"\xff\xd8\xff\xe0\x00\x10JFIF":         "a JPEG picture",
		"%PDF-1.7\n":                           "a PDF document",
		"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1\x00": "an old .xls workbook",
		"\x1f\x8b\x08\x00":                     "a gzip archive",
		"<!DOCTYPE html><html>":                "a web page",
		"\n<?xml version=\"1.0\"?>":            "an XML file",
		"{\"x\": 1}":                           "a JSON file",
		"x,y\n1,\x00\n":                        "a binary file",
		"\x01\x02\x03\x04ab\n":                 "a binary file",
	} {
		_, err := ReadColumns(strings.NewReader(in), "f.csv", allNumbers)
		if err == nil || !strings.Contains(err.Error(), "f.csv: found "+want) || !strings.Contains(err.Error(), "expected a table") {
			t.Errorf("%q: %v", in, err)
		}
	}
}

// TestColumnLimit refuses a line of a million cells without keeping them, and
// takes as many as a table may have.
func TestColumnLimit(t *testing.T) {
	var before, after runtime.MemStats
	in := strings.Repeat("a,", 1_000_000) + "\n"
	runtime.ReadMemStats(&before)
	_, err := ReadColumns(strings.NewReader(in), "f.csv", allNumbers)
	runtime.ReadMemStats(&after)
	if err == nil || err.Error() != "f.csv:1: found more than 1024 columns, expected fewer in one table" {
		t.Error(err)
	}
	if used := after.TotalAlloc - before.TotalAlloc; used > 20<<20 {
		t.Errorf("%d bytes for a line of %d", used, len(in))
	}
	wide := strings.TrimSuffix(strings.Repeat("a,", MostColumns), ",") + "\n" + strings.Repeat("1,", MostColumns-1) + "2.5,,,\n"
	sheets, err := ReadColumns(strings.NewReader(wide), "f.csv", allNumbers)
	if err != nil || sheets[0].Columns[MostColumns-1].Num[0] != 2.5 {
		t.Error(err)
	}
}

// TestShortRows refuses a small file that would take much memory: rows of one
// cell under a very wide header.
func TestShortRows(t *testing.T) {
	const columns = 1 << 10
	in := strings.Repeat("1,", columns-1) + "2\n" + strings.Repeat("3\n", 2*maxMissingCells/columns)
	sheets, err := ReadColumns(strings.NewReader(in), "f.csv", allNumbers)
	if err == nil || err.Error() != "f.csv:32803: found short rows under a header of 1024 cells, expected a header as wide as its rows" {
		t.Error(err)
	}
	if len(sheets) != 1 || sheets[0].Rows != 32801 {
		t.Errorf("%d rows before it", sheets[0].Rows)
	}
	if _, err := ReadColumns(strings.NewReader("x,y,note\n"+strings.Repeat("1\n", 10_000)), "f.csv", allNumbers); err != nil {
		t.Error(err)
	}
}

// TestLineLimit refuses lines that no table has.
func TestLineLimit(t *testing.T) {
	long := strings.Repeat("a", maxLineLength+1)
	for in, want := range map[string]string{
		"x,y\n1,2\n" + long:           "f.csv:3: found a line of more than 16 MiB, expected lines of a table that a person can open",
		"x,y\n1,2\n1,\"" + long + `"`: "f.csv:3: found a line of more than 16 MiB, expected lines of a table that a person can open",
		"x,y\n1,2\n1,\"" + strings.Repeat(long[:1<<20]+"\n", 17) + `"`: "f.csv:3:2: found a quote that opens here and is never closed, expected a closing quote",
		long: "f.csv:1: found a line of more than 16 MiB, expected lines of a table that a person can open",
	} {
		sheets, err := ReadColumns(strings.NewReader(in), "f.csv", allNumbers)
		if err == nil || err.Error() != want {
			t.Error(err)
		}
		if in[0] == 'x' && sheets[0].Rows != 1 {
			t.Errorf("%d rows before it", sheets[0].Rows)
		}
	}
}

// TestFailingReader reports where reading failed, and keeps what was whole.
func TestFailingReader(t *testing.T) {
	broken := errors.New("the card was pulled out")
	in := io.MultiReader(strings.NewReader("x,y\n1,2\n3,4"), iotest.ErrReader(broken))
	sheets, err := ReadColumns(in, "f.csv", allNumbers)
	if !errors.Is(err, broken) || err.Error() != "f.csv:3: found an error while reading (the card was pulled out), expected the rest of the file" {
		t.Error(err)
	}
	if len(sheets) != 1 || sheets[0].Rows != 1 {
		t.Errorf("%v", sheets)
	}
	if _, err := ReadColumns(iotest.ErrReader(broken), "f.csv", allNumbers); !errors.Is(err, broken) {
		t.Error(err)
	}
	if _, err := ReadColumns(io.MultiReader(strings.NewReader("PK\x03\x04"), iotest.ErrReader(broken)), "f.xlsx", allNumbers); !errors.Is(err, broken) {
		t.Error(err)
	}
	for _, slow := range []func(io.Reader) io.Reader{iotest.OneByteReader, iotest.HalfReader, iotest.DataErrReader} {
		sheets, err := ReadColumns(slow(strings.NewReader("x,y\n1,2\n3,4.5")), "f.csv", allNumbers)
		if err != nil || sheets[0].Rows != 2 || sheets[0].Columns[1].Num[1] != 4.5 {
			t.Errorf("%v, %v", sheets, err)
		}
	}
}

// TestManyErrors stops where a file is hopeless.
func TestManyErrors(t *testing.T) {
	var b bytes.Buffer
	b.WriteString("x,y\n")
	for i := range 3 * maxErrors {
		fmt.Fprintf(&b, "%d,2,3\n", i)
	}
	_, err := ReadColumns(&b, "f.csv", allNumbers)
	var many Errors
	if !errors.As(err, &many) || len(many) != maxErrors+1 {
		t.Fatalf("%d errors", len(many))
	}
	if last := many[maxErrors].Error(); last != "f.csv:10002: found 10000 errors, expected fewer; the rest of the file was not read" {
		t.Error(last)
	}
}

func TestErrorWithin(t *testing.T) {
	e := &Error{File: "cloth.xlsx", Sheet: "K", Line: 12, Column: 3, Found: "abc", Expected: "a level"}
	for file, want := range map[string]string{
		"cloth.xlsx": `sheet K, line 12, column 3: found "abc", expected a level`,
		"setup.csv":  `cloth.xlsx, sheet K, line 12, column 3: found "abc", expected a level`,
	} {
		if got := e.Within(file); got != want {
			t.Errorf("beside %s: %s, want %s", file, got, want)
		}
	}
	if got := (&Error{File: "cloth.csv", Found: "an empty file", InWords: true}).Within("cloth.csv"); got != "found an empty file" {
		t.Error(got)
	}
}
