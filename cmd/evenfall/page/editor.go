package page

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"evenfall/photometry"
	"evenfall/photometry/schema"
	"evenfall/photometry/setup"
	"evenfall/photometry/spatial"
	"evenfall/photometry/survey"
	"evenfall/photometry/table"
	"evenfall/plots/answers"
)

// editor is a survey that can be filled in: its file as it is, and what the
// file says of each place. It contains nothing that the file does not, so that a
// program that starts anew knows as much.
type editor struct {
	name   string // of the file
	form   *survey.Form
	text   *csvText
	rows   []*row
	cells  map[cellKey][]*row      // in the order of the file
	places []place                 // in walking order
	byKey  map[string]int          // places by label
	quick  int                     // how many places the walk begins with
	lamps  []string                // "" first
	lights map[string]*light       // of a table of lights at marks or of dimmers, else nil
	levels map[int]photometry.Unit // the columns of levels of such a table
	dials  bool                    // the lights are lamps, and the marks settings of their dimmers
	ref    int                     // index of the reference among places, -1 for none
	zone   *time.Location
}

// cellKey is one place under one light; both in lower case.
type cellKey struct{ label, lamp string }

func keyOf(label, lamp string) cellKey {
	return cellKey{photometry.NameKey(label), photometry.NameKey(lamp)}
}

// row is one reading, or one place still to be read. Its time is in milliseconds since
// 1970 whatever the clock of the form; that of a reading without one is its line, negative,
// so that devices can say which reading they mean.
type row struct {
	survey.FormRow
	record *record
	again  bool // a further reading at its place
	status schema.Status
}

func (r *row) empty() bool { return math.IsNaN(r.Level) }

// time is when the reading was taken, 0 where nobody says.
func (r *row) time() int64 { return max(0, r.UnixMilli) }

// counts reports whether a row has a reading that counts.
func (r *row) counts() bool { return !r.empty() && r.status != schema.LeftOut }

// inTime are those of some rows that have a reading that counts, in the order of their times.
func inTime(rows []*row) []*row {
	rows = slices.DeleteFunc(slices.Clone(rows), func(x *row) bool { return !x.counts() })
	slices.SortStableFunc(rows, func(x, y *row) int { return cmp.Compare(x.UnixMilli, y.UnixMilli) })
	return rows
}

// last is the last of them, nil for none.
func last(rows []*row) *row {
	if rows = inTime(rows); len(rows) == 0 {
		return nil
	}
	return rows[len(rows)-1]
}

// place is a place of the walk.
type place struct {
	label       string
	x, y        float64 // m, NaN where nobody says
	column, row int     // from 1, the row from the top; 0 where there is no grid
	words       string
}

// placed reports whether it is known where a place is.
func (p place) placed() bool { return !math.IsNaN(p.x) && !math.IsNaN(p.y) }

// mostRows keeps the page quick.
const mostRows = 5000

// newEditor reads a file as a survey that can be filled in. The error says, in
// words for people, why it cannot be. modified is when the file was written, to
// put dates to times of day.
func newEditor(name string, content []byte, modified time.Time, zone *time.Location) (*editor, error) {
	switch {
	case setup.IsRatios(bytes.NewReader(content), name):
		return newMarks(name, content, modified, zone)
	case setup.IsDimmers(bytes.NewReader(content), name):
		return newDials(name, content, modified, zone)
	}
	form, err := survey.ReadForm(survey.Input{Name: name, Reader: bytes.NewReader(content)})
	if err != nil {
		return nil, err
	}
	b, err := emptyEditor(name, content, form, len(form.Rows), zone)
	if err != nil {
		return nil, err
	}
	if err := b.findRows(modified); err != nil {
		return nil, err
	}
	b.findPlaces()
	if i, ok := b.byKey[photometry.NameKey(form.Reference)]; ok {
		b.ref = i
	}
	return b, nil
}

