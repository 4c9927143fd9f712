package table

import (
	"bytes"
	"encoding/csv"
	"errors"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"
	"testing/iotest"

	"github.com/google/go-cmp/cmp"
	"github.com/xuri/excelize/v2"
	"golang.org/x/text/encoding"
	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"
)

// nan is a cell without a plain number.
var nan = math.NaN()

// The same readings, to be written in every dialect. Numbers stand as they do
// in Go; an odd level has a unit of its own.
var (
	sharedHeader = []string{"label", "x (m)", "y (m)", "E (lx)", "note"}
	sharedLabel  = []string{"A1", "A2", "", "café", "B;2"}
	sharedX      = []float64{0.3, 0.9, 1.5, -2.25, 1}
	sharedY      = []float64{0.125, 0.5, nan, 1, 0}
	sharedLevel  = []float64{1250, nan, 1234.5, 980.75, 1}
	sharedOdd    = "116.5 fc" // in row 1
	sharedNote   = []string{"key, from the left", "", "1.5", "two\nlines", `8' 6"`}
)

// writing is one way to write them.
type writing struct {
	name      string
	delimiter rune
	decimal   string
	group     string // between thousands
	lineEnd   string
	quoteAll  bool
	encoding  encoding.Encoding
	mark      string // byte-order mark
	padding   int    // empty cells that a spreadsheet program adds to short lines
	want      Dialect
}

var writings = []writing{
	{name: "plain", delimiter: ',', decimal: ".", lineEnd: "\n",
		want: Dialect{Encoding: "UTF-8", Delimiter: ',', Decimal: '.', LineEnd: "LF"}},
	{name: "semicolons with decimal commas", delimiter: ';', decimal: ",", lineEnd: "\r\n", padding: 3,
		want: Dialect{Encoding: "UTF-8", Delimiter: ';', Decimal: ',', LineEnd: "CRLF"}},
	{name: "semicolons with points and groups", delimiter: ';', decimal: ".", group: ",", lineEnd: "\r\n",
		want: Dialect{Encoding: "UTF-8", Delimiter: ';', Decimal: '.', Group: ',', LineEnd: "CRLF"}},
	{name: "tabs with decimal commas", delimiter: '\t', decimal: ",", lineEnd: "\n", padding: 2,
		want: Dialect{Encoding: "UTF-8", Delimiter: '\t', Decimal: ',', LineEnd: "LF"}},
	{name: "tabs", delimiter: '\t', decimal: ".", lineEnd: "\r",
		want: Dialect{Encoding: "UTF-8", Delimiter: '\t', Decimal: '.', LineEnd: "CR"}},
	{name: "commas with quoted decimal commas", delimiter: ',', decimal: ",", lineEnd: "\n",
		want: Dialect{Encoding: "UTF-8", Delimiter: ',', Decimal: ',', LineEnd: "LF"}},
	{name: "all quoted with groups", delimiter: ',', decimal: ".", group: ",", lineEnd: "\r\n", quoteAll: true, padding: 1,
		want: Dialect{Encoding: "UTF-8", Delimiter: ',', Decimal: '.', Group: ',', LineEnd: "CRLF"}},
	{name: "byte-order mark", delimiter: ',', decimal: ".", lineEnd: "\r\n", mark: "\xef\xbb\xbf",
		want: Dialect{Encoding: "UTF-8 with byte-order mark", Delimiter: ',', Decimal: '.', LineEnd: "CRLF"}},
	{name: "UTF-16 LE", delimiter: '\t', decimal: ",", lineEnd: "\r\n", mark: "\xff\xfe",
		encoding: unicode.UTF16(unicode.LittleEndian, unicode.IgnoreBOM),
		want:     Dialect{Encoding: "UTF-16 LE", Delimiter: '\t', Decimal: ',', LineEnd: "CRLF"}},
	{name: "UTF-16 BE", delimiter: ';', decimal: ".", lineEnd: "\n", mark: "\xfe\xff",
		encoding: unicode.UTF16(unicode.BigEndian, unicode.IgnoreBOM),
		want:     Dialect{Encoding: "UTF-16 BE", Delimiter: ';', Decimal: '.', LineEnd: "LF"}},
	{name: "UTF-16 LE without a mark", delimiter: ',', decimal: ".", lineEnd: "\n",
		encoding: unicode.UTF16(unicode.LittleEndian, unicode.IgnoreBOM),
		want:     Dialect{Encoding: "UTF-16 LE", Delimiter: ',', Decimal: '.', LineEnd: "LF"}},
	{name: "UTF-16 BE without a mark", delimiter: ';', decimal: ",", lineEnd: "\n",
		encoding: unicode.UTF16(unicode.BigEndian, unicode.IgnoreBOM),
		want:     Dialect{Encoding: "UTF-16 BE", Delimiter: ';', Decimal: ',', LineEnd: "LF"}},
	{name: "Windows-1252 with no-break spaces", delimiter: ';', decimal: ",", group: "\u00a0", lineEnd: "\r\n",
		encoding: charmap.Windows1252,
		want:     Dialect{Encoding: "Windows-1252", Delimiter: ';', Decimal: ',', Group: '\u00a0', LineEnd: "CRLF"}},
	{name: "Latin-1", delimiter: ',', decimal: ".", lineEnd: "\n", encoding: charmap.ISO8859_1,
		want: Dialect{Encoding: "Windows-1252", Delimiter: ',', Decimal: '.', LineEnd: "LF"}},
	{name: "apostrophes and narrow spaces", delimiter: ';', decimal: ".", group: "’", lineEnd: "\n",
		want: Dialect{Encoding: "UTF-8", Delimiter: ';', Decimal: '.', Group: '’', LineEnd: "LF"}},
	{name: "narrow no-break spaces", delimiter: ';', decimal: ",", group: "\u202f", lineEnd: "\n",
		want: Dialect{Encoding: "UTF-8", Delimiter: ';', Decimal: ',', Group: '\u202f', LineEnd: "LF"}},
}

