package survey_test

import (
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

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
	for text, want := range map[string][]survey.PlaceNote{
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
