package table

import (
	"encoding/csv"
	"errors"
	"io"
	"math"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// span is a type of its own, as a range for a solver is: 1.5 or 1.5..3.0.
type span struct{ Low, High float64 }

func (s *span) UnmarshalCSV(text string) error {
	low, high, isRange := strings.Cut(text, "..")
	var err error
	if s.Low, err = strconv.ParseFloat(strings.TrimSpace(low), 64); err == nil {
		s.High = s.Low
		if isRange {
			s.High, err = strconv.ParseFloat(strings.TrimSpace(high), 64)
		}
	}
	if err != nil {
		return &Error{Expected: "a number or a range such as 1.5..3.0"}
	}
	return nil
}

// lampKind is a named text with UnmarshalText.
type lampKind string

func (k *lampKind) UnmarshalText(text []byte) error {
	switch *k = lampKind(text); *k {
	case "point", "panel":
		return nil
	}
	return errors.New("no such kind")
}

// Placed is embedded.
type Placed struct {
	X *span   `csv:"x" unit:"m"`
	Y float64 `csv:"y" unit:"m"`
}

type lamp struct {
	Name string   `csv:"name"`
	Kind lampKind `csv:"kind"`
	Placed
	AimX    *float64 `csv:"aim x" unit:"m"`
	Flux    float64  `csv:"flux" unit:"lm"`
	Dimmer  *float64 `csv:"dimmer" unit:"%"`
	Count   uint8    `csv:"count"`
	On      bool     `csv:"on"`
	Note    string   `csv:"note"`
	Scratch int
}

func ptr[T any](v T) *T { return &v }

// lampWords are the names of the columns, one with others.
func lampWords(header string) (name, unit, nearest string) {
	fields := []Field{{Name: "name", Aliases: []string{"lamp"}}, {Name: "kind"}, {Name: "x", Units: acceptedUnits("m")}, {Name: "y", Aliases: []string{"up", "height of the lamp"}, Units: acceptedUnits("m")},
		{Name: "aim x", Units: acceptedUnits("m")}, {Name: "flux", Units: []string{"lm"}}, {Name: "dimmer", Units: []string{"%"}}, {Name: "count"}, {Name: "on"}, {Name: "note"}, {Name: "beside"}}
	at, unit, nearest := Match(fields, header)
	if at < 0 {
		return "", "", nearest
	}
	return fields[at].Name, unit, nearest
}

func readLamps(in io.Reader) (*Typed[lamp], error) {
	return ReadTyped[lamp](in, "lamps.csv", lampWords)
}

// TestTyped reads every kind of field, in several dialects and units.
func TestTyped(t *testing.T) {
	want := []lamp{
		{Name: "key", Kind: "point", Placed: Placed{X: &span{1.5, 3}, Y: 2.25}, AimX: ptr(0.5), Flux: 12000, Dimmer: ptr(50.0), Count: 2, On: true, Note: "a, b"},
		{Name: "fill", Placed: Placed{Y: -0.5}},
	}
	const ft = 0.3048
	for _, in := range []string{
		"name,kind,x,y,aim x,flux,dimmer,count,on,note\nkey,point,1.5..3.0,2.25,0.5,12000,50,2,yes,\"a, b\"\nfill,,,-0.5,,,,,,\n",
		"# length unit: m\nLAMP;Kind;X (m);up (m);aim_x;flux (lm);dimmer (%);count;on;note\r\nkey;point;1,5..3,0;2,25;0,5;12.000;50 %;2;1;a, b\r\nfill;;;-0,5\r\n",
		"name\tkind\tx_cm\ty_mm\taim_x_m\tflux_lm\tdimmer\tcount\ton\tnote\nkey\tpoint\t150..300\t2250\t50 cm\t12000 lm\t50%\t2\ttrue\ta, b\nfill\t\t\t-500\t\t\t\t\tno\t\n",
	} {
		got, err := readLamps(strings.NewReader(in))
		if err != nil {
			t.Errorf("%q:\n%v", in, err)
			continue
		}
		var values []lamp
		for _, row := range got.Rows {
			values = append(values, row.Value)
		}
		if diff := cmp.Diff(want, values, cmp.AllowUnexported(lamp{}), compareSheets); diff != "" {
			t.Errorf("%q (want, got):\n%s", in, diff)
		}
		if len(got.Warnings) > 0 {
			t.Errorf("%q: %v", in, got.Warnings)
		}
	}
	// A note gives the unit of lengths whose headers have none.
	got, err := readLamps(strings.NewReader("# length unit: feet\nname,x,y,aim x (m)\nkey,1..2,10,3\nfill,4,8' 6\",\n"))
	if err != nil {
		t.Fatal(err)
	}
	rows := got.Rows
	if x := rows[0].Value.X; math.Abs(x.Low-ft) > 1e-15 || math.Abs(x.High-2*ft) > 1e-15 || math.Abs(rows[0].Value.Y-10*ft) > 1e-15 || *rows[0].Value.AimX != 3 {
		t.Errorf("%+v, x %v", rows[0].Value, rows[0].Value.X)
	}
	if y := rows[1].Value.Y; math.Abs(y-8.5*ft) > 1e-15 || math.Abs(rows[1].Value.X.Low-4*ft) > 1e-15 {
		t.Errorf("%+v", rows[1].Value)
	}
	if rows[1].Line != 4 || !got.Has("aim x") || got.Has("flux") {
		t.Errorf("line %d", rows[1].Line)
	}
	if c := got.Cell(1, "y"); c != (Cell{`8' 6"`, 4, 3}) {
		t.Errorf("%+v", c)
	}
	if e := got.Error(0, "x", "a free number").Error(); e != `lamps.csv:3:2: found "1..2", expected a free number` {
		t.Error(e)
	}
	if e := got.Error(0, "flux", "a flux").Error(); e != `lamps.csv:3: found an empty cell, expected a flux` {
		t.Error(e)
	}
}

// TestTypedErrors names every cell that cannot be read, with what was found as
// it was typed.
func TestTypedErrors(t *testing.T) {
	for _, c := range []struct{ in, want string }{
		{"name,kind,x,y,count,on\n\nkey,lamp,a..b,high,2.5,maybe\nfill,point,1,2 lx,300,\n,,,,-1,\n", `
			lamps.csv:3:2: found "lamp", expected another value (no such kind)
			lamps.csv:3:3: found "a..b", expected a number or a range such as 1.5..3.0
			lamps.csv:3:4: found "high", expected a number (m)
			lamps.csv:3:5: found "2.5", expected a whole number
			lamps.csv:3:6: found "maybe", expected yes or no
			lamps.csv:4:4: found "2 lx", expected a number (m)
			lamps.csv:4:5: found "300", expected a whole number
			lamps.csv:5:5: found "-1", expected a whole number`},
		{"name;x (ft);y (deg);flux (klm);note (m)\nkey;1,5..z;2;3;a\n", `
			lamps.csv:1:3: found "y (deg)", expected "y" in m, cm, mm, ft or in
			lamps.csv:1:4: found "flux (klm)", expected "flux (lm)"
			lamps.csv:1:5: found "note (m)", expected "note" without a unit
			lamps.csv:2:2: found "1,5..z", expected a number or a range such as 1.5..3.0`},
		{"name,x,lamp,X (m)\nkey,1,2,3\n", `
			lamps.csv:1:3: found "lamp", expected only one column name; column 1 is one already
			lamps.csv:1:4: found "X (m)", expected only one column x; column 2 is one already`},
		{"# length unit: lx\nname,x\nkey,1\n", `
			lamps.csv:1:1: found "lx", expected a unit of length: m, cm, mm, ft or in`},
		{"a,b\n1,2\n", `
			lamps.csv:1:1: found "a", expected a column of this table: name, kind, x, y, aim x, flux, dimmer, count, on, note`},
		{"name,y\nkey,\"1,234\"\nfill,2,3\n", `
			lamps.csv:2:2: found "1,234", expected 1234 or 1,2340, to settle whether the comma marks thousands or decimals (one cell that shows it settles the whole file)
			lamps.csv:3:3: found "3", expected no more than the 2 cells of the header`},
		{"", `
			lamps.csv: found an empty file, expected a header row with the names of the columns, and rows below it`},
		{"name,y\nkey,NaN\nfill,1e999\nback,0x10\nkicker,1_000\n", `
			lamps.csv:2:2: found "NaN", expected a number (m)
			lamps.csv:3:2: found "1e999", expected a number (m)
			lamps.csv:4:2: found "0x10", expected a number (m)
			lamps.csv:5:2: found "1_000", expected a number (m)`},
	} {
		_, err := readLamps(strings.NewReader(c.in))
		got := ""
		if err != nil {
			got = err.Error()
		}
		want := strings.TrimSpace(strings.ReplaceAll(c.want, "\n\t\t\t", "\n"))
		if diff := cmp.Diff(want, got); diff != "" {
			t.Errorf("%q (want, got):\n%s", c.in, diff)
		}
	}
}

// TestTypedWarnings names columns that are not read.
func TestTypedWarnings(t *testing.T) {
	got, err := readLamps(strings.NewReader("name,nmae,dimer (%),,x\nkey,a,b,c,1\nfill,,,,2\n"))
	if err != nil {
		t.Fatal(err)
	}
	var texts []string
	for _, w := range got.Warnings {
		texts = append(texts, w.String())
	}
	want := []string{
		`lamps.csv:1:2: unknown column "nmae", not read; the nearest known one is "name"`,
		`lamps.csv:1:3: unknown column "dimer (%)", not read; the nearest known one is "dimmer"`,
		`lamps.csv:2:4: a column without a name, not read: "c"`,
	}
	if diff := cmp.Diff(want, texts); diff != "" {
		t.Errorf("(want, got):\n%s", diff)
	}
	if len(got.Rows) != 2 || got.Rows[1].Value.X.Low != 2 {
		t.Errorf("%+v", got.Rows)
	}
	// Many unknown columns are counted.
	header := "name"
	for i := range 30 {
		header += ",other " + strconv.Itoa(i)
	}
	if got, err = readLamps(strings.NewReader(header + ",x\nkey" + strings.Repeat(",", 31) + "1\n")); err != nil {
		t.Fatal(err)
	}
	if n := len(got.Warnings); n != 21 || got.Warnings[20].Text != "and 10 more unknown columns, not read" || got.Rows[0].Value.X.Low != 1 {
		t.Errorf("%d warnings, %v", n, got.Warnings[n-1])
	}
}

// TestTypedRows keeps a row whose known columns are all empty, and a table of
// no rows.
func TestTypedRows(t *testing.T) {
	got, err := readLamps(strings.NewReader("name,other\n,1\nkey,\n"))
	if err != nil || len(got.Rows) != 2 || got.Rows[0].Value.Name != "" || got.Rows[1].Line != 3 {
		t.Errorf("%+v, %v", got, err)
	}
	got, err = readLamps(strings.NewReader("name,x\n"))
	if err != nil || len(got.Rows) != 0 || len(got.Warnings) != 0 {
		t.Errorf("%+v, %v", got, err)
	}
}

// TestTypedEmpty leaves the field of an empty cell as it is.
func TestTypedEmpty(t *testing.T) {
	got, err := readLamps(strings.NewReader("name,dimmer,x\na,,\nb,0,0\n"))
	if err != nil {
		t.Fatal(err)
	}
	if a, b := got.Rows[0].Value, got.Rows[1].Value; a.Dimmer != nil || a.X != nil || *b.Dimmer != 0 || b.X == nil {
		t.Errorf("%+v, %+v", a, b)
	}
}

// TestTypedWorkbook reads the first sheet with content.
func TestTypedWorkbook(t *testing.T) {
	f := sheetOf(t, []any{"# length unit", "ft"}, []any{"name", "x", "y (m)", "count", "on", "dimmer (%)"},
		[]any{"key", "1,5..2,5", 1.234, 2, true, 0.5}, []any{"007", 10, 2, nil, "no", 40})
	percent := "0%"
	styled(t, f, "F3", styleOf(percent))
	f.NewSheet("old")
	f.SetSheetRow("old", "A1", &[]any{"name"})
	got, err := ReadTyped[lamp](workbookBytes(t, f), "lamps.xlsx", lampWords)
	if err != nil {
		t.Fatal(err)
	}
	const ft = 0.3048
	want := []lamp{
		{Name: "key", Placed: Placed{X: &span{1.5 * ft, 2.5 * ft}, Y: 1.234}, Count: 2, On: true, Dimmer: ptr(50.0)},
		{Name: "007", Placed: Placed{X: &span{10 * ft, 10 * ft}, Y: 2}, Dimmer: ptr(40.0)},
	}
	var values []lamp
	for _, row := range got.Rows {
		values = append(values, row.Value)
	}
	near := cmp.Comparer(func(a, b float64) bool { return math.Abs(a-b) < 1e-14 })
	if diff := cmp.Diff(want, values, cmp.AllowUnexported(lamp{}), near); diff != "" {
		t.Errorf("(want, got):\n%s", diff)
	}
	if len(got.Warnings) != 1 || got.Warnings[0].String() != `lamps.xlsx[old]: not read: the table is the first sheet with content, "Sheet1"` {
		t.Errorf("%v", got.Warnings)
	}
	if got.Name != "Sheet1" || got.Rows[0].Line != 3 {
		t.Errorf("%+v", got.Rows[0])
	}
}

// TestTypedAtRandom reads what encoding/csv wrote of drawn rows.
func TestTypedAtRandom(t *testing.T) {
	text := rapid.Map(rapid.StringOf(rapid.SampledFrom([]rune("ab 1.,;é\"'\n\t#"))), strings.TrimSpace)
	number := rapid.OneOf(rapid.Float64(), rapid.Float64Range(-10, 10), rapid.Map(rapid.IntRange(-5000, 5000), func(i int) float64 { return float64(i) / 8 }))
	rapid.Check(t, func(t *rapid.T) {
		rows := rapid.SliceOf(rapid.Custom(func(t *rapid.T) lamp {
			l := lamp{
				Name:  "n" + text.Draw(t, "name"),
				Kind:  rapid.SampledFrom([]lampKind{"", "point", "panel"}).Draw(t, "kind"),
				AimX:  rapid.Ptr(number, true).Draw(t, "aim"),
				Flux:  number.Draw(t, "flux"),
				Count: rapid.Uint8().Draw(t, "count"),
				On:    rapid.Bool().Draw(t, "on"),
				Note:  text.Draw(t, "note"),
			}
			l.Y = number.Draw(t, "y")
			if rapid.Bool().Draw(t, "has x") {
				l.X = &span{number.Draw(t, "low"), number.Draw(t, "high")}
			}
			return l
		})).Draw(t, "rows")
		written := writeLamps(rows)
		got, err := readLamps(strings.NewReader(written))
		if err != nil || len(got.Warnings) > 0 {
			t.Fatalf("%v, %v in\n%s", err, got.Warnings, written)
		}
		if len(got.Rows) != len(rows) {
			t.Fatalf("%d rows of %d", len(got.Rows), len(rows))
		}
		for i := range rows {
			if diff := cmp.Diff(rows[i], got.Rows[i].Value, cmp.AllowUnexported(lamp{}), compareSheets); diff != "" {
				t.Fatalf("row %d (want, got):\n%s\nin\n%s", i, diff, written)
			}
		}
	})
}

// writeLamps writes lamps with encoding/csv.
func writeLamps(rows []lamp) string {
	format := func(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }
	records := [][]string{{"name", "kind", "x (m)", "y (m)", "aim x (m)", "flux (lm)", "count", "on", "note"}}
	for _, l := range rows {
		var x, aim string
		if l.X != nil {
			x = format(l.X.Low) + ".." + format(l.X.High)
		}
		if l.AimX != nil {
			aim = format(*l.AimX)
		}
		records = append(records, []string{l.Name, string(l.Kind), x, format(l.Y), aim, format(l.Flux),
			strconv.Itoa(int(l.Count)), strconv.FormatBool(l.On), l.Note})
	}
	var out strings.Builder
	csv.NewWriter(&out).WriteAll(records)
	return out.String()
}

// TestTypedPanics refuses types that the library would read wrongly without a
// word.
func TestTypedPanics(t *testing.T) {
	type hidden struct {
		X float64 `csv:"x"`
	}
	for name, read := range map[string]func(){
		"not a struct": func() { ReadTyped[int](strings.NewReader(""), "f") },
		"no tags":      func() { ReadTyped[struct{ X int }](strings.NewReader(""), "f") },
		"unexported":   func() { ReadTyped[struct{ hidden }](strings.NewReader(""), "f") },
		"a slice": func() {
			ReadTyped[struct {
				X []int `csv:"x"`
			}](strings.NewReader(""), "f")
		},
		"a struct": func() {
			ReadTyped[struct {
				X hidden `csv:"x"`
			}](strings.NewReader(""), "f")
		},
	} {
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("%s: no panic", name)
				}
			}()
			read()
		}()
	}
}
