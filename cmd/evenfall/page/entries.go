package page

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"
	"unicode"

	"evenfall/photometry"
	"evenfall/photometry/survey"
)

// Entry is one act of somebody on a device, in the words of the wire. An entry may be
// sent again: it is known by its place, lamp and time, and done once.
type Entry struct {
	ID    string `json:"id"`
	Label string `json:"label"`
	Lamp  string `json:"lamp"` // "" is all lamps on
	At    int64  `json:"at"`   // when it was done, ms since 1970
	Kind  string `json:"kind"`
	// Seen is the time of the reading that the device showed at the place, 0 for none.
	Seen    int64  `json:"seen,omitempty"`
	Text    string `json:"text"` // of the level, as typed
	CCT     string `json:"cct"`
	Duv     string `json:"duv"`
	CC      string `json:"cc"`
	Flicker string `json:"flicker,omitempty"` // of a dimmed lamp: yes, no, or "" where nobody looked
	Note    string `json:"note,omitempty"`    // to be kept beside the reading
	// Of and Was are the reading that an answer is about: its time, and its level as the
	// device showed it, or of readings in conflict the times of all of them.
	Of  int64  `json:"of,omitempty"`
	Was string `json:"was,omitempty"`
	// Before and After are what Outcome.Undo was for the act that is taken back.
	*Undo
}

// Undo is the rows of a place before and after an act, each as its cells in the order of
// the file's columns.
type Undo struct {
	Before [][]string `json:"before"`
	After  [][]string `json:"after"`
}

// Outcome is what became of an entry.
type Outcome struct {
	ID      string `json:"id"`
	Outcome string `json:"outcome"`
	Text    string `json:"text,omitempty"`
	Undo    *Undo  `json:"undo,omitempty"`

	agreed bool // with the reading of another device, which both are to know
}

// The outcomes. A refused entry changed nothing; the others need not be sent again.
const (
	stored  = "stored"
	same    = "same"
	refused = "refused"
)

// The kinds of entries.
const (
	kindRead   = "read"   // the reading of a place, in place of the one that was seen there
	kindAgain  = "again"  // a further reading beside the others
	kindMeant  = "meant"  // a suspect was typed wrong: what was meant
	kindRight  = "right"  // a suspect is right as it was read
	kindReread = "reread" // what was read does not count: the place is to be read again
	kindKeep   = "keep"   // of readings in conflict, the one that counts
	kindBoth   = "both"   // of readings in conflict, all count as repeats
	kindUndo   = "undo"
	kindPlan   = "plan" // a light at a mark that is to be read
)

const (
	clockSlack = 10 * time.Minute // how far a device's clock may run ahead
	longestLamp,
	longestText,
	longestDevice,
	longestNote = 60, 40, 30, 200
)

// Reading is what an entry writes into a row, as texts of the file.
type Reading struct {
	Text    string `json:"text"`
	CCT     string `json:"cct_k,omitempty"`
	Duv     string `json:"duv,omitempty"`
	CC      string `json:"cc,omitempty"`
	Flicker string `json:"flicker,omitempty"` // of a lamp over its dimmer: yes or no

	SI float64 `json:"-"` // the level in the SI unit
}

// read is the content of a row.
func (b *editor) read(r *row) Reading {
	return Reading{b.get(r, "level"), b.get(r, "CCT"), b.get(r, "Duv"), b.get(r, "CC"), b.get(r, "flicker"), r.Level}
}

// bringsReading are the kinds of entries.
var bringsReading = map[string]bool{kindRead: true, kindAgain: true, kindMeant: true,
	kindRight: false, kindReread: false, kindKeep: false, kindBoth: false, kindUndo: false, kindPlan: false}

// check reads an entry; the error says what was found and expected.
func (b *editor) check(e *Entry, now time.Time) (r Reading, err error) {
	if err := b.checkPlace(e, now); err != nil {
		return r, err
	}
	if err := b.checkLamp(e); err != nil {
		return r, err
	}
	brings, known := bringsReading[e.Kind]
	switch {
	case !known:
		return r, fmt.Errorf("found the kind %q, expected read, again, meant, right, reread, keep, both or undo", clip(e.Kind))
	case brings:
		if r, err = b.checkReading(e); err != nil {
			return r, err
		}
	case e.Kind != kindPlan:
		return r, nil
	case b.lights == nil:
		return r, fmt.Errorf("found the kind plan, expected it for lights at marks alone")
	}
	b.addMark(e.Label) // a new one
	return r, nil
}

