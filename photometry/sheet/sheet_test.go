package sheet

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"evenfall/photometry/table"
)

// expected is what a sheet of the corpus is read as.
type expected struct {
	About    string
	Min, Max float64
	Places   int
	Unit     string
	LeftOut  []string `json:"left_out"`
	Told     []string
	Question string
}

// corpus are the sheets of a folder of testdata with what is expected of each.
func corpus(t *testing.T, folder string) map[string]expected {
	t.Helper()
	content, err := os.ReadFile(filepath.Join("testdata", folder, "expect.json"))
	if err != nil {
		t.Fatal(err)
	}
	var all map[string]expected
	if err := json.Unmarshal(content, &all); err != nil {
		t.Fatal(err)
	}
	return all
}

// outcome is how a sheet came out against what is expected: "as expected", "asked" where
// it could have been taken, "misread" otherwise.
func outcome(t *testing.T, path string, want expected) (result, detail string) {
	t.Helper()
	file, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	tables, err := Read(file, filepath.Base(path), nil)
	var q *Question
	var refused table.Errors
	switch {
	case errors.As(err, &q):
		if want.Question == q.Code {
			return "as expected", q.Code
		}
		if want.Question != "" {
			return "asked", q.Code + " instead of " + want.Question + ": " + q.Text
		}
		return "asked", q.Code + ": " + q.Text
	case errors.As(err, &refused):
		if want.Question == "none" {
			return "as expected", "refused"
		}
		return "asked", "refused"
	case err != nil:
		return "misread", err.Error()
	case want.Question != "":
		low, high, places, unit := tables[0].Figures()
		return "misread", fmt.Sprintf("taken as %g to %g %s, %d places, in place of the question %s", low, high, unit, places, want.Question)
	}
	low, high, places, unit := tables[0].Figures()
	near := func(a, b float64) bool { return math.Abs(a-b) <= 1e-6*math.Abs(b) }
	if !near(low, want.Min) || !near(high, want.Max) || places != want.Places || unit.String() != want.Unit {
		return "misread", fmt.Sprintf("%g to %g %s, %d places; expected %g to %g %s, %d", low, high, unit, places, want.Min, want.Max, want.Unit, want.Places)
	}
	left := tables[0].LeftOut
	for _, name := range want.LeftOut {
		if !slices.ContainsFunc(left, func(s string) bool { return strings.Contains(s, name) }) {
			return "unnamed", fmt.Sprintf("left out %q, expected %q among them", left, name)
		}
	}
	return "as expected", strings.Join(left, "; ")
}

func TestCorpus(t *testing.T) {
	for _, folder := range []string{"given", "fresh", "own", "hard", "everyday", "last"} {
		t.Run(folder, func(t *testing.T) {
			all := corpus(t, folder)
			var names []string
			for name := range all {
				names = append(names, name)
			}
			slices.Sort(names)
			counts := map[string]int{}
			for _, name := range names {
				result, detail := outcome(t, filepath.Join("testdata", folder, name), all[name])
				counts[result]++
				t.Logf("%-36s %-12s %s", name, result, detail)
				if result == "misread" {
					t.Errorf("%s (%s): misread: %s", name, all[name].About, detail)
				}
			}
			t.Logf("of %d: %v", len(names), counts)
			if share := float64(counts["as expected"]) / float64(len(names)); share < 0.95 {
				t.Errorf("%.0f %% as expected, want 95 %%", 100*share)
			}
		})
	}
}
