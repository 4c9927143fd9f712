package survey

import (
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestQuickNine(t *testing.T) {
	for _, c := range []struct {
		columns, rows int
		want          string
	}{
		{9, 5, "A2 A5 A8 C8 C5 C2 E2 E5 E8"},
		{3, 3, "A1 A2 A3 B3 B2 B1 C1 C2 C3"},
		{2, 1, "A1 A2"},
		{1, 4, "A1 B1 D1"},
		{12, 6, "B3 B6 B10 C10 C6 C3 E3 E6 E10"},
	} {
		if got := strings.Join(QuickNine(c.columns, c.rows), " "); got != c.want {
			t.Errorf("%d × %d: %s, want %s", c.columns, c.rows, got, c.want)
		}
	}
}

// Each third's place is the nearest to the third's center that there is, and a
// walk visits every place once.
func TestWalksVisitAll(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		columns, rows := rapid.IntRange(1, 40).Draw(t, "columns"), rapid.IntRange(1, 30).Draw(t, "rows")
		for _, n := range []int{columns, rows} {
			if n <= 3 {
				continue
			}
			for k, i := range thirds(n) {
				center := float64(2*k+1) / 6
				off := func(i int) float64 { return math.Abs((float64(i)+0.5)/float64(n) - center) }
				if off(i) > off(i-min(i, 1))+1e-9 || off(i) > off(min(i+1, n-1))+1e-9 {
					t.Fatalf("third %d of %d is place %d", k, n, i)
				}
			}
		}
		for _, walk := range [][]string{Walk(columns, rows), WalkNineFirst(columns, rows)} {
			sorted := slices.Clone(walk)
			slices.Sort(sorted)
			if len(slices.Compact(sorted)) != columns*rows || len(walk) != columns*rows {
				t.Fatalf("%d × %d: %v", columns, rows, walk)
			}
		}
	})
}

func TestPlaceWords(t *testing.T) {
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
		if got := PlaceWords(c.column, c.row, c.columns, c.rows); got != c.want {
			t.Errorf("%q, want %q", got, c.want)
		}
	}
	// No two places have the same words.
	seen := map[string]bool{}
	for _, label := range Walk(12, 9) {
		column, row, _ := ParseGridLabel(label)
		words := PlaceWords(column, row, 12, 9)
		if seen[words] {
			t.Errorf("%q twice", words)
		}
		seen[words] = true
	}
}
