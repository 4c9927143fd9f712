package sheet

import (
	"regexp"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/schema"
	"evenfall/photometry/table"
)

var (
	// whoAndWhen is what chats and phones put before a line.
	whoAndWhen = regexp.MustCompile(`^\[?\d[\d./-]*,?\s*(?:\d{1,2}[:.]\d{2}(?:[:.]\d{2})?)?\s*(?:[ap]\.?m\.?)?\]?\s*[-–]?\s*[^:]{1,40}:\s+`)
	bullet     = regexp.MustCompile(`^[-–*•·]\s+`)
)

// readPairs reads lines of text, each the name of a place and a level.
func readPairs(m *matrix, decimal rune) *draft {
	d := &draft{how: "pairs", times: 1}
	units := 0
	for r := range m.cells {
		filled := m.filled(r)
		if len(filled) == 0 {
			continue
		}
		cell := m.cells[r][filled[0]]
		var parts []string
		for _, c := range filled {
			parts = append(parts, m.text(r, c))
		}
		text := bullet.ReplaceAllString(strings.Join(parts, ", "), "")
		prefix := ""
		if strings.Contains(text, ":") {
			prefix = whoAndWhen.FindString(text)
		}
		if len(filled) > 1 && prefix == "" {
			return nil
		}
		text = text[len(prefix):]
		name, v, ok := splitPair(text, decimal)
		ok = ok && !isSummary(schema.Words(name))
		if !ok {
			if u, times := unitIn(text); u != photometry.NoUnit && len(d.readings) == 0 {
				d.unit, d.times = u, times
			}
			d.leave(cell.Text, cell.Line)
			continue
		}
		d.numbers++
		d.explained++
		if v.unit != photometry.NoUnit {
			units++
		}
		level := cell.Cell
		level.Text = strings.TrimLeft(strings.TrimPrefix(strings.Join(strings.Fields(text), " "), name), " :=-–")
		nameCell := cell.Cell
		nameCell.Text = strings.TrimRight(name, " :=-–")
		d.readings = append(d.readings, reading{name: nameCell, level: level, value: v})
	}
	if len(d.readings) < 3 {
		return nil
	}
	like := 0
	for _, r := range d.readings {
		if placeLike(r.name.Text) {
			like++
		}
	}
	d.score = -2 + 2*float64(like)/float64(len(d.readings))
	if units*2 > len(d.readings) || d.unit != photometry.NoUnit {
		d.score += 2
	}
	return d
}

// splitPair splits A1 742 lux at the first place where a level follows.
func splitPair(text string, decimal rune) (name string, v value, ok bool) {
	fields := strings.Fields(text)
	for k := 1; k < len(fields); k++ {
		rest := strings.Join(fields[k:], " ")
		v = parse(table.RawCell{Cell: table.Cell{Text: strings.TrimLeft(rest, ":=– ")}}, decimal)
		if v.isReading() {
			name = strings.Join(fields[:k], " ")
			return name, v, true
		}
	}
	if name, rest, found := strings.Cut(text, ":"); found {
		v = parse(table.RawCell{Cell: table.Cell{Text: rest}}, decimal)
		return name, v, v.isReading()
	}
	return "", v, false
}
