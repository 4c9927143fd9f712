package survey

import (
	"math"
	"slices"
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
// the order of serpentine rows: three by three that show soonest how even a surface
// is. A grid of fewer than three columns or rows has them all.
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

// thirds are the places in a line of n nearest to 1/6, 1/2 and 5/6
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

// WalkNineFirst is the order that settles most soonest: the quick nine, then the
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
