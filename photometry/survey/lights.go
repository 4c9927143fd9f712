package survey

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"evenfall/photometry/colorimetry"
	"evenfall/photometry/schema"
	"evenfall/photometry/table"
)

// Lamp is what was read of one lamp alone at some of a survey's places.
type Lamp struct {
	Name  string
	Point []int32   // index in the survey
	Level []float64 // SI unit of the survey's quantity, zero or more
	U, V  []float64 // CIE 1976 u', v'; nil without color, NaN where a reading has none
}

// keep renumbers a lamp's places and drops those that are gone.
func (l *Lamp) keep(to []int32) {
	var index []int32
	for k, p := range l.Point {
		if to[p] >= 0 {
			l.Point[k] = to[p]
			index = append(index, int32(k))
		}
	}
	l.Point, l.Level, l.U, l.V = picked(l.Point, index), picked(l.Level, index), picked(l.U, index), picked(l.V, index)
}

// alone are the rows of one lamp, before they have places.
type alone struct {
	name string
	rows *rows
}

// checkRoles refuses readings of several roles, since a surface is one light.
func (r *rows) checkRoles(c *collector) {
	if roles := distinct(r.role); len(roles) > 1 {
		e := r.fault("readings of several roles ("+strings.Join(roles, ", ")+")", "one role on a surface")
		e.Column = r.columns[schema.Role] + 1
		c.add(e)
	}
}

// nameLamp takes the lamp of a whole sheet from its note where no column names
// it, else holds the column to its limit.
func (r *rows) nameLamp(c *collector) {
	if r.lamp != nil {
		r.limitLamps(c)
		return
	}
	if name := sheetNote(r.sheet, schema.Lamp); name != "" {
		r.lamp = slices.Repeat([]string{name}, r.n)
	}
}

// limitLamps refuses the first lamp beyond [schema.MostLamps], and forgets what lamps the
// rows from there on are of, so that nothing is made of them.
func (r *rows) limitLamps(c *collector) {
	seen := map[string]bool{}
	for i, name := range r.lamp {
		if !together(name) {
			seen[name] = true
		}
		if len(seen) > schema.MostLamps {
			c.add(r.sheet.Error(r.cell(i, schema.LampOf, name), fmt.Sprintf("no more than %d lamps on one surface", schema.MostLamps)))
			r.lamp = append(slices.Clone(r.lamp[:i]), make([]string, r.n-i)...)
			return
		}
	}
}

// together reports whether a lamp cell means all lamps.
func together(lamp string) bool { return lamp == "" || strings.EqualFold(lamp, "all") }

// splitLights takes the readings of all lamps together, or of the wanted lamp,
// for the surface, and leaves those of single lamps beside it. Where all
// readings are of one lamp, that lamp is the surface's light.
func splitLights(sheets []*rows, wanted string, c *collector) (surface []*rows, single []alone) {
	lamps, any := lampsIn(sheets)
	chosen := together
	switch {
	case wanted != "" && !containsFold(lamps, wanted):
		if len(sheets) > 0 {
			found := "no readings of a single lamp"
			if len(lamps) > 0 {
				found = "readings of the lamps " + strings.Join(lamps, ", ")
			}
			c.add(&table.Error{File: sheets[0].sheet.File, Found: found, InWords: true, Expected: "the lamp " + quote(wanted)})
		}
		return nil, nil
	case wanted != "":
		chosen = func(lamp string) bool { return strings.EqualFold(lamp, wanted) }
	case any:
	case len(lamps) == 1:
		return sheets, nil
	case len(lamps) > 1:
		c.add(&table.Error{File: sheets[0].sheet.File, Found: "readings of the lamps " + strings.Join(lamps, ", "), InWords: true,
			Expected: "rows of all lamps together (an empty lamp cell, or all), or one lamp chosen with --lamp"})
		return nil, nil
	}
	for _, r := range sheets {
		if part := r.where(func(i int) bool { return chosen(textAt(r.lamp, i)) }); part.n > 0 {
			surface = append(surface, part)
		}
		if wanted != "" || r.lamp == nil {
			continue
		}
		for _, name := range lamps {
			if part := r.where(func(i int) bool { return strings.EqualFold(r.lamp[i], name) }); part.n > 0 {
				single = append(single, alone{name, part})
			}
		}
	}
	return surface, single
}

// lampsIn are the single lamps that sheets name, in order; any reports whether there
// are levels of all lamps together.
func lampsIn(sheets []*rows) (lamps []string, any bool) {
	for _, r := range sheets {
		for _, name := range distinct(r.lamp) {
			if !together(name) && !containsFold(lamps, name) {
				lamps = append(lamps, name)
			}
		}
		for i, level := range r.level {
			any = any || !math.IsNaN(level) && together(textAt(r.lamp, i))
		}
	}
	return lamps, any
}

func containsFold(names []string, name string) bool {
	return slices.ContainsFunc(names, func(n string) bool { return strings.EqualFold(n, name) })
}

// fillLamps brings the readings of single lamps to their places.
func (b *builder) fillLamps(s *Survey) {
	for _, a := range b.alone {
		if a.rows.x == nil && a.rows.label != nil && b.notes.settings.Sized && b.columns > 0 {
			b.placeLabels(a.rows)
		}
		places := b.locate(a.rows)
		if len(b.errors) > 0 {
			return
		}
		k := slices.IndexFunc(s.Lamps, func(l Lamp) bool { return strings.EqualFold(l.Name, a.name) })
		if k < 0 {
			k = len(s.Lamps)
			s.Lamps = append(s.Lamps, Lamp{Name: a.name})
		}
		lamp := &s.Lamps[k]
		a.rows.leaveOpen(places)
		a.rows.eachLevel(places, func(i int, p int32, level float64) {
			u := colorimetry.UVPrime{U: math.NaN(), V: math.NaN()}
			if got, ok := b.colorOf(a.rows, i); ok {
				u = got
			}
			lamp.Point, lamp.Level, lamp.U, lamp.V = append(lamp.Point, p), append(lamp.Level, level), append(lamp.U, u.U), append(lamp.V, u.V)
		})
	}
}

// Color is the color of all of a lamp's readings mixed.
func (l Lamp) Color() (colorimetry.CCT, bool) {
	return whiteOf(mixed(l.Level, l.U, l.V))
}

// mixed is light of these levels and colors together; what has no color is not in it.
func mixed(level, u, v []float64) (sum colorimetry.XYZ) {
	for i := range u {
		if level[i] > 0 && !math.IsNaN(u[i]) {
			sum = sum.Add(colorimetry.UVPrime{U: u[i], V: v[i]}.XY().XYZ(level[i]))
		}
	}
	return sum
}

// whiteOf is the color temperature and Duv of a light; ok is false where there is none or
// it is no white.
func whiteOf(light colorimetry.XYZ) (white colorimetry.CCT, ok bool) {
	if !(light.Y > 0) {
		return white, false
	}
	white, err := light.XY().CCT()
	return white, err == nil
}
