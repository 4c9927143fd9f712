package document

import (
	"strings"
	"testing"

	"charm.land/lipgloss/v2"
)

// A column that may not grow has the whole of its text, in lines that are as full as they
// can be; a sign that is wider than the column stands alone.
func TestFoldHard(t *testing.T) {
	for _, text := range []string{"", "a", "full CTB", strings.Repeat("W", 30_000), strings.Repeat("面", 999), "a " + strings.Repeat("é", 50) + " b",
		strings.Repeat("e\u0301", 40), "👩‍🚀👩‍🚀👩‍🚀"} {
		for _, width := range []int{1, 2, 7, 40} {
			lines := foldHard(text, width)
			if got, want := strings.Join(lines, ""), strings.ReplaceAll(text, " ", ""); strings.ReplaceAll(got, " ", "") != want {
				t.Errorf("%.20q in %d: %d characters, expected %d", text, width, len(got), len(want))
			}
			for i, line := range lines {
				if wide := lipgloss.Width(line); wide > width && len([]rune(line)) > 1 {
					t.Errorf("%.20q in %d: line %d is %d wide", text, width, i, wide)
				}
				if i+1 < len(lines) && !strings.Contains(text, " ") && lipgloss.Width(line+string([]rune(lines[i+1])[:1])) <= width {
					t.Errorf("%.20q in %d: line %d has room for more: %q", text, width, i, line)
				}
			}
		}
	}
}
