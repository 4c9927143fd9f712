package survey_test

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"evenfall/photometry"
	"evenfall/photometry/survey"
)

// Every sheet of package sheet's corpus becomes a survey with its smallest and greatest
// level and its places, or the question that it is expected to raise.
func TestSheetsAsTyped(t *testing.T) {
	for _, folder := range []string{"given", "fresh", "own", "hard"} {
		folder = filepath.Join("..", "sheet", "testdata", folder)
		content, err := os.ReadFile(filepath.Join(folder, "expect.json"))
		if err != nil {
			t.Fatal(err)
		}
		var all map[string]struct {
			Min, Max       float64
			Places         int
			Unit, Question string
		}
		if err := json.Unmarshal(content, &all); err != nil {
			t.Fatal(err)
		}
		for name, want := range all {
			file, err := os.Open(filepath.Join(folder, name))
			if err != nil {
				t.Fatal(err)
			}
			s, err := survey.Read([]survey.Input{{Name: name, Reader: file}}, survey.ReadOptions{})
			file.Close()
			switch {
			case want.Question != "":
				if err == nil {
					t.Errorf("%s: taken, want the question %s", name, want.Question)
				}
				continue
			case err != nil:
				t.Errorf("%s: %v", name, err)
				continue
			}
			unit, _ := photometry.ParseUnit(want.Unit)
			low, high := slices.Min(s.Level), slices.Max(s.Level)
			lowWant, errLow := s.Settings.Meter.Level(want.Min, unit)
			highWant, errHigh := s.Settings.Meter.Level(want.Max, unit)
			if errLow != nil || errHigh != nil || math.Abs(low/lowWant.Value-1) > 0.002 || math.Abs(high/highWant.Value-1) > 0.002 || s.Len()+len(s.Bounds) != want.Places {
				t.Errorf("%s: %g to %g, %d places, want %g to %g, %d", name, low, high, s.Len()+len(s.Bounds), lowWant.Value, highWant.Value, want.Places)
			}
		}
	}
}

// What people wrote beside readings is kept: in the plain form, in a sheet with several
// columns of remarks, and where nothing was read.
func TestRemarksAreKept(t *testing.T) {
	for text, want := range map[string][]photometry.PlaceNote{
		"# width: 3\n# height: 2\nlabel,E (lx),note\nA1,500,\nA2,510,window\nB1,,behind the tree\nB2,505,\n":                {{Place: "A2", Text: "window"}, {Place: "B1", Text: "behind the tree"}},
		"Green cloth\n\nSpot,Lux,Who,Remarks\nA1,500,Mila,\nA2,510,Mila,window\nB1,495,,\nB2,505,,dusty\n":                  {{Place: "A1", Text: "Mila"}, {Place: "A2", Text: "Mila; window"}, {Place: "B2", Text: "dusty"}},
		"Grünes Tuch\n\nPunkt;Lux;Bemerkung dazu\nA1;500;\nA2;510;am Fenster\nB1;495;\nB2;505;\n":                           {{Place: "A2", Text: "am Fenster"}},
		"x (m),y (m),E (lx),lamp,note\n0,0,500,,\n1,0,510,left,alone\n1,0,900,,\n0,1,505,,\n1,1,505,,\n0.5,0.5,505,,tree\n": {{Place: "(1.00, 0), left", Text: "alone"}, {Place: "(0.500, 0.500)", Text: "tree"}},
	} {
		s, err := survey.Read([]survey.Input{{Name: "a.csv", Reader: strings.NewReader(text)}}, survey.ReadOptions{})
		if err != nil || !slices.Equal(s.Notes, want) {
			t.Errorf("%q: %v, %v, want %v", text, s, err, want)
		}
	}
}

