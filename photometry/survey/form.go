package survey

import (
	"cmp"
	"fmt"
	"math"
	"strings"
	"time"

	"evenfall/photometry"
	"evenfall/photometry/colorimetry"
	"evenfall/photometry/schema"
	"evenfall/photometry/spatial"
	"evenfall/photometry/table"
)

// Form is a table of readings, a row each, as it is in its file: what is
// filled in and what is still empty. Read makes a survey of the readings; a Form
// is for who fills them in. One of a table that is no survey, of lights at marks, has its
// unit and quantity, the meter in Settings, and the Dialect.
type Form struct {
	Title    string
	Settings Settings
	Quantity photometry.Quantity
	Unit     photometry.Unit // of the level column
	Dialect  table.Dialect
	Header   []table.Cell
	// Columns are the indices of the columns in the file by their name: label, x,
	// y, time, lamp, level, CCT, mired, Duv, CC, cie x, cie y, u', v', note.
	Columns map[string]int
	// WidthM and HeightM are the notes of the surface's size in meters, 0 where
	// there are none; GridColumns and GridRows the places that the note grid or
	// else the labels count, 0 where they make no grid.
	WidthM, HeightM       float64
	GridColumns, GridRows int
	Area                  *spatial.Box
	Reference             string // as the note says
	FileLamp              string // the lamp that a note names for the whole file
	Rows                  []FormRow
	Clock                 table.ClockStyle

	thousand float64 // klx
}

// FormRow is one row of a form.
type FormRow struct {
	Line  int
	Label string  // as typed, or the position where the row has no label
	Lamp  string  // "" for all lamps together
	X, Y  float64 // m, NaN where neither row nor grid says
	Level float64 // SI unit of the quantity, NaN where the cell is empty
	// UnixMilli is the time in milliseconds since 1970, or since midnight where
	// the form's clock has no dates; 0 where the cell is empty.
	UnixMilli int64
}

// ReadForm reads a table of readings a row each. It fails as Read does where a
// cell cannot be read, and for a grid or a workbook, which have no such rows; a
// form without a single level is fine.
func ReadForm(in Input) (*Form, error) {
	notes := newNoteSet(schema.SurveyFile, nil)
	sheets, _, _, err := readFile(in, notes)
	if err != nil {
		return nil, err
	}
	notes.finish()
	c := &collector{errors: notes.Errors}
	switch {
	case len(sheets) != 1 || sheets[0].sheet.Dialect.Encoding == "xlsx":
		return nil, fmt.Errorf("%s: a workbook, expected a CSV file with a row a reading", in.Name)
	case sheets[0].layout.grid:
		return nil, fmt.Errorf("%s: a grid of numbers, expected a row a reading", in.Name)
	}
	sheet := sheets[0].sheet
	r := gather(sheet, sheets[0].layout, notes, c)
	if !r.hasLevel {
		c.add(r.fault("no column of levels", "a level column such as E (lx), E (fc) or f"))
	}
	r.checkRoles(c)
	if len(c.errors) > 0 {
		return nil, c.errors.ErrOrNil()
	}
	f := &Form{Title: notes.title, Settings: notes.settings, Quantity: r.quantity, Unit: r.unit, Dialect: sheet.Dialect, Header: sheet.Header,
		Columns: map[string]int{}, WidthM: notes.width, HeightM: notes.height, Area: notes.area, Reference: notes.reference.Label, FileLamp: notes.lamp, thousand: 1}
	f.Settings.Meter.Unit = r.unit
	for _, col := range sheets[0].layout.columns {
		name := col.of.Name
		if col.role == schema.AnyLevel {
			name, f.thousand = "level", col.times
		}
		f.Columns[name] = col.index
	}
	f.countGrid(r, notes)
	f.fill(r)
	return f, nil
}

// countGrid finds how many places the labels count across and up.
func (f *Form) countGrid(r *rows, notes *noteSet) {
	columns, fromTop := 0, 0
	for _, label := range r.label {
		if label == "" {
			continue
		}
		c, row, ok := spatial.ParseGridLabel(label)
		if !ok {
			return
		}
		columns, fromTop = max(columns, c+1), max(fromTop, row+1)
	}
	if notes.grid.Columns >= columns && notes.grid.Rows >= fromTop {
		columns, fromTop = notes.grid.Columns, notes.grid.Rows
	}
	if columns*fromTop <= maxFormPlaces {
		f.GridColumns, f.GridRows = columns, fromTop
	}
}

