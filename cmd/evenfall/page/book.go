package page

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"strings"
	"time"

	"evenfall/photometry/survey"
)

// book is a survey that can be filled in: its file as it stands, and what the
// file says of each place. It holds nothing that the file does not, so that a
// program that starts anew knows as much.
type book struct {
	form    *survey.Form
	sheet   *sheet
	columns map[string]int
	rows    []*row
	cells   map[cellKey][]*row // in the order of the file
	places  []place            // in walking order
	byKey   map[string]int     // places by label
	quick   int                // how many places the walk begins with
	lamps   []string           // "" first
	ref     int                // index of the reference among places, -1 for none
	zone    *time.Location
}

// cellKey is one place under one light; both in lower case.
type cellKey struct{ label, lamp string }

func keyOf(label, lamp string) cellKey {
	return cellKey{fold(label), fold(lamp)}
}

func fold(text string) string { return strings.ToLower(strings.TrimSpace(text)) }

// row is one reading, or one place still to be read.
type row struct {
	record *record
	label  string
	lamp   string
	at     int64   // ms since 1970; 0 for no time
	level  float64 // SI, NaN for empty
	again  bool    // a further reading at its place
}

func (r *row) empty() bool { return math.IsNaN(r.level) }

// blank is a row that asks to be filled in.
func (r *row) blank() bool { return r.empty() && r.at == 0 }

// place is a place of the walk.
type place struct {
	label       string
	x, y        float64 // m, NaN where nobody says
	column, row int     // from 1, the row from the top; 0 where there is no grid
	words       string
}

// The notes that mark a further reading at a place, as a blank sheet has them.
const (
	againNote     = "again"
	referenceNote = "reference again"
)

func isAgain(note string) bool {
	return strings.EqualFold(note, againNote) || strings.EqualFold(note, referenceNote)
}

var nan = math.NaN()

// mostRows keeps the page quick.
const mostRows = 5000

// openBook reads a file as a survey that can be filled in. The error says, in
// words for people, why it cannot be. modified is when the file was written, to
// put dates to times of day.
func openBook(name string, content []byte, modified time.Time, zone *time.Location) (*book, error) {
	form, err := survey.ReadForm(survey.Input{Name: name, Reader: bytes.NewReader(content)})
	if err != nil {
		return nil, err
	}
	switch {
	case !strings.HasPrefix(form.Dialect.Encoding, "UTF-8"):
		return nil, fmt.Errorf("it is written in %s; save it as UTF-8 to fill it in here", form.Dialect.Encoding)
	case form.Clock == survey.PlainTime:
		return nil, errors.New("its times are plain numbers; the page writes the time of day")
	case form.Clock == survey.Mixed:
		return nil, errors.New("its times are written in several ways")
	case len(form.Rows) > mostRows:
		return nil, fmt.Errorf("it has %d rows; the page fills in up to %d", len(form.Rows), mostRows)
	}
	s, err := cut(content, byte(form.Dialect.Delimiter), form.Header[0].Line)
	if err != nil {
		return nil, err
	}
	b := &book{form: form, sheet: s, columns: form.Columns, cells: map[cellKey][]*row{}, zone: zone}
	if err := b.take(modified); err != nil {
		return nil, err
	}
	b.findPlaces()
	b.findLamps()
	return b, nil
}

var errWritten = errors.New("it is written in a way that the page does not edit")

// at is the index of a column, -1 where there is none.
func (b *book) at(name string) int {
	if at, ok := b.columns[name]; ok {
		return at
	}
	return -1
}