// checkPlace accepts a place that the table has, or of lights a new one, and a time.
func (b *editor) checkPlace(e *Entry, now time.Time) error {
	_, known := b.byKey[photometry.NameKey(e.Label)]
	switch {
	case !known && b.dials && !isSetting(&e.Label):
		return fmt.Errorf("found the setting %q, expected percent of the dial above 0, at most 100", clip(e.Label))
	case !known && (b.lights == nil || checkName(e.Label, longestLamp) != nil || photometry.NameKey(e.Label) == ""):
		return fmt.Errorf("found the place %q, expected one of this survey", clip(e.Label))
	case e.At <= 0:
		return fmt.Errorf("found the time %d, expected milliseconds since 1970", e.At)
	case e.At > now.Add(clockSlack).UnixMilli():
		return fmt.Errorf("found a time %d min ahead of this program's clock, expected the time of the reading", (e.At-now.UnixMilli())/60000)
	}
	if i, known := b.byKey[photometry.NameKey(e.Label)]; known {
		e.Label = b.places[i].label
	}
	return nil
}

// checkReading is the reading that an entry brings.
func (b *editor) checkReading(e *Entry) (r Reading, err error) {
	if e.Flicker != "" && (!b.dials || e.Flicker != "yes" && e.Flicker != "no") {
		return r, fmt.Errorf("found the flicker %q, expected yes or no, of a lamp over its dimmer", clip(e.Flicker))
	}
	r.Flicker = e.Flicker
	if max(len(e.Text), len(e.CCT), len(e.Duv), len(e.CC)) > longestText {
		return r, fmt.Errorf("found %q, expected a level such as 742", clip(e.Text))
	}
	e.Note = strings.Join(strings.Fields(e.Note), " ")
	if err := checkName(e.Note, longestNote); e.Note != "" && err != nil {
		return r, fmt.Errorf("found the note %q, expected %w", clip(e.Note), err)
	}
	if r.Text, r.SI, err = b.formOf(e.Lamp).ReadLevel(e.Text, e.Lamp != ""); err == nil {
		r.CCT, r.Duv, r.CC, err = b.form.ReadColor(e.CCT, e.Duv, e.CC)
	}
	return r, err
}

// checkLamp accepts a lamp that the survey has, or a new name.
func (b *editor) checkLamp(e *Entry) error {
	e.Lamp = strings.Join(strings.Fields(e.Lamp), " ")
	if b.lights == nil && strings.EqualFold(e.Lamp, "all") {
		e.Lamp = ""
	}
	switch {
	case b.isLamp(&e.Lamp):
		return nil
	case b.lights != nil:
		return b.checkLight(e)
	}
	if _, column := b.form.Columns["lamp"]; b.form.FileLamp != "" && !column {
		return fmt.Errorf("found the lamp %q, expected none: the file is all of %q", clip(e.Lamp), b.form.FileLamp)
	}
	if err := checkName(e.Lamp, longestLamp); err != nil {
		return fmt.Errorf("found the lamp %q, expected %w", clip(e.Lamp), err)
	}
	return nil
}

// checkName refuses names that a spreadsheet program might run as a formula, and
// those that nobody can read.
func checkName(name string, longest int) error {
	switch {
	case len([]rune(name)) > longest:
		return fmt.Errorf("at most %d characters", longest)
	case strings.ContainsFunc(name, unreadable):
		return fmt.Errorf("a name of plain characters")
	case strings.IndexAny(name, "=+-@#") == 0:
		return fmt.Errorf("a name that starts with a letter")
	}
	return nil
}

// deviceName is a name of a device, "" where people cannot read it.
func deviceName(name string) string {
	name = strings.Join(strings.Fields(name), " ")
	if name == "" || checkName(name, longestDevice) != nil || strings.Contains(name, ";") {
		return ""
	}
	return name
}

// unreadable are control characters and those that turn the direction of what follows. The
// joiners of letters and of emoji can be read.
func unreadable(r rune) bool {
	const zeroWidthNonJoiner, zeroWidthJoiner = '\u200c', '\u200d'
	return !unicode.IsPrint(r) && r != zeroWidthNonJoiner && r != zeroWidthJoiner
}

func clip(text string) string {
	if r := []rune(text); len(r) > 40 {
		return string(r[:40]) + "…"
	}
	return text
}

// apply does one entry of a device that people call by a name; changed reports whether
// the file is different now.
func (b *editor) apply(e Entry, device string, now time.Time) (o Outcome, changed bool) {
	r, err := b.check(&e, now)
	key := keyOf(e.Label, e.Lamp)
	before := b.snapshot(key)
	if err == nil {
		o, err = b.do(e, r, device, now)
	}
	o.ID = e.ID
	if err != nil {
		o.Outcome, o.Text = refused, err.Error()
		return o, false
	}
	if after := b.snapshot(key); o.Outcome == stored && e.Kind != kindUndo && after != nil {
		o.Undo = &Undo{before, after}
	}
	return o, o.Outcome == stored
}