// maxFormPlaces bounds a grid that a single odd label could make huge.
const maxFormPlaces = 10_000

// fill makes the rows.
func (f *Form) fill(r *rows) {
	f.Rows = make([]FormRow, r.n)
	styles := map[table.ClockStyle]bool{}
	var clock []string
	if at, ok := r.columns[schema.Time]; ok {
		clock = r.sheet.Columns[at].Text
	}
	known := map[string]int{}
	for i := range f.Rows {
		row := &f.Rows[i]
		*row = FormRow{Line: r.sheet.Line(i), X: valueAt(r.x, i), Y: valueAt(r.y, i), Level: valueAt(r.level, i)}
		if r.label != nil {
			row.Label = r.label[i]
		}
		if lamp := textAt(r.lamp, i); !together(lamp) {
			row.Lamp = lamp
		}
		if clock != nil && clock[i] != "" {
			t, style := Moment(clock[i])
			styles[style] = true
			row.UnixMilli = t
		}
		f.place(row, known, i)
	}
	for style := range styles {
		f.Clock = style
	}
	if len(styles) > 1 {
		f.Clock = table.Mixed
	}
}

// place completes a row's place from its label, or its name from its place.
func (f *Form) place(row *FormRow, known map[string]int, i int) {
	placed := !math.IsNaN(row.X) && !math.IsNaN(row.Y)
	switch {
	case row.Label == "" && placed:
		row.Label = "(" + photometry.FormatFigure(row.X) + ", " + photometry.FormatFigure(row.Y) + ")"
	case placed:
		known[photometry.NameKey(row.Label)] = i
	case row.Label != "":
		if j, ok := known[photometry.NameKey(row.Label)]; ok {
			row.X, row.Y = f.Rows[j].X, f.Rows[j].Y
			return
		}
		c, fromTop, ok := spatial.ParseGridLabel(row.Label)
		if ok && f.Settings.Sized && c < f.GridColumns && fromTop < f.GridRows {
			row.X, row.Y = f.Position(c, fromTop)
		}
	}
}

// Position is where a place of the form's grid is, in meters; both count from 0,
// the row from the top.
func (f *Form) Position(column, fromTop int) (x, y float64) {
	return spatial.GridPosition(column, fromTop, f.GridColumns, f.GridRows, f.WidthM, f.HeightM, f.Settings.Edges)
}

// Moment is a time in milliseconds as FormRow has it; 0 for one that is a plain number.
// Without a zone it is the clock on this wall.
func Moment(text string) (unixMilli int64, style table.ClockStyle) {
	t, style, _ := table.ParseClock(text)
	switch style {
	case table.Zoned:
		return t.UnixMilli(), style
	case table.TimeOfDay:
		return t.Sub(time.Date(0, 1, 1, 0, 0, 0, 0, time.UTC)).Milliseconds(), style
	case table.Dated:
		return time.Date(t.Year(), t.Month(), t.Day(), t.Hour(), t.Minute(), t.Second(), t.Nanosecond(), time.Local).UnixMilli(), style
	}
	return 0, style
}

// number reads a number typed on some device: with a decimal point or a comma,
// whatever the file has. What can be read in two ways, 1,234, or means another
// number in the file, is an error.
func (f *Form) number() func(string) (float64, error) {
	return func(text string) (float64, error) {
		v, err := table.ParseNumber(text)
		if err != nil {
			return 0, err
		}
		if other, err := f.Dialect.Number(text); err == nil && other != v {
			return 0, &table.Error{Found: text, Expected: "a number without a separator of thousands"}
		}
		return v, nil
	}
}

