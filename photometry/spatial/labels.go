package spatial

import (
	"strconv"
	"strings"
)

// GridLabel names a place in rows and columns: rows lettered from the top (A to
// Z, then AA), columns numbered from camera left. Both count from 0.
func GridLabel(column, rowFromTop int) string {
	letters := ""
	for r := rowFromTop + 1; r > 0; r = (r - 1) / 26 {
		letters = string(rune('A'+(r-1)%26)) + letters
	}
	return letters + strconv.Itoa(column+1)
}

// ParseGridLabel reads such a name in any case; ok is false for other names.
func ParseGridLabel(label string) (column, rowFromTop int, ok bool) {
	label = strings.ToUpper(strings.TrimSpace(label))
	split := strings.IndexAny(label, "0123456789")
	if split < 1 || split > 3 {
		return 0, 0, false
	}
	row := 0
	for _, r := range label[:split] {
		if r < 'A' || r > 'Z' {
			return 0, 0, false
		}
		row = 26*row + int(r-'A') + 1
	}
	number, err := strconv.Atoi(label[split:])
	if err != nil || number < 1 || number > 100_000 || label[split] == '0' {
		return 0, 0, false
	}
	return number - 1, row - 1, true
}

// GridPosition is the place of a grid label on a surface of a width and
// height: cell centers, or with edges the outer ones on the border.
func GridPosition(column, rowFromTop, columns, rows int, width, height float64, edges bool) (x, y float64) {
	along := func(i, n int, length float64) float64 {
		if edges && n > 1 {
			return length * float64(i) / float64(n-1)
		}
		return length * (float64(i) + 0.5) / float64(n)
	}
	return along(column, columns, width), along(rows-1-rowFromTop, rows, height)
}
