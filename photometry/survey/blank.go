package survey

import (
	"encoding/csv"
	"fmt"
	"io"
	"strconv"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/table"
)

// referenceEvery is after how many places a blank sheet asks for the reference
// again, so that a drift of the light shows.
const referenceEvery = 10

// Blank is a sheet to fill in: places in walking order, levels empty.
type Blank struct {
	Columns, Rows   int
	WidthM, HeightM float64
	Unit            photometry.Unit // LX or FC
	Feet            bool            // lengths in feet
	Color           bool            // columns for color too
	Notes           []table.Note    // more notes, such as a tolerance
}

// Write writes the sheet as CSV that Read reads once it is filled in. The walk
// is a snake: the top row from camera left, the next one back. The place in the
// middle is the reference and comes again and again.
func (b Blank) Write(w io.Writer) error {
	unit, perMeter := "m", 1.0
	if b.Feet {
		unit, perMeter = "ft", 1/0.3048
	}
	length := func(m float64) string { return strconv.FormatFloat(m*perMeter, 'f', 3, 64) }
	reference := GridLabel(b.Columns/2, b.Rows/2)
	notes := []table.Note{
		{Key: "width", Value: strconv.FormatFloat(b.WidthM*perMeter, 'g', 6, 64) + " " + unit},
		{Key: "height", Value: strconv.FormatFloat(b.HeightM*perMeter, 'g', 6, 64) + " " + unit},
		{Key: "grid", Value: fmt.Sprintf("%dx%d", b.Columns, b.Rows)},
	}
	given := false // a reference that is no place of the grid
	named := false
	for _, n := range b.Notes {
		if n.Key == "reference" {
			column, row, ok := ParseGridLabel(n.Value)
			named = true
			given = !ok || column >= b.Columns || row >= b.Rows
			reference = strings.ToUpper(strings.TrimSpace(n.Value))
		}
	}
	if !named {
		notes = append(notes, table.Note{Key: "reference", Value: reference})
	}
	for _, n := range append(notes, b.Notes...) {
		if _, err := fmt.Fprintf(w, "# %s: %s\n", n.Key, n.Value); err != nil {
			return err
		}
	}
	level := "E (lx)"
	if b.Unit == photometry.FC {
		level = "E (fc)"
	}
	header := []string{"label", "x (" + unit + ")", "y (" + unit + ")", "time", level}
	if b.Color {
		header = append(header, "CCT (K)", "Duv")
	}
	header = append(header, "note")
	out := csv.NewWriter(w)
	row := func(label, note string) {
		column, fromTop, _ := ParseGridLabel(label)
		x, y := gridPosition(column, fromTop, b.Columns, b.Rows, b.WidthM, b.HeightM, false)
		cells := make([]string, len(header))
		cells[0], cells[1], cells[2], cells[len(cells)-1] = label, length(x), length(y), note
		out.Write(cells)
	}
	out.Write(header)
	if !given {
		row(reference, "reference")
	}
	for i, label := range Walk(b.Columns, b.Rows) {
		if i > 0 && i%referenceEvery == 0 && !given {
			row(reference, "reference again")
		}
		row(label, "")
	}
	if !given {
		row(reference, "reference again")
	}
	out.Flush()
	return out.Error()
}

// Walk lists the labels of a grid in the order of a snake walk: the top row
// from camera left to right, the next one back.
func Walk(columns, rows int) []string {
	labels := make([]string, 0, columns*rows)
	for r := range rows {
		for c := range columns {
			if r%2 == 1 {
				c = columns - 1 - c
			}
			labels = append(labels, GridLabel(c, r))
		}
	}
	return labels
}