// ReadLevel reads a level typed for a cell of the form: 742, 1.25k, 116 fc,
// 5.6 7/10. written is how to write it in the file, where it means the same;
// level is in the SI unit of the form's quantity. Zero is legal for a lamp alone
// only.
func (f *Form) ReadLevel(text string, alone bool) (written string, level float64, err error) {
	text = strings.Join(strings.Fields(text), " ")
	level, err = f.level(text, f.number())
	if err != nil {
		return "", 0, err
	}
	switch {
	case level == 0 && !alone:
		return "", 0, &photometry.SyntaxError{Found: text, Expected: "a level above zero on a measured surface; skip the place where nothing was read"}
	case level != 0 && !(level >= schema.FaintestLevel && level <= schema.StrongestLevel):
		return "", 0, &photometry.SyntaxError{Found: text, Expected: "a level that a meter can show"}
	}
	plain := trimFloat(f.written(level))
	for _, written := range []string{f.inDialect(text), f.inDialect(strings.ReplaceAll(text, ",", ".")), f.inDialect(plain)} {
		// The file must give back what was typed.
		if again, err := f.level(written, f.Dialect.Number); err == nil && math.Abs(again-level) <= 1e-9*level {
			return written, level, nil
		}
	}
	return "", 0, &photometry.SyntaxError{Found: text, Expected: "a level such as " + f.inDialect("742") + " or 116 fc"}
}

// written is a level in the unit of the form's column.
func (f *Form) written(level float64) float64 {
	return f.Settings.Meter.Written(level) / f.times()
}

// times is what bare numbers of the level column are multiplied by.
func (f *Form) times() float64 { return cmp.Or(f.thousand, 1) }

// level reads a level in the unit of the form's column, unless the text has one.
func (f *Form) level(text string, number func(string) (float64, error)) (float64, error) {
	meter := f.Settings.Meter
	meter.Unit, meter.Number = f.Unit, number
	read, unit, err := meter.ParseLevel(text)
	switch {
	case err != nil:
		return 0, &photometry.SyntaxError{Found: text, Expected: schema.Expected(err)}
	case read.Quantity != f.Quantity:
		return 0, &photometry.SyntaxError{Found: text, Expected: "levels of " + f.Quantity.String() + " like the rest of the survey"}
	case unit == f.Unit && f.times() != 1 && !ownUnit(meter, text):
		read.Value *= f.times()
	}
	return read.Value, nil
}

// inDialect writes the decimal points of a text as the form's file does.
func (f *Form) inDialect(text string) string {
	if f.Dialect.Decimal == ',' {
		return strings.ReplaceAll(text, ".", ",")
	}
	return text
}

// FormatLevel prints a level of the form for people, as Survey.Shown does.
func (f *Form) FormatLevel(level float64) string {
	return f.Settings.Meter.Format(photometry.Level{Value: level, Quantity: f.Quantity})
}

// ReadColor reads a color typed for a row of the form: a color temperature such as
// 5600 or 5600 K, and beside it a Duv such as 0.003 or a green–magenta reading such
// as needs 2M; "" is none. They come back as to be written into the file.
func (f *Form) ReadColor(cct, duv, cc string) (writtenCCT, writtenDuv, writtenCC string, err error) {
	cct, duv, cc = strings.TrimSpace(cct), strings.TrimSpace(duv), strings.TrimSpace(cc)
	wrong := func(found, expected string) (string, string, string, error) {
		return "", "", "", &photometry.SyntaxError{Found: found, Expected: expected}
	}
	var light colorimetry.CCT
	read := func(text string, of *schema.Column) (float64, bool) {
		v, err := f.number()(text)
		if err == nil {
			return v, true
		}
		return oddColor(of, text, f.number())
	}
	if cct == "" {
		if duv != "" || cc != "" {
			return wrong(duv+cc, "a color temperature beside it")
		}
		return "", "", "", nil
	}
	kelvin, ok := read(cct, schema.CCT)
	if light.Kelvin = kelvin; !ok || light.Check() != nil {
		return wrong(cct, fmt.Sprintf("a color temperature from %g to %g K such as 5600", colorimetry.MinKelvin, colorimetry.MaxKelvin))
	}
	writtenCCT = f.inDialect(trimFloat(kelvin))
	switch {
	case duv != "" && cc != "":
		return wrong(cc, "a Duv or a green–magenta reading, not both")
	case duv != "":
		if light.Duv, ok = read(duv, schema.Duv); !ok || light.Check() != nil {
			return wrong(duv, "a Duv such as 0.003 or -0.003")
		}
		writtenDuv = f.inDialect(trimFloat(light.Duv))
	case cc != "":
		needs, err := colorimetry.ParseNeeds(cc)
		if err != nil {
			return wrong(cc, "a green–magenta reading such as needs 2M or has 2G")
		}
		writtenCC = needs.Needs()
	}
	return writtenCCT, writtenDuv, writtenCC, nil
}
