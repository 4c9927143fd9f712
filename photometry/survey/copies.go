package survey

import (
	"maps"
	"math"

	"evenfall/photometry"
	"evenfall/photometry/schema"
	"evenfall/photometry/table"
)

// Copies are no repeat readings: a meter read again is a new reading, a file saved
// again is not. Those of another day, surface or lamp are no copies.

// withoutCopies leaves out the rows that are copies of earlier ones, and says so.
func withoutCopies(sheets []*rows) (kept []*rows, told []photometry.Finding) {
	copied, told := copiedLines(sheets, 2)
	for k, r := range sheets {
		if r = r.withoutLines(copied[k]); r.n > 0 {
			kept = append(kept, r)
		}
	}
	return kept, told
}

// withoutLines are the rows but those on some lines.
func (r *rows) withoutLines(lines map[int]bool) *rows {
	if lines == nil {
		return r
	}
	return r.where(func(i int) bool { return !lines[r.line(i)] })
}

// copiedLines finds the lines of each sheet that are copies of earlier ones, by their
// content; sheets of at least whole rows may be copies as a whole.
func copiedLines(sheets []*rows, whole int) (copied []map[int]bool, told []photometry.Finding) {
	copied = make([]map[int]bool, len(sheets))
	keys, placed := make([][]uint64, len(sheets)), make([]bool, len(sheets))
	for k, r := range sheets {
		keys[k] = r.sheet.RowKeys(sheetNote(r.sheet, schema.Date), sheetNote(r.sheet, schema.Title), sheetNote(r.sheet, schema.Lamp))
		placed[k] = len(r.sheet.Columns) > 1
		for i := range keys[k] {
			if !r.grid && math.IsNaN(valueAt(r.level, i)) && !r.colors.hasAny(i) {
				keys[k][i] = 0 // a place to be read
			}
		}
	}
	for _, c := range table.FindCopies(keys, whole, placed) {
		sheet, of := sheets[c.Sheet].sheet, sheets[c.Of].sheet
		if c.Whole && sheet.Place() == of.Place() {
			continue // named twice, which is an error of its own
		}
		if copied[c.Sheet] == nil {
			copied[c.Sheet] = map[int]bool{}
		}
		for i := range c.Rows {
			copied[c.Sheet][sheet.Line(c.First+i)] = true
		}
		told = append(told, c.Finding(sheet, of))
	}
	told = append(told, copiedInUnits(sheets, copied)...)
	for k, r := range sheets {
		blocks := r.withoutLines(copied[k]).unitBlocks()
		again := make([]map[int]bool, len(blocks))
		told = append(told, copiedInUnits(blocks, again)...)
		for _, lines := range again {
			if copied[k] == nil {
				copied[k] = lines
				continue
			}
			maps.Copy(copied[k], lines)
		}
	}
	return copied, told
}