// number writes a number in the dialect.
func (w writing) number(v float64) string {
	if math.IsNaN(v) {
		return ""
	}
	s := strconv.FormatFloat(v, 'f', -1, 64)
	whole, fraction, _ := strings.Cut(s, ".")
	if w.group != "" && len(strings.TrimPrefix(whole, "-")) > 3 {
		whole = whole[:len(whole)-3] + w.group + whole[len(whole)-3:]
	}
	if fraction != "" {
		whole += w.decimal + fraction
	}
	return whole
}

// line writes a line of cells.
func (w writing) line(cells ...string) string {
	cells = slices.Clone(cells)
	for i, c := range cells {
		if w.quoteAll || strings.ContainsAny(c, "\"\n\r"+string(w.delimiter)) {
			cells[i] = `"` + strings.ReplaceAll(c, `"`, `""`) + `"`
		}
	}
	return strings.ReplaceAll(strings.Join(cells, string(w.delimiter)), "\n", w.lineEnd) + w.lineEnd
}

// bytes writes the shared readings.
func (w writing) bytes(t *testing.T) []byte {
	var b strings.Builder
	pad := strings.Repeat(string(w.delimiter), w.padding)
	note := "# area: 0.3,0.2,4.5,2.2"
	if w.delimiter == ',' && w.padding > 0 {
		note = `"` + note + `"`
	}
	b.WriteString(note + pad + w.lineEnd)
	b.WriteString("# a remark" + pad + w.lineEnd)
	b.WriteString(pad + w.lineEnd)
	b.WriteString(w.line(sharedHeader...))
	for i := range sharedLabel {
		level := w.number(sharedLevel[i])
		if level == "" {
			level = strings.Replace(sharedOdd, ".", w.decimal, 1)
		}
		b.WriteString(w.line(sharedLabel[i], w.number(sharedX[i]), w.number(sharedY[i]), level, sharedNote[i]))
		if i == 0 {
			b.WriteString(strings.Repeat(string(w.delimiter), 4) + w.lineEnd + "# not now" + w.lineEnd)
		}
	}
	if w.encoding == nil {
		return []byte(w.mark + b.String())
	}
	out, err := w.encoding.NewEncoder().String(b.String())
	if err != nil {
		t.Fatal(err)
	}
	return []byte(w.mark + out)
}

// sharedWants reads label and note as texts, the rest as numbers.
func sharedWants(_ []Note, header []Cell) ([]Want, error) {
	return []Want{Text, Number, Number, Number, Text}, nil
}

