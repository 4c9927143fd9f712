package table

import (
	"errors"
	"math"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// reading is what the signs inside a number say about the decimal sign.
type reading uint8

const (
	notNumber   reading = iota
	neutral             // no point and no comma: 1250, −3, 2e3, 1 250
	onlyPoint           // a number only with a decimal point: 1.25, 1,234.5, 1,234,567
	onlyComma           // a number only with a decimal comma: 1,25, 1.234,5
	eitherPoint         // 1.234: a little over one, or one thousand
	eitherComma         // 1,234: the same with a comma
)

func readingOf(n numeral) reading {
	switch {
	case n.digits == "":
		return notNumber
	case n.decimal == 0:
		return neutral
	}
	r := map[rune]reading{'.': onlyPoint, ',': onlyComma}[n.decimal]
	if n.ambiguous {
		r += eitherPoint - onlyPoint
	}
	return r
}

// TestReadings decides which decimal signs a number allows.
func TestReadings(t *testing.T) {
	for text, want := range map[string]reading{
		"1250": neutral, "-3": neutral, "+3": neutral, "−3": neutral, "2e3": neutral, "1 250": notNumber,
		"1\u00a0250": neutral, "1\u202f250": neutral, "1'250": neutral, "1’250’000": neutral, "12'50": notNumber,
		"1,25": onlyComma, "0,123": onlyComma, "12,3456": onlyComma, "1.234,5": onlyComma, "1.234.567": onlyComma,
		"1.234.567,8": onlyComma, "1234,567": onlyComma, "1,234e3": onlyComma, ",5": onlyComma, "5,": onlyComma,
		"1\u00a0234,567": onlyComma, "-0,001": onlyComma,
		"1.25": onlyPoint, "0.123": onlyPoint, "1,234.5": onlyPoint, "1,234,567": onlyPoint, "1234.567": onlyPoint,
		".5": onlyPoint, "5.": onlyPoint, "1'234.567": onlyPoint, "1.234e3": onlyPoint, "012.345": onlyPoint,
		"1.234": eitherPoint, "-12.345": eitherPoint, "123.456": eitherPoint,
		"1,234": eitherComma, "999,000": eitherComma,
		"": notNumber, ".": notNumber, "-": notNumber, "1.2.3": notNumber, "1,2,3": notNumber, "1.234,567.8": notNumber,
		"1,23.4": notNumber, "NaN": notNumber, "inf": notNumber, "0x10": notNumber, "1_000": notNumber, "1e": notNumber,
		"1e+": notNumber, "e5": notNumber, "116 fc": notNumber, "f/8": notNumber, "--1": notNumber, "1,234.5e3": notNumber,
		"0,123,456": notNumber, "1 2": notNumber, "1.234'567": notNumber, "1,,2": notNumber, "25.11.2026": notNumber, "1'234’567": notNumber, "1'234\u00a0567": notNumber, "1,234'567.8": notNumber,
		"10:05": notNumber, "٣": notNumber,
	} {
		if got := readingOf(scanNumeral([]byte(text))); got != want {
			t.Errorf("%q: %d, want %d", text, got, want)
		}
	}
}

// TestParseNumber reads single numbers. Expected values are Go literals.
func TestParseNumber(t *testing.T) {
	for text, want := range map[string]float64{
		"1.25": 1.25, "1,25": 1.25, " -3 ": -3, "−3": -3, "+.5": 0.5, "1.234": 1.234, "1,234.5": 1234.5, "1.234,5": 1234.5,
		"1,234,567": 1234567, "1.234.567": 1234567, "1'250": 1250, "1\u202f250,5": 1250.5, "2e3": 2000, "1,5e-3": 0.0015,
		"1e−3": 0.001, "0,123": 0.123, "9007199254740993": 9007199254740992, "1e-400": 0,
	} {
		if got, err := ParseNumber(text); err != nil || got != want {
			t.Errorf("%q: %v, %v, want %v", text, got, err, want)
		}
	}
	for text, want := range map[string]string{
		"1,234":  `found "1,234", expected 1234 or 1,2340, to settle`,
		"abc":    `found "abc", expected a number`,
		"":       "found an empty cell, expected a number",
		"1e999":  `expected a number of less than 1.8e308`,
		"116 fc": "expected a number",
	} {
		if _, err := ParseNumber(text); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v, want %s", text, err, want)
		}
	}
	if v, err := ParseNumber("-0"); err != nil || !math.Signbit(v) {
		t.Errorf("-0 is %v, %v", v, err)
	}
}

