package page

import (
	"fmt"
	"math"
	"strings"
	"time"

	"evenfall/photometry"
	"evenfall/photometry/entry"
	"evenfall/photometry/evenness"
	"evenfall/photometry/survey"
	"evenfall/plots/answers"
)

// question is about one reading that the page cannot decide: a suspect, or first readings
// in conflict. Each answer is one tap.
type question struct {
	Kind    string      `json:"kind"` // suspect or conflict
	Label   string      `json:"label"`
	Lamp    string      `json:"lamp"`
	Words   string      `json:"words"` // where the place is
	At      int64       `json:"at"`
	Text    string      `json:"text"`
	Facts   [][2]string `json:"facts"` // a name and a value each
	Answers []option    `json:"answers"`
}

// option is an answer: what it says, and the entry that it makes.
type option struct {
	Title string `json:"title"`
	Below string `json:"below"`
	Kind  string `json:"kind"`
	Of    int64  `json:"of"`
	Was   string `json:"was,omitempty"`
	Text  string `json:"text,omitempty"`
}

// asked is a reading that a question is about.
type asked struct {
	at    int64
	level string // as it is in the file, and as people say it
	named string
	words string // where it is
}

// byLine are the readings with all lamps on by their line in the file.
func (b *editor) byLine() map[int]asked {
	of := map[*record]*row{}
	for _, r := range b.rows {
		of[r.record] = r
	}
	out, line := map[int]asked{}, 1
	for _, r := range b.text.records {
		if x := of[r]; x != nil && x.counts() {
			if i, known := b.byKey[photometry.NameKey(x.Label)]; known {
				level := b.get(x, "level")
				out[line] = asked{x.UnixMilli, level, b.named(level, x.Lamp), b.places[i].words}
			}
		}
		line++
		for _, cell := range r.cells {
			line += strings.Count(cell, "\n")
		}
	}
	return out
}

// suspect asks about a reading that looks like a data-entry error.
func (of asked) suspect(x survey.Suspect, r *evenness.Result) question {
	s := r.Survey
	q := question{Kind: "suspect", Label: x.Label, Words: of.words, At: of.at, Text: "Saved as read: " + x.Found + ". " + answers.Reasons(x) + ".", Answers: []option{}}
	if x.Expected > 0 {
		q.Text = fmt.Sprintf("%s is saved as read. About %s was to be expected beside its neighbors.", x.Found, s.FormatLevel(x.Expected))
		var near []string
		for _, i := range r.Places.Nearest(x.Point, 3) {
			near = append(near, s.FormatLevel(s.Level[i]))
		}
		level := s.Level[x.Point]
		q.Facts = [][2]string{{"Neighbors", strings.Join(near, ", ")}, {"As read", x.Found}, {"Off by", photometry.Signed(fmt.Sprintf("%+.1f stops", math.Log2(level/x.Expected)))}}
	}
	for i, typed := range x.Typed {
		if typed == "" || len(q.Answers) == 2 {
			continue
		}
		below := strings.ReplaceAll(x.Reasons[i], "_", " ")
		switch x.Reasons[i] {
		case entry.LuxFootcandleSwap:
			below = "the other unit: " + s.FormatLevel(x.MeantLevel[i])
		case entry.MisplacedDecimal:
			below = "the decimal point was misplaced"
		case entry.DigitsTransposed:
			below = "two digits were transposed"
		}
		q.Answers = append(q.Answers, option{"It was " + typed, below, kindMeant, of.at, of.level, typed})
	}
	q.Answers = append(q.Answers, option{"Right as read", of.named + "; the light is so there", kindRight, of.at, of.level, ""},
		option{"Read again", x.Label + " comes next", kindReread, of.at, of.level, ""})
	return q
}

// conflicts asks about the places where several readings claim to be the first one.
func (b *editor) conflicts() (out []question) {
	for _, p := range b.places {
		for _, lamp := range b.lamps {
			if open := b.conflicting(keyOf(p.label, lamp)); len(open) > 1 {
				out = append(out, b.conflict(p, lamp, open))
			}
		}
	}
	return out
}

func (b *editor) conflict(p place, lamp string, open []*row) question {
	q := question{Kind: "conflict", Label: p.label, Lamp: lamp, Words: p.words, At: open[0].UnixMilli,
		Text: "Two devices read it; neither had seen the other's. Both are kept, and the verdict waits."}
	was := moments(open)
	low, high := open[0].Level, open[0].Level
	for _, x := range open {
		low, high = min(low, x.Level), max(high, x.Level)
		by := time.UnixMilli(x.UnixMilli).In(b.zone).Format(time.TimeOnly)
		for part := range strings.SplitSeq(b.get(x, "note"), between) {
			if device, ok := strings.CutPrefix(part, alsoNote); ok {
				by = device + ", " + by
			}
		}
		q.Answers = append(q.Answers, option{b.named(b.get(x, "level"), x.Lamp), by + "; the other does not count", kindKeep, x.UnixMilli, was, ""})
	}
	apart := "one of them is 0"
	if low > 0 {
		apart = fmt.Sprintf("%.2f stop", photometry.Stops(high, low))
	}
	q.Facts = [][2]string{{"Apart", apart}, {"Agree within", fmt.Sprintf("%.2f stop", b.agreeWithin(lamp))}}
	first := open[0].UnixMilli
	q.Answers = append(q.Answers, option{"Both count", "as repeats", kindBoth, first, was, ""}, option{"Read again", "neither counts then", kindReread, first, was, ""})
	return q
}
