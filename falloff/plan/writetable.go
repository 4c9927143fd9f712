package plan

import (
	"encoding/csv"
	"io"
	"slices"

	"evenfall/photometry/setup"
	"evenfall/photometry/table"
)

// WriteTable writes the lamps of the scene as they stand as a table that
// setup.ReadLamps reads: the notes of the table they came from, and the columns
// that some row fills, in the order of setup.Lamp, lengths in meters.
func (s *Scene) WriteTable(w io.Writer) error {
	if s.table != nil {
		for _, n := range s.table.Notes {
			if _, err := io.WriteString(w, "# "+n.Key+": "+n.Value+"\n"); err != nil {
				return err
			}
		}
	}
	rows := make([][]setup.LampCell, len(s.rows))
	for i, l := range s.rows {
		rows[i] = l.Cells()
	}
	records := make([][]string, 1+len(rows))
	for c, cell := range (setup.Lamp{}).Cells() {
		if slices.ContainsFunc(rows, func(row []setup.LampCell) bool { return row[c].Text != "" }) {
			records[0] = append(records[0], headerOf(cell))
			for i, row := range rows {
				records[i+1] = append(records[i+1], table.AsText(row[c].Text))
			}
		}
	}
	return csv.NewWriter(w).WriteAll(records)
}

// headerOf is the header of a column, with its unit.
func headerOf(c setup.LampCell) string {
	switch {
	case c.Column == "E at":
		return "E (lx) at (m)"
	case c.Unit != "":
		return c.Column + " (" + c.Unit + ")"
	}
	return c.Column
}
