package page

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"
	"unicode"

	"evenfall/photometry/survey"
)

// Entry is one thing that somebody did on a device, in the words of the wire.
// Entries may come late, twice, and in any order: the table that they end in is
// the same.
//
// A set is the reading of its cell and takes the place of all that were read
// there before it; a repeat is a further reading in addition; a clear empties the
// cell, or with Of only the reading of that time. What counts is At, when it was
// done, to the millisecond: whatever is older than a cell's last set or clear
// changes nothing.
type Entry struct {
	ID    string `json:"id"`
	Label string `json:"label"`
	Lamp  string `json:"lamp"` // "" is all lamps on
	At    int64  `json:"at"`   // ms since 1970
	Text  string `json:"text"` // of the level, as typed
	CCT   string `json:"cct"`
	Duv   string `json:"duv"`
	CC    string `json:"cc"`
	Kind  string `json:"kind"` // set, repeat or clear
	Of    int64  `json:"of"`   // clear: the reading of this time alone
}

// Outcome is what became of an entry.
type Outcome struct {
	ID      string `json:"id"`
	Outcome string `json:"outcome"`
	Text    string `json:"text,omitempty"`
}

// The outcomes. A refused entry changed nothing and never will; the others need
// not be sent again.
const (
	stored   = "stored"
	same     = "same"
	notNewer = "not_newer"
	refused  = "refused"
)

// The kinds of entries.
const (
	kindSet    = "set"
	kindRepeat = "repeat"
	kindClear  = "clear"
)

const (
	clockSlack = 10 * time.Minute // how far a device's clock may run ahead
	longestLamp,
	longestText = 60, 40
)

// reading is what an entry writes into a row; its level is NaN for a clear.
type reading struct {
	text, cct, duv, cc string
	level              float64
}

var noReading = reading{level: math.NaN()}

func (r reading) empty() bool { return math.IsNaN(r.level) }

// key orders readings of one moment.
func (r reading) key() string { return r.text + "\x00" + r.cct + "\x00" + r.duv + "\x00" + r.cc }

// read is the content of a row.
func (b *editor) read(r *row) reading {
	return reading{b.get(r, "level"), b.get(r, "CCT"), b.get(r, "Duv"), b.get(r, "CC"), r.Level}
}

// whole reports whether an entry takes the place of all that was read before it.
func (e *Entry) whole() bool { return e.Kind == kindSet || e.Kind == kindClear && e.Of == 0 }

// moment is the time of the reading that an entry makes, changes or takes back.
func (e *Entry) moment() int64 {
	if e.Of != 0 {
		return e.Of
	}
	return e.At
}

// check reads an entry; the error says what was found and expected.
func (b *editor) check(e *Entry, now time.Time) (reading, error) {
	i, known := b.byKey[fold(e.Label)]
	switch {
	case !known:
		return reading{}, fmt.Errorf("found the place %q, expected one of this survey", clip(e.Label))
	case e.At <= 0:
		return reading{}, fmt.Errorf("found the time %d, expected milliseconds since 1970", e.At)
	case e.At > now.Add(clockSlack).UnixMilli():
		return reading{}, fmt.Errorf("found a time %d min ahead of this program's clock, expected the time of the reading", (e.At-now.UnixMilli())/60000)
	case e.Of != 0 && (e.Kind != kindClear || e.Of < 0):
		return reading{}, fmt.Errorf("found a time of another reading, expected it with clear only")
	}
	e.Label = b.places[i].label
	if err := b.checkLamp(e); err != nil {
		return reading{}, err
	}
	switch e.Kind {
	case kindClear:
		return noReading, nil
	case kindSet, kindRepeat:
	default:
		return reading{}, fmt.Errorf("found the kind %q, expected set, repeat or clear", clip(e.Kind))
	}
	if len(e.Text) > longestText || len(e.CCT) > longestText || len(e.Duv) > longestText || len(e.CC) > longestText {
		return reading{}, fmt.Errorf("found %q, expected a level such as 742", clip(e.Text))
	}
	var r reading
	var err error
	if r.text, r.level, err = b.form.ReadLevel(e.Text, e.Lamp != ""); err != nil {
		return reading{}, err
	}
	r.cct, r.duv, r.cc, err = b.form.ReadColor(e.CCT, e.Duv, e.CC)
	return r, err
}

// checkLamp accepts a lamp that the survey has, or a new name.
func (b *editor) checkLamp(e *Entry) error {
	e.Lamp = strings.Join(strings.Fields(e.Lamp), " ")
	if strings.EqualFold(e.Lamp, "all") {
		e.Lamp = ""
	}
	if i := slices.IndexFunc(b.lamps, func(lamp string) bool { return fold(lamp) == fold(e.Lamp) }); i >= 0 {
		e.Lamp = b.lamps[i]
		return nil
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
	case strings.ContainsFunc(name, func(r rune) bool { return !unicode.IsPrint(r) }):
		return fmt.Errorf("a name of plain characters")
	case strings.IndexAny(name, "=+-@#") == 0:
		return fmt.Errorf("a name that starts with a letter")
	}
	return nil
}