// emptyEditor is the editor of a table with so many rows, which are still to be found.
func emptyEditor(name string, content []byte, form *survey.Form, rows int, zone *time.Location) (*editor, error) {
	switch encoding := form.Dialect.Encoding; {
	case !strings.HasPrefix(encoding, "UTF-8"):
		return nil, fmt.Errorf("it is written in %s; save it as UTF-8 to fill it in here", encoding)
	case rows > mostRows:
		return nil, fmt.Errorf("it has %d rows; the page fills in up to %d", rows, mostRows)
	}
	text, err := cut(string(content), byte(form.Dialect.Delimiter), form.Header[0].Line)
	return &editor{name: name, form: form, text: text, cells: map[cellKey][]*row{}, byKey: map[string]int{}, lamps: []string{""}, ref: -1, zone: zone}, err
}

// formOf is the form of what a light is read in.
func (b *editor) formOf(lamp string) *survey.Form {
	if l := b.lights[photometry.NameKey(lamp)]; l != nil {
		return l.form
	}
	return b.form
}

// column is the index of a row's column of a name, -1 where there is none.
func (b *editor) column(r *row, name string) int {
	if l := b.lights[photometry.NameKey(r.Lamp)]; l != nil && name == "level" {
		return l.column
	}
	if at, ok := b.form.Columns[name]; ok {
		return at
	}
	return -1
}

// get is what a row has in the column of a name, "" where there is no such column.
func (b *editor) get(r *row, column string) string { return r.record.get(b.column(r, column)) }

// set writes a row's cell in the column of a name. A column that is missing is added
// where there is something to write.
func (b *editor) set(r *row, column, text string) {
	at := b.column(r, column)
	if at < 0 {
		if text == "" {
			return
		}
		header := column
		if column == "CCT" {
			header = "CCT (K)"
		}
		at = b.text.addColumn(header)
		b.form.Columns[column] = at // which the forms of lights share
	}
	b.text.set(r.record, at, text)
}

var errWritten = errors.New("it is written in a way that the page does not edit")

// findRows finds the record that each row of the form is in, and lists the lights
// that they name, all of them together first.
func (b *editor) findRows(modified time.Time) error {
	switch b.form.Clock {
	case table.PlainTime:
		return errors.New("its times are plain numbers; the page writes the time of day")
	case table.Mixed:
		return errors.New("its times are written in several ways")
	}
	for _, f := range b.form.Rows {
		r := &row{FormRow: f, record: b.text.at(f.Line)}
		// Both readers must see the same records, or editing would harm.
		if r.record == nil {
			return errWritten
		}
		if label := b.get(r, "label"); label != "" && label != f.Label && b.lights == nil {
			return errWritten
		}
		r.again = isAgain(b.get(r, "note"))
		r.status = schema.ParseStatus(b.get(r, "status"), b.get(r, "level"), b.form.Dialect.Number)
		switch {
		case r.UnixMilli == 0 && !r.empty():
			r.UnixMilli = -int64(f.Line)
		case r.UnixMilli != 0 && b.form.Clock == table.TimeOfDay:
			r.UnixMilli = dated(r.UnixMilli, modified, b.zone)
		}
		b.addRow(r)
	}
	return nil
}

// addRow makes a row known by its place and its light.
func (b *editor) addRow(r *row) {
	b.rows = append(b.rows, r)
	key := keyOf(r.Label, r.Lamp)
	b.cells[key] = append(b.cells[key], r)
	if !contains(b.lamps, r.Lamp) {
		b.lamps = append(b.lamps, r.Lamp)
	}
}

func contains(names []string, name string) bool {
	return slices.ContainsFunc(names, func(n string) bool { return photometry.SameName(n, name) })
}

