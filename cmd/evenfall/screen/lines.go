package screen

import (
	"strings"

	"charm.land/lipgloss/v2"

	"evenfall/photometry"
)

// labelWidth is the room for the labels of a result's lines.
const labelWidth = 11

// page collects the lines of one result.
type page struct {
	Options
	labels int // room for labels
	b      strings.Builder
	said   []Line // what stood under labels, before it was folded
}

// Line is one line of an answer: a short key such as brightest, empty where the
// line goes on with the one before, and its text.
type Line struct {
	Key  string `json:"key"`
	Text string `json:"text"`
}

func newPage(o Options) *page { return &page{Options: o, labels: labelWidth} }

// line adds a line under a short label, folded to the width with the text
// hanging under itself.
func (p *page) line(label, text string) { p.styled(label, p.faint, text) }

// styled is line with a style for the label.
func (p *page) styled(label string, style func(string) string, text string) {
	if text == "" {
		return
	}
	p.said = append(p.said, Line{label, text})
	for i, part := range fold(p.plain(text), p.Width-p.labels) {
		head, gap := "", p.labels
		if i == 0 {
			head, gap = style(label), max(1, p.labels-lipgloss.Width(label))
		}
		p.raw(head + strings.Repeat(" ", gap) + part)
	}
}

// fold breaks a text between words so that no line is wider than width, unless
// a word is. A sign stays with its number.
func fold(text string, width int) []string {
	var lines []string
	line := ""
	for word := range strings.FieldsSeq(text) {
		switch {
		case line == "":
			line = word
		case lipgloss.Width(line)+1+lipgloss.Width(word) <= width:
			line += " " + word
		default:
			lines, line = append(lines, line), word
		}
	}
	return append(lines, line)
}

// raw adds a line as it is.
func (p *page) raw(text string) {
	p.b.WriteString(strings.TrimRight(text, " "))
	p.b.WriteByte('\n')
}

func (p *page) blank() { p.b.WriteByte('\n') }

// findings adds one line for each finding, the label on the first only.
func (p *page) findings(label string, all []photometry.Finding) {
	for _, f := range all {
		p.line(label, f.Text)
		label = ""
	}
}

// length is a length in meters for people.
func (o Options) length(meters float64) string {
	if o.Feet {
		return photometry.FormatFigure(meters/0.3048) + " ft"
	}
	return photometry.FormatFigure(meters) + " m"
}

// place is a pair of coordinates for people.
func (o Options) place(x, y float64) string {
	unit, factor := " m", 1.0
	if o.Feet {
		unit, factor = " ft", 1/0.3048
	}
	return fixed(x*factor) + ", " + fixed(y*factor) + unit
}
