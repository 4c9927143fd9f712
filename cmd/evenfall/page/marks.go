package page

import (
	"bytes"
	"errors"
	"fmt"
	"maps"
	"math"
	"slices"
	"time"

	"evenfall/photometry"
	"evenfall/photometry/ratio"
	"evenfall/photometry/schema"
	"evenfall/photometry/setup"
	"evenfall/photometry/survey"
	"evenfall/photometry/table"
	"evenfall/plots/answers"
)

// light is a light of a table of lights at marks, or a lamp over its dimmer: its role and lamp
// as rows write them, the column that its levels are in, and how they are read. The page
// shows marks and settings as places and lights as lamps.
type light struct {
	role   ratio.Role
	lamp   string
	column int
	form   *survey.Form
}

// lightRow is a row of such a table: its label is the mark, and its lamp what people call the
// light.
type lightRow struct {
	survey.FormRow
	role ratio.Role
	lamp string
}

// markTexts are the columns of such a table that a further row of a light has from the one
// before it.
var markTexts = []string{"role", "lamp", "aim", "receptor"}

// newMarks reads a table of lights at marks as one that can be filled in.
func newMarks(name string, content []byte, modified time.Time, zone *time.Location) (*editor, error) {
	read, err := setup.RatioOptions{}.Read(bytes.NewReader(content), name)
	if err != nil {
		return nil, err
	}
	typed, err := table.ReadTyped[setup.Ratio](bytes.NewReader(content), name, schema.Vocabulary(schema.RatioFile))
	if err != nil || read.ReadAs != nil {
		return nil, errWritten
	}
	b, err := ofLights(name, content, typed.Sheet, schema.RatioFile, zone)
	if err != nil {
		return nil, err
	}
	b.form.Title = read.Input.Title
	b.form.Settings.Repeatability, b.form.Settings.Resolution, b.form.Settings.Meter = read.Input.Repeatability, read.Input.Resolution, read.Meter()
	levels := map[int]float64{} // by line
	for _, r := range read.Input.Readings {
		levels[r.Line] = r.Level.Value
	}
	lamps := map[ratio.Role][]string{}
	for _, r := range typed.Rows {
		if role := ratio.Role(r.Value.Role); !contains(lamps[role], r.Value.Lamp) {
			lamps[role] = append(lamps[role], r.Value.Lamp)
		}
	}
	var rows []lightRow
	for _, r := range typed.Rows {
		role, of := ratio.Role(r.Value.Role), string(r.Value.Role)
		if len(lamps[role]) > 1 && r.Value.Lamp != "" {
			of += ", " + r.Value.Lamp
		}
		rows = append(rows, newLightRow(r.Line, r.Value.Mark, of, role, r.Value.Lamp, levels))
	}
	return b, b.findLights(typed.Sheet, rows, modified)
}

// newLightRow is a row with its level, where its line has one.
func newLightRow(line int, mark, name string, role ratio.Role, lamp string, levels map[int]float64) lightRow {
	r := lightRow{survey.FormRow{Line: line, Label: mark, Lamp: name, X: math.NaN(), Y: math.NaN(), Level: math.NaN()}, role, lamp}
	if level, ok := levels[line]; ok {
		r.Level = level
	}
	return r
}

// ofLights is the editor of a table with a row for each light at a mark, without its rows.
func ofLights(name string, content []byte, sheet *table.Sheet, file schema.File, zone *time.Location) (*editor, error) {
	form := &survey.Form{Dialect: sheet.Dialect, Header: sheet.Header, Columns: map[string]int{}, Clock: table.Zoned}
	b, err := emptyEditor(name, content, form, sheet.Rows, zone)
	if err != nil {
		return nil, err
	}
	b.lamps, b.lights, b.levels = nil, map[string]*light{}, map[int]photometry.Unit{}
	for i, head := range sheet.Header {
		c, unit := schema.Find(file, head.Text)
		if c == nil {
			continue
		}
		if !c.IsLevel() {
			form.Columns[c.Name] = i
		} else if u, times, ok := c.LevelIn(unit); ok && times == 1 {
			b.levels[i] = u
		}
	}
	return b, nil
}

var errLevels = errors.New("the page writes levels in columns of lx, fc, f, EV, cd/m² or the like, one for each light")

// findLights makes the rows of the table known, by mark and light.
func (b *editor) findLights(sheet *table.Sheet, rows []lightRow, modified time.Time) error {
	if err := b.addLights(sheet, rows); err != nil {
		return err
	}
	styles := map[table.ClockStyle]bool{}
	for _, r := range rows {
		x := &row{FormRow: r.FormRow, record: b.text.at(r.Line)}
		if x.record == nil {
			return errWritten
		}
		if text := b.get(x, "level"); text != "" && x.empty() {
			var err error
			if _, x.Level, err = b.formOf(x.Lamp).ReadLevel(text, true); err != nil {
				return errWritten
			}
		}
		if clock := b.get(x, "time"); clock != "" {
			x.UnixMilli, b.form.Clock = survey.Moment(clock)
			styles[b.form.Clock] = true
		}
		b.form.Rows = append(b.form.Rows, x.FormRow)
		b.addMark(x.Label)
	}
	if len(styles) > 1 {
		b.form.Clock = table.Mixed
	}
	return b.findRows(modified)
}

