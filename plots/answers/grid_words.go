package answers

import "strconv"

// PlaceInGrid describes where a place of a grid is, counted from 0 from the
// top and from camera left: "second row from the top, third from camera left".
func PlaceInGrid(column, rowFromTop, columns, rows int) string {
	var row string
	switch {
	case rows == 1:
		row = "the only row"
	case rowFromTop == 0:
		row = "top row"
	case rowFromTop == rows-1:
		row = "bottom row"
	case rows%2 == 1 && rowFromTop == rows/2:
		row = "middle row"
	case rowFromTop < rows/2:
		row = ordinal(rowFromTop+1) + " row from the top"
	default:
		row = ordinal(rows-rowFromTop) + " row from the bottom"
	}
	switch {
	case columns == 1:
		return row
	case column == 0:
		return row + ", first from camera left"
	case column == columns-1:
		return row + ", first from camera right"
	case columns%2 == 1 && column == columns/2:
		return row + ", in the middle"
	case column < columns/2:
		return row + ", " + ordinal(column+1) + " from camera left"
	}
	return row + ", " + ordinal(columns-column) + " from camera right"
}

var ordinals = []string{"", "first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth"}

func ordinal(n int) string {
	if n < len(ordinals) {
		return ordinals[n]
	}
	switch {
	case n%100/10 == 1:
	case n%10 == 1:
		return strconv.Itoa(n) + "st"
	case n%10 == 2:
		return strconv.Itoa(n) + "nd"
	case n%10 == 3:
		return strconv.Itoa(n) + "rd"
	}
	return strconv.Itoa(n) + "th"
}