// take makes the rows, each with the record that it stands in.
func (b *book) take(modified time.Time) error {
	next := 0
	label, note := b.at("label"), b.at("note")
	for _, f := range b.form.Rows {
		for next < len(b.sheet.records) && b.sheet.records[next].line < f.Line {
			next++
		}
		// Both readers must see the same records, or editing would harm.
		if next == len(b.sheet.records) || b.sheet.records[next].line != f.Line {
			return errWritten
		}
		r := &row{record: b.sheet.records[next], label: f.Label, lamp: f.Lamp, at: f.UnixMilli, level: f.Level}
		if label >= 0 && b.sheet.get(r.record, label) != f.Label && b.sheet.get(r.record, label) != "" {
			return errWritten
		}
		r.again = note >= 0 && isAgain(b.sheet.get(r.record, note))
		if r.at != 0 && b.form.Clock == survey.TimeOfDay {
			r.at = dated(r.at, modified, b.zone)
		}
		b.rows = append(b.rows, r)
		b.cells[keyOf(r.label, r.lamp)] = append(b.cells[keyOf(r.label, r.lamp)], r)
	}
	return nil
}

// dated puts a time of day, in milliseconds since midnight, onto the last day on
// which it was before the file was written.
func dated(sinceMidnight int64, modified time.Time, zone *time.Location) int64 {
	m := modified.In(zone)
	seconds := int(sinceMidnight / 1000)
	t := time.Date(m.Year(), m.Month(), m.Day(), seconds/3600, seconds/60%60, seconds%60, int(sinceMidnight%1000)*1e6, zone)
	if t.After(m.Add(time.Second)) {
		t = t.AddDate(0, 0, -1)
	}
	return t.UnixMilli()
}

// findPlaces lists the places in walking order.
func (b *book) findPlaces() {
	f := b.form
	found := map[string]place{}
	var order []string
	for i, r := range b.rows {
		key := fold(r.label)
		if _, known := found[key]; known || key == "" {
			continue
		}
		found[key] = place{label: r.label, x: f.Rows[i].X, y: f.Rows[i].Y}
		order = append(order, key)
	}
	if f.GridColumns > 0 {
		byLabel := b.at("x") < 0 && f.Settings.Sized && f.GridColumns*f.GridRows <= mostRows
		order = order[:0]
		quick := map[string]bool{}
		for _, label := range survey.QuickNine(f.GridColumns, f.GridRows) {
			quick[fold(label)] = true
		}
		for _, label := range survey.WalkNineFirst(f.GridColumns, f.GridRows) {
			key := fold(label)
			p, known := found[key]
			if !known && !byLabel {
				continue
			}
			c, fromTop, _ := survey.ParseGridLabel(label)
			if !known {
				p = place{label: label}
				p.x, p.y = f.Position(c, fromTop)
			}
			p.column, p.row, p.words = c+1, fromTop+1, survey.PlaceWords(c, fromTop, f.GridColumns, f.GridRows)
			found[key] = p
			order = append(order, key)
			if quick[key] {
				b.quick++
			}
		}
	}
	b.byKey = map[string]int{}
	b.ref = -1
	for i, key := range order {
		p := found[key]
		if p.words == "" && !math.IsNaN(p.x) && !math.IsNaN(p.y) {
			p.words = fmt.Sprintf("%.2f m from the left, %.2f m up", p.x, p.y)
		}
		b.byKey[key] = i
		b.places = append(b.places, p)
	}
	if i, ok := b.byKey[fold(f.Reference)]; ok {
		b.ref = i
	}
}

// findLamps lists the lights that the rows name, all of them together first.
func (b *book) findLamps() {
	b.lamps = []string{""}
	seen := map[string]bool{"": true}
	for _, r := range b.rows {
		if key := fold(r.lamp); !seen[key] {
			seen[key] = true
			b.lamps = append(b.lamps, r.lamp)
		}
	}
}

// label of the reference, "" for none.
func (b *book) reference() string {
	if b.ref < 0 {
		return ""
	}
	return b.places[b.ref].label
}

// readings counts the rows of a light that have a level.
func (b *book) readings(lamp string) (n int) {
	for _, r := range b.rows {
		if !r.empty() && fold(r.lamp) == fold(lamp) {
			n++
		}
	}
	return n
}
