package answers

import (
	"fmt"
	"strconv"
)

// PlaceInGrid describes where a place of a grid is, counted from 0 from the
// top and from camera left: "second row from the top, third from camera left".
func PlaceInGrid(column, rowFromTop, columns, rows int) string {
	row := either(rows == 1, "the only row", alongGrid(rowFromTop, rows, "top row", "middle row", "bottom row", "%s row from the top", "%s row from the bottom"))
	if columns == 1 {
		return row
	}
	return row + ", " + alongGrid(column, columns, "first from camera left", "in the middle", "first from camera right", "%s from camera left", "%s from camera right")
}

// alongGrid is where one of several is: at one of the ends, in the middle, or counted from
// the nearer end.
func alongGrid(at, of int, first, middle, last, fromFirst, fromLast string) string {
	switch {
	case at == 0:
		return first
	case at == of-1:
		return last
	case of%2 == 1 && at == of/2:
		return middle
	case at < of/2:
		return fmt.Sprintf(fromFirst, ordinal(at+1))
	}
	return fmt.Sprintf(fromLast, ordinal(of-at))
}

var ordinals = []string{"", "first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth"}

func ordinal(n int) string {
	if n < len(ordinals) {
		return ordinals[n]
	}
	ending := "th"
	if n%10 < 4 && n%100/10 != 1 {
		ending = []string{"th", "st", "nd", "rd"}[n%10]
	}
	return strconv.Itoa(n) + ending
}
