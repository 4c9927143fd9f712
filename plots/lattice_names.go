package plots

import (
	"slices"
	"strings"
	"unicode/utf8"

	"evenfall/photometry"
	"evenfall/photometry/spatial"
	"evenfall/photometry/survey"
)

// longestName is how many characters the name of a row or a column may have on a map.
const longestName = 8

// latticeNames are the names of the rows (from the bottom) and columns of a lattice: row
// letters and column numbers, or where places are known in a grid alone the words that
// their names share; nil where most of its points have other names.
func latticeNames(s *survey.Survey, l *spatial.Lattice) (rows, cols []string) {
	inRow, inColumn, others := make([][]string, len(l.Ys)), make([][]string, len(l.Xs)), 0
	for r := range l.Ys {
		for c := range l.Xs {
			i := l.At(c, r)
			if i < 0 {
				continue
			}
			label := s.LabelOf(i)
			inRow[r], inColumn[c] = append(inRow[r], label), append(inColumn[c], label)
			column, row, ok := spatial.ParseGridLabel(label)
			if s.Placing != survey.InGrid && (!ok || column != c || row != len(l.Ys)-1-r) {
				others++
			}
		}
	}
	if 2*others >= s.Len() {
		return nil, nil
	}
	if rows = sharedWords(inRow); rows == nil {
		for r := range l.Ys {
			rows = append(rows, strings.TrimRight(spatial.GridLabel(0, len(l.Ys)-1-r), "1"))
		}
	}
	if cols = sharedWords(inColumn); cols == nil {
		for c := range l.Xs {
			cols = append(cols, strings.TrimLeft(spatial.GridLabel(c, 0), "A"))
		}
	}
	return rows, cols
}

// sharedWords are the words that most names of a line and none of another line have; nil
// where a line has none, or too long ones.
func sharedWords(lines [][]string) (names []string) {
	in := map[string]int{} // lines that a word is in
	for _, labels := range lines {
		for _, word := range distinctWords(labels) {
			in[word]++
		}
	}
	for _, labels := range lines {
		var own []string
		for _, word := range distinctWords(labels) {
			have := 0
			for _, label := range labels {
				if slices.Contains(words(label), word) {
					have++
				}
			}
			if in[word] == 1 && 2*have > len(labels) {
				own = append(own, word)
			}
		}
		name := photometry.Visible(strings.Join(own, " "))
		if name == "" || utf8.RuneCountInString(name) > longestName {
			return nil
		}
		names = append(names, name)
	}
	return names
}

// distinctWords are those of several names, each once.
func distinctWords(labels []string) (all []string) {
	for _, label := range labels {
		for _, word := range words(label) {
			if !slices.Contains(all, word) {
				all = append(all, word)
			}
		}
	}
	return all
}

// words are those of a name, a letter and a number as in A1 each by itself.
func words(label string) []string {
	if _, _, ok := spatial.ParseGridLabel(label); ok {
		at := strings.IndexAny(label, "0123456789")
		return []string{label[:at], label[at:]}
	}
	return strings.FieldsFunc(label, func(r rune) bool { return strings.ContainsRune(" ,-–/_", r) })
}
