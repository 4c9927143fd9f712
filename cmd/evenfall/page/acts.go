package page

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"evenfall/photometry"
	"evenfall/photometry/schema"
	"evenfall/photometry/uncertainty"
)

// What the acts write into the column note, parts of which stand behind one another.
const (
	againNote     = "again"           // a further reading at its place
	referenceNote = "reference again" // the same of the reference
	alsoNote      = "also by "        // a first reading of a device that had not seen the other
	between       = "; "
)

// isAgain reports whether a note marks a further reading, as a blank sheet does.
func isAgain(note string) bool {
	return slices.ContainsFunc(strings.Split(note, between), func(part string) bool {
		return strings.EqualFold(part, againNote) || strings.EqualFold(part, referenceNote)
	})
}

// addNote puts a part behind the note of a row.
func (b *editor) addNote(x *row, part string) {
	if part == "" {
		return
	}
	if note := b.get(x, "note"); note != "" {
		part = note + between + part
	}
	b.set(x, "note", part)
	x.again = isAgain(part)
}

// setStatus answers a row.
func (b *editor) setStatus(x *row, text string) {
	b.set(x, "status", text)
	x.status = schema.ParseStatus(text, b.get(x, "level"), b.form.Dialect.Number)
}

// rowAt is the row of a moment, nil for none.
func rowAt(cell []*row, at int64) *row {
	if i := slices.IndexFunc(cell, func(x *row) bool { return x.UnixMilli == at && at != 0 }); i >= 0 {
		return cell[i]
	}
	return nil
}

// named is a level of a light as people say it: 96 lx, 116 fc, f/5.6 7/10.
func (b *editor) named(text, lamp string) string {
	unit := b.formOf(lamp).Unit
	switch last := strings.TrimRight(text, "k"); {
	case unit == photometry.FStop && !strings.HasPrefix(text, "f"):
		return "f/" + text
	case last != "" && (last[len(last)-1] < '0' || last[len(last)-1] > '9') && last[len(last)-1] != '.':
		return text
	case unit == photometry.FStop:
		return text
	}
	return text + " " + unit.String()
}

// was is the note of a reading that another one replaced.
func (b *editor) was(text, lamp string, at int64) string {
	if at <= 0 {
		return "was " + b.named(text, lamp)
	}
	return "was " + b.named(text, lamp) + " " + time.UnixMilli(at).In(b.zone).Format(time.TimeOnly)
}

// enter writes a reading. In place of the reading that the device showed it is a change;
// where the device showed none, or another one by now, somebody else read the place
// unseen, and both readings stay.
func (b *editor) enter(e Entry, r Reading, device string) (Outcome, error) {
	key := keyOf(e.Label, e.Lamp)
	for x := rowAt(b.cells[key], e.At); x != nil; x = rowAt(b.cells[key], e.At) {
		if b.get(x, "level") == r.Text || b.isMeantFor(x, r.Text) {
			return Outcome{Outcome: same}, nil
		}
		e.At++ // another device's, of the same millisecond
	}
	if e.Kind == kindRead {
		if x := rowAt(b.cells[key], e.Seen); x != nil {
			b.replace(x, e, r)
			return Outcome{Outcome: stored}, nil
		}
	}
	replaced := b.was(r.Text, e.Lamp, e.At)
	if slices.ContainsFunc(b.cells[key], func(x *row) bool { return strings.Contains(b.get(x, "note")+between, replaced+between) }) {
		return Outcome{Outcome: same}, nil // it was stored, and changed since
	}
	rivals := b.firsts(key)
	x, err := b.rowFor(e)
	if err != nil {
		return Outcome{}, err
	}
	b.fill(x, r, e.At, false)
	switch {
	case e.Kind == kindAgain && b.isReference(x.Label):
		b.mark(x, referenceNote)
	case e.Kind == kindAgain:
		b.mark(x, againNote)
	case len(rivals) > 0:
		b.addNote(x, alsoNote+device)
	}
	b.addNote(x, e.Note)
	if len(rivals) == 0 || e.Kind == kindAgain {
		return Outcome{Outcome: stored}, nil
	}
	says, agreed := b.settle(key, append(rivals, x))
	return Outcome{Outcome: stored, Text: says, agreed: agreed}, nil
}

// mark adds a part to a note that does not say so already.
func (b *editor) mark(x *row, part string) {
	if !isAgain(b.get(x, "note")) {
		b.addNote(x, part)
	}
	x.again = true
}

// isMeantFor reports whether a row was typed as a text before somebody said what was meant.
func (b *editor) isMeantFor(x *row, text string) bool {
	return slices.Contains(strings.Split(b.get(x, "note"), between), "read as "+b.named(text, x.Lamp))
}

// replace changes a reading. Its color stays where only the level was read anew.
func (b *editor) replace(x *row, e Entry, r Reading) {
	b.addNote(x, b.was(b.get(x, "level"), x.Lamp, x.UnixMilli))
	b.addNote(x, e.Note)
	b.fill(x, r, e.At, true)
	b.setStatus(x, "")
	key := keyOf(e.Label, e.Lamp)
	firsts := b.firsts(key)
	unseen := func(x *row) bool {
		return x.status == schema.Conflicting || strings.Contains(b.get(x, "note"), alsoNote)
	}
	if slices.ContainsFunc(firsts, unseen) {
		b.settle(key, firsts)
	}
}

