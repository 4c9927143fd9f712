package document

import (
	"slices"
	"sort"
	"strings"

	"charm.land/lipgloss/v2"
)

// columnGap is the room between columns.
const columnGap = 2

// table lays rows out under their first, figures to the right.
func (s *screen) table(t Table) {
	rows := make([][]string, len(t.Rows))
	for i, row := range t.Rows {
		for _, cell := range row {
			rows[i] = append(rows[i], s.plain(cell))
		}
	}
	switch {
	case s.Width < t.MinWidth:
		s.blocks(t.Narrow)
	case t.Long:
		s.whole(rows)
	default:
		s.columns(rows, t.Text)
	}
}

// columns sets rows in columns. Where the page is too narrow those of text are
// folded, the widest first, so that no figure is ever cut.
func (s *screen) columns(rows [][]string, text []int) {
	widths := columnWidths(rows)
	s.squeeze(widths, text)
	for i, row := range rows {
		cells := make([][]string, len(row))
		height := 1
		for c, cell := range row {
			cells[c] = []string{cell}
			if slices.Contains(text, c) {
				cells[c] = foldHard(cell, widths[c])
			}
			height = max(height, len(cells[c]))
		}
		for k := range height {
			out := tableLine(cells, k, widths, text)
			if i == 0 {
				out = s.faint(out)
			}
			s.raw(out)
		}
	}
}

func columnWidths(rows [][]string) []int {
	widths := make([]int, len(rows[0]))
	for _, row := range rows {
		for c, cell := range row {
			widths[c] = max(widths[c], lipgloss.Width(cell))
		}
	}
	return widths
}

// squeeze makes columns of text narrower until all have room, or none can give any.
func (s *screen) squeeze(widths []int, text []int) {
	total := columnGap * (len(widths) - 1)
	for _, w := range widths {
		total += w
	}
	const least = 10
	for ; total > s.Width; total-- {
		widest := -1
		for _, c := range text {
			if widths[c] > least && (widest < 0 || widths[c] > widths[widest]) {
				widest = c
			}
		}
		if widest < 0 {
			return
		}
		widths[widest]--
	}
}

// tableLine is the kth line of a row.
func tableLine(cells [][]string, k int, widths, text []int) string {
	var line strings.Builder
	for c := range cells {
		part := ""
		if k < len(cells[c]) {
			part = cells[c][k]
		}
		pad := strings.Repeat(" ", max(0, widths[c]-lipgloss.Width(part)))
		if slices.Contains(text, c) {
			line.WriteString(part + pad)
		} else {
			line.WriteString(pad + part)
		}
		line.WriteString(strings.Repeat(" ", columnGap))
	}
	return strings.TrimRight(line.String(), " ")
}

// whole keeps each column as it is. Those without room follow beneath, the first
// column again beside them.
func (s *screen) whole(rows [][]string) {
	widths := columnWidths(rows)
	for from := 1; from < len(widths); {
		to, used := from, widths[0]
		for to < len(widths) && (to == from || used+columnGap+widths[to] <= s.Width) {
			used += columnGap + widths[to]
			to++
		}
		part := make([][]string, len(rows))
		for i, row := range rows {
			part[i] = append([]string{row[0]}, row[from:to]...)
		}
		if from > 1 {
			s.raw("")
		}
		s.columns(part, []int{0})
		from = to
	}
}

// foldHard is fold for a column that may not grow: a word that is too wide for it
// is broken.
func foldHard(text string, width int) []string {
	var lines []string
	for _, line := range fold(text, width) {
		rest := []rune(line)
		for n := fitting(rest, width); n < len(rest); n = fitting(rest, width) {
			lines, rest = append(lines, string(rest[:n])), rest[n:]
		}
		lines = append(lines, string(rest))
	}
	return lines
}

// fitting is how many characters from the first are no wider together than a width, one
// at least. It does not look at all of a long text.
func fitting(text []rune, width int) int {
	wider := func(n int) bool { return lipgloss.Width(string(text[:n])) > width }
	most := min(len(text), width+1)
	for most < len(text) && !wider(most) {
		most = min(len(text), 2*most)
	}
	return max(1, sort.Search(most, func(n int) bool { return wider(n + 1) }))
}
