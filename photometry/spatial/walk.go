package spatial

import "slices"

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

// QuickNine lists the outermost places of a grid, the middles of its edges and its
// center, in the order of serpentine rows: the nine that show soonest how even a
// surface is, since the corners are farthest off as a rule. A grid of fewer than three
// columns or rows has them all.
func QuickNine(columns, rows int) []string {
	var labels []string
	for k, r := range endsAndMiddle(rows) {
		across := endsAndMiddle(columns)
		if k%2 == 1 {
			slices.Reverse(across)
		}
		for _, c := range across {
			labels = append(labels, GridLabel(c, r))
		}
	}
	return labels
}

// endsAndMiddle are the ends and the middle of a line of n places.
func endsAndMiddle(n int) []int {
	if n < 3 {
		return []int{0, 1}[:n]
	}
	return []int{0, (n - 1) / 2, n - 1}
}

// WalkNineFirst is the order that settles most soonest: the quick nine, then the
// rest in serpentine order.
func WalkNineFirst(columns, rows int) []string {
	quick := QuickNine(columns, rows)
	rest := slices.DeleteFunc(Walk(columns, rows), func(l string) bool { return slices.Contains(quick, l) })
	return append(quick, rest...)
}
