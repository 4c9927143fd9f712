package match

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/evenness"
	"evenfall/photometry/spatial"
	"evenfall/photometry/survey"
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
// that is at nearly the same place; then by position, the nearest two places
// first, each of them once. within is as far as two places may be apart, 0 for a
// quarter of their spacing.
func (m *matching) pair(within float64) error {
	if within <= 0 {
		within = leastWithin
		if s := m.spacing(); !math.IsInf(s, 1) {
			within = max(within, s/4)
		}
	}
	a, b := m.before.s, m.after.s
	p := &pairing{a: a, b: b, of: slices.Repeat([]int{-1}, a.Len()), taken: make([]bool, b.Len()), Pairing: Pairing{WithinM: within}}
	elsewhere := p.byLabel()
	p.byPosition(m.after.r.Places)
	m.r.PairedBy = &p.Pairing
	for i, j := range p.of {
		if j < 0 {
			m.r.UnpairedBefore = append(m.r.UnpairedBefore, Place{a.LabelOf(i), a.X[i], a.Y[i]})
			continue
		}
		pair := Point{Label: a.LabelOf(i), Position: &Position{a.X[i], a.Y[i]}, DistanceM: p.distance(i, j),
			Before: m.before.level[i], After: m.after.level[j], before: i, after: j}
		pair.Stops = photometry.Stops(pair.After, pair.Before)
		pair.OutOfShot = !a.InShot(pair.X, pair.Y)
		m.r.Points = append(m.r.Points, pair)
	}
	for j, is := range p.taken {
		if !is {
			m.r.UnpairedAfter = append(m.r.UnpairedAfter, Place{b.LabelOf(j), b.X[j], b.Y[j]})
		}
	}
	return m.checkPairs(elsewhere)
}

// pairing are the places of two days as they are brought together.
type pairing struct {
	a, b  *survey.Survey
	of    []int  // point of today of each of the day before, −1 for none
	taken []bool // points of today
	Pairing
}

func (p *pairing) distance(i, j int) float64 {
	return math.Hypot(p.a.X[i]-p.b.X[j], p.a.Y[i]-p.b.Y[j])
}

func (p *pairing) take(i, j int) {
	p.of[i], p.taken[j] = j, true
	p.MaxDistanceM = max(p.MaxDistanceM, p.distance(i, j))
}

// moved is a label that is at another place today: a point of each day.
type moved struct{ before, after int }

// byLabel pairs places of the same label, and returns those that are elsewhere.
func (p *pairing) byLabel() (elsewhere []moved) {
	at := map[string]int{}
	for j := range p.b.Len() {
		label := strings.ToLower(p.b.LabelOf(j))
		if _, twice := at[label]; !twice {
			at[label] = j
		}
	}
	for i := range p.a.Len() {
		label := strings.ToLower(p.a.LabelOf(i))
		j, ok := at[label]
		switch {
		case label == "" || !ok || p.taken[j]:
		case p.distance(i, j) > p.WithinM:
			elsewhere = append(elsewhere, moved{i, j})
		default:
			p.take(i, j)
			p.Label++
		}
	}
	return elsewhere
}

// byPosition pairs the places left that lie within the distance, the nearest first.
// today are the places of today.
func (p *pairing) byPosition(today *spatial.Places) {
	type candidate struct {
		moved
		distance float64
	}
	var near []candidate
	for i, j := range p.of {
		if j >= 0 {
			continue
		}
		for j := range today.Within(p.a.X[i], p.a.Y[i], p.WithinM) {
			if d := p.distance(i, int(j)); d <= p.WithinM && !p.taken[j] {
				near = append(near, candidate{moved{i, int(j)}, d})
			}
		}
	}
	slices.SortFunc(near, func(p, q candidate) int {
		return cmp.Or(cmp.Compare(p.distance, q.distance), cmp.Compare(p.before, q.before), cmp.Compare(p.after, q.after))
	})
	for _, c := range near {
		if p.of[c.before] < 0 && !p.taken[c.after] {
			p.take(c.before, c.after)
			p.Position++
		}
	}
}

// checkPairs says how well the places of the two days go together.
func (m *matching) checkPairs(elsewhere []moved) error {
	a, b := m.before.s, m.after.s
	n := len(m.r.Points)
	if n == 0 {
		return fmt.Errorf("%w within %.2f m: the places of the day before lie in %s m, those of today in %s m; expected the same places, or a larger distance (--within)",
			errNoPair, m.r.PairedBy.WithinM, m.before.r.Places.Box, m.after.r.Places.Box)
	}
	if len(elsewhere) > 0 {
		i, j := elsewhere[0].before, elsewhere[0].after
		m.r.warn("match.labels_elsewhere", "labels", len(elsewhere), "label", a.LabelOf(i), "before", photometry.Point{X: a.X[i], Y: a.Y[i]}, "today", photometry.Point{X: b.X[j], Y: b.Y[j]})
	}
	if n < 2 {
		m.r.warn("match.one_place")
	} else if 2*n < min(a.Len(), b.Len()) {
		m.r.warn("match.few_common", "common", n, "before", a.Len(), "today", b.Len())
	}
	return nil
}
