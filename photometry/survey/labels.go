package survey

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

// LabelOf is the label of point i: its own, or that of its row and column; ""
// where it has neither.
func (s *Survey) LabelOf(i int) string {
	if s.Label != nil && s.Label[i] != "" {
		return s.Label[i]
	}
	if s.Lattice == nil {
		return ""
	}
	column := nearestIndex(s.Lattice.Xs, s.X[i])
	row := nearestIndex(s.Lattice.Ys, s.Y[i])
	return GridLabel(column, len(s.Lattice.Ys)-1-row)
}

// nearestIndex is the index of the entry of ascending nearest to v.
func nearestIndex(ascending []float64, v float64) int {
	low, high := 0, len(ascending)-1
	for high-low > 1 {
		if mid := (low + high) / 2; ascending[mid] <= v {
			low = mid
		} else {
			high = mid
		}
	}
	if v-ascending[low] <= ascending[high]-v {
		return low
	}
	return high
}