// TestDialectNumber reads what follows from a settled sign.
func TestDialectNumber(t *testing.T) {
	point := Dialect{Decimal: '.', Settled: true}
	comma := Dialect{Decimal: ',', Settled: true}
	for _, c := range []struct {
		d    Dialect
		text string
		want float64
	}{
		{point, "1,234", 1234}, {point, "1.234", 1.234}, {comma, "1,234", 1.234}, {comma, "1.234", 1234},
		{comma, "1.234,5", 1234.5}, {point, "1'234.5", 1234.5}, {comma, "12", 12},
	} {
		if got, err := c.d.Number(c.text); err != nil || got != c.want {
			t.Errorf("%q: %v, %v, want %v", c.text, got, err, c.want)
		}
	}
	for _, c := range []struct {
		d    Dialect
		text string
		want string
	}{
		{point, "1,25", "decimal point"}, {comma, "1.25", "decimal comma"},
	} {
		_, err := c.d.Number(c.text)
		var e *Error
		if !errors.As(err, &e) || !strings.Contains(e.Expected, c.want) || e.Found != c.text {
			t.Errorf("%q: %v", c.text, err)
		}
	}
}

// TestParseNumbers divides lists of numbers.
func TestParseNumbers(t *testing.T) {
	want := []float64{0.3, 0.2, 4.5, 2.2}
	for _, text := range []string{
		"0.3,0.2,4.5,2.2", "0.3, 0.2, 4.5, 2.2", "0.3;0.2;4.5;2.2", "0,3;0,2;4,5;2,2", "0.3 0.2 4.5 2.2",
		"0,3 0,2 4,5 2,2", "0.3\t0.2\t4.5\t2.2", " 0,3; 0,2; 4,5; 2,2 ",
	} {
		got, err := ParseNumbers(text, 4)
		if diff := cmp.Diff(want, got); err != nil || diff != "" {
			t.Errorf("%q: %v, %v", text, got, err)
		}
	}
	for _, text := range []string{"", "0.3,0.2,4.5", "0,3,0,2,4,5,2,2", "a,b,c,d"} {
		if got, err := ParseNumbers(text, 4); err == nil {
			t.Errorf("%q: %v", text, got)
		}
	}
	if got, err := ParseNumbers("1,5", 1); err != nil || got[0] != 1.5 {
		t.Errorf("%v, %v", got, err)
	}
}

// TestDecimalEvidence settles the sign from cells anywhere in a file.
func TestDecimalEvidence(t *testing.T) {
	for _, c := range []struct {
		name, in string
		decimal  rune
		settled  bool
		want     []float64
		errs     string
	}{
		{"point never contradicted", "x,y\n1.234,5\n", '.', false, []float64{1.234}, ""},
		{"point beside tabs", "x\ty\n1.234\t5\n", '.', false, []float64{1.234}, ""},
		{"point beside semicolons", "x;y\n1.234;5\n", '.', false, []float64{nan},
			"f.csv:2:1: found \"1.234\", expected 1234 or 1.2340, to settle whether the point marks thousands or decimals (one cell that shows it settles the whole file)"},
		{"point beside semicolons, settled by a note", "# width: 4,8\nx;y\n1.234;5\n", ',', true, []float64{1234}, ""},
		{"comma settled by a note", "# width: 4.8\nx;y\n1,234;5\n", '.', true, []float64{1234}, ""},
		{"notes that disagree settle nothing", "# width: 4,8\n# height: 2.4\nx;y\n1.234;5\n", '.', false, []float64{nan},
			"f.csv:4:1: found \"1.234\", expected 1234 or 1.2340, to settle whether the point marks thousands or decimals (one cell that shows it settles the whole file)"},
		{"comma later", "x;y\n1.234;5\n2;1,5\n", ',', true, []float64{1234, 2}, ""},
		{"comma earlier", "x;y\n1;1,5\n1.234;5\n", ',', true, []float64{1, 1234}, ""},
		{"either settled as decimals", "x;y\n1,234;5\n2;0,5\n", ',', true, []float64{1.234, 2}, ""},
		{"either settled as groups", "x;y\n1,234;5\n2;0.5\n", '.', true, []float64{1234, 2}, ""},
		{"quoted in a comma file", "x,y\n\"1,234\",5\n2,0.5\n", '.', true, []float64{1234, 2}, ""},
		{"odd cells count", "x;y\n1,234;5\n2;116,5 fc\n", ',', true, []float64{1.234, 2}, ""},
		{"odd cells count, point", "x;y\n1,234;5\n2;f/5.6\n", '.', true, []float64{1234, 2}, ""},
		{"header of a grid counts", "lx;0,5\n1,234;5\n", ',', true, []float64{1.234}, ""},
		{"many open cells", "x;y\n1.234;1\n2.345;1\n3.456;1\n4;1,5\n", ',', true, []float64{1234, 2345, 3456, 4}, ""},
		{"negative", "x;y\n-1.234;1\n1;1,5\n", ',', true, []float64{-1234, 1}, ""},
		{"texts do not count", "x;note\n1.234;1,5\n", '.', false, []float64{nan}, "f.csv:2:1: found \"1.234\", expected 1234 or 1.2340, to settle whether the point marks thousands or decimals (one cell that shows it settles the whole file)"},
		{"never settled", "x;y\n1,234;5\n\n-12,345;6\n", '.', false, []float64{nan, nan},
			"f.csv:2:1: found \"1,234\", expected 1234 or 1,2340, to settle whether the comma marks thousands or decimals (one cell that shows it settles the whole file)\n" +
				"f.csv:4:1: found \"-12,345\", expected -12345 or -12,3450, to settle whether the comma marks thousands or decimals (one cell that shows it settles the whole file)"},
		{"contradiction", "x;y\n1,25;5\n2;0.5\n3;0.25\n", ',', true, []float64{1.25, 2, 3},
			`f.csv:3:2: found "0.5", expected a decimal comma as in "1,25" on line 2 (the first of 2 such cells)`},
		{"contradiction in an odd cell", "x;y\n1.25;116,5 fc\n", '.', true, []float64{1.25},
			`f.csv:2:2: found "116,5 fc", expected a decimal point as in "1.25" on line 2`},
	} {
		t.Run(c.name, func(t *testing.T) {
			wants := func(_ []Note, header []Cell) ([]Want, error) {
				if header[1].Text == "note" {
					return []Want{Number, Text}, nil
				}
				return []Want{Number, Number}, nil
			}
			sheets, err := ReadColumns(strings.NewReader(c.in), "f.csv", wants)
			got := ""
			if err != nil {
				got = err.Error()
			}
			if diff := cmp.Diff(c.errs, got); diff != "" {
				t.Errorf("errors (want, got):\n%s", diff)
			}
			s := sheets[0]
			if s.Dialect.Decimal != c.decimal || s.Dialect.Settled != c.settled {
				t.Errorf("dialect %+v", s.Dialect)
			}
			if diff := cmp.Diff(c.want, s.Columns[0].Num, compareSheets); diff != "" {
				t.Errorf("numbers (want, got):\n%s", diff)
			}
		})
	}
}

