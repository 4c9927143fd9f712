package sheet

import (
	"errors"
	"math"
	"strings"
	"testing"

	"evenfall/photometry/table"
)

// Positions are known by any name of an axis, and those counted from camera right or down
// from the top are what is left of the width and height: 3.5 − 3 = 0.5 m.
func TestPositionsFromEitherSide(t *testing.T) {
	const rows = "0,0.5,500\n1.5,1.5,530\n3,2.5,560\n"
	for _, c := range []struct {
		notes, head string
		x, y        float64 // of the last row; NaN where the size has to be asked for
	}{
		{"", "x pos,y pos,lux", 3, 2.5},
		{"", "across,up,lux", 3, 2.5},
		{"", "from left,from bottom,lux", 3, 2.5},
		{"", "Position X,Position Y,lux", 3, 2.5},
		{"# width: 3.5 m\n# height: 2.75 m\n", "from right (m),from top (m),lux", 0.5, 0.25},
		{"# width: 350 cm\n", "distance from right,height,lux", 0.5, 2.5},
		{"height: 2,75 m\n", "von links (m),von oben (m),lux", 3, 0.25},
		{"", "from left (m),from top (m),lux", math.NaN(), math.NaN()},
	} {
		text := c.notes + c.head + "\n" + rows
		if strings.Contains(c.notes, "2,75") {
			text = c.notes + strings.ReplaceAll(strings.ReplaceAll(c.head+"\n"+rows, ",", ";"), ".", ",")
		}
		tables, err := Read(strings.NewReader(text), "wall.csv", nil)
		var q *Question
		if math.IsNaN(c.x) {
			if !errors.As(err, &q) || q.Code != "length" {
				t.Errorf("%s: %v, expected to be asked for the height", c.head, err)
			}
			continue
		}
		if err != nil {
			t.Errorf("%s: %v", c.head, err)
			continue
		}
		s := tables[0]
		if s.Rows != 3 || len(s.Header) != 4 {
			t.Errorf("%s: %d rows under %v", c.head, s.Rows, s.Header)
			continue
		}
		at := func(column int) float64 {
			v, err := table.Dialect{Decimal: s.Dialect.Decimal}.Length(s.Cell(2, column).Text, "m")
			if err != nil {
				t.Errorf("%s: %v", c.head, err)
			}
			return v
		}
		if x, y := at(1), at(2); math.Abs(x-c.x) > 1e-9 || math.Abs(y-c.y) > 1e-9 {
			t.Errorf("%s: at %g, %g m, expected %g, %g", c.head, x, y, c.x, c.y)
		}
	}
}
