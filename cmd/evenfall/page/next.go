package page

import (
	"cmp"
	"slices"

	"evenfall/photometry/blank"
	"evenfall/photometry/uncertainty"
)

// isRead reports whether a place was read under a light.
func (b *editor) isRead(label, lamp string) bool {
	return slices.ContainsFunc(b.cells[keyOf(label, lamp)], func(r *row) bool { return r.counts() })
}

// unread are the places that were not read with all lamps on.
func (b *editor) unread() (open []place) {
	for _, p := range b.places {
		if !b.isRead(p.label, "") {
			open = append(open, p)
		}
	}
	return open
}

// referenceDue reports whether so many readings were taken since the reference was
// read that it is time to read it again. Lamps alone need none: drift is found in
// the readings of all together.
func (b *editor) referenceDue(lamp string) bool {
	if lamp != "" || b.ref < 0 {
		return false
	}
	last, since := int64(-1), 0
	for _, r := range b.referenceRead() {
		last = max(last, r.time())
	}
	for _, r := range b.rows {
		if r.counts() && r.Lamp == "" && r.time() > last && !b.isReference(r.Label) {
			since++
		}
	}
	return since >= b.referenceEvery()
}

// referenceRead are the readings of the reference with all lamps on, in time.
func (b *editor) referenceRead() (read []*row) {
	for _, r := range b.cells[keyOf(b.places[b.ref].label, "")] {
		if r.counts() {
			read = append(read, r)
		}
	}
	slices.SortStableFunc(read, func(a, b *row) int { return cmp.Compare(a.UnixMilli, b.UnixMilli) })
	return read
}

// referenceEvery is after how many readings the reference is read again: soon until the
// last two agree as two readings of a steady light do.
func (b *editor) referenceEvery() int {
	read := b.referenceRead()
	if n := len(read); n >= 2 && uncertainty.Agree(read[n-1].Level, read[n-2].Level) {
		return blank.ReferenceEvery
	}
	return blank.ReferenceFirst
}

// next is the place to read next under a light: the reference where it is due,
// then the quick places, then the rest of the walk, going on from where the last
// reading was.
func (b *editor) next(lamp string, due bool) *next {
	if due {
		return nextAt(b.places[b.ref], "reference due: tells whether the lamps drift", "reference")
	}
	last := b.lastRead(lamp)
	unread := func(p place) bool { return !b.isRead(p.label, lamp) }
	if p, ok := firstBehind(b.places[:b.quick], last, unread); ok {
		return nextAt(p, "quick nine", "quick")
	}
	asked := unread
	if lamp != "" {
		// A lamp alone is asked for where rows ask for it; nine tell enough.
		asked = func(p place) bool { return len(b.cells[keyOf(p.label, lamp)]) > 0 && unread(p) }
		last = -1
	}
	if p, ok := firstBehind(b.places[b.quick:], last-b.quick, asked); ok {
		return nextAt(p, "walk", "walk")
	}
	return nil
}

func nextAt(p place, why, code string) *next { return &next{p.label, p.words, why, code} }

// lastRead is the index of the place that was read last under a light, -1 before
// any. The reference counts only where nothing else was read before it.
func (b *editor) lastRead(lamp string) int {
	var last *row
	for _, r := range b.rows {
		if r.counts() && fold(r.Lamp) == fold(lamp) && r.UnixMilli > 0 && (last == nil || r.UnixMilli >= last.UnixMilli && !b.isReference(r.Label)) {
			last = r
		}
	}
	if last == nil {
		return -1
	}
	return b.byKey[fold(last.Label)]
}

// firstBehind is the first of some places that is wanted, beginning behind the one
// of an index, where that is among them, and around.
func firstBehind(places []place, last int, wanted func(place) bool) (place, bool) {
	for k := range places {
		if last >= 0 && last < len(places) {
			k = (last + 1 + k) % len(places)
		}
		if wanted(places[k]) {
			return places[k], true
		}
	}
	return place{}, false
}
