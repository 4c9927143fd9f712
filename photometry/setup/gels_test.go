package setup

import (
	"bytes"
	"errors"
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/xuri/excelize/v2"
	"pgregory.net/rapid"

	"evenfall/photometry/colorimetry"
	"evenfall/photometry/table"
)

func TestReadGels(t *testing.T) {
	in := "# bag: mine\n" +
		"name,kind,mired,CC,transmission (%),cie x,cie y,source,note\n" +
		"warm,CTO,+131,,58,,,5600K,\n" +
		"cool,ctb,-66,,53 %,,,3200K,two sheets\n" +
		"rose,minus green,,15M,70,,,,\n" +
		"lime,+green,,CC 7.5 green,84,,,,\n" +
		"gray,nd,,,50,,,,\n" +
		"odd,,,,77,0.3350,0.3280,d65,\n" +
		"Half CTB,,,,,,,,\n"
	bag, err := ReadGels(strings.NewReader(in), "gels.csv")
	if err != nil {
		t.Fatal(err)
	}
	half, ok := colorimetry.NominalGel("half CTB")
	if !ok {
		t.Fatal("no nominal half CTB")
	}
	half.Name = "Half CTB"
	want := []colorimetry.Gel{
		{Name: "warm", Kind: colorimetry.CTO, Mired: 131, Transmittance: colorimetry.Percent(58), Source: "5600K"},
		{Name: "cool", Kind: colorimetry.CTB, Mired: -66, Transmittance: colorimetry.Percent(53), Source: "3200K"},
		{Name: "rose", Kind: colorimetry.MinusGreen, CC: -15, Transmittance: colorimetry.Percent(70)},
		{Name: "lime", Kind: colorimetry.PlusGreen, CC: 7.5, Transmittance: colorimetry.Percent(84)},
		{Name: "gray", Kind: colorimetry.ND, Transmittance: colorimetry.Percent(50)},
		{Name: "odd", Transmittance: colorimetry.Percent(77), XY: &colorimetry.XY{X: 0.3350, Y: 0.3280}, Source: "d65"},
		half,
	}
	if diff := cmp.Diff(want, bag.Gels); diff != "" {
		t.Errorf("gels (want, got):\n%s", diff)
	}
	if len(bag.Warnings) != 0 || len(bag.Notes) != 1 {
		t.Errorf("warnings %v, notes %v", bag.Warnings, bag.Notes)
	}
}