// checkShared holds a sheet to the shared readings.
func checkShared(t *testing.T, s *Sheet, decimal string) {
	t.Helper()
	odd := strings.Replace(sharedOdd, ".", decimal, 1)
	want := []Column{
		{Want: Text, Text: sharedLabel},
		{Want: Number, Num: sharedX},
		{Want: Number, Num: sharedY},
		{Want: Number, Num: sharedLevel, Odd: []Odd{{1, Cell{odd, s.Line(1), 4}}}},
		{Want: Text, Text: sharedNote},
	}
	if diff := cmp.Diff(want, s.Columns, compareSheets); diff != "" {
		t.Errorf("columns (want, got):\n%s", diff)
	}
	var header []string
	for _, h := range s.Header {
		header = append(header, h.Text)
	}
	if diff := cmp.Diff(sharedHeader, header); diff != "" {
		t.Errorf("header (want, got):\n%s", diff)
	}
	if diff := cmp.Diff([]Note{{"area", "0.3,0.2,4.5,2.2", 1, 1}}, s.Notes); diff != "" {
		t.Errorf("notes (want, got):\n%s", diff)
	}
}

// TestDialects reads the same table from every dialect, without a flag, and
// gets the same columns.
func TestDialects(t *testing.T) {
	for _, w := range writings {
		t.Run(w.name, func(t *testing.T) {
			sheets, err := ReadColumns(bytes.NewReader(w.bytes(t)), "shared.csv", sharedWants)
			if err != nil {
				t.Fatal(err)
			}
			s := sheets[0]
			checkShared(t, s, w.decimal)
			if got := [...]int{s.Line(0), s.Line(1), s.Line(3), s.Line(4)}; got != [...]int{5, 8, 10, 12} {
				t.Errorf("rows stand on lines %v", got)
			}
			got := s.Dialect
			if got.SettledBy.Line == 0 || !got.Settled {
				t.Errorf("nothing settled the decimal sign: %+v", got)
			}
			got.Settled, got.SettledBy = false, Cell{}
			if diff := cmp.Diff(w.want, got); diff != "" {
				t.Errorf("dialect (want, got):\n%s", diff)
			}
			if len(s.Warnings) > 0 {
				t.Errorf("warnings %v", s.Warnings)
			}
		})
	}
}

// TestDialectsThroughPipe reads every dialect from a reader that gives a byte
// at a time and does not tell its size.
func TestDialectsThroughPipe(t *testing.T) {
	for _, w := range writings {
		data := w.bytes(t)
		whole, err := ReadColumns(bytes.NewReader(data), "shared.csv", sharedWants)
		if err != nil {
			t.Fatal(err)
		}
		parts, err := ReadColumns(iotest.OneByteReader(bytes.NewReader(data)), "shared.csv", sharedWants)
		if err != nil {
			t.Fatal(w.name, err)
		}
		if diff := cmp.Diff(whole, parts, compareSheets); diff != "" {
			t.Fatalf("%s:\n%s", w.name, diff)
		}
	}
}

// sharedWorkbook writes the shared readings as a worksheet, numbers as numbers
// or, with a decimal sign, as texts.
func sharedWorkbook(t *testing.T, decimal string) *excelize.File {
	t.Helper()
	f := excelize.NewFile()
	row := 0
	put := func(cells ...any) {
		row++
		at, _ := excelize.CoordinatesToCellName(1, row)
		if err := f.SetSheetRow("Sheet1", at, &cells); err != nil {
			t.Fatal(err)
		}
	}
	w := writing{decimal: decimal}
	number := func(v float64) any {
		switch {
		case math.IsNaN(v):
			return nil
		case decimal != "":
			return w.number(v)
		}
		return v
	}
	put("# area: 0.3,0.2,4.5,2.2")
	put("# a remark")
	put()
	put("label", "x (m)", "y (m)", "E (lx)", "note")
	for i := range sharedLabel {
		level := number(sharedLevel[i])
		if level == nil {
			level = strings.Replace(sharedOdd, ".", cmpOr(decimal, "."), 1)
		}
		put(sharedLabel[i], number(sharedX[i]), number(sharedY[i]), level, sharedNote[i])
		if i == 0 {
			put()
			put("# not now")
		}
	}
	return f
}

func cmpOr(a, b string) string {
	if a != "" {
		return a
	}
	return b
}

// TestDialectsWorkbook reads the same table from a workbook, with its numbers
// as numbers and as texts with a decimal comma.
func TestDialectsWorkbook(t *testing.T) {
	for _, decimal := range []string{"", ".", ","} {
		sheets, err := ReadColumns(workbookBytes(t, sharedWorkbook(t, decimal)), "shared.xlsx", sharedWants)
		if err != nil {
			t.Fatal(err)
		}
		checkShared(t, sheets[0], cmpOr(decimal, "."))
		if got := sheets[0].Line(1); got != 8 {
			t.Errorf("row 1 stands in row %d", got)
		}
	}
}

