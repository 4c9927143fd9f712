package plots

import (
	"fmt"
	"strings"
	"unicode/utf8"

	"github.com/charmbracelet/x/ansi"

	"evenfall/photometry"
)

// lines are the lines of the map.
func (b *textMap) lines() []string {
	tall, gap := b.rowHeights()
	lines := []string{b.headerLine()}
	for row := range b.rows {
		for n := range tall {
			lines = append(lines, b.rowLine(row, n == tall/2))
		}
		if row < b.rows-1 {
			for range gap {
				lines = append(lines, "")
			}
		}
	}
	lines = append(lines, b.hintLine())
	lines = append(lines, b.legendLines()...)
	return append(lines, b.noteLines()...)
}

// rowHeights is the number of lines of a row of cells, and of empty lines below it,
// so that the map has about the aspect ratio of the surface.
func (b *textMap) rowHeights() (tall, gap int) {
	// A character is about twice as high as wide.
	high := b.aspect*float64(b.width)/2 >= 1.6
	switch {
	case high && b.opt.Color != NoColor && 3*b.rows <= 24:
		return 3, 0
	case high && b.opt.Color == NoColor && 2*b.rows <= 24:
		return 1, 1
	}
	return 1, 0
}

// pad centers a text and its marks in a cell, with numbers aligned by their last
// digit.
func (b *textMap) pad(text, marks string) string {
	wide := max(b.number, ansi.StringWidth(text))
	for marks != "" && wide+ansi.StringWidth(marks) > b.width {
		marks = string([]rune(marks)[:len([]rune(marks))-1])
	}
	left := max(0, min((b.width-b.number+1)/2, b.width-wide-ansi.StringWidth(marks))) + b.number - ansi.StringWidth(text)
	text = strings.Repeat(" ", max(0, left)) + text + marks
	return text + strings.Repeat(" ", max(0, b.width-ansi.StringWidth(text)))
}

// headerLine is the line of column names. Where they are too long for their cells
// only every second, third … is printed.
func (b *textMap) headerLine() string {
	longest := 0
	for _, name := range b.colNames {
		longest = max(longest, utf8.RuneCountInString(name))
	}
	every := 1
	for every*b.width < longest+1 && every < b.cols {
		every++
	}
	line := []rune(strings.Repeat(" ", b.margin+b.cols*b.width+longest))
	for i, name := range b.colNames {
		// Centered over the digits of a number, whose sign counts half.
		left := b.margin + i*b.width + (b.width-b.number+1)/2 + (b.number-utf8.RuneCountInString(name)+1)/2
		if b.width < b.number+2 {
			left = b.margin + i*b.width + b.width - 1 - utf8.RuneCountInString(name)
		}
		if i%every == 0 {
			copy(line[max(0, left):], []rune(name))
		}
		if b.colInShot != nil && b.colInShot[i] && every == 1 {
			if (i == 0 || !b.colInShot[i-1]) && left > 0 {
				line[left-1] = '['
			}
			if i == b.cols-1 || !b.colInShot[i+1] {
				line[left+utf8.RuneCountInString(name)] = ']'
			}
		}
	}
	return string(line)
}

// rowLine is one line of a row of cells; only its middle line has the numbers.
func (b *textMap) rowLine(row int, numbers bool) string {
	var out strings.Builder
	name, bar := either(numbers, b.rowNames[row], ""), ""
	if b.rowInShot != nil {
		bar = either(b.rowInShot[row], "|", " ")
	}
	fmt.Fprintf(&out, "%*s%s ", b.margin-1-len(bar), name, bar)
	for col := range b.cols {
		c := b.cells[row*b.cols+col]
		text := strings.Repeat(" ", b.width)
		if numbers {
			text = b.pad(b.cellText(c), c.marks)
		}
		if c.hasValue && c.colored {
			text = b.opt.Color.paint(text, b.scale.Kind, b.scale.Class(c.value))
		}
		out.WriteString(text)
	}
	return out.String()
}

// hintLine names the sides of the surface.
func (b *textMap) hintLine() string {
	left, right := "← camera left", "camera right →"
	if !b.opt.Unicode {
		left, right = toASCII(left), toASCII(right)
	}
	words := ansi.StringWidth(left) + ansi.StringWidth(right)
	space := max(b.cols*b.width-words, 3)
	if b.margin+words+space > b.opt.Width {
		return strings.Repeat(" ", b.margin) + left
	}
	return strings.Repeat(" ", b.margin) + left + strings.Repeat(" ", space) + right
}

// legendLines explain the marks on the map.
func (b *textMap) legendLines() []string {
	used := ""
	for _, c := range b.cells {
		used += c.marks
	}
	high, low := b.values.extremes()
	top, bottom := b.values.extremeNames()
	level := func(i int) string {
		if i < 0 || !b.values.hasLevels() {
			return ""
		}
		return " " + b.values.formatLevel(b.values.values[i], b.opt.Unit)
	}
	again := either(len(b.values.excluded) > 0, "read again, left out", "read again")
	var parts []string
	for _, m := range [...][2]string{{"▲", top + level(high)}, {"▼", bottom + level(low)},
		{"?", again}, {"◆", "reference"}, {">", "over"}, {"<", "under"}} {
		if strings.Contains(used, m[0]) {
			parts = append(parts, m[0]+" "+m[1])
		}
	}
	if b.colInShot != nil {
		parts = append(parts, "[ ] | in shot")
	}
	return b.wrapParts(parts, "   ")
}

// noteLines explain the numbers.
func (b *textMap) noteLines() []string {
	unit := kinds[b.scale.Kind].numbers
	if b.compact && b.scale.Kind == Level {
		unit = either(b.scale.Decimals == 2, "hundredths of a stop", "tenths of a stop")
	}
	text := unit + " from " + b.scale.Zero + b.scale.Kind.describeSign() + "; " + b.describeWindow()
	if b.binned > 0 {
		filled := 0
		for _, c := range b.cells {
			if c.hasValue {
				filled++
			}
		}
		if filled < b.binned {
			text += fmt.Sprintf("; %s readings in %d cells by their mean", formatCount(b.binned), filled)
		}
		text += "; positions in " + lengthUnit(b.opt.Feet)
	}
	return b.wrapParts(strings.Fields(text), " ")
}

// describeWindow is the window with its limits: within 0.50 stop: -0.20 to +0.30, 797 to
// 1127 lx.
func (b *textMap) describeWindow() string {
	s := b.scale
	text := s.describeWindow()
	if !s.Centered {
		text += ": " + s.edgeLabel(s.Low) + " to " + s.edgeLabel(s.High)
	}
	if b.values.hasLevels() {
		text += ", " + photometry.FromTo(s.levelAt(s.Low), s.levelAt(s.High), func(v float64) string { return b.values.formatEdge(v, b.opt.Unit) })
	}
	return text
}

// wrapParts joins parts into lines of the terminal's width.
func (b *textMap) wrapParts(parts []string, between string) []string {
	indent := strings.Repeat(" ", b.margin)
	var lines []string
	line := indent
	for _, p := range parts {
		switch {
		case line == indent:
			line += p
		case ansi.StringWidth(line+between+p) > b.opt.Width:
			lines = append(lines, line)
			line = indent + p
		default:
			line += between + p
		}
	}
	if line != indent {
		lines = append(lines, line)
	}
	return lines
}
