package survey

import (
	"slices"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/schema"
	"evenfall/photometry/sheet"
	"evenfall/photometry/table"
)

// want says how the table is to read a column of a surface or a series.
func want(in schema.File, of *schema.Column) table.Want {
	series := in == schema.SeriesFile
	switch {
	case of == schema.X, of == schema.Y, of == schema.AnyLevel:
		return table.Number
	case of == schema.Distance, of == schema.Angle, of == schema.Density:
		if series {
			return table.Number
		}
	case of == schema.Label, of == schema.LampOf, of == schema.Role, of == schema.StatusOf, of == schema.Comment:
		return table.Text
	case series:
	case of == schema.Time, of == schema.CC:
		return table.Text
	case of.IsColor():
		return table.Number
	}
	return table.Skip
}

// column is one understood header cell.
type column struct {
	role  *schema.Column // AnyLevel for each column of levels
	of    *schema.Column
	index int    // in the sheet
	unit  string // as in the header, "" for none
	// level and times are the unit of a column of levels and what its numbers are
	// multiplied by.
	level photometry.Unit
	times float64
}

// layout is how the readings of a sheet are laid out: a row each, or a grid.
type layout struct {
	grid     bool
	quantity column   // grid: what its cells are
	columns  []column // points
	unknown  []table.Warning
	unused   []string
	alone    bool // an unknown column is of a lamp alone
}

// mostUnknown is how many unknown columns are named one by one.
const mostUnknown = 10

// understand reads a header of a sort of file. It fails where there are no columns of
// readings.
func understand(in schema.File, header []table.Cell) (layout, error) {
	if l, ok, err := understandGrid(header); ok || err != nil {
		return l, err
	}
	var l layout
	seen := map[string]table.Cell{}
	for i, cell := range header {
		if cell.Text == "" {
			continue
		}
		of, unit, nearest := schema.Match(schema.SurveyFile, cell.Text)
		if of == nil {
			l.alone = l.alone || sheet.IsLampAlone(cell.Text)
			l.unknown = append(l.unknown, table.Warning{Line: cell.Line, Column: cell.Column,
				Text: "unknown column " + quote(cell.Text) + " is left out; the nearest known name is " + quote(nearest)})
			continue
		}
		c, key := column{role: of, of: of, index: i, unit: unit}, of.Name
		if of.IsLevel() {
			c.role, key = schema.AnyLevel, "level"
		}
		if before, twice := seen[key]; twice {
			return l, &table.Error{Line: cell.Line, Column: cell.Column, Found: cell.Text,
				Expected: "one column of " + key + "s; " + quote(before.Text) + " is one already"}
		}
		seen[key] = cell
		if expected := c.settleUnit(); expected != "" {
			e := &table.Error{Line: cell.Line, Column: cell.Column, Found: cell.Text, Expected: expected}
			if c.role != schema.AnyLevel {
				e.Err = errUnit
			}
			return l, e
		}
		if want(in, c.role) == table.Skip {
			l.unused = append(l.unused, cell.Text)
		}
		l.columns = append(l.columns, c)
	}
	if len(l.columns) == 0 {
		return l, headerError(header)
	}
	return l, nil
}

const headerExpected = "a header such as x (m), y (m), E (lx), or a grid with its unit in the first cell"

func headerError(header []table.Cell) error {
	e := &table.Error{Line: 1, Expected: headerExpected}
	if len(header) > 0 {
		e.Line, e.Column, e.Found = header[0].Line, header[0].Column, header[0].Text
	}
	return e
}

// settleUnit says what a header should be whose unit the column cannot have, or a
// column of levels without one, since lux and footcandles look alike.
func (c *column) settleUnit() (expected string) {
	if c.role == schema.AnyLevel {
		var ok bool
		if c.level, c.times, ok = c.of.LevelIn(c.unit); !ok {
			return "a level column with its unit, such as E (lx) or E (fc)"
		}
		return ""
	}
	if units := c.of.Units; c.unit != "" && len(units) > 0 && !slices.Contains(units, c.unit) {
		return "a unit of " + c.of.Name + ": " + strings.Join(units, ", ")
	}
	return ""
}

// understandGrid recognizes a grid: a unit in the first cell, then numbers.
func understandGrid(header []table.Cell) (l layout, ok bool, err error) {
	if len(header) < 2 {
		return l, false, nil
	}
	for _, c := range header[1:] {
		if c.Text != "" && !looksNumeric(c.Text) {
			return l, false, nil
		}
	}
	of, unit, _ := schema.Match(schema.SurveyFile, header[0].Text)
	if u, known := photometry.ParseUnit(header[0].Text); of == nil && known {
		of, unit = schema.AnyLevel, u.String()
	}
	wrong := func(expected string) (layout, bool, error) {
		return l, false, &table.Error{Line: header[0].Line, Column: header[0].Column, Found: header[0].Text, Expected: expected}
	}
	if of == nil {
		return wrong("the grid's unit in its first cell (lx, fc, f, EV, cd/m², relative, K, mired, Duv), or heads of columns")
	}
	l.quantity = column{role: of, of: of, unit: unit}
	if of.IsLevel() {
		l.quantity.role = schema.AnyLevel
		if l.quantity.settleUnit() != "" {
			return wrong("a unit such as lx or fc in the first cell of a grid")
		}
	} else if !l.quantity.role.IsColor() {
		return layout{}, false, nil
	}
	l.grid = true
	return l, true, nil
}

// looksNumeric reports whether a header cell is a position.
func looksNumeric(text string) bool {
	digits := false
	for _, r := range text {
		switch {
		case r >= '0' && r <= '9':
			digits = true
		case r == '.' || r == ',' || r == '-' || r == '+' || r == ' ' || r == 'e' || r == 'E' || r == '\u2212':
		case digits && (r == 'm' || r == 'c' || r == 'f' || r == 't' || r == 'i' || r == 'n' || r == '\'' || r == '"'):
		default:
			return false
		}
	}
	return digits
}

// wants says how the table is to read its columns.
func (l layout) wants(in schema.File, header []table.Cell) []table.Want {
	wants := make([]table.Want, len(header))
	if l.grid {
		for i := range wants {
			wants[i] = table.Number
		}
		wants[0] = table.Text
		return wants
	}
	for _, c := range l.columns {
		wants[c.index] = want(in, c.role)
	}
	return wants
}

func quote(text string) string { return "“" + text + "”" }