// addLights makes the lights of rows known, each with the one column that it is read in.
func (b *editor) addLights(sheet *table.Sheet, rows []lightRow) error {
	columns := map[string]int{}
	for i, r := range rows {
		for c := range b.levels {
			if sheet.Cell(i, c).Text == "" {
				continue
			}
			if other, known := columns[photometry.NameKey(r.Lamp)]; known && other != c {
				return errLevels
			}
			columns[photometry.NameKey(r.Lamp)] = c
		}
	}
	for _, r := range rows {
		column, known := columns[photometry.NameKey(r.Lamp)]
		if !known {
			column = b.usualColumn(r.role)
		}
		if b.lights[photometry.NameKey(r.Lamp)] == nil && !b.addLight(r.Lamp, r.role, r.lamp, column) {
			return errLevels
		}
	}
	return nil
}

// usualColumn is the first column of levels, but a background is read by reflection where one
// is for that; -1 for none.
func (b *editor) usualColumn(role ratio.Role) int {
	column := -1
	reflected := func(c int) bool { return b.levels[c] == photometry.CDM2 }
	for _, c := range slices.Sorted(maps.Keys(b.levels)) {
		if column < 0 || reflected(c) != reflected(column) && reflected(c) == (role == ratio.BackgroundRole) {
			column = c
		}
	}
	return column
}

// addLight makes a light known, with its levels in a column; false where there is none.
func (b *editor) addLight(name string, role ratio.Role, lamp string, column int) bool {
	if column < 0 {
		return false
	}
	form := *b.form
	form.Unit, form.Settings.Meter = b.levels[column], role.LightMeter(form.Settings.Meter)
	form.Settings.Meter.Unit = form.Unit
	form.Quantity = form.Settings.Meter.Quantity(form.Unit)
	b.lights[photometry.NameKey(name)] = &light{role, lamp, column, &form}
	return true
}

// checkLight accepts another role than those of the table, or another lamp over its dimmer.
func (b *editor) checkLight(e *Entry) (err error) {
	role, lamp := ratio.Role(""), e.Lamp
	if b.dials {
		if e.Lamp == "" || checkName(e.Lamp, longestLamp) != nil {
			return fmt.Errorf("found the lamp %q, expected a name of at most %d plain characters", clip(e.Lamp), longestLamp)
		}
	} else {
		if role, err = schema.ParseRole(e.Lamp); err != nil {
			return fmt.Errorf("found the light %q, expected a role: %s", clip(e.Lamp), schema.RoleNames())
		}
		if e.Lamp, lamp = string(role), ""; b.isLamp(&e.Lamp) {
			return nil
		}
	}
	if !b.addLight(e.Lamp, role, lamp, b.usualColumn(role)) {
		return errLevels
	}
	b.lamps = append(b.lamps, e.Lamp)
	return nil
}

// asLight fills in what a further row of a light says of it: as another one at its mark or
// else anywhere does.
func (b *editor) asLight(x *row) {
	l := b.lights[photometry.NameKey(x.Lamp)]
	b.set(x, "lamp", l.lamp)
	if b.dials {
		b.set(x, "dimmer", x.Label)
		return
	}
	b.set(x, "mark", x.Label)
	b.set(x, "role", string(l.role))
	like := b.cells[keyOf(x.Label, x.Lamp)]
	for _, p := range b.places {
		like = append(like, b.cells[keyOf(p.label, x.Lamp)]...)
	}
	if len(like) > 0 {
		for _, name := range markTexts {
			b.set(x, name, b.get(like[0], name))
		}
	} else if _, ok := b.form.Columns["aim"]; ok {
		b.set(x, "aim", answers.UsualAim(l.role))
	}
}

// stateLight is what the page says of a light.
type stateLight struct {
	How   string   `json:"how"` // which lights are on, and where the receptor points
	Unit  string   `json:"unit"`
	Marks []string `json:"marks"` // that it is to be read at
	// Of are the same at single marks, where they differ.
	Of map[string]string `json:"of,omitempty"`
}

// howToRead is which lights are on, and where the receptor points.
func (b *editor) howToRead(l *light, aim, receptor string) string {
	if b.dials {
		return "Only " + l.lamp + " on; the meter stays where it is."
	}
	return answers.HowToRead(l.role, l.lamp, aim, receptor, l.form.Quantity)
}

// describeLights fills in how each light is read.
func (b *editor) describeLights(st *State) {
	st.Lights = map[string]stateLight{}
	for _, lamp := range b.lamps {
		l := b.lights[photometry.NameKey(lamp)]
		out := stateLight{How: b.howToRead(l, "", ""), Unit: l.form.Unit.String(), Marks: []string{}, Of: map[string]string{}}
		for _, p := range b.places {
			if rows := b.cells[keyOf(p.label, lamp)]; len(rows) > 0 {
				out.Marks = append(out.Marks, p.label)
				if how := b.howToRead(l, b.get(rows[0], "aim"), b.get(rows[0], "receptor")); how != out.How {
					out.Of[p.label] = how
				}
			}
		}
		st.Lights[lamp] = out
	}
}
