package plan

import (
	"encoding/csv"
	"io"
	"math"
	"reflect"
	"slices"
	"strconv"

	"evenfall/photometry/setup"
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
	records := make([][]string, 1+len(s.rows))
	for _, field := range reflect.VisibleFields(reflect.TypeFor[setup.Lamp]()) {
		column := []string{headerOf(field.Tag)}
		for i := range s.rows {
			column = append(column, cellText(reflect.ValueOf(s.rows[i]).FieldByIndex(field.Index).Interface()))
		}
		if slices.ContainsFunc(column[1:], func(text string) bool { return text != "" }) {
			for i, text := range column {
				records[i] = append(records[i], text)
			}
		}
	}
	return csv.NewWriter(w).WriteAll(records)
}

// headerOf is the header of a column, with its unit.
func headerOf(tag reflect.StructTag) string {
	name, unit := tag.Get("csv"), tag.Get("unit")
	switch {
	case name == "E at":
		return "E (lx) at (m)"
	case unit != "":
		return name + " (" + unit + ")"
	}
	return name
}

// cellText is a cell of a lamp as it is written.
func cellText(cell any) string {
	switch v := cell.(type) {
	case setup.Range:
		// Arithmetic in feet and inches leaves last digits behind.
		for _, end := range []*float64{&v.Low, &v.High, &v.At} {
			*end = math.Round(*end*1e9) / 1e9
		}
		text, _ := v.MarshalCSV() // has no errors
		return text
	case *float64:
		if v == nil {
			return ""
		}
		return strconv.FormatFloat(*v, 'g', -1, 64)
	case setup.Kelvins:
		if v == 0 {
			return ""
		}
		return strconv.FormatFloat(float64(v), 'g', -1, 64)
	}
	return reflect.ValueOf(cell).String()
}
