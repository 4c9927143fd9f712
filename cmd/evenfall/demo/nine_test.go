package demo

import (
	"bytes"
	"encoding/csv"
	"math"
	"strconv"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"evenfall/photometry/spatial"
)

// What each lamp gives at the places of the close shot follows from the second day's lamps;
// the shot is of 2.6 × 1.4 m, from 1.1 m right and 0.6 m up on.
func TestCloseShotFollowsFromTheLamps(t *testing.T) {
	content, err := scene.ReadFile("scene/close-shot.csv")
	if err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(bytes.NewReader(content)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	s, labels := predicted(t, "lamps-day2.csv"), spatial.Walk(3, 3)
	if len(rows) != 1+len(labels) {
		t.Fatalf("%d rows", len(rows))
	}
	for i, row := range rows[1:] {
		column, fromTop, _ := spatial.ParseGridLabel(row[0])
		at := r3.Vec{X: 1.1 + 1.3*float64(column), Y: 0.6 + 0.7*float64(2-fromTop)}
		sum := 0.0
		for k, lamp := range rows[0][1:] {
			level, err := strconv.ParseFloat(row[1+k], 64)
			if want := from(s, at, camera, lamp); err != nil || math.Abs(level/want-1) > 0.01 {
				t.Errorf("%s at %s: %s lx (%v), the lamp gives %.3f", lamp, row[0], row[1+k], err, want)
			}
			sum += level
		}
		if all := from(s, at, camera); row[0] != labels[i] || math.Abs(sum/all-1) > 0.01 {
			t.Errorf("%s: %.1f lx together, all lamps give %.1f; %s expected", row[0], sum, all, labels[i])
		}
	}
}
