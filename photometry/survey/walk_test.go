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
