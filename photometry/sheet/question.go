package sheet

import (
	"fmt"
	"strconv"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/table"
)

// Question is an error: a sheet can be read in several ways that give different results.
// Its message says what each answer would give and which note or flag answers it.
type Question struct {
	File, Sheet  string
	Line, Column int // 0 for none
	// Code is what it is about: table (or day), column, unit, decimal, rows, length, summary,
	// repeats, level, cell or leave out (a name that nothing has).
	Code    string
	Text    string
	Options []Option
	// Note is the note that answers it, with the flag of the same name; "" where only
	// another file does.
	Note string
	// Command is the one that takes such a file, "" for this one.
	Command string

	others []Question // about more cells
}

// Option is a possible answer and what it would give.
type Option struct {
	Answer string
	Gives  string
}

// Error returns the question, with what each answer would give on a line of its own.
func (q *Question) Error() string {
	var b strings.Builder
	b.WriteString(q.File)
	if q.Sheet != "" {
		b.WriteString("[" + q.Sheet + "]")
	}
	if q.Line > 0 {
		b.WriteString(":" + strconv.Itoa(q.Line))
		if q.Column > 0 {
			b.WriteString(":" + strconv.Itoa(q.Column))
		}
	}
	b.WriteString(": " + q.Text)
	for _, o := range q.Options {
		b.WriteString("\n  " + o.Answer)
		if o.Gives != "" {
			b.WriteString(": " + o.Gives)
		}
	}
	if q.Note != "" {
		flag := strings.ReplaceAll(q.Note, " ", "-")
		options := q.Options[:min(mostAnswers, len(q.Options))]
		if len(options) == 0 {
			options = []Option{{Answer: "…"}}
		}
		var answers []string
		for _, o := range options {
			answers = append(answers, "--"+flag+" "+Quoted(o.Answer))
		}
		fmt.Fprintf(&b, "\nanswer with %s, or with the note “# %s: %s” above the table", strings.Join(answers, " or "), q.Note, options[0].Answer)
	}
	for i, other := range q.others {
		if i == mostCells {
			fmt.Fprintf(&b, "\nand %d more", len(q.others)-i)
			break
		}
		other.File, other.Sheet = q.File, q.Sheet
		b.WriteString("\n" + other.Error())
	}
	switch typed := "type: evenfall " + q.Command + " " + Quoted(q.File); {
	case q.Command == "":
	case q.Note != "":
		b.WriteString("\nor, where these are lights at marks, " + typed)
	default:
		b.WriteString("\n" + typed)
	}
	return b.String()
}

// mostCells are how many cells are told beside the first.
const mostCells = 19

// mostAnswers are how many answers are shown with their flags.
const mostAnswers = 4

// Quoted is a text as it is typed on a command line: in quotes where a shell would take it
// apart.
func Quoted(text string) string {
	if strings.ContainsAny(text, " ()[]'&;") {
		return strconv.Quote(text)
	}
	return text
}

// String tells the figures: 655 to 880 lx, 9 places.
func (f figures) String() string {
	if f.places == 0 {
		return "no reading"
	}
	unit := ""
	if f.unit != photometry.Plain && f.unit != photometry.NoUnit {
		unit = " " + f.unit.String()
	}
	return fmt.Sprintf("%s to %s%s, %d places", figure(f.low), figure(f.high), unit, f.places)
}

func figure(v float64) string { return strconv.FormatFloat(v, 'g', 5, 64) }

// gives are the figures of a draft with its spread.
func (d *draft) gives() string {
	apart := spread(d.stops())
	text := fmt.Sprintf("%s, spread %.2f stop", d.figures(), apart)
	if apart >= 1.005 {
		text += "s"
	}
	return text
}

// askLevel asks about a level that cannot be read.
func (d *draft) askLevel(level table.Cell, place string) {
	if place != "" {
		place = " as the level of " + place
	}
	d.askCell("cell", level, place, "a number such as 742 or 69 fc, or nothing where nothing was read")
}

// askCell asks for another text of a cell.
func (d *draft) askCell(code string, c table.Cell, as, expected string) {
	d.ask(Question{Code: code, Line: c.Line, Column: c.Column, Text: "found " + quote(c.Text) + as + ", expected " + expected})
}

func quote(text string) string { return "“" + text + "”" }
