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
func (b *editor) referenceDue() bool {
	if b.ref < 0 {
		return false
	}
	last, since := int64(-1), 0
	if read := b.referenceRead(); len(read) > 0 {
		last = read[len(read)-1].time()
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

// next is the place to read next with all lamps on: the reference where it is due, then the
// quick places, then the rest of the walk, going on from where the last reading was. nil is
// none.
func (b *editor) next() *next {
	if b.referenceDue() {
		return nextAt(b.places[b.ref], "reference due: tells whether the lamps drift", "reference")
	}
	last := b.lastRead()
	return cmp.Or(b.firstBehind(b.places[:b.quick], last, "quick nine", "quick"), b.firstBehind(b.places[b.quick:], last-b.quick, "walk", "walk"))
}

func nextAt(p place, why, code string) *next { return &next{p.label, p.words, why, code} }

// lastRead is the index of the place that was read last with all lamps on, -1 before
// any. The reference counts only where nothing else was read before it.
func (b *editor) lastRead() int {
	var last *row
	for _, r := range b.rows {
		if r.counts() && r.Lamp == "" && r.UnixMilli > 0 && (last == nil || r.UnixMilli >= last.UnixMilli && !b.isReference(r.Label)) {
			last = r
		}
	}
	if last == nil {
		return -1
	}
	return b.byKey[fold(last.Label)]
}

// firstBehind is the first of some places that is not read, beginning behind the one
// of an index, where that is among them, and around.
func (b *editor) firstBehind(places []place, last int, why, code string) *next {
	for k := range places {
		if last >= 0 && last < len(places) {
			k = (last + 1 + k) % len(places)
		}
		if !b.isRead(places[k].label, "") {
			return nextAt(places[k], why, code)
		}
	}
	return nil
}
