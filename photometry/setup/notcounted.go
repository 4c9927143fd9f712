package setup

import (
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/schema"
	"evenfall/photometry/table"
)

// notCounted is what of a table says nothing about the light.
type notCounted struct {
	own    []string // words of the column status that answer nothing
	unread []string // what is planned and still to be read
}

// findings say what of it there is.
func (n *notCounted) findings() (out []photometry.Finding) {
	if len(n.own) > 0 {
		out = append(out, photometry.Found("status_own", "words", strings.Join(n.own[:min(3, len(n.own))], ", ")))
	}
	if len(n.unread) > 0 {
		out = append(out, photometry.Found("lights_unread", "lights", strings.Join(n.unread[:min(8, len(n.unread))], ", "), "more", max(0, len(n.unread)-8)))
	}
	return out
}

// status is what was answered about a row. Words that answer nothing are noted.
func (r *rows[T]) status(i int, aside *notCounted) schema.Status {
	level := ""
	for _, c := range levelColumns {
		level += r.Cell(i, c.name).Text
	}
	words := r.Cell(i, "status").Text
	status := schema.ParseStatus(words, level, table.ParseNumber)
	if status == schema.OwnWords {
		aside.own = append(aside.own, words)
	}
	return status
}
