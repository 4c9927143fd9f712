package spatial

import (
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
		{9, 5, "A1 A5 A9 C9 C5 C1 E1 E5 E9"},
		{3, 3, "A1 A2 A3 B3 B2 B1 C1 C2 C3"},
		{2, 1, "A1 A2"},
		{1, 4, "A1 B1 D1"},
		{12, 6, "A1 A6 A12 C12 C6 C1 F1 F6 F12"},
	} {
		if got := strings.Join(QuickNine(c.columns, c.rows), " "); got != c.want {
			t.Errorf("%d × %d: %s, want %s", c.columns, c.rows, got, c.want)
		}
	}
}

// A walk visits every place once, and the quick nine have the corners and the middle.
func TestWalksVisitAll(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		columns, rows := rapid.IntRange(1, 40).Draw(t, "columns"), rapid.IntRange(1, 30).Draw(t, "rows")
		nine := QuickNine(columns, rows)
		for _, label := range []string{GridLabel(0, 0), GridLabel(columns-1, 0), GridLabel(0, rows-1), GridLabel(columns-1, rows-1), GridLabel((columns-1)/2, (rows-1)/2)} {
			if !slices.Contains(nine, label) {
				t.Fatalf("%d × %d: %v without %s", columns, rows, nine, label)
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
