package sheet

import (
	"regexp"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/schema"
	"evenfall/photometry/table"
)

var (
	// whoAndWhen is what chats and phones put before a line: a date or a time, and a name.
	whoAndWhen = regexp.MustCompile(`^\[?(?:\d{1,4}[./-]\d[\d./-]*,?\s*(?:\d{1,2}[:.]\d{2}(?:[:.]\d{2})?)?|\d{1,2}[:.]\d{2}(?:[:.]\d{2})?)\s*(?:[ap]\.?m\.?)?\]?\s*[-–]?\s*[^:]{1,40}:\s+`)
	// who is a name alone.
	who    = regexp.MustCompile(`^\pL[^:]{0,30}:\s+`)
	bullet = regexp.MustCompile(`^[-–*•·]\s+`)
)

// readPairs reads lines of text, each the name of a place and a level.
func readPairs(m *matrix) *draft {
	d := &draft{how: "pairs", times: 1, sign: m.sign}
	lines, whole := make([]string, m.height()), make([]bool, m.height())
	speaks := map[string]int{}
	for r := range lines {
		text, ok := m.lineOfText(r)
		if !ok && m.numbers(r) > 0 {
			return nil
		}
		whole[r], lines[r] = ok, text
		speaks[who.FindString(text)]++
	}
	units, like, said := 0, 0, false
	for r, text := range lines {
		if text == "" {
			continue
		}
		cell := m.cells[r][m.filled(r)[0]].Cell
		if speaker := who.FindString(text); speaks[speaker] > 2 {
			text = text[len(speaker):]
		}
		name, v, ok := splitPair(text, m.sign)
		if !ok || !whole[r] || isSummary(schema.Words(name)) || v.number > brightest && !placeLike(name) {
			u, _ := unitIn(text)
			said = said || u != photometry.NoUnit
			d.leave(m.joinedText(r), cell.Line)
			continue
		}
		d.numbers++
		d.explained++
		if v.unit != photometry.NoUnit {
			units++
		}
		level, nameCell := cell, cell
		level.Text = strings.TrimLeft(strings.TrimPrefix(strings.Join(strings.Fields(text), " "), name), " :=-–")
		nameCell.Text = strings.TrimRight(name, " :=-–")
		if placeLike(nameCell.Text) {
			like++
		}
		d.readings = append(d.readings, reading{name: nameCell, level: level, value: v})
	}
	if len(d.readings) < 3 {
		return nil
	}
	d.score = -2 + 2*float64(like)/float64(len(d.readings))
	if units*2 > len(d.readings) || said {
		d.score += 2
	}
	return d
}

// lineOfText is a row as a line of text, without who wrote it and when; false for several
// cells.
func (m *matrix) lineOfText(r int) (text string, ok bool) {
	text = bullet.ReplaceAllString(m.joinedText(r), "")
	prefix := whoAndWhen.FindString(text)
	return text[len(prefix):], len(m.filled(r)) < 2 || prefix != "" || who.MatchString(text) && m.numbers(r) == 0
}

// joinedText are the texts of a row with commas between.
func (m *matrix) joinedText(r int) string {
	var parts []string
	for _, c := range m.filled(r) {
		parts = append(parts, m.text(r, c))
	}
	return strings.Join(parts, ", ")
}

// splitPair splits A1 742 lux at the first place where a level follows.
func splitPair(text string, sign rune) (name string, v value, ok bool) {
	fields := strings.Fields(text)
	for k := 1; k < len(fields); k++ {
		rest := strings.Join(fields[k:], " ")
		v = parse(table.RawCell{Cell: table.Cell{Text: strings.TrimLeft(rest, ":=– ")}}, sign)
		if v.isReading() {
			return strings.Join(fields[:k], " "), v, true
		}
	}
	name, rest, found := strings.Cut(text, ":")
	v = parse(table.RawCell{Cell: table.Cell{Text: rest}}, sign)
	return name, v, found && v.isReading()
}
