package setup

import (
	"math"
	"reflect"
	"strconv"
)

// LampCell is a cell of a lamp's row with its column and the column's unit; lengths
// are in meters. Its text is empty where the cell is.
type LampCell struct{ Column, Unit, Text string }

// Cells are all cells of a row in the order of the table.
func (l Lamp) Cells() []LampCell {
	var out []LampCell
	row := reflect.ValueOf(l)
	for _, field := range reflect.VisibleFields(row.Type()) {
		out = append(out, LampCell{field.Tag.Get("csv"), field.Tag.Get("unit"), cellText(row.FieldByIndex(field.Index).Interface())})
	}
	return out
}

func cellText(cell any) string {
	switch v := cell.(type) {
	case Range:
		// Arithmetic in feet and inches leaves last digits behind.
		for _, end := range []*float64{&v.Low, &v.High, &v.At} {
			*end = math.Round(*end*1e9) / 1e9
		}
		return v.String()
	case *float64:
		if v == nil {
			return ""
		}
		return strconv.FormatFloat(*v, 'g', -1, 64)
	case Kelvins:
		if v == 0 {
			return ""
		}
		return strconv.FormatFloat(float64(v), 'g', -1, 64)
	}
	return reflect.ValueOf(cell).String()
}
