package survey_test

import (
	"os"
	"testing"

	"evenfall/photometry/survey"
)

// TestDoubts has each way in which people mark a level as doubtful; the levels are those
// of the file.
func TestDoubts(t *testing.T) {
	const name = "../sheet/testdata/own/doubt-in-many-ways.csv"
	file, err := os.Open(name)
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	s, err := survey.Read([]survey.Input{{Name: name, Reader: file}}, survey.ReadOptions{})
	if err != nil {
		t.Fatal(err)
	}
	want := []float64{530, 510, 520, 515, 540, 525, 505, 512}
	doubts := s.Doubts()
	if len(doubts) != len(want) {
		t.Fatalf("%d readings in doubt, want %d: %v", len(doubts), len(want), doubts)
	}
	for i, d := range doubts {
		if d.Level != want[i] || d.Line != i+2 {
			t.Errorf("%s: %g at line %d, want %g at line %d", d.Label, d.Level, d.Line, want[i], i+2)
		}
	}
}