// rowFor finds the row in which a reading is to be written: one that asks for it, or else
// a new one.
func (b *editor) rowFor(e Entry) (*row, error) {
	again := e.Kind == kindAgain
	cell := b.cells[keyOf(e.Label, e.Lamp)]
	if i := slices.IndexFunc(cell, func(x *row) bool { return b.get(x, "level") == "" && x.again == again }); i >= 0 {
		return cell[i], nil
	}
	if len(b.rows) >= mostRows {
		return nil, fmt.Errorf("found %d rows, expected no more in one survey", len(b.rows))
	}
	return b.newRow(e), nil
}

// firsts are the readings of a place that count as its first one.
func (b *editor) firsts(key cellKey) (firsts []*row) {
	for _, x := range b.cells[key] {
		if x.counts() && !x.again {
			firsts = append(firsts, x)
		}
	}
	return firsts
}

// settle decides what several first readings of a place are to each other: repeats within
// twice the repeatability, else a conflict. It says so in words.
func (b *editor) settle(key cellKey, firsts []*row) (says string, agree bool) {
	if len(firsts) < 2 {
		for _, x := range firsts {
			b.setStatus(x, "")
		}
		return "", true
	}
	levels := make([]float64, len(firsts))
	var texts []string
	for i, x := range firsts {
		levels[i] = x.Level
		texts = append(texts, b.named(b.get(x, "level"), x.Lamp))
	}
	low, high := slices.Min(levels), slices.Max(levels)
	agree = low == high || low > 0 && photometry.Stops(high, low) <= b.agreeWithin(key.lamp)
	for _, x := range firsts {
		switch {
		case !agree:
			b.setStatus(x, "conflict")
		case x.status == schema.Conflicting:
			b.setStatus(x, "")
		}
	}
	says = fmt.Sprintf("%s was read by two devices, %s", firsts[0].Label, strings.Join(texts, " and "))
	if agree {
		return says + ": they agree and count as repeats.", true
	}
	return says + ": say which of them counts.", false
}

// agreeWithin is twice the repeatability of a reading of a light in stops.
func (b *editor) agreeWithin(lamp string) float64 {
	repeatability, step := uncertainty.AssumedRepeatability, b.form.Settings.Resolution
	if r := b.form.Settings.Repeatability; r != nil {
		repeatability = *r
	}
	if step == 0 && b.formOf(lamp).Unit == photometry.FStop {
		step = 0.1 // tenths of a stop, as meters show them
	}
	return 2 * photometry.ReadingStops(repeatability, step)
}

// conflicting are the readings of a place that are in conflict.
func (b *editor) conflicting(key cellKey) []*row {
	return slices.DeleteFunc(b.firsts(key), func(x *row) bool { return x.status != schema.Conflicting })
}

// moments name readings by their times, so that an answer is about what its device showed.
func moments(rows []*row) string {
	times := make([]int64, len(rows))
	for i, x := range rows {
		times[i] = x.UnixMilli
	}
	slices.Sort(times)
	return fmt.Sprint(times)
}

// answer writes what somebody said about the reading of a row.
func (b *editor) answer(e Entry, r Reading, x *row) (Outcome, error) {
	conflicting := b.conflicting(keyOf(e.Label, e.Lamp))
	open := slices.Contains(conflicting, x)
	switch {
	case open && e.Was != moments(conflicting):
		return Outcome{}, fmt.Errorf("somebody read %s meanwhile: look at it again", x.Label)
	case e.Kind == kindMeant || e.Kind == kindRight:
		return b.confirm(e, r, x, open)
	case e.Kind == kindReread && x.status == schema.LeftOut:
		return Outcome{Outcome: same}, nil
	case e.Kind == kindReread:
		b.leaveOut(conflicting)
		b.setStatus(x, "again")
	case !open && (e.Kind == kindBoth || x.counts()):
		return Outcome{Outcome: same}, nil
	case !open:
		return Outcome{}, fmt.Errorf("somebody answered %s since: another reading counts", x.Label)
	case e.Kind == kindKeep:
		b.leaveOut(conflicting)
		b.setStatus(x, "")
	default:
		for i, y := range conflicting {
			b.setStatus(y, "")
			if i > 0 {
				b.mark(y, againNote)
			}
		}
	}
	return Outcome{Outcome: stored}, nil
}

func (b *editor) leaveOut(rows []*row) {
	for _, x := range rows {
		b.setStatus(x, "out")
	}
}

// confirm writes that a suspect is right: as it was read, or as it was meant. One in conflict
// has to be settled first.
func (b *editor) confirm(e Entry, r Reading, x *row, conflicting bool) (Outcome, error) {
	level, right := b.get(x, "level"), e.Was
	if e.Kind == kindMeant {
		right = r.Text
	}
	switch {
	case level == right && x.status == schema.Confirmed:
		return Outcome{Outcome: same}, nil
	case level != e.Was || x.status == schema.LeftOut || conflicting:
		return Outcome{}, fmt.Errorf("somebody changed %s since: it is %s now", x.Label, b.named(level, x.Lamp))
	case e.Kind == kindMeant:
		b.addNote(x, "read as "+b.named(level, x.Lamp))
		b.set(x, "level", r.Text)
		x.Level = r.SI
	}
	b.setStatus(x, "right "+right)
	return Outcome{Outcome: stored}, nil
}
