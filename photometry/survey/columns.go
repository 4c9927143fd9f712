package survey

import (
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/table"
)

// role is what a column of readings holds.
type role uint8

const (
	unknownRole role = iota
	labelRole
	xRole
	yRole
	zRole
	distanceRole
	angleRole
	timeRole
	lampRole
	roleRole
	densityRole
	noteRole
	levelRole
	cctRole
	miredRole
	duvRole
	cieXRole
	cieYRole
	uPrimeRole
	vPrimeRole
	ccRole
)

var lengthUnits = []string{"m", "cm", "mm", "ft", "in"}

// knownColumns are the columns that a file of readings may have, in the order
// of fieldRoles.
var knownColumns = []table.Field{
	{Name: "label", Aliases: []string{"point", "place", "name", "cell"}},
	{Name: "x", Units: lengthUnits},
	{Name: "y", Units: lengthUnits},
	{Name: "z", Units: lengthUnits},
	{Name: "distance", Aliases: []string{"d", "dist"}, Units: lengthUnits},
	{Name: "angle", Aliases: []string{"incidence"}, Units: []string{"deg", "°"}},
	{Name: "time", Aliases: []string{"t", "clock"}, Units: []string{"min", "s", "h"}},
	{Name: "lamp", Aliases: []string{"light"}},
	{Name: "role"},
	{Name: "ND", Aliases: []string{"density", "neutral density"}, Units: []string{"density", "stops"}},
	{Name: "note", Aliases: []string{"notes", "remark", "comment"}},
	{Name: "E", Aliases: []string{"illuminance", "level", "reading"}, Units: []string{"lx", "fc", "klx"}},
	{Name: "lux", Aliases: []string{"lx"}},
	{Name: "fc", Aliases: []string{"footcandles", "footcandle", "foot-candles"}},
	{Name: "EV"},
	{Name: "f", Aliases: []string{"f-number", "f number", "f-stop", "f stop"}},
	{Name: "L", Aliases: []string{"luminance"}, Units: []string{"cd/m²"}},
	{Name: "H", Aliases: []string{"luminous exposure"}, Units: []string{"lx·s", "fc·s"}},
	{Name: "relative", Aliases: []string{"relative level", "rel"}, Units: []string{"", "%"}},
	{Name: "CCT", Aliases: []string{"K", "kelvin", "color temperature", "colour temperature"}, Units: []string{"K"}},
	{Name: "mired", Aliases: []string{"mireds", "mrd"}},
	{Name: "Duv", Aliases: []string{"Δuv", "D uv"}},
	{Name: "cie x"},
	{Name: "cie y"},
	{Name: "u'"},
	{Name: "v'"},
	{Name: "CC", Aliases: []string{"cc index", "green-magenta"}},
}

var fieldRoles = []role{labelRole, xRole, yRole, zRole, distanceRole, angleRole, timeRole, lampRole, roleRole, densityRole, noteRole,
	levelRole, levelRole, levelRole, levelRole, levelRole, levelRole, levelRole, levelRole,
	cctRole, miredRole, duvRole, cieXRole, cieYRole, uPrimeRole, vPrimeRole, ccRole}

// levelUnits are the units of the level columns that have only one.
var levelUnits = map[string]photometry.Unit{
	"lux": photometry.LX, "fc": photometry.FC, "EV": photometry.EV, "f": photometry.FStop, "L": photometry.CDM2,
	"H": photometry.LXS, "relative": photometry.Plain,
}

// isColor tells whether a role is a part of a color.
func (r role) isColor() bool { return r >= cctRole }

// want says how the table is to read a column of this role.
func (r role) want() table.Want {
	switch r {
	case labelRole, timeRole, lampRole, roleRole, ccRole:
		return table.Text
	case xRole, yRole, levelRole, cctRole, miredRole, duvRole, cieXRole, cieYRole, uPrimeRole, vPrimeRole:
		return table.Number
	}
	return table.Skip
}

// column is one understood header cell.
type column struct {
	role  role
	index int    // in the sheet
	name  string // of the field
	unit  string // as in the header, "" for none
}