// TestDialectHeaderOnly finds the delimiter of files without rows.
func TestDialectHeaderOnly(t *testing.T) {
	for _, c := range []struct {
		in        string
		delimiter rune
		columns   int
	}{
		{"x (m);y (m);E (lx)\n", ';', 3},
		{"x (m),y (m),E (lx)", ',', 3},
		{"x (m)\ty (m)\tE (lx)\r\n", '\t', 3},
		{"# area: 0.3,0.2,4.5,2.2\nx;y;lux\n", ';', 3},
		{"# area: 0.3;0.2;4.5;2.2\nx,y,lux\n", ',', 3},
		{"\"x, in meters\";\"y, in meters\"\n", ';', 2},
		{"lux\n", ',', 1},
		{"x,y,lux,,,\n", ',', 3},
	} {
		sheets, err := ReadColumns(strings.NewReader(c.in), "f.csv", allNumbers)
		if err != nil {
			t.Errorf("%q: %v", c.in, err)
			continue
		}
		s := sheets[0]
		if s.Dialect.Delimiter != c.delimiter || len(s.Header) != c.columns || s.Rows != 0 {
			t.Errorf("%q: delimiter %q, %d columns, %d rows", c.in, s.Dialect.Delimiter, len(s.Header), s.Rows)
		}
	}
}

// TestDelimiter finds delimiters that other signs could hide.
func TestDelimiter(t *testing.T) {
	for _, c := range []struct {
		in   string
		want rune
	}{
		{"lx;0,3;0,9;1,5\n0,2;1250;1300,5;1280\n", ';'},
		{"lx;0,3;0,9\n0,2;12,5;13,5\n", ';'},
		{"lx;0,3;0,9\n0,2;12,5\n", ';'},                    // a short row has as many commas as the header
		{"lx;0,3;0,9\n1,2;1250;13,5\n", ';'},               // and so has this one
		{"lx\t0,3\t0,9\n1,2\t1250\t13,5\n", '\t'},          //
		{"label,note\nA1,one; two\nA2,three; four\n", ','}, // prose
		{"label;note\nA1;one, two\nA2;three, four\n", ';'}, //
		{"label,note; remark,x\nA,foo; bar,1\n", ','},      //
		{"label,note\n\"a;b\",\"c;d\"\n\"e;f\",\"g;h\"\n", ','},
		{"lux\n12,5\n13,5\n", ';'}, // one column with decimal commas
		{"lux\n12.5\n13.5\n", ','},
		{"x;lux\n1;116,5 fc\n2;120,5 fc\n", ';'},
		{"f;x\n5,6 7/10;1\n8;2\n", ';'},
		{"x,y\n1,2,,,\n3,4,,,\n", ','},
		{"x,y\n# a;b;c;d\n1,2\n", ','},
	} {
		if got := rune(findDelimiter([]byte(c.in), true)); got != c.want {
			t.Errorf("%q: %q, want %q", c.in, got, c.want)
		}
	}
}

// TestEncodingWithoutMark takes UTF-16 for what it is while most of it is in
// Latin letters, and nothing else for it.
func TestEncodingWithoutMark(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"label,x\nщит,1\nekran,2\nfar left,3\n", "UTF-16 LE"},
		{"x", ""},
	} {
		data, err := unicode.UTF16(unicode.LittleEndian, unicode.IgnoreBOM).NewEncoder().String(c.text)
		if err != nil {
			t.Fatal(err)
		}
		sheets, err := ReadColumns(strings.NewReader(data), "f.csv", func(_ []Note, h []Cell) ([]Want, error) {
			return []Want{Text, Number}[:len(h)], nil
		})
		switch {
		case c.want == "":
			if err == nil || !strings.Contains(err.Error(), "a binary file") {
				t.Errorf("%q: %v", data, err)
			}
		case err != nil:
			t.Errorf("%q: %v", data, err)
		default:
			s := sheets[0]
			if s.Dialect.Encoding != c.want || s.Columns[0].Text[0] != "щит" {
				t.Errorf("%v, %q", s.Dialect, s.Columns[0].Text)
			}
		}
	}
}

// TestEncodingMixture says so where lines are not of one encoding.
func TestEncodingMixture(t *testing.T) {
	sheets, err := ReadColumns(strings.NewReader("label,x\n\xc3\xa9t\xc3\xa9,1\ncaf\xe9,2\n"), "f.csv",
		func([]Note, []Cell) ([]Want, error) { return []Want{Text, Number}, nil })
	if err != nil {
		t.Fatal(err)
	}
	s := sheets[0]
	if diff := cmp.Diff([]string{"été", "café"}, s.Columns[0].Text); diff != "" {
		t.Error(diff)
	}
	if len(s.Warnings) != 1 || s.Warnings[0].Line != 3 || s.Dialect.Encoding != "Windows-1252" {
		t.Errorf("warnings %v, dialect %v", s.Warnings, s.Dialect)
	}
}