// isLamp reports whether the table has a lamp, and spells it as the table does.
func (b *editor) isLamp(name *string) bool {
	i := slices.IndexFunc(b.lamps, func(lamp string) bool { return photometry.SameName(lamp, *name) })
	if i >= 0 {
		*name = b.lamps[i]
	}
	return i >= 0
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

// findPlaces lists the places in walking order: those of the grid where there is
// one, or else those of the rows.
func (b *editor) findPlaces() {
	if b.form.GridColumns > 0 {
		b.findGrid()
		return
	}
	for _, r := range b.rows {
		if key := photometry.NameKey(r.Label); key != "" {
			b.addPlace(place{label: r.Label, x: r.X, y: r.Y})
		}
	}
	b.findLattice()
}

// findLattice finds the rows and columns of places that have positions.
func (b *editor) findLattice() {
	var xs, ys []float64
	for _, p := range b.places {
		if !p.placed() {
			return
		}
		xs, ys = append(xs, p.x), append(ys, p.y)
	}
	l := spatial.FindLattice(xs, ys)
	if l == nil || !l.Fill(xs, ys) {
		return
	}
	for i := range b.places {
		p := &b.places[i]
		p.column, p.row = spatial.NearestIndex(l.Xs, p.x)+1, len(l.Ys)-spatial.NearestIndex(l.Ys, p.y)
	}
}

// findGrid lists the places of the grid that have rows, and all of them where their
// labels alone tell where they are.
func (b *editor) findGrid() {
	f := b.form
	_, placed := f.Columns["x"]
	byLabel := !placed && f.Settings.Sized && f.GridColumns*f.GridRows <= mostRows
	rows := map[string]*row{}
	for _, r := range slices.Backward(b.rows) {
		rows[photometry.NameKey(r.Label)] = r
	}
	quick := len(spatial.QuickNine(f.GridColumns, f.GridRows))
	labels := spatial.WalkNineFirst(f.GridColumns, f.GridRows)
	if f.HeightM > 0 {
		b.laddersLast(labels[:quick])
		b.laddersLast(labels[quick:])
	}
	for i, label := range labels {
		c, fromTop, _ := spatial.ParseGridLabel(label)
		p := place{label: label, column: c + 1, row: fromTop + 1, words: answers.PlaceInGrid(c, fromTop, f.GridColumns, f.GridRows)}
		if r := rows[photometry.NameKey(label)]; r != nil {
			p.label, p.x, p.y = r.Label, r.X, r.Y
		} else if byLabel {
			p.x, p.y = f.Position(c, fromTop)
		} else {
			continue
		}
		b.addPlace(p)
		if i < quick {
			b.quick++
		}
	}
}

// reach is how high above the lower edge a meter is read by hand without a ladder, in meters:
// common practice, no source.
const reach = 2.5

// laddersLast puts the places that need a ladder behind the others, the lower rows first.
func (b *editor) laddersLast(labels []string) {
	rung := func(label string) int {
		column, fromTop, _ := spatial.ParseGridLabel(label)
		if _, y := b.form.Position(column, fromTop); y > reach {
			return b.form.GridRows - fromTop
		}
		return 0
	}
	slices.SortStableFunc(labels, func(a, b string) int { return cmp.Compare(rung(a), rung(b)) })
}

// addPlace puts a place that is not known yet at the end of the walk.
func (b *editor) addPlace(p place) {
	if _, known := b.byKey[photometry.NameKey(p.label)]; known {
		return
	}
	if p.words == "" && p.placed() {
		p.words = fmt.Sprintf("%.2f m from the left, %.2f m up", p.x, p.y)
	}
	b.byKey[photometry.NameKey(p.label)] = len(b.places)
	b.places = append(b.places, p)
}

// knows reports whether the survey has a place of a label.
func (b *editor) knows(label string) bool {
	_, known := b.byKey[photometry.NameKey(label)]
	return known
}

// isReference reports whether a label is the reference's.
func (b *editor) isReference(label string) bool {
	i, ok := b.byKey[photometry.NameKey(label)]
	return ok && i == b.ref
}

// readings counts the rows of a light with a reading that counts.
func (b *editor) readings(lamp string) (n int) {
	for _, r := range b.rows {
		if r.counts() && photometry.SameName(r.Lamp, lamp) {
			n++
		}
	}
	return n
}