// layout is how a sheet holds its readings: a row each, or a grid.
type layout struct {
	grid     bool
	quantity column   // grid: what its cells hold
	columns  []column // points
	unknown  []table.Warning
	unused   []string
}

// understand reads a header. It fails where there are no columns of readings.
func understand(sheet string, header []table.Cell) (layout, error) {
	if l, ok, err := understandGrid(header); ok || err != nil {
		return l, err
	}
	var l layout
	seen := map[string]table.Cell{}
	for i, cell := range header {
		if cell.Text == "" {
			continue
		}
		at, unit, nearest := table.Match(knownColumns, cell.Text)
		if at < 0 {
			l.unknown = append(l.unknown, table.Warning{Line: cell.Line, Column: cell.Column,
				Text: "unknown column " + quote(cell.Text) + " is left out; the nearest known name is " + quote(nearest)})
			continue
		}
		field, kind := knownColumns[at], fieldRoles[at]
		key := field.Name
		if kind == levelRole {
			key = "level"
		}
		if before, twice := seen[key]; twice {
			return l, &table.Error{Line: cell.Line, Column: cell.Column, Found: cell.Text,
				Expected: "one column of " + key + "s; " + quote(before.Text) + " is one already"}
		}
		seen[key] = cell
		c := column{role: kind, index: i, name: field.Name, unit: unit}
		if err := c.checkUnit(field, cell); err != nil {
			return l, err
		}
		if kind.want() == table.Skip && kind != noteRole {
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

// checkUnit refuses units that a column cannot have, and an E column without
// one, since lux and footcandles look alike.
func (c *column) checkUnit(field table.Field, cell table.Cell) error {
	wrong := func(expected string) error {
		return &table.Error{Line: cell.Line, Column: cell.Column, Found: cell.Text, Expected: expected}
	}
	if c.role == levelRole {
		if _, ok := c.levelUnit(); !ok {
			return wrong("a level column with its unit, such as E (lx) or E (fc)")
		}
		return nil
	}
	if c.unit == "" || len(field.Units) == 0 {
		return nil
	}
	for _, u := range field.Units {
		if u == c.unit {
			return nil
		}
	}
	return wrong("a unit of " + field.Name + ": " + strings.Join(field.Units, ", "))
}

// levelUnit is the unit of a level column.
func (c *column) levelUnit() (photometry.Unit, bool) {
	if c.unit != "" {
		if c.unit == "klx" {
			return photometry.LX, true
		}
		return photometry.ParseUnit(c.unit)
	}
	u, ok := levelUnits[c.name]
	return u, ok
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
	at, unit, _ := table.Match(knownColumns, header[0].Text)
	if at < 0 {
		if u, known := photometry.ParseUnit(header[0].Text); known {
			l.grid = true
			l.quantity = column{role: levelRole, name: "E", unit: u.String()}
			return l, true, nil
		}
		return l, false, &table.Error{Line: header[0].Line, Column: header[0].Column, Found: header[0].Text,
			Expected: "the unit of the grid in its first cell (lx, fc, f, EV, cd/m², relative, K, mired, Duv), or a header of columns"}
	}
	kind := fieldRoles[at]
	if kind != levelRole && !kind.isColor() {
		return l, false, nil
	}
	l.grid = true
	l.quantity = column{role: kind, name: knownColumns[at].Name, unit: unit}
	if kind == levelRole {
		if _, known := l.quantity.levelUnit(); !known {
			return l, false, &table.Error{Line: header[0].Line, Column: header[0].Column, Found: header[0].Text,
				Expected: "a unit such as lx or fc in the first cell of a grid"}
		}
	}
	return l, true, nil
}

// looksNumeric tells whether a header cell is a position.
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

func (l layout) wants(header []table.Cell) []table.Want {
	wants := make([]table.Want, len(header))
	if l.grid {
		for i := range wants {
			wants[i] = table.Number
		}
		wants[0] = table.Text
		return wants
	}
	for _, c := range l.columns {
		wants[c.index] = c.role.want()
	}
	return wants
}

func quote(text string) string { return "“" + text + "”" }
