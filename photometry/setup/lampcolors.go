package setup

import (
	"fmt"
	"io"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/colorimetry"
	"evenfall/photometry/ratio"
	"evenfall/photometry/schema"
)

// LampColor is a row of a table of lamps as far as their color goes: one of the
// color readings (CCT or mired with Duv or CC, a chromaticity), a level to weigh
// it by, its role, and the gel it carried when it was metered.
type LampColor struct {
	Name   string       `csv:"name"`
	Label  string       `csv:"label"`
	Role   string       `csv:"role"`
	Kind   string       `csv:"kind"`
	CCT    Kelvins      `csv:"CCT" unit:"K"`
	Mired  *float64     `csv:"mired"`
	Duv    *float64     `csv:"Duv"`
	CC     string       `csv:"CC"`
	X      *float64     `csv:"cie x"`
	Y      *float64     `csv:"cie y"`
	U      *float64     `csv:"u'"`
	V      *float64     `csv:"v'"`
	Lux    *Lux         `csv:"E" unit:"lx"`
	FC     *Footcandles `csv:"E (fc)"`
	At     string       `csv:"at" unit:"m"` // the distance that a lamp is rated at
	Gel    string       `csv:"gel"`
	Behind string       `csv:"behind"` // of a frame or bounce: the lamp that lights it
	Note   string       `csv:"note"`
}

// LampColors is what a table of lamps says about their colors.
type LampColors struct {
	Origin
	Lamps     []colorimetry.Lamp
	Colorless []string // lamps left out, since their row has no color
	Others    []string // frames, bounces and flags, which have no color of their own
	Rated     bool     // levels are the lamps' ratings at a distance and were not used
}

// ReadLampColors reads the colors of a table of lamps. The error is table.Errors,
// or one *table.Error where the table has no lamp with a color.
func ReadLampColors(r io.Reader, file string) (*LampColors, error) {
	return Flags(nil).LampColors(r, file)
}

// LampColors is ReadLampColors with notes of a command line, which answer questions.
func (flags Flags) LampColors(r io.Reader, file string) (*LampColors, error) {
	return read(r, file, kindOf{schema.LampsFile, "lamp", nil}, flags, newLampColors)
}

func newLampColors(t *rows[LampColor]) (*LampColors, error) {
	if missing := lampColumns(t); missing != nil {
		return nil, missing
	}
	out := &LampColors{Origin: t.origin()}
	for _, row := range t.Rows {
		out.Rated = out.Rated || row.Value.At != "" && row.Value.level() > 0
	}
	nameColumn := "name"
	if !t.Has("name") && t.Has("label") {
		nameColumn = "label"
	}
	seen := map[string]int{}
	for i, row := range t.Rows {
		lamp := colorimetry.Lamp{Name: row.Value.named(nameColumn), Gel: row.Value.Gel, Key: isKey(row.Value.Role)}
		light, colored := t.color(i, row.Value)
		switch {
		case !colored && row.Value.shapesLight():
			out.Others = append(out.Others, lamp.Name)
			continue
		case lamp.Name == "":
			t.fail(i, nameColumn, "the lamp's name")
		case seen[strings.ToLower(lamp.Name)] > 0:
			t.fail(i, nameColumn, fmt.Sprintf("each lamp once; it is on line %d already", seen[strings.ToLower(lamp.Name)]))
		}
		if key := strings.ToLower(lamp.Name); seen[key] == 0 {
			seen[key] = row.Line
		}
		if !colored {
			out.Colorless = append(out.Colorless, lamp.Name)
			continue
		}
		lamp.Light, lamp.KelvinsAlone = light, row.Value.kelvinsAlone()
		if !out.Rated {
			lamp.Level = row.Value.level()
		}
		out.Lamps = append(out.Lamps, lamp)
	}
	if err := t.errs.ErrOrNil(); err != nil {
		return nil, err
	}
	if len(out.Lamps) == 0 {
		return nil, t.fault("no color of any lamp", colorColumns)
	}
	return out, nil
}

const colorColumns = "a column CCT (K) or mired, with Duv or CC, or cie x and cie y, or u' and v'"