// Every fault is named with its line, its column, what stands there and what
// should, all at once and each once.
func TestGelErrors(t *testing.T) {
	in := "name,kind,mired,CC,transmission,cie x,cie y,source\n" +
		"a,sparkly,30,,120,,,\n" + // two faults of one gel
		"b,CTO,-40,,55,,,\n" +
		"c,,,30,,,,\n" + // no letter: only that is wrong
		"d,plus green,,30M,,,,\n" +
		"e,CTO,50,,0.6,,,\n" +
		"f,,,,55,,,\n" +
		",CTO,30,,,,,\n" +
		"h,ND,,,,,,\n" +
		"i,,,,,0.9,0.9,A\n" +
		"j,,,,,0.33,0.33,moon\n" +
		"k,,,,,0.33,0.33,\n" +
		"l,,,,,0.33,,A\n" +
		"m,,1e9,,,,,\n" +
		"n,,,200G,,,,\n" +
		"o,,20,,0,,,\n" +
		"p,,30,,many,,,\n" +
		"Quarter  amber,CTO,30,,80,,,\n" +
		"quarter amber,CTO,35,,78,,,\n"
	_, err := ReadGels(strings.NewReader(in), "g.csv")
	want := `g.csv:2:2: found "sparkly", expected a kind of gel: CTO, CTB, conversion, plus green, minus green, CC, ND or other
g.csv:2:5: found "120", expected more than 0 and at most 100 %
g.csv:3:3: found "-40", expected a positive shift, since a CTO warms
g.csv:4:4: found "30", expected CC points of the gel with their color, such as 30G for green or 15M for magenta
g.csv:5:4: found "30M", expected green points such as 30G for a plus green
g.csv:6:5: found "0.6", expected percent, such as 58 for a gel that passes 58 %
g.csv:7:3: found an empty cell, expected a mired shift, CC points or a chromaticity, or the kind ND
g.csv:8:1: found an empty cell, expected a name for the gel
g.csv:9:5: found an empty cell, expected an ND's transmission, such as 50 % for a stop
g.csv:10:6: found "0.9", expected a chromaticity that light can have
g.csv:11:8: found "moon", expected A, D50, D55, D65, D75, E or a color temperature such as 3200K
g.csv:12:8: found an empty cell, expected the light source that the chromaticity was measured with (A, D65, 3200K, …)
g.csv:13:7: found an empty cell, expected the y that belongs to cie x
g.csv:14:3: found "1e9", expected a mired shift within ±500, positive for warming
g.csv:15:4: found "200G", expected CC points of the gel with their color, such as 30G for green or 15M for magenta
g.csv:16:5: found "0", expected more than 0 and at most 100 %
g.csv:17:5: found "many", expected a number (%)
g.csv:19:1: found "quarter amber", expected each gel once; it is on line 18 already`
	if err == nil {
		t.Fatal("no error")
	}
	if diff := cmp.Diff(strings.Split(want, "\n"), strings.Split(err.Error(), "\n")); diff != "" {
		t.Errorf("errors (want, got):\n%s", diff)
	}
	var all table.Errors
	if !errors.As(err, &all) {
		t.Errorf("%T is not table.Errors", err)
	}
}

func TestGelsThatAreNoTable(t *testing.T) {
	for in, says := range map[string]string{
		"name,kind,mired\n": "g.csv: found a table without rows, expected a row for each gel",
		"":                  "g.csv",
		"mired,CC\n30,\n":   "found no column “name”, expected one in a table of gels",
		// Figures that are possible one by one and no filter has together.
		"name,mired,source\nx,-150,D65\n": `g.csv:2:2: found "-150", expected figures that a filter can have`,
	} {
		if _, err := ReadGels(strings.NewReader(in), "g.csv"); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%q: %v does not say %q", in, err, says)
		}
	}
}

// The same bag in the dialects of spreadsheet programs, and as a workbook with
// percentages as such.
func TestGelsInOtherDialects(t *testing.T) {
	want, err := ReadGels(strings.NewReader("name,kind,mired,CC,transmission\ncool,CTB,-35.5,,45.5\nrose,,,7.5M,70\n"), "g.csv")
	if err != nil {
		t.Fatal(err)
	}
	for name, in := range map[string]string{
		"semicolons":     "Name;Kind;Mired;CC;Transmission (%)\r\ncool;CTB;-35,5;;45,5\r\nrose;;;7,5M;70\r\n",
		"tabs":           "name\tkind\tmired\tcc\ttransmission [%]\ncool\tCTB\t−35.5\t\t45.5%\nrose\t\t\t7.5 m\t70 %\n",
		"byte-order":     "\ufeffgel,type,shift,cc points,transmittance\ncool,CTB,-35.5,,45.5\n\nrose,,,CC7.5M,70\n",
		"another order":  "transmission,CC,name,mired,kind\n45.5,,cool,-35.5,blue\n70,7.5 magenta,rose,,\n",
		"with a remark":  "# what is left\nname,kind,mired,CC,transmission\ncool,CTB,-35.5,,45.5\n# the good one\nrose,,,7.5M,70\n",
		"padded, quoted": "\"name\" , kind , mired , CC , transmission\n cool , CTB , \"-35.5\" ,, 45.5\n rose ,,, 7.5M , 70\n",
	} {
		got, err := ReadGels(strings.NewReader(in), "g.csv")
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if diff := cmp.Diff(want.Gels, got.Gels); diff != "" {
			t.Errorf("%s (want, got):\n%s", name, diff)
		}
	}

	book := excelize.NewFile()
	percent, err := book.NewStyle(&excelize.Style{NumFmt: 10})
	if err != nil {
		t.Fatal(err)
	}
	for cell, value := range map[string]any{"A1": "name", "B1": "kind", "C1": "mired", "D1": "CC", "E1": "transmission",
		"A2": "cool", "B2": "CTB", "C2": -35.5, "E2": 0.455, "A3": "rose", "D3": "7.5M", "E3": 0.7} {
		if err := book.SetCellValue("Sheet1", cell, value); err != nil {
			t.Fatal(err)
		}
	}
	if err := book.SetCellStyle("Sheet1", "E2", "E3", percent); err != nil {
		t.Fatal(err)
	}
	var file bytes.Buffer
	if err := book.Write(&file); err != nil {
		t.Fatal(err)
	}
	got, err := ReadGels(&file, "g.xlsx")
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(want.Gels, got.Gels); diff != "" {
		t.Errorf("workbook (want, got):\n%s", diff)
	}
}

