// Package blank makes sheets to fill in: the places of a surface in walking order with
// empty levels, as CSV or as a workbook, both of which package survey reads.
package blank

import (
	"encoding/csv"
	"fmt"
	"io"
	"strconv"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/spatial"
	"evenfall/photometry/table"
)

// ReferenceFirst is after how many readings the reference is read again until two in a row
// agree, since lamps warm up fastest at first; ReferenceEvery is after how many from then
// on. A sheet on paper asks for two after ReferenceFirst.
const (
	ReferenceFirst = 5
	ReferenceEvery = 10
)

// Sheet is a sheet to fill in: places in walking order, levels empty.
type Sheet struct {
	Columns, Rows   int
	WidthM, HeightM float64
	Edges           bool            // the outer places on the border, not at cell centers
	Unit            photometry.Unit // LX, FC or FStop
	Feet            bool            // lengths in feet
	Color           bool            // columns for color too
	Notes           []table.Note    // more notes, such as a tolerance
	// Order is the labels in the order of the rows; nil is Walk.
	Order []string
	// Once leaves out the rows that ask for the reference again.
	Once bool
	// Lamps ask for readings of each lamp alone too, at the quick places.
	Lamps []string
}

// edges reports whether the outer places are on the border: always of a new 3 × 3,
// since the centers of its cells would not see a corner.
func (b Sheet) edges() bool { return b.Edges || b.Columns == 3 && b.Rows == 3 }

// Write writes the sheet as CSV that survey.Read reads once it is filled in. The walk is
// in serpentine order: the top row from camera left, the next one back. The place
// in the middle is the reference and comes again and again.
func (b Sheet) Write(w io.Writer) error {
	notes, header, rows := b.sheet()
	for _, n := range notes {
		if _, err := fmt.Fprintf(w, "# %s: %s\n", n.Key, n.Value); err != nil {
			return err
		}
	}
	out := csv.NewWriter(w)
	out.Write(header)
	out.WriteAll(rows)
	return out.Error()
}

// WriteWorkbook writes the same sheet as an .xlsx workbook, its columns with the formats
// of what goes in them.
func (b Sheet) WriteWorkbook(w io.Writer) error {
	notes, header, rows := b.sheet()
	formats := make([]string, len(header))
	for i, name := range header {
		switch {
		case strings.HasPrefix(name, "x ("), strings.HasPrefix(name, "y ("):
			formats[i] = "0.00"
		case name == "time":
			formats[i] = "hh:mm"
		case name == "Duv":
			formats[i] = "0.0000"
		}
	}
	return table.WriteWorkbook(w, notes, header, formats, rows)
}

// sheet is what the sheet has.
func (b Sheet) sheet() (notes []table.Note, header []string, rows [][]string) {
	unit, perMeter := "m", 1.0
	if b.Feet {
		unit, perMeter = "ft", 1/0.3048
	}
	length := func(m float64) string { return strconv.FormatFloat(m*perMeter, 'f', 3, 64) }
	reference := spatial.GridLabel(b.Columns/2, b.Rows/2)
	order := b.Order
	if order == nil {
		order = spatial.Walk(b.Columns, b.Rows)
	}
	notes = []table.Note{
		{Key: "width", Value: strconv.FormatFloat(b.WidthM*perMeter, 'g', 6, 64) + " " + unit},
		{Key: "height", Value: strconv.FormatFloat(b.HeightM*perMeter, 'g', 6, 64) + " " + unit},
		{Key: "grid", Value: fmt.Sprintf("%dx%d", b.Columns, b.Rows)},
	}
	if b.edges() {
		notes[2].Value += ", edges"
	}
	given := false // a reference that is no place of the grid
	named := false
	for _, n := range b.Notes {
		if n.Key == "reference" {
			column, row, ok := spatial.ParseGridLabel(n.Value)
			named = true
			given = !ok || column >= b.Columns || row >= b.Rows
			reference = strings.ToUpper(strings.TrimSpace(n.Value))
		}
	}
	if !named {
		notes = append(notes, table.Note{Key: "reference", Value: reference})
	}
	notes = append(notes, b.Notes...)
	level := "E (lx)"
	switch b.Unit {
	case photometry.FC:
		level = "E (fc)"
	case photometry.FStop:
		level = "f"
	}
	header = []string{"label", "x (" + unit + ")", "y (" + unit + ")", "time", level}
	if b.Lamps != nil {
		header = append(header, "lamp")
	}
	if b.Color {
		header = append(header, "CCT (K)", "Duv")
	}
	header = append(header, "note")
	row := func(label, lamp, note string) {
		column, fromTop, _ := spatial.ParseGridLabel(label)
		x, y := spatial.GridPosition(column, fromTop, b.Columns, b.Rows, b.WidthM, b.HeightM, b.edges())
		cells := make([]string, len(header))
		cells[0], cells[1], cells[2], cells[len(cells)-1] = label, length(x), length(y), table.AsText(note)
		if lamp != "" {
			cells[5] = table.AsText(lamp)
		}
		rows = append(rows, cells)
	}
	again := !given && !b.Once
	if again {
		row(reference, "", "reference")
	}
	for i, label := range order {
		if again && (i == ReferenceFirst || i > 0 && i%ReferenceEvery == 0) {
			row(reference, "", "reference again")
		}
		row(label, "", "")
	}
	if again {
		row(reference, "", "reference again")
	}
	for _, lamp := range b.Lamps {
		for _, label := range spatial.QuickNine(b.Columns, b.Rows) {
			row(label, lamp, "")
		}
	}
	return notes, header, rows
}