// lampColumns is the error of a table that cannot be one of lamps and colors.
func lampColumns(t *rows[LampColor]) error {
	switch {
	case !t.Has("name") && !t.Has("label"):
		return t.fault("no column of names", "a column name, lamp or label in a table of lamps")
	case !t.Has("CCT") && !t.Has("mired") && !t.Has("cie x") && !t.Has("u'"):
		return t.fault("no column of colors", colorColumns)
	}
	return nil
}

// named is the lamp's name in the column that has it.
func (l LampColor) named(column string) string {
	if column == "label" {
		return l.Label
	}
	return l.Name
}

// isKey reports whether a role is that of the key; other words are kept as they are.
func isKey(text string) bool {
	role, err := schema.ParseRole(text)
	return err == nil && role == ratio.KeyRole
}

// shapesLight reports whether the row is a frame, a bounce or a flag, which pass on
// the light of others.
func (l LampColor) shapesLight() bool {
	return photometry.SameName(l.Kind, "frame") || photometry.SameName(l.Kind, "bounce") || photometry.SameName(l.Kind, "flag")
}

// kelvinsAlone reports whether a row's color is a color temperature without Duv or CC.
func (l LampColor) kelvinsAlone() bool {
	chromatic := l.U != nil && l.V != nil || l.X != nil && l.Y != nil
	return !chromatic && l.Duv == nil && l.CC == ""
}

// level is the level in lx, 0 where there is none.
func (l LampColor) level() float64 {
	switch {
	case l.Lux != nil:
		return float64(*l.Lux)
	case l.FC != nil:
		return photometry.Lux(float64(*l.FC))
	}
	return 0
}

// color is the light of a row from whatever columns it has, the most exact first;
// false where it has none or an error was noted.
func (r *rows[T]) color(row int, l LampColor) (light colorimetry.CCT, ok bool) {
	switch {
	case l.U != nil && l.V != nil:
		return r.chromatic(row, "u'", colorimetry.UVPrime{U: *l.U, V: *l.V}.XY())
	case l.X != nil && l.Y != nil:
		return r.chromatic(row, "cie x", colorimetry.XY{X: *l.X, Y: *l.Y})
	}
	column := "CCT"
	light.Kelvin = float64(l.CCT)
	if light.Kelvin == 0 && l.Mired != nil {
		column = "mired"
		light.Kelvin = colorimetry.Kelvin(*l.Mired)
	}
	if light.Kelvin == 0 && r.Cell(row, "CCT").Text == "" {
		for _, part := range []struct {
			column string
			given  bool
			needs  string
		}{
			{"Duv", l.Duv != nil, "a color temperature beside it"}, {"CC", l.CC != "", "a color temperature beside it"},
			{"cie x", l.X != nil, "the cie y that belongs to it"}, {"cie y", l.Y != nil, "the cie x that belongs to it"},
			{"u'", l.U != nil, "the v' that belongs to it"}, {"v'", l.V != nil, "the u' that belongs to it"},
		} {
			if part.given {
				r.fail(row, part.column, part.needs)
			}
		}
	}
	if light.Kelvin == 0 {
		return light, false
	}
	if err := light.Check(); err != nil {
		r.fail(row, column, kelvinExpected)
		return light, false
	}
	switch {
	case l.Duv != nil:
		light.Duv = *l.Duv
		if err := light.Check(); err != nil {
			r.fail(row, "Duv", duvExpected)
			return light, false
		}
	case l.CC != "":
		needs, err := colorimetry.ParseNeeds(l.CC)
		if err == nil {
			light, err = colorimetry.FromCC(light.Kelvin, needs)
		}
		if err != nil {
			r.fail(row, "CC", "what the light must be given, needs 10M, or its own cast, has 10G, within the range of CC filters")
			return light, false
		}
	}
	return light, true
}

// chromatic is a light by its chromaticity.
func (r *rows[T]) chromatic(row int, column string, xy colorimetry.XY) (colorimetry.CCT, bool) {
	light, err := xy.CCT()
	if err != nil {
		r.fail(row, column, "the chromaticity of a light that is nearly white ("+err.Error()+")")
	}
	return light, err == nil
}