// What is written reads back the same.
func TestGelsRoundTrip(t *testing.T) {
	number := func(t *rapid.T, name string, low, high float64) *float64 {
		if rapid.Bool().Draw(t, name+" given") {
			v := rapid.Float64Range(low, high).Draw(t, name)
			return &v
		}
		return nil
	}
	rapid.Check(t, func(t *rapid.T) {
		rows := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) Gel {
			g := Gel{
				Name:         rapid.StringMatching(`[a-z][a-z0-9 ;,"½é]{0,11}[a-z]`).Draw(t, "name"),
				Kind:         GelKind(rapid.SampledFrom([]colorimetry.Kind{colorimetry.CTO, colorimetry.PlusGreen, colorimetry.Other}).Draw(t, "kind")),
				Mired:        number(t, "mired", 1, 300),
				Transmission: number(t, "transmission", 2, 100),
				CC:           Points(math.Round(rapid.Float64Range(0.25, 60).Draw(t, "CC")*1000) / 1000),
				Note:         rapid.SampledFrom([]string{"", "three sheets", "old, but good"}).Draw(t, "note"),
			}
			if rapid.Bool().Draw(t, "source given") {
				g.Source = rapid.SampledFrom([]string{"A", "D65", "5600K"}).Draw(t, "source")
				x, y := rapid.Float64Range(0.3, 0.35).Draw(t, "x"), rapid.Float64Range(0.3, 0.35).Draw(t, "y")
				g.X, g.Y = &x, &y
			}
			return g
		}), 1, 5).Draw(t, "rows")
		var records [][]string
		for _, g := range rows {
			records = append(records, []string{g.Name, string(g.Kind), cell(g.Mired), colorimetry.CC(g.CC).String(), cell(g.Transmission), cell(g.X), cell(g.Y), g.Source, g.Note})
		}
		back := readBack[Gel](t, csvOf("name,kind,mired,CC,transmission (%),cie x,cie y,source,note", records...))
		if diff := cmp.Diff(rows, back); diff != "" {
			t.Fatalf("(wrote, read):\n%s", diff)
		}
	})
}

// Whatever is read without an error is a gel that can be modeled.
func FuzzReadGels(f *testing.F) {
	f.Add([]byte("name,kind,mired,CC,transmission\nx,CTO,131,,58\ny,,,15M,\n"))
	f.Add([]byte("name;mired;transmission;cie x;cie y;source\nx;-35,5;45,5;0,3;0,3;D65\n"))
	f.Add([]byte("name\nhalf CTB\n"))
	f.Fuzz(func(t *testing.T, in []byte) {
		bag, err := ReadGels(bytes.NewReader(in), "g.csv")
		if err != nil {
			return
		}
		for _, g := range bag.Gels {
			if _, err := g.Filter(); err != nil {
				t.Errorf("%+v: %v", g, err)
			}
		}
	})
}
