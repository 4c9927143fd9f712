package survey

import (
	"math"
	"slices"
	"strconv"
)

// Walk lists the labels of a grid in the order of serpentine rows: the top row
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

// QuickNine lists the places nearest to the centers of the thirds of a grid, in
// the order of serpentine rows: three by three that tell soonest where a surface
// stands. A grid of fewer than three columns or rows has them all.
func QuickNine(columns, rows int) []string {
	var labels []string
	for k, r := range thirds(rows) {
		across := thirds(columns)
		if k%2 == 1 {
			slices.Reverse(across)
		}
		for _, c := range across {
			labels = append(labels, GridLabel(c, r))
		}
	}
	return labels
}

// thirds are the places in a line of n that stand nearest to 1/6, 1/2 and 5/6
// of it.
func thirds(n int) []int {
	if n <= 3 {
		out := make([]int, n)
		for i := range out {
			out[i] = i
		}
		return out
	}
	first := int(math.Round(float64(n)/6 - 0.5))
	return []int{first, (n - 1) / 2, n - 1 - first}
}

// WalkNineFirst is the order that tells most soonest: the quick nine, then the
// rest in serpentine order.
func WalkNineFirst(columns, rows int) []string {
	labels := QuickNine(columns, rows)
	quick := map[string]bool{}
	for _, l := range labels {
		quick[l] = true
	}
	for _, l := range Walk(columns, rows) {
		if !quick[l] {
			labels = append(labels, l)
		}
	}
	return labels
}

// PlaceWords tells in words where a place of a grid is, counted from 0 from the
// top and from camera left: "second row from the top, third from camera left".
func PlaceWords(column, rowFromTop, columns, rows int) string {
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
