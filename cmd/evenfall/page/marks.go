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

// light is a light of a table of lights at marks: its role and lamp as rows write them, and
// the column that its levels are in. The page shows marks as places and lights as lamps.
type light struct {
	role ratio.Role
	lamp string
	form *survey.Form
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
	form := &survey.Form{Title: read.Input.Title}
	form.Settings.Repeatability, form.Settings.Resolution, form.Settings.Meter = read.Input.Repeatability, read.Input.Resolution, read.Meter()
	b, levels, err := ofLights(name, content, typed.Sheet, schema.RatioFile, form, zone)
	if err != nil {
		return nil, err
	}
	at := map[int]float64{} // levels by line
	for _, r := range read.Input.Readings {
		at[r.Line] = r.Level.Value
	}
	lamps := map[ratio.Role][]string{}
	for _, r := range typed.Rows {
		if role := ratio.Role(r.Value.Role); !contains(lamps[role], r.Value.Lamp) {
			lamps[role] = append(lamps[role], r.Value.Lamp)
		}
	}
	rows := make([]lightRow, len(typed.Rows))
	for i, r := range typed.Rows {
		role, of := ratio.Role(r.Value.Role), string(r.Value.Role)
		if len(lamps[role]) > 1 && r.Value.Lamp != "" {
			of += ", " + r.Value.Lamp
		}
		rows[i] = lightRow{r.Line, r.Value.Mark, of, role, r.Value.Lamp}
	}
	return b, b.findLights(typed.Sheet, rows, levels, at, modified)
}

// lightRow is a row of such a table: a light at a mark, and what people call it.
type lightRow struct {
	line       int
	mark, name string
	role       ratio.Role
	lamp       string
}

// ofLights is the editor of a table with a row for each light at a mark, without its rows,
// and the units of its columns of levels.
func ofLights(name string, content []byte, sheet *table.Sheet, file schema.File, form *survey.Form, zone *time.Location) (*editor, map[int]photometry.Unit, error) {
	text, err := cutToFill(content, sheet.Dialect, sheet.Header, sheet.Rows)
	if err != nil {
		return nil, nil, err
	}
	form.Dialect, form.Header, form.Columns, form.Clock = sheet.Dialect, sheet.Header, map[string]int{}, table.Zoned
	levels := map[int]photometry.Unit{} // by column
	for i, head := range sheet.Header {
		c, unit := schema.Find(file, head.Text)
		if c == nil {
			continue
		}
		if !c.IsLevel() {
			form.Columns[c.Name] = i
		} else if u, times, ok := c.LevelIn(unit); ok && times == 1 {
			levels[i] = u
		}
	}
	return &editor{name: name, form: form, text: text, cells: map[cellKey][]*row{}, byKey: map[string]int{}, lights: map[string]*light{}, ref: -1, zone: zone}, levels, nil
}

var errLevels = errors.New("the page writes levels in columns of lx, fc, f, EV, cd/m² or the like, one for each light")

// findLights makes the rows of the table known, by mark and light; at are levels by line,
// as far as the table was read.
func (b *editor) findLights(sheet *table.Sheet, rows []lightRow, levels map[int]photometry.Unit, at map[int]float64, modified time.Time) error {
	records, styles := b.text.records, map[table.ClockStyle]bool{}
	for i, r := range rows {
		for len(records) > 0 && records[0].line < r.line {
			records = records[1:]
		}
		if len(records) == 0 || records[0].line != r.line {
			return errWritten
		}
		column, text := -1, ""
		for c := range levels {
			if cell := sheet.Cell(i, c).Text; cell != "" {
				column, text = c, cell
			}
		}
		l, err := b.lightNamed(r.name, r.role, r.lamp, column, levels)
		if err != nil {
			return err
		}
		x := &row{FormRow: survey.FormRow{Line: r.line, Label: r.mark, Lamp: r.name, X: math.NaN(), Y: math.NaN(), Level: math.NaN()}, record: records[0]}
		if level, ok := at[r.line]; ok {
			x.Level = level
		} else if text != "" {
			if _, x.Level, err = l.form.ReadLevel(text, true); err != nil {
				return errWritten
			}
		}
		if clock := b.get(x, "time"); clock != "" {
			milli, style := survey.Moment(clock)
			x.UnixMilli, styles[style] = milli, true
		}
		b.timed(x, modified, styles)
		x.again = isAgain(b.get(x, "note"))
		x.status = schema.ParseStatus(b.get(x, "status"), text, b.form.Dialect.Number)
		b.addRow(x)
		b.addMark(x.Label)
	}
	return b.clock(styles)
}

