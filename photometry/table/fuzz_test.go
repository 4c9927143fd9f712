package table

import (
	"bytes"
	"math"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
)

// compareSheets compares all that a reading gives, NaN with NaN and −0 apart
// from 0.
var compareSheets = cmp.Options{
	cmp.AllowUnexported(Sheet{}, run{}),
	cmp.Comparer(func(a, b float64) bool {
		return math.IsNaN(a) && math.IsNaN(b) || math.Float64bits(a) == math.Float64bits(b)
	}),
	cmpopts.EquateEmpty(),
}

// seeds are tables in many dialects, with many faults.
var seeds = []string{
	"x,y,lux\n0.5,1.5,1250\n1,2.25,1300\n",
	"x;y;lux\r\n0,5;1,5;1.250\r\n1;2,25;1.300,5\r\n",
	"\xef\xbb\xbfx\ty\tlux\r0,5\t1,5\t1250\r",
	"# area: 0.3,0.2,4.5,2.2\n\"# width\",4.8,,\nx,y,note\n1,2,\"a, b\"\n\n,,\n# remark\n3,4,\"two\nlines\"\n",
	"x,y\n\"1,234\",5\n\"1,234\",6\n",
	"x,y\n\"1,234\",5\n1.5,6\n",
	"x;y\n1,5;2.5\n",
	"x,y\n1,2,3\n1\n\"1\"\"\",2\n\"open,2\n",
	"x,lux\n1,116 fc\n2,f/5.6\n3,NaN\n4,1e999\n5,-0\n6,+.5\n7,5.\n8,0x10\n9,1_0\n",
	"x,y\n0.30000000000000004,123456789012345678901234567890\n1e-5,00012.50\n",
	"lx;0,3;0,9;1,5\n0,2;1250;1300;\n0,6;;1240\n",
	"label,x\ncaf\xe9,1\n\xc3\xa9t\xc3\xa9,2\n",
	"x\x00y\n1\x002\n",
	"\xff\xfex\x00,\x00y\x00\n\x001\x00,\x002\x00\n\x00",
	"x\n1\n \n2\n\t\n3",
	"x,y\n \"1\" , \"2\"\n\"#1\",2\n#DIV/0!,3\n",
	"a,b\n\"\",\"\"\n\"x\"y,1\n1'234,1\u00a0234\n−5,1\n",
	"x,y\r1,2\r\n3,4\n5,6\r",
	"x,y\n1.234,2\n3.456,4\n5,6",
	"#,x\n1,2\n",
	"x,y\n1,2,,\n3,4,\n,,,\n",
	"PK\x03\x04",
}

// wantsFrom asks for the columns that the bytes of a text say.
func wantsFrom(wants string) Choose {
	return func(_ []Note, header []Cell) ([]Want, error) {
		w := make([]Want, len(header))
		for i := range w {
			w[i] = Number
			if len(wants) > 0 {
				w[i] = Want(wants[i%len(wants)] % 3)
			}
		}
		return w, nil
	}
}

// FuzzReadColumns reads anything, and holds what comes of it to what the
// documentation of a sheet promises.
func FuzzReadColumns(f *testing.F) {
	for _, s := range seeds {
		f.Add([]byte(s), "\x01\x01\x02")
		f.Add([]byte(s), "\x02\x01\x00")
	}
	f.Fuzz(func(t *testing.T, data []byte, wants string) {
		sheets, err := ReadColumns(bytes.NewReader(data), "f.csv", wantsFrom(wants))
		if err != nil {
			_ = err.Error()
		}
		for _, s := range sheets {
			_ = s.Dialect.String()
			checkSheet(t, s)
		}
	})
}

// checkSheet holds a sheet to what its documentation promises.
func checkSheet(t *testing.T, s *Sheet) {
	t.Helper()
	if len(s.Header) != len(s.Columns) {
		t.Fatalf("%d header cells, %d columns", len(s.Header), len(s.Columns))
	}
	line := 0
	for row := range s.Rows {
		if s.Line(row) <= line {
			t.Fatalf("row %d on line %d after %d", row, s.Line(row), line)
		}
		line = s.Line(row)
	}
	for _, c := range s.Columns {
		switch c.Want {
		case Skip:
			if c.Num != nil || c.Text != nil || c.Odd != nil {
				t.Fatal("a skipped column has content")
			}
		case Number:
			if len(c.Num) != s.Rows || c.Text != nil {
				t.Fatalf("%d numbers in %d rows", len(c.Num), s.Rows)
			}
			last := -1
			for _, odd := range c.Odd {
				if odd.Row <= last || !math.IsNaN(c.Num[odd.Row]) || odd.Cell.Text == "" || odd.Cell.Line < s.Line(odd.Row) {
					t.Fatalf("odd cell %+v after row %d", odd, last)
				}
				last = odd.Row
			}
		case Text:
			if len(c.Text) != s.Rows || c.Num != nil || c.Odd != nil {
				t.Fatalf("%d texts in %d rows", len(c.Text), s.Rows)
			}
		}
	}
}

// FuzzNumber holds the reading of plain numbers to strconv.ParseFloat: what
// has no comma and is a decimal number there is the same number here.
func FuzzNumber(f *testing.F) {
	for _, s := range []string{"1.25", "-0", "1e5", "9007199254740993", "0.1234567890123456789", "1e-400", "123456.7890123e-7", ".5", "5.", "1,234.5", "-1.234"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		got, err := ParseNumber(text)
		want, plain := plainFloat(text)
		switch {
		case plain && (err != nil || math.Float64bits(got) != math.Float64bits(want)):
			t.Fatalf("ParseNumber(%q) = %v, %v; strconv has %v", text, got, err, want)
		case !plain && err == nil && !strings.ContainsAny(text, ",'.’\u00a0\u202f\u2009−") && strings.TrimSpace(text) == text:
			t.Fatalf("ParseNumber(%q) = %v, which is no number for strconv", text, got)
		}
	})
}

// plainFloat is strconv.ParseFloat for decimal digits only.
func plainFloat(text string) (float64, bool) {
	for _, c := range text {
		if !strings.ContainsRune("0123456789.+-eE", c) {
			return 0, false
		}
	}
	v, err := strconv.ParseFloat(text, 64)
	return v, err == nil
}

// FuzzTyped reads anything as typed rows, and holds what is read to its lines.
func FuzzTyped(f *testing.F) {
	f.Add([]byte("name,kind,x,y,aim x,flux,dimmer,count,on,note\nkey,point,1.5..3.0,2.25,0.5,12000,50,2,yes,\"a, b\"\n"))
	f.Add([]byte("# length unit: ft\nLAMP;x;up (m);flux (lm);dimmer (%)\nkey;1,5..3,0;8' 6\";12.000;50 %\n"))
	for _, s := range seeds {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		got, err := readLamps(bytes.NewReader(data))
		if got == nil && err == nil {
			t.Fatal("neither a table nor an error")
		}
		if got == nil {
			return
		}
		for i := range got.Rows {
			if c := got.Cell(i, "name"); c.Line < got.Rows[i].Line {
				t.Fatalf("row %d on line %d has a cell on line %d", i, got.Rows[i].Line, c.Line)
			}
		}
	})
}