func clip(text string) string {
	if r := []rune(text); len(r) > 40 {
		return string(r[:40]) + "…"
	}
	return text
}

// apply does one entry; changed reports whether the file is different now.
func (b *editor) apply(e Entry, now time.Time) (o Outcome, changed bool) {
	o.ID = e.ID
	r, err := b.check(&e, now)
	if err != nil {
		o.Outcome, o.Text = refused, err.Error()
		return o, false
	}
	var last int64 // when the reading of the cell was taken, but for further ones
	var at *row    // the row of the same moment
	for _, x := range b.cells[keyOf(e.Label, e.Lamp)] {
		if !x.again {
			last = max(last, x.UnixMilli)
		}
		if x.UnixMilli == e.moment() {
			at = x
		}
	}
	switch {
	case at != nil:
		o.Outcome, at = b.merge(e, r, at)
	case e.moment() <= last:
		o.Outcome = notNewer
	default:
		if at = b.rowFor(e); at == nil {
			o.Outcome, o.Text = refused, fmt.Sprintf("found %d rows, expected no more in one survey", len(b.rows))
			return o, false
		}
		at.UnixMilli = e.moment()
		b.fill(at, r, !e.whole())
		o.Outcome = stored
	}
	if o.Outcome == stored && e.whole() {
		b.removeRows(keyOf(e.Label, e.Lamp), func(x *row) bool { return x != at && !x.blank() && x.UnixMilli < at.UnixMilli })
	}
	return o, o.Outcome == stored
}

// merge decides between two entries of one cell and one moment, the same way whichever
// came first: an emptied reading stays empty, a set wins over a repeat, and of
// two texts the greater stays. It returns the row that has the reading then.
func (b *editor) merge(e Entry, r reading, with *row) (outcome string, at *row) {
	old := b.read(with)
	overSet := !e.whole() && !with.again // a repeat where a set is
	switch {
	case e.Of != 0 && old.empty():
		return same, with
	case e.Of != 0:
		b.fill(with, r, with.again)
	case e.whole() && with.again:
		if old.empty() {
			r = noReading
		}
		with = b.move(with, e)
		b.fill(with, r, false)
	case !overSet && r.empty() == old.empty() && (r.empty() || r.key() == old.key()):
		return same, with
	case !overSet && !old.empty() && (r.empty() || r.key() > old.key()):
		b.fill(with, r, with.again)
	default:
		return notNewer, with
	}
	return stored, with
}

// replaced is the row of a cell in which a set or clear is to be written, with
// whatever else people wrote there: the first that asks for a reading or has an
// older one.
func replaced(cell []*row, moment int64) *row {
	for _, again := range []bool{false, true} {
		for _, x := range cell {
			if x.again == again && (x.blank() && !again || !x.blank() && x.UnixMilli < moment) {
				return x
			}
		}
	}
	return nil
}

// move brings a further reading, which turned out to be the one of its cell, to the
// row where that has been.
func (b *editor) move(x *row, e Entry) *row {
	key := keyOf(e.Label, e.Lamp)
	to := replaced(b.cells[key], x.UnixMilli)
	if to == nil {
		return x
	}
	to.UnixMilli = x.UnixMilli
	b.removeRows(key, func(r *row) bool { return r == x })
	return to
}

// rowFor finds the row in which an entry is to be written: one that asks for it, or
// for a set the first of those that it takes the place of, or else a new one; nil
// where there are too many rows.
func (b *editor) rowFor(e Entry) *row {
	cell := b.cells[keyOf(e.Label, e.Lamp)]
	if e.whole() {
		if x := replaced(cell, e.At); x != nil {
			return x
		}
	} else if i := slices.IndexFunc(cell, func(x *row) bool { return x.blank() && x.again }); i >= 0 {
		return cell[i]
	}
	if len(b.rows) >= mostRows {
		return nil
	}
	return b.newRow(e)
}

// newRow adds a row of a place, which says where it is as the rows do that the place
// has already.
func (b *editor) newRow(e Entry) *row {
	x := &row{FormRow: survey.FormRow{Label: e.Label, Lamp: e.Lamp, Level: math.NaN()}, record: b.text.add()}
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

// fill writes a reading into a row. Whatever other color the row had was of
// another reading and goes.
func (b *editor) fill(x *row, r reading, again bool) {
	b.set(x, "time", b.form.Clock.Format(x.UnixMilli, b.zone))
	b.set(x, "level", r.text)
	b.set(x, "CCT", r.cct)
	b.set(x, "Duv", r.duv)
	b.set(x, "CC", r.cc)
	for _, name := range []string{"mired", "cie x", "cie y", "u'", "v'"} {
		b.set(x, name, "")
	}
	switch marked := isAgain(b.get(x, "note")); {
	case again && !marked && b.isReference(x.Label):
		b.set(x, "note", referenceNote)
	case again && !marked:
		b.set(x, "note", againNote)
	case !again && marked:
		b.set(x, "note", "")
	}
	x.Level, x.again = r.level, again
}
