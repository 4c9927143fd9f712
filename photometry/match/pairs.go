package match

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/evenness"
)

// leastWithin is the least distance in meters that two places may be apart by
// default: nobody puts a meter back better.
const leastWithin = 0.01

// spacing is the smaller one of the typical spacings of the two days, in meters.
func (m *matching) spacing() float64 {
	out := math.Inf(1)
	for _, r := range []*evenness.Result{m.before.r, m.after.r} {
		if r.Places.Len() > 1 {
			out = min(out, r.Places.Spacing())
		}
	}
	return out
}

// pair brings the places of both days together: first by the same label, where
// that stands at nearly the same place; then by position, the nearest two places
// first, each of them once.
func (m *matching) pair() error {
	a, b := m.before.s, m.after.s
	within := m.o.WithinM
	if within <= 0 {
		within = leastWithin
		if s := m.spacing(); !math.IsInf(s, 1) {
			within = max(within, s/4)
		}
	}
	paired := &m.r.PairedBy
	paired.WithinM = within
	of := make([]int, a.Len()) // point of today, −1 for none
	for i := range of {
		of[i] = -1
	}
	taken := make([]bool, b.Len())
	take := func(i, j int) {
		of[i], taken[j] = j, true
		paired.MaxDistanceM = max(paired.MaxDistanceM, math.Hypot(a.X[i]-b.X[j], a.Y[i]-b.Y[j]))
	}
	byLabel := map[string]int{}
	for j := range b.Len() {
		if label := strings.ToLower(b.LabelOf(j)); label != "" {
			if _, twice := byLabel[label]; !twice {
				byLabel[label] = j
			}
		}
	}
	var elsewhere []int
	for i := range a.Len() {
		label := strings.ToLower(a.LabelOf(i))
		j, ok := byLabel[label]
		if label == "" || !ok || taken[j] {
			continue
		}
		if math.Hypot(a.X[i]-b.X[j], a.Y[i]-b.Y[j]) > within {
			elsewhere = append(elsewhere, i)
			continue
		}
		take(i, j)
		paired.Label++
	}
	for _, c := range m.candidates(of, taken, within) {
		if of[c.i] < 0 && !taken[c.j] {
			take(c.i, c.j)
			paired.Position++
		}
	}
	for i, j := range of {
		if j < 0 {
			m.r.UnpairedBefore = append(m.r.UnpairedBefore, Place{a.LabelOf(i), a.X[i], a.Y[i]})
			continue
		}
		p := Point{Label: a.LabelOf(i), X: a.X[i], Y: a.Y[i], DistanceM: math.Hypot(a.X[i]-b.X[j], a.Y[i]-b.Y[j]),
			Before: m.before.level[i], After: m.after.level[j], before: i, after: j}
		p.Stops = photometry.Stops(p.After, p.Before)
		p.OutOfShot = a.Area != nil && !a.Area.Contains(p.X, p.Y)
		m.r.Points = append(m.r.Points, p)
	}
	for j, is := range taken {
		if !is {
			m.r.UnpairedAfter = append(m.r.UnpairedAfter, Place{b.LabelOf(j), b.X[j], b.Y[j]})
		}
	}
	return m.tellPairs(elsewhere)
}

// candidate is a pair of places near enough to be one.
type candidate struct {
	i, j     int
	distance float64
}

// candidates are all pairs of places left that lie within a distance, the nearest
// first.
func (m *matching) candidates(of []int, taken []bool, within float64) []candidate {
	a, b := m.before.s, m.after.s
	var out []candidate
	for i := range a.Len() {
		if of[i] >= 0 {
			continue
		}
		for j := range m.after.r.Places.Within(a.X[i], a.Y[i], within) {
			if d := math.Hypot(a.X[i]-b.X[j], a.Y[i]-b.Y[j]); d <= within && !taken[j] {
				out = append(out, candidate{i, int(j), d})
			}
		}
	}
	slices.SortFunc(out, func(p, q candidate) int {
		return cmp.Or(cmp.Compare(p.distance, q.distance), cmp.Compare(p.i, q.i), cmp.Compare(p.j, q.j))
	})
	return out
}

// tellPairs says how well the places of the two days go together.
func (m *matching) tellPairs(elsewhere []int) error {
	a, b := m.before.s, m.after.s
	n := len(m.r.Points)
	if n == 0 {
		return fmt.Errorf("%w within %.2f m: the places of the day before lie in %s m, those of today in %s m; expected the same places, or a larger distance (--within)",
			errNoPair, m.r.PairedBy.WithinM, m.before.r.Places.Box, m.after.r.Places.Box)
	}
	if len(elsewhere) > 0 {
		i := elsewhere[0]
		label := a.LabelOf(i)
		j := 0
		for k := range b.Len() {
			if strings.EqualFold(b.LabelOf(k), label) {
				j = k
				break
			}
		}
		m.warn("labels_elsewhere", "%d label%s at another place today, such as %s at %s, %s m and now %s, %s m: they count by their positions.",
			len(elsewhere), map[bool]string{true: " stands", false: "s stand"}[len(elsewhere) == 1], label, photometry.FormatFigure(a.X[i]), photometry.FormatFigure(a.Y[i]),
			photometry.FormatFigure(b.X[j]), photometry.FormatFigure(b.Y[j]))
	}
	if n < 2 {
		m.warn("one_place", "Only one place is common to both days: its level can be told, a pattern cannot.")
	} else if 2*n < min(a.Len(), b.Len()) {
		m.warn("few_common", "Only %d places are common to both days, of %d the day before and %d today.", n, a.Len(), b.Len())
	}
	return nil
}