// timed dates the time of a row, and names a reading without one by its line.
func (b *editor) timed(x *row, modified time.Time, styles map[table.ClockStyle]bool) {
	switch {
	case x.UnixMilli == 0 && !x.empty():
		x.UnixMilli = -int64(x.Line)
	case x.UnixMilli != 0 && styles[table.TimeOfDay]:
		x.UnixMilli = dated(x.UnixMilli, modified, b.zone)
	}
}

// clock takes the one way in which times are written, for all lights.
func (b *editor) clock(styles map[table.ClockStyle]bool) error {
	if len(styles) > 1 || styles[table.PlainTime] {
		return errors.New("its times are written in several ways, or as plain numbers")
	}
	for style := range styles {
		b.form.Clock = style
		for _, l := range b.lights {
			l.form.Clock = style
		}
	}
	return nil
}

// lightNamed is the light of a name, made where it is new: with its levels in a column, or
// where none is given in the one that its role is read in.
func (b *editor) lightNamed(name string, role ratio.Role, lamp string, column int, levels map[int]photometry.Unit) (*light, error) {
	l := b.lights[fold(name)]
	if l != nil && (column < 0 || l.form.Columns["level"] == column) {
		return l, nil
	}
	if l != nil && len(b.filled(name)) > 0 {
		return nil, errLevels
	}
	if column < 0 {
		// The first column, but a background is read by reflection where one is for that.
		reflected := func(c int) bool { return levels[c] == photometry.CDM2 }
		for _, c := range slices.Sorted(maps.Keys(levels)) {
			if column < 0 || reflected(c) != reflected(column) && reflected(c) == (role == ratio.BackgroundRole) {
				column = c
			}
		}
	}
	if column < 0 {
		return nil, errLevels
	}
	form := *b.form
	form.Columns = maps.Clone(b.form.Columns)
	form.Columns["level"] = column
	form.Unit, form.Settings.Meter = levels[column], role.LightMeter(form.Settings.Meter)
	form.Settings.Meter.Unit = form.Unit
	form.Quantity = form.Settings.Meter.Quantity(form.Unit)
	l = &light{role, lamp, &form}
	b.lights[fold(name)] = l
	return l, nil
}

// filled are the rows of a light with a level.
func (b *editor) filled(lamp string) (rows []*row) {
	for _, r := range b.rows {
		if fold(r.Lamp) == fold(lamp) && !r.empty() {
			rows = append(rows, r)
		}
	}
	return rows
}

// checkLight accepts a light that the table has, or another role.
func (b *editor) checkLight(e *Entry) error {
	known := func() bool {
		i := slices.IndexFunc(b.lamps, func(name string) bool { return fold(name) == fold(e.Lamp) })
		if i >= 0 {
			e.Lamp = b.lamps[i]
		}
		return i >= 0
	}
	if known() {
		return nil
	}
	role, lamp, err := ratio.Role(""), e.Lamp, checkName(e.Lamp, longestLamp)
	switch {
	case b.dials && (err != nil || lamp == ""):
		return fmt.Errorf("found the lamp %q, expected a name of at most %d plain characters", clip(lamp), longestLamp)
	case !b.dials:
		if role, err = schema.ParseRole(e.Lamp); err != nil {
			return fmt.Errorf("found the light %q, expected a role: %s", clip(e.Lamp), schema.RoleNames())
		}
		if e.Lamp, lamp = string(role), ""; known() {
			return nil
		}
	}
	levels := map[int]photometry.Unit{}
	for _, l := range b.lights {
		levels[l.form.Columns["level"]] = l.form.Unit
	}
	if _, err = b.lightNamed(e.Lamp, role, lamp, -1, levels); err == nil {
		b.lamps = append(b.lamps, e.Lamp)
	}
	return err
}

// asLight fills in what a further row of a light says of it: as another one at its mark or
// else anywhere does.
func (b *editor) asLight(x *row) {
	l := b.lights[fold(x.Lamp)]
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
		l := b.lights[fold(lamp)]
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