// TestDialectString says in words what was inferred.
func TestDialectString(t *testing.T) {
	in := "x;y\r\n1,25;1.234,5\r\ncaf\xe9;2\r\n"
	sheets, err := ReadColumns(strings.NewReader(in), "f.csv", allNumbers)
	if err != nil {
		t.Fatal(err)
	}
	want := `Windows-1252, CRLF, semicolons, decimal comma (from "1,25" on line 2), groups of digits set apart by "."`
	if got := sheets[0].Dialect.String(); got != want {
		t.Errorf("%s\nwant %s", got, want)
	}
	if got := (Dialect{Encoding: encodingUTF8, Delimiter: ',', Decimal: '.', LineEnd: "LF"}).String(); got != "UTF-8, LF, commas, decimal point assumed" {
		t.Error(got)
	}
}

// TestStandardReader holds the cells of strict comma files to encoding/csv, the
// reference for the rules of RFC 4180.
func TestStandardReader(t *testing.T) {
	for _, in := range []string{
		"a,b,c\n1,2,3\n",
		"a,b\n\"x,y\",\"z\"\n",
		"a,b\n\"he said \"\"no\"\"\",\"\"\"\"\n",
		"a,b\n\"two\nlines\",\"and\r\nmore\"\n",
		"a,b\r\nlong,\"\"\r\n\"\",short\r\n",
		"a,b\n1,\n,2",
		"a,b\n\"1\",\"2\"",
		"a,b\n ü ,\"，\"\n",
	} {
		compareStandard(t, in)
	}
}

// compareStandard compares the cells of one file, trimmed, with encoding/csv.
func compareStandard(t interface {
	Helper()
	Fatalf(string, ...any)
}, in string) {
	t.Helper()
	r := csv.NewReader(strings.NewReader(in))
	r.FieldsPerRecord = -1
	records, err := r.ReadAll()
	if err != nil {
		t.Fatalf("%q: %v", in, err)
	}
	sheets, err := ReadColumns(strings.NewReader(in), "f.csv", func(_ []Note, header []Cell) ([]Want, error) {
		wants := make([]Want, len(header))
		for i := range wants {
			wants[i] = Text
		}
		return wants, nil
	})
	if err != nil {
		t.Fatalf("%q: %v", in, err)
	}
	s := sheets[0]
	for i, h := range s.Header {
		if want := strings.TrimSpace(records[0][i]); h.Text != want {
			t.Fatalf("%q: header %q, encoding/csv has %q", in, h.Text, want)
		}
	}
	row := 0
	for _, record := range records[1:] {
		if strings.TrimSpace(strings.Join(record, "")) == "" {
			continue // rows of delimiters only are blank here
		}
		for j := range s.Header {
			want := ""
			if j < len(record) {
				want = strings.TrimSpace(record[j])
			}
			if got := s.Columns[j].Text[row]; got != want {
				t.Fatalf("%q: row %d column %d is %q, encoding/csv has %q", in, row, j, got, want)
			}
		}
		row++
	}
	if row != s.Rows {
		t.Fatalf("%q: %d rows, encoding/csv has %d", in, s.Rows, row)
	}
}

// TestChoose leaves sheets out and hands errors on.
func TestChoose(t *testing.T) {
	read := func(err error) ([]*Sheet, error) {
		return ReadColumns(strings.NewReader("x,y\n1,2\n"), "f.csv", func([]Note, []Cell) ([]Want, error) { return nil, err })
	}
	if sheets, err := read(ErrSkipSheet); len(sheets) != 0 || err != nil {
		t.Errorf("%v, %v", sheets, err)
	}
	own := errors.New("no level column")
	if _, err := read(own); err != own {
		t.Errorf("%v", err)
	}
	var many Errors
	if _, err := read(&Error{File: "f.csv", Line: 1, Found: "x"}); !errors.As(err, &many) || len(many) != 1 {
		t.Errorf("%v", err)
	}
	defer func() {
		if recover() == nil {
			t.Error("no panic for too few wants")
		}
	}()
	ReadColumns(strings.NewReader("x,y\n1,2\n"), "f.csv", func([]Note, []Cell) ([]Want, error) { return []Want{Number}, nil })
}
