package answers

import (
	"testing"

	"evenfall/photometry/spatial"
)

func TestPlaceInGrid(t *testing.T) {
	for _, c := range []struct {
		column, row, columns, rows int
		want                       string
	}{
		{0, 0, 9, 5, "top row, first from camera left"},
		{2, 1, 9, 5, "second row from the top, third from camera left"},
		{4, 2, 9, 5, "middle row, in the middle"},
		{6, 3, 9, 5, "second row from the bottom, third from camera right"},
		{8, 4, 9, 5, "bottom row, first from camera right"},
		{1, 0, 4, 1, "the only row, second from camera left"},
		{0, 1, 1, 3, "middle row"},
		{11, 1, 40, 4, "second row from the top, 12th from camera left"},
		{20, 1, 60, 4, "second row from the top, 21st from camera left"},
	} {
		if got := PlaceInGrid(c.column, c.row, c.columns, c.rows); got != c.want {
			t.Errorf("%q, want %q", got, c.want)
		}
	}
	// No two places have the same words.
	seen := map[string]bool{}
	for _, label := range spatial.Walk(12, 9) {
		column, row, _ := spatial.ParseGridLabel(label)
		words := PlaceInGrid(column, row, 12, 9)
		if seen[words] {
			t.Errorf("%q twice", words)
		}
		seen[words] = true
	}
}
