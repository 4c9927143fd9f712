package page

import (
	"fmt"
	"slices"
	"strings"
	"time"
	"unicode"
)

// Entry is one thing that somebody did on a device, in the words of the wire.
// Entries may come late, twice, and in any order: the table that they end in is
// the same.
//
// A set is the reading of its cell and takes the place of all that were read
// there before it; a repeat is a further reading beside it; a clear empties the
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

// reading is what an entry writes into a row; empty for a clear.
type reading struct {
	text, cct, duv, cc string
	level              float64
	empty              bool
}

// check reads an entry; the error says what was found and expected.
func (b *book) check(e *Entry, now time.Time) (reading, error) {
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
		return reading{empty: true, level: nan}, nil
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
func (b *book) checkLamp(e *Entry) error {
	e.Lamp = strings.Join(strings.Fields(e.Lamp), " ")
	if strings.EqualFold(e.Lamp, "all") {
		e.Lamp = ""
	}
	for _, lamp := range b.lamps {
		if fold(lamp) == fold(e.Lamp) {
			e.Lamp = lamp
			return nil
		}
	}
	if b.form.FileLamp != "" && b.at("lamp") < 0 {
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

// apply does one entry; changed tells whether the file is different now.
func (b *book) apply(e Entry, now time.Time) (o Outcome, changed bool) {
	o.ID = e.ID
	r, err := b.check(&e, now)
	if err != nil {
		o.Outcome, o.Text = refused, err.Error()
		return o, false
	}
	at := e.At
	if e.Of != 0 {
		at = e.Of
	}
	cell := b.cells[keyOf(e.Label, e.Lamp)]
	last, twin := int64(0), (*row)(nil)
	for _, x := range cell {
		if !x.again {
			last = max(last, x.at)
		}
		if x.at == at {
			twin = x
		}
	}
	whole := e.Kind == kindSet || e.Kind == kindClear && e.Of == 0 // takes the place of older ones
	switch {
	case twin != nil:
		o.Outcome, twin = b.join(e, r, twin, whole)
	case at <= last:
		o.Outcome = notNewer
	default:
		if twin = b.room(e, cell, whole); twin == nil {
			o.Outcome, o.Text = refused, fmt.Sprintf("found %d rows, expected no more in one survey", len(b.rows))
			return o, false
		}
		twin.at = at
		b.fill(twin, e, r, !whole)
		o.Outcome = stored
	}
	if o.Outcome != stored {
		return o, false
	}
	if whole {
		b.drop(e, twin)
	}
	return o, true
}

// join settles two entries of one cell and one moment, the same way whichever
// came first: an emptied reading stays empty, a set wins over a repeat, and of
// two texts the greater stands.
func (b *book) join(e Entry, r reading, with *row, whole bool) (outcome string, at *row) {
	old := b.read(with)
	one := e.Kind == kindClear && e.Of != 0
	switch {
	case one && with.empty():
		return same, with
	case one:
		b.fill(with, e, r, with.again)
	case whole && with.again:
		if with.empty() {
			r = reading{empty: true, level: nan}
		}
		with = b.move(with, e)
		b.fill(with, e, r, false)
	case r.empty && with.empty(), !with.empty() && !r.empty && old.key() == r.key():
		if !whole && !with.again {
			return notNewer, with
		}
		return same, with
	case with.empty(), !whole && !with.again:
		return notNewer, with
	case r.empty, r.key() > old.key():
		b.fill(with, e, r, with.again)
	default:
		return notNewer, with
	}
	return stored, with
}

// host is the row of a cell that a set or clear is to stand in, with whatever else
// people wrote there: the first that asks for a reading or has an older one.
func host(cell []*row, at int64) *row {
	for _, again := range []bool{false, true} {
		for _, x := range cell {
			if x.again == again && (x.blank() && !again || !x.blank() && x.at < at) {
				return x
			}
		}
	}
	return nil
}

// move brings a further reading, which turned out to be the one of its cell, to the
// row where that has stood.
func (b *book) move(x *row, e Entry) *row {
	key := keyOf(e.Label, e.Lamp)
	to := host(b.cells[key], x.at)
	if to == nil {
		return x
	}
	to.at = x.at
	b.cells[key] = slices.DeleteFunc(b.cells[key], func(r *row) bool { return r == x })
	b.rows = slices.DeleteFunc(b.rows, func(r *row) bool { return r == x })
	b.sheet.remove(map[*record]bool{x.record: true})
	return to
}

// key orders readings of one moment.
func (r reading) key() string { return r.text + "\x00" + r.cct + "\x00" + r.duv + "\x00" + r.cc }

// read is what a row holds.
func (b *book) read(r *row) reading {
	s, rec := b.sheet, r.record
	return reading{s.get(rec, b.at("level")), s.get(rec, b.at("CCT")), s.get(rec, b.at("Duv")), s.get(rec, b.at("CC")), r.level, r.empty()}
}

// room finds the row that an entry is to stand in: one that asks for it, or for a
// set the first of those that it takes the place of, or else a new one.
func (b *book) room(e Entry, cell []*row, whole bool) *row {
	if whole {
		if x := host(cell, e.At); x != nil {
			return x
		}
	} else {
		for _, x := range cell {
			if x.blank() && x.again {
				return x
			}
		}
	}
	if len(b.rows) >= mostRows {
		return nil
	}
	x := &row{label: e.Label, lamp: e.Lamp, level: nan}
	p := b.places[b.byKey[fold(e.Label)]]
	var model *record
	for lamp := range b.lamps {
		if rows := b.cells[keyOf(e.Label, b.lamps[lamp])]; len(rows) > 0 && model == nil {
			model = rows[0].record
		}
	}
	labelled := ""
	if model == nil || b.at("label") < 0 || b.sheet.get(model, b.at("label")) != "" {
		labelled = p.label
	}
	x.record = b.sheet.add()
	for _, name := range []string{"x", "y"} {
		if at := b.at(name); at >= 0 && model != nil {
			b.sheet.set(x.record, at, b.sheet.get(model, at))
		}
	}
	if at := b.at("label"); at >= 0 {
		b.sheet.set(x.record, at, labelled)
	}
	if e.Lamp != "" {
		b.sheet.set(x.record, b.sheet.column(b.columns, "lamp", "lamp"), e.Lamp)
	}
	b.rows = append(b.rows, x)
	key := keyOf(e.Label, e.Lamp)
	b.cells[key] = append(b.cells[key], x)
	if !contains(b.lamps, e.Lamp) {
		b.lamps = append(b.lamps, e.Lamp)
	}
	return x
}

func contains(names []string, name string) bool {
	for _, n := range names {
		if fold(n) == fold(name) {
			return true
		}
	}
	return false
}

// fill writes a reading into a row. Whatever other color the row had was of
// another reading and goes.
func (b *book) fill(x *row, e Entry, r reading, again bool) {
	s := b.sheet
	s.set(x.record, s.column(b.columns, "time", "time"), b.form.Clock.Format(x.at, b.zone))
	s.set(x.record, b.at("level"), r.text)
	for _, c := range []struct{ name, header, text string }{{"CCT", "CCT (K)", r.cct}, {"Duv", "Duv", r.duv}, {"CC", "CC", r.cc},
		{"mired", "", ""}, {"cie x", "", ""}, {"cie y", "", ""}, {"u'", "", ""}, {"v'", "", ""}} {
		at := b.at(c.name)
		if at < 0 && c.text != "" {
			at = s.column(b.columns, c.name, c.header)
		}
		if at >= 0 {
			s.set(x.record, at, c.text)
		}
	}
	note := b.at("note")
	told := note >= 0 && isAgain(s.get(x.record, note))
	switch {
	case again && !told:
		word := againNote
		if b.ref >= 0 && fold(x.label) == fold(b.places[b.ref].label) {
			word = referenceNote
		}
		s.set(x.record, s.column(b.columns, "note", "note"), word)
	case !again && told:
		s.set(x.record, note, "")
	}
	x.level, x.again = r.level, again
}

// drop takes out the readings of a cell that a set or clear took the place of.
func (b *book) drop(e Entry, by *row) {
	key := keyOf(e.Label, e.Lamp)
	gone := map[*record]bool{}
	kept := b.cells[key][:0]
	for _, x := range b.cells[key] {
		if x != by && !x.blank() && x.at < by.at {
			gone[x.record] = true
			continue
		}
		kept = append(kept, x)
	}
	if len(gone) == 0 {
		return
	}
	b.cells[key] = kept
	b.sheet.remove(gone)
	rows := b.rows[:0]
	for _, x := range b.rows {
		if !gone[x.record] {
			rows = append(rows, x)
		}
	}
	b.rows = rows
}
