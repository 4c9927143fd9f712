package plan

import (
	"encoding/csv"
	"io"
	"math"
	"strconv"

	"evenfall/photometry/setup"
)

// WriteTable writes the lamps of the scene as they stand as a table that
// setup.ReadLamps reads: the notes of the table they came from, and the columns
// that some row fills, lengths in meters.
func (s *Scene) WriteTable(w io.Writer) error {
	if s.table != nil {
		for _, n := range s.table.Notes {
			if _, err := io.WriteString(w, "# "+n.Key+": "+n.Value+"\n"); err != nil {
				return err
			}
		}
	}
	type column struct {
		header string
		cell   func(l *setup.Lamp) string
	}
	text := func(header string, of func(l *setup.Lamp) string) column { return column{header, of} }
	columns := []column{
		text("name", func(l *setup.Lamp) string { return l.Name }),
		text("kind", func(l *setup.Lamp) string { return string(l.Kind) }),
	}
	for _, c := range setup.RangeColumns {
		header := c.Name
		if c.Unit != "" && c.Name != "E (fc)" {
			header += " (" + c.Unit + ")"
		}
		columns = append(columns, column{header, func(l *setup.Lamp) string {
			cell, _ := clean(*c.Of(l)).MarshalCSV() // has no errors
			return cell
		}})
	}
	columns = append(columns,
		text("E (lx) at (m)", func(l *setup.Lamp) string { return l.EAt }),
		text("CCT (K)", func(l *setup.Lamp) string { return number(float64(l.CCT)) }),
		text("Duv", func(l *setup.Lamp) string { return pointed(l.Duv) }),
		text("behind", func(l *setup.Lamp) string { return l.Behind }),
		text("material", func(l *setup.Lamp) string { return l.Material }),
		text("file", func(l *setup.Lamp) string { return l.File }),
		text("power (W)", func(l *setup.Lamp) string { return pointed(l.Power) }),
		text("spot or flood", func(l *setup.Lamp) string { return l.SpotFlood }),
		text("scrims", func(l *setup.Lamp) string { return l.Scrims }),
		text("diffusion", func(l *setup.Lamp) string { return l.Diffusion }),
		text("gel", func(l *setup.Lamp) string { return l.Gel }),
		text("trim", func(l *setup.Lamp) string { return l.Trim }),
		text("note", func(l *setup.Lamp) string { return l.Note }))
	var used []column
	for i, c := range columns {
		fill := i < 2
		for r := range s.rows {
			fill = fill || c.cell(&s.rows[r]) != ""
		}
		if fill {
			used = append(used, c)
		}
	}
	out := csv.NewWriter(w)
	record := make([]string, len(used))
	for k, c := range used {
		record[k] = c.header
	}
	out.Write(record)
	for r := range s.rows {
		for k, c := range used {
			record[k] = c.cell(&s.rows[r])
		}
		out.Write(record)
	}
	out.Flush()
	return out.Error()
}

// clean takes the last digits off what arithmetic left behind in feet and
// inches.
func clean(r setup.Range) setup.Range {
	for _, v := range []*float64{&r.Low, &r.High, &r.At} {
		*v = math.Round(*v*1e9) / 1e9
	}
	return r
}

func number(v float64) string {
	if v == 0 {
		return ""
	}
	return strconv.FormatFloat(v, 'g', -1, 64)
}

func pointed(v *float64) string {
	if v == nil {
		return ""
	}
	return strconv.FormatFloat(*v, 'g', -1, 64)
}
