package page

import (
	"slices"

	"evenfall/photometry/blank"
	"evenfall/photometry/uncertainty"
)

// isRead reports whether a place was read under a light.
func (b *editor) isRead(label, lamp string) bool {
	return slices.ContainsFunc(b.cells[keyOf(label, lamp)], func(r *row) bool { return r.counts() })
}

// unread are the places known to be somewhere that were not read with all lamps on, once all
// the quick ones were. Where to go next the page says itself, also without an answer.
func (b *editor) unread() (open []place) {
	for i, p := range b.places {
		switch {
		case b.isRead(p.label, ""):
		case i < b.quick:
			return nil
		case p.placed():
			open = append(open, p)
		}
	}
	return open
}

// referenceEvery is after how many readings the reference is read again: soon until the
// last two agree as two readings of a steady light do.
func (b *editor) referenceEvery() int {
	read := inTime(b.cells[keyOf(b.places[b.ref].label, "")])
	if n := len(read); n >= 2 && uncertainty.Agree(read[n-1].Level, read[n-2].Level) {
		return blank.ReferenceEvery
	}
	return blank.ReferenceFirst
}
