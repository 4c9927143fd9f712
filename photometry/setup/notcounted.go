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
	copied map[int]bool
	copies []photometry.Finding
}

// notCounted finds the rows that are copies of earlier ones.
func (r *rows[T]) notCounted() notCounted {
	n := notCounted{copied: map[int]bool{}}
	for _, c := range table.FindCopies([][]uint64{r.RowKeys()}, len(r.Rows), nil) {
		for i := range c.Rows {
			n.copied[c.First+i] = true
		}
		n.copies = append(n.copies, c.Finding(r.Sheet, r.Sheet))
	}
	return n
}

// findings say what of it there is.
func (n *notCounted) findings() (out []photometry.Finding) {
	out = n.copies
	if len(n.own) > 0 {
		out = append(out, photometry.Found("status_own", "words", strings.Join(n.own[:min(3, len(n.own))], ", ")))
	}
	if len(n.unread) > 0 {
		out = append(out, photometry.Found("lights_unread", "lights", strings.Join(n.unread[:min(8, len(n.unread))], ", "), "more", max(0, len(n.unread)-8)))
	}
	return out
}

// status is what was answered about a row; one with a copied level is left out. Words that answer nothing are noted.
func (r *rows[T]) status(i int, aside *notCounted) schema.Status {
	level := ""
	for _, c := range levelColumns {
		level += r.Cell(i, c.name).Text
	}
	if aside.copied[i] && level != "" {
		return schema.LeftOut
	}
	words := r.Cell(i, "status").Text
	status := schema.ParseStatus(words, level, table.ParseNumber)
	if status == schema.OwnWords {
		aside.own = append(aside.own, words)
	}
	return status
}