// do does an entry that was checked. The error is words for people, and nothing is changed.
func (b *editor) do(e Entry, r Reading, device string, now time.Time) (Outcome, error) {
	switch e.Kind {
	case kindUndo:
		return b.takeBack(e, now)
	case kindPlan:
		if len(b.cells[keyOf(e.Label, e.Lamp)]) > 0 {
			return Outcome{Outcome: same}, nil
		}
		b.newRow(e)
		return Outcome{Outcome: stored}, nil
	case kindRead, kindAgain:
		return b.enter(e, r, device)
	}
	key := keyOf(e.Label, e.Lamp)
	x := rowAt(b.cells[key], e.Of)
	if x == nil || x.empty() {
		return Outcome{}, fmt.Errorf("somebody changed %s since: read it again, or answer what is there now", e.Label)
	}
	return b.answer(e, r, x)
}

// mostUndone is how many readings of one place can be put back.
const mostUndone = 50

// snapshot is the cells of the rows of one place, nil of too many.
func (b *editor) snapshot(key cellKey) [][]string {
	if len(b.cells[key]) > mostUndone {
		return nil
	}
	rows := make([][]string, 0, len(b.cells[key]))
	for _, x := range b.cells[key] {
		var cells []string
		for i := range x.record.cells {
			cells = append(cells, x.record.get(i))
		}
		for len(cells) > 0 && cells[len(cells)-1] == "" {
			cells = cells[:len(cells)-1]
		}
		rows = append(rows, cells)
	}
	return rows
}

func sameCells(a, b [][]string) bool {
	return slices.EqualFunc(a, b, func(x, y []string) bool { return slices.Equal(x, y) })
}

// takeBack puts the rows of a place back as they were before an act, unless somebody
// changed them since.
func (b *editor) takeBack(e Entry, now time.Time) (Outcome, error) {
	if e.Undo == nil {
		return Outcome{}, fmt.Errorf("this act of %s cannot be undone any more: type it again", e.Label)
	}
	key := keyOf(e.Label, e.Lamp)
	is := b.snapshot(key)
	switch {
	case is == nil:
		return Outcome{}, fmt.Errorf("%s has too many readings to undo one: type it again", e.Label)
	case sameCells(is, e.Before):
		return Outcome{Outcome: same}, nil
	case !sameCells(is, e.After), len(e.Before) > len(is):
		return Outcome{}, fmt.Errorf("somebody changed %s since, so it is not undone", e.Label)
	}
	original := b.text.bytes()
	gone := map[*record]bool{}
	for i, x := range b.cells[key] {
		if i >= len(e.Before) {
			gone[x.record] = true
			continue
		}
		for column := range max(len(is[i]), len(e.Before[i])) {
			text := ""
			if column < len(e.Before[i]) {
				text = e.Before[i][column]
			}
			b.text.set(x.record, column, text)
		}
	}
	b.text.remove(gone)
	if again, err := newEditor(b.name, b.text.bytes(), now, b.zone); err == nil && len(again.cells[key]) == len(e.Before) {
		*b = *again
		return Outcome{Outcome: stored}, nil
	}
	if again, err := newEditor(b.name, original, now, b.zone); err == nil {
		*b = *again
	}
	return Outcome{}, fmt.Errorf("found cells that are none of %s, expected those of before", e.Label)
}

// fill writes a reading into a row. Whatever other color the row had was of another
// reading and goes, unless only the level was read anew.
func (b *editor) fill(x *row, r Reading, at int64, keepColor bool) {
	b.set(x, "time", b.form.Clock.Format(at, b.zone))
	b.set(x, "level", r.Text)
	if !keepColor || r.CCT != "" {
		b.set(x, "CCT", r.CCT)
		b.set(x, "Duv", r.Duv)
		b.set(x, "CC", r.CC)
		for _, name := range []string{"mired", "cie x", "cie y", "u'", "v'"} {
			b.set(x, name, "")
		}
	}
	if !keepColor || r.Flicker != "" {
		b.set(x, "flicker", r.Flicker)
	}
	x.Level, x.UnixMilli = r.SI, at
}

// newRow adds a row of a place, which says where it is as the rows do that the place
// has already.
func (b *editor) newRow(e Entry) *row {
	x := &row{FormRow: survey.FormRow{Label: e.Label, Lamp: e.Lamp, Level: math.NaN()}, record: b.text.add()}
	if b.lights != nil {
		b.asLight(x)
		b.addRow(x)
		return x
	}
	label := e.Label
	for _, lamp := range b.lamps {
		if rows := b.cells[keyOf(e.Label, lamp)]; len(rows) > 0 {
			b.set(x, "x", b.get(rows[0], "x"))
			b.set(x, "y", b.get(rows[0], "y"))
			if b.get(rows[0], "label") == "" {
				label = ""
			}
			break
		}
	}
	if _, column := b.form.Columns["label"]; column {
		b.set(x, "label", label)
	}
	b.set(x, "lamp", e.Lamp)
	b.addRow(x)
	return x
}
