package survey

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"evenfall/photometry"
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

// read makes a survey of points with a level that a function gives.
func readAt(t *testing.T, x, y []float64, level func(x, y float64) float64) (*Survey, *Result) {
	t.Helper()
	var b strings.Builder
	b.WriteString("x (m),y (m),E (lx)\n")
	for i := range x {
		fmt.Fprintf(&b, "%v,%v,%v\n", x[i], y[i], level(x[i], y[i]))
	}
	s, err := Read([]Input{{Name: "cloth.csv", Reader: strings.NewReader(b.String())}}, ReadOptions{})
	if err != nil {
		t.Fatal(err)
	}
	r, err := Analyze(s)
	if err != nil {
		t.Fatal(err)
	}
	return s, r
}

// The most helpful place is where the light runs most from what was read: at the
// steep side, not at the level one, and nowhere where the light is even. Expected
// by the exact level that the readings were made of.
func TestMostHelpful(t *testing.T) {
	var x, y []float64
	for _, label := range QuickNine(9, 5) {
		c, row, _ := ParseGridLabel(label)
		px, py := gridPosition(c, row, 9, 5, 4.8, 2.4, false)
		x, y = append(x, px), append(y, py)
	}
	bow := func(x, _ float64) float64 { return 1000 * math.Exp2(-0.12*x*x) } // steeper to the right
	s, r := readAt(t, x, y, bow)
	openX, openY := []float64{0.27, 1.6, 3.2, 4.53}, []float64{1.2, 1.2, 1.2, 1.2}
	h, ok := s.MostHelpful(r, openX, openY)
	// Of the differences to the nearest read place, 0.08, 0.23, 0.69 and 0.54.
	if !ok || h.Index != 2 {
		t.Fatalf("%+v %v, want the place at 3.2 m", h, ok)
	}
	if want := math.Abs(photometry.Stops(bow(3.2, 1.2), bow(4.0, 1.2))); math.Abs(h.Stops-want) > 0.01 {
		t.Errorf("%.3f stop predicted, the light runs %.3f", h.Stops, want)
	}
	if !strings.Contains(h.Words(), "0.7 stop from here to B3") {
		t.Errorf("words %q", h.Words())
	}
	s, r = readAt(t, x, y, func(x, _ float64) float64 { return 1000 + x })
	if h, ok := s.MostHelpful(r, openX, openY); ok {
		t.Errorf("even light: %+v", h)
	}
	if _, ok := s.MostHelpful(r, nil, nil); ok {
		t.Error("nothing left to read, and yet a place")
	}
	// One slip does not draw the walk to itself.
	s, r = readAt(t, x, y, func(px, py float64) float64 {
		if px == x[4] && py == y[4] {
			return 96
		}
		return 1000
	})
	if h, ok := s.MostHelpful(r, openX, openY); ok {
		t.Errorf("a slip in even light: %+v", h)
	}
}
