package survey_test

import (
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"slices"
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
