package survey

import "strings"

// Copies says which readings are in runs of at least least rows that equal an
// earlier run in every cell: a block that was pasted twice. The rows of such a run
// differ from each other, since equal ones may be honest repeats.
func (s *Series) Copies(least int) []bool {
	rows := s.cells()
	copies := make([]bool, len(rows))
	earlier := map[string][]int{}
	for i := 0; i < len(rows); i++ {
		length := 0
		for _, j := range earlier[rows[i]] {
			length = max(length, equalRun(rows, j, i))
		}
		if length < least {
			// A run starts at one of the last few rows like it.
			earlier[rows[i]] = append(earlier[rows[i]][max(0, len(earlier[rows[i]])-7):], i)
			continue
		}
		for k := range length {
			copies[i+k] = true
		}
		i += length - 1
	}
	return copies
}

// equalRun is how many rows from j on equal those from i on, all different.
func equalRun(rows []string, j, i int) int {
	seen := map[string]bool{}
	n := 0
	for ; j+n < i && i+n < len(rows) && rows[i+n] == rows[j+n] && !seen[rows[i+n]]; n++ {
		seen[rows[i+n]] = true
	}
	return n
}

// cells are the cells of each reading's row as read.
func (s *Series) cells() []string {
	all := make([]string, len(s.Readings))
	row := 0
	for i, r := range s.Readings {
		for s.sheet.Line(row) != r.Line {
			row++
		}
		var cells []string
		for column := range s.sheet.Columns {
			cells = append(cells, s.sheet.Cell(row, column).Text)
		}
		all[i] = strings.Join(cells, "\x00")
	}
	return all
}