// TestOddCells hands on what is not a plain number.
func TestOddCells(t *testing.T) {
	odd := []string{"116 fc", "f/8", "5.6 7/10", "NaN", "inf", "n/a", "0x10", "1e999", "-", "1.5..3.0", "#N/A", "25.11.2026", "±1"}
	in := "x,y\n" + strings.Join(odd, ",1\n") + ",1\n"
	sheets, err := ReadColumns(strings.NewReader(in), "f.csv", allNumbers)
	if err != nil {
		t.Fatal(err)
	}
	s := sheets[0]
	var want []Odd
	for i, text := range odd {
		want = append(want, Odd{i, Cell{text, i + 2, 1}})
		if !math.IsNaN(s.Columns[0].Num[i]) {
			t.Errorf("%q is %v", text, s.Columns[0].Num[i])
		}
		if got := s.Cell(i, 0); got != want[i].Cell {
			t.Errorf("cell %+v", got)
		}
	}
	if diff := cmp.Diff(want, s.Columns[0].Odd); diff != "" {
		t.Errorf("odd cells (want, got):\n%s", diff)
	}
	if got := s.Cell(3, 1); got != (Cell{"1", 5, 2}) {
		t.Errorf("cell %+v", got)
	}
}

// TestFastNumbers holds numbers of all lengths, in a file, to
// strconv.ParseFloat, to the last bit.
func TestFastNumbers(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		texts := rapid.SliceOfN(rapid.OneOf(
			rapid.StringMatching(`[+-]?[0-9]{1,20}(\.[0-9]{0,20})?`),
			rapid.StringMatching(`-?0\.[0-9]{1,25}`),
			rapid.StringMatching(`[0-9]{1,3}\.[0-9]{1,2}`),
			rapid.SampledFrom([]string{"18446744073709551617", "1844674407370955161.7", "9007199254740993", "9999999999999999999"}), // around 2^64 and 2^53
			rapid.Map(rapid.Float64(), func(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }),
			rapid.Map(rapid.Float64Range(-1e6, 1e6), func(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }),
		), 1, 30).Draw(t, "numbers")
		in := "x,y\n0.5,1\n" + strings.Join(texts, ",1\n") + ",1\n"
		sheets, err := ReadColumns(strings.NewReader(in), "f.csv", allNumbers)
		if err != nil {
			t.Fatal(err)
		}
		for i, text := range texts {
			want, err := strconv.ParseFloat(text, 64)
			if err != nil {
				want = math.NaN() // too large: odd
			}
			got := sheets[0].Columns[0].Num[i+1]
			if math.Float64bits(got) != math.Float64bits(want) && !(math.IsNaN(got) && math.IsNaN(want)) {
				t.Fatalf("%q: %v, strconv has %v", text, got, want)
			}
		}
	})
}