// What was answered about a reading is obeyed in a sheet as people type it too: the same
// readings are left as in the plain form.
func TestStatusAsTyped(t *testing.T) {
	const rows = "A1,742,\nA2,765,\nA3,3000,again\nB1,810,conflict\nB2,842,right 842\nB3,880,out\n"
	var read [2]*survey.Survey
	for k, text := range []string{"# width: 3\n# height: 2\nlabel,E (lx),status\n" + rows, "Green cloth, by hand\n\nSpot,Lux,status\n" + rows} {
		var err error
		if read[k], err = survey.Read([]survey.Input{{Name: "a.csv", Reader: strings.NewReader(text)}}, survey.ReadOptions{}); err != nil {
			t.Fatal(err)
		}
	}
	if plain, typed := read[0], read[1]; typed.ReadAs == nil || !slices.Equal(typed.Label, plain.Label) || !slices.Equal(typed.Level, plain.Level) {
		t.Errorf("%v %v, in the plain form %v %v", typed.Label, typed.Level, plain.Label, plain.Level)
	}
}

// A date with a year of two digits is refused with one message where it is a note, with #
// or as people type one. In a column it only tells days apart: which is meant is asked.
func TestShortYears(t *testing.T) {
	const refused = `found "14.03.26", expected a date with a year of four digits, such as 2026-05-02`
	const rows = "Place;Lux\nA1;900\nA2;820\nB1;888\nB2;870\n"
	for content, want := range map[string]string{
		"# date: 14.03.26\nx (m),y (m),E (lx)\n0,0,900\n1,0,820\n0,1,888\n1,1,870\n":           "cloth.csv:1:",
		"Gray cloth\nDate;14.03.26\n\n" + rows:                                                 "cloth.csv:2:2: " + refused,
		"Gray cloth\nDatum: 14.03.26\n\n" + rows:                                               "cloth.csv:2:1: " + refused,
		"Gray cloth\nDate;14.03.2026\n\n" + rows:                                               "",
		"Place;Lux;Date\nA1;900;14.03.26\nA2;820;14.03.26\nB1;888;14.03.26\n":                  "",
		"Place;Lux;Date\nA1;900;14.03.26\nA2;820;14.03.26\nA1;888;15.03.26\nA2;801;15.03.26\n": "which day, “14.03.26” or “15.03.26”?",
	} {
		_, err := survey.Read([]survey.Input{{Name: "cloth.csv", Reader: strings.NewReader(content)}}, survey.ReadOptions{})
		if want == "" && err != nil || want != "" && (err == nil || !strings.Contains(err.Error(), want)) {
			t.Errorf("%s: %v, want %q", content, err, want)
		}
		if strings.HasSuffix(want, ":") && !strings.Contains(err.Error(), refused) {
			t.Errorf("%s: %v", content, err)
		}
	}
}

// An error that quotes a cell says where the cell is, whichever of a sheet is wrong.
func TestDamagedCells(t *testing.T) {
	const wrong, few = "8e0e7", 8 // one row of eight is damaged
	names, err := filepath.Glob(filepath.Join("..", "sheet", "testdata", "*", "*.csv"))
	if err != nil || len(names) == 0 {
		t.Fatal(err, len(names))
	}
	quoted := 0
	for i, name := range names {
		content, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		if !utf8.Valid(content) || strings.ContainsAny(string(content), "\"\r") {
			continue // cells are not simply between delimiters
		}
		lines := strings.Split(string(content), "\n")
		delimiter := ","
		for _, d := range []string{"\t", ";"} {
			if strings.Count(string(content), d) >= len(lines)/2 {
				delimiter = d
			}
		}
		for row := i % few; row < len(lines); row += few {
			cells := strings.Split(lines[row], delimiter)
			for column := range cells {
				if strings.TrimSpace(cells[column]) == "" {
					continue
				}
				damaged, there := slices.Clone(lines), slices.Clone(cells)
				there[column] = wrong
				damaged[row] = strings.Join(there, delimiter)
				_, err := survey.Read([]survey.Input{{Name: "sheet.csv", Reader: strings.NewReader(strings.Join(damaged, "\n"))}}, survey.ReadOptions{})
				if err == nil || !strings.Contains(err.Error(), "found “"+wrong) && !strings.Contains(err.Error(), `found "`+wrong) {
					continue
				}
				quoted++
				if place := fmt.Sprintf("sheet.csv:%d:%d: found ", row+1, column+1); !strings.Contains(err.Error(), place) || !strings.Contains(err.Error(), ", expected ") {
					t.Errorf("%s: %v\nexpected %s", name, err, place)
				}
			}
		}
	}
	if quoted < 60 {
		t.Errorf("%d errors quote the cell, expected more", quoted)
	}
}
