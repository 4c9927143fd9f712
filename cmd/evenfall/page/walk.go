package page

import (
	"cmp"
	"slices"

	"evenfall/photometry/survey"
)

// openPlace is a place that was not read with all lamps on.
type openPlace struct {
	label, words string
	x, y         float64
}

// read tells whether a place was read under a light.
func (b *book) isRead(label, lamp string) bool {
	return slices.ContainsFunc(b.cells[keyOf(label, lamp)], func(r *row) bool { return !r.empty() })
}

// unread are the places that were not read with all lamps on.
func (b *book) unread() (open []openPlace) {
	for _, p := range b.places {
		if !b.isRead(p.label, "") {
			open = append(open, openPlace{p.label, p.words, p.x, p.y})
		}
	}
	return open
}

// referenceDue tells whether so many readings were taken since the reference was
// read that it is time to read it again. Lamps alone need none: drift is told from
// the readings of all together.
func (b *book) referenceDue(lamp string) bool {
	if lamp != "" || b.ref < 0 {
		return false
	}
	last, since := int64(-1), 0
	for _, r := range b.cells[keyOf(b.reference(), lamp)] {
		if !r.empty() {
			last = max(last, r.at)
		}
	}
	for _, r := range b.rows {
		if !r.empty() && r.lamp == "" && r.at > last && fold(r.label) != fold(b.reference()) {
			since++
		}
	}
	return since >= survey.ReferenceEvery
}

// next is the place to read next under a light: the reference where it is due,
// then the quick places, then the rest of the walk, going on from where the last
// reading was.
func (b *book) next(lamp string, due bool) *next {
	if due {
		p := b.places[b.ref]
		return &next{p.label, p.words, "reference due: tells whether the lamps drift", "reference"}
	}
	at := b.lastRead(lamp)
	quick := b.quick
	if i := b.firstUnread(lamp, at, 0, quick); i >= 0 {
		return &next{b.places[i].label, b.places[i].words, "quick nine", "quick"}
	}
	if lamp != "" {
		// A lamp alone is asked for where rows ask for it; nine tell enough.
		for _, p := range b.places[quick:] {
			if rows := b.cells[keyOf(p.label, lamp)]; len(rows) > 0 && !b.isRead(p.label, lamp) {
				return &next{p.label, p.words, "walk", "walk"}
			}
		}
		return nil
	}
	if i := b.firstUnread(lamp, at, quick, len(b.places)); i >= 0 {
		return &next{b.places[i].label, b.places[i].words, "walk", "walk"}
	}
	return nil
}

// lastRead is the index of the place that was read last under a light, -1 before
// any.
func (b *book) lastRead(lamp string) int {
	var last *row
	for _, r := range b.rows {
		if !r.empty() && fold(r.lamp) == fold(lamp) && r.at > 0 && (last == nil || cmp.Compare(r.at, last.at) >= 0) {
			if i := b.byKey[fold(r.label)]; i != b.ref || last == nil {
				last = r
			}
		}
	}
	if last == nil {
		return -1
	}
	return b.byKey[fold(last.label)]
}

// firstUnread is the first place from one index to another that was not read,
// beginning behind the one read last and around.
func (b *book) firstUnread(lamp string, last, from, to int) int {
	n := to - from
	start := from
	if last >= from && last < to {
		start = last + 1
	}
	for k := range n {
		i := from + (start-from+k)%n
		if !b.isRead(b.places[i].label, lamp) {
			return i
		}
	}
	return -1
}
