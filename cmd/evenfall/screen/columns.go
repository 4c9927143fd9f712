package screen

import (
	"strings"

	"charm.land/lipgloss/v2"
)

// gap is the room between columns.
const gap = 2

// columns lays rows out under their first, numbers to the right. The columns
// named in text stand to the left, and where the screen is too narrow they are
// folded, the widest first, so that no figure is ever cut.
func (p *page) columns(rows [][]string, text ...int) {
	isText := map[int]bool{}
	for _, c := range text {
		isText[c] = true
	}
	widths := make([]int, len(rows[0]))
	total := gap * (len(widths) - 1)
	for c := range widths {
		for _, row := range rows {
			row[c] = p.plain(row[c])
			widths[c] = max(widths[c], lipgloss.Width(row[c]))
		}
		total += widths[c]
	}
	const least = 10
	for ; total > p.Width; total-- {
		widest := -1
		for _, c := range text {
			if widths[c] > least && (widest < 0 || widths[c] > widths[widest]) {
				widest = c
			}
		}
		if widest < 0 {
			break
		}
		widths[widest]--
	}
	for i, row := range rows {
		cells := make([][]string, len(row))
		height := 1
		for c, cell := range row {
			cells[c] = []string{cell}
			if isText[c] {
				cells[c] = foldHard(cell, widths[c])
			}
			height = max(height, len(cells[c]))
		}
		for k := range height {
			var line strings.Builder
			for c := range cells {
				part := ""
				if k < len(cells[c]) {
					part = cells[c][k]
				}
				pad := strings.Repeat(" ", max(0, widths[c]-lipgloss.Width(part)))
				if isText[c] {
					line.WriteString(part + pad)
				} else {
					line.WriteString(pad + part)
				}
				line.WriteString(strings.Repeat(" ", gap))
			}
			out := strings.TrimRight(line.String(), " ")
			if i == 0 {
				out = p.faint(out)
			}
			p.raw(out)
		}
	}
}

// foldHard is fold for a column that may not grow: a word that is too wide for it
// is broken.
func foldHard(text string, width int) []string {
	var lines []string
	for _, line := range fold(text, width) {
		for lipgloss.Width(line) > width {
			runes := []rune(line)
			n := len(runes) - 1
			for n > 1 && lipgloss.Width(string(runes[:n])) > width {
				n--
			}
			lines, line = append(lines, string(runes[:n])), string(runes[n:])
		}
		lines = append(lines, line)
	}
	return lines
}
