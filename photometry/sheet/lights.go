package sheet

import (
	"math"
	"slices"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/ratio"
	"evenfall/photometry/schema"
	"evenfall/photometry/table"
)

// heading understands a header cell as the sort of file has it.
func (m *matrix) heading(text string) heading {
	in := m.answers.in
	h := readHeading(text)
	if in == schema.SurveyFile || h.role == summaryRole {
		return h
	}
	c, unit := schema.Find(in, text)
	if role, rest, ok := schema.LightIn(text); in == schema.RatioFile && c == nil && ok {
		level := m.heading(rest)
		if level.role == levelRole || rest == "" {
			level.text, level.role, level.light, level.times = text, levelRole, string(role), max(1, level.times)
			return level
		}
	}
	if c == nil && in == schema.SeriesFile {
		c, unit = h.alongSeries()
	}
	switch {
	case c == nil && (h.role == xRole || h.role == yRole):
		h.role = asideRole
	case c == nil || c.IsLevel():
	case c == schema.Label || c == schema.MarkOf:
		h.role, h.column = labelRole, c
	default:
		h.role, h.column, h.inUnits = otherRole, c, unit
		if in == schema.SeriesFile && !slices.Contains(seriesColumns, c) {
			h.role = asideRole
		}
	}
	return h
}

// seriesColumns are what is kept of a series besides levels.
var seriesColumns = []*schema.Column{schema.Distance, schema.Angle, schema.Density, schema.LampOf, schema.Comment}

// alongSeries is the column of a series that one of the words of a head names: distance to
// the lamp in cm.
func (h heading) alongSeries() (*schema.Column, string) {
	if h.role == levelRole || h.role == labelRole {
		return nil, ""
	}
	for _, t := range schema.Words(h.text) {
		for _, along := range seriesColumns[:3] {
			if c, _ := schema.Find(schema.SeriesFile, t); c == along {
				if c == schema.Distance {
					return c, h.length
				}
				return c, ""
			}
		}
	}
	return nil, ""
}

// isSeries reports whether a list is surely a series: along a known column, or in a column
// of levels that is known by its head alone.
func (l *list) isSeries() bool {
	for _, c := range l.draft.others {
		if slices.Contains(seriesColumns[:3], c) {
			return true
		}
	}
	return l.below > l.header && !l.m.swapped && l.m.heading(l.headings[l.levels[0]].text).role == levelRole
}

// inUnit is the unit of a kept column behind its name.
func (h heading) inUnit() string {
	if h.inUnits == "" {
		return ""
	}
	return " (" + h.inUnits + ")"
}

// lightsOf are the lights that columns of levels are of, a role or a lamp each; nil where
// they are of one light. One without a known role is asked about.
func (l *list) lightsOf(kept []int) (lights []string) {
	switch {
	case len(kept) == 0:
		return nil
	case l.m.answers.lamps, l.besideAll(kept):
		if len(kept) == 1 || slices.Contains(l.draft.others, schema.LampOf) || l.areRepeats(kept) {
			return nil
		}
		for _, k := range kept {
			lights = append(lights, l.lampOf(k))
		}
		return lights
	case l.in != schema.RatioFile:
		return nil
	case slices.Contains(l.draft.others, schema.Role):
		if len(kept) > 1 {
			l.score -= 20 // one level a row, of any column: the plain form
		}
		return nil
	}
	for r := l.header; r < l.below; r++ {
		for _, c := range l.m.filled(r) {
			if of, _ := schema.Find(l.in, l.m.text(r, c)); of == schema.Role {
				l.score -= 20 // a plain table with its rows and columns swapped
			}
		}
	}
	if len(kept) == 1 && l.headings[l.levels[kept[0]]].light == "" {
		return nil
	}
	for _, k := range kept {
		h := l.headings[l.levels[k]]
		if h.light == "" && l.ofKeyAndFill(kept) && lampNamed(h.text) == "" {
			h.light = string(ratio.KeyRole + "+" + ratio.FillRole)
		}
		if h.light == "" {
			l.score -= 3
			l.ask(Question{Code: "role", Line: l.headerLine, Text: "what light is " + quote(h.text) + "? It names none: expected key, fill, back or background in the head of its column, or a column of roles"})
		}
		lights = append(lights, h.light)
	}
	return lights
}

// besideAll reports whether one of several columns is of all lamps together and each other
// says in its head that it is of one lamp alone.
func (l *list) besideAll(kept []int) bool {
	together := 0
	for _, k := range kept {
		if l.lampOf(k) == "" {
			together++
		} else if !IsLampAlone(l.headings[l.levels[k]].text) {
			return false
		}
	}
	return together == 1 && len(kept) > 1 && l.in == schema.SurveyFile
}

// lampOf is the lamp that the head of a column of levels names; "" for all lamps together,
// as where it names a level alone.
func (l *list) lampOf(k int) string {
	text := l.headings[l.levels[k]].text
	if c, _ := schema.Find(l.in, text); c != nil && c.IsLevel() {
		return ""
	}
	return lampNamed(text)
}

// ofKeyAndFill reports whether the roles that columns name are key and fill, so that
// “both” is the two of them.
func (l *list) ofKeyAndFill(kept []int) bool {
	var named []string
	for _, k := range kept {
		if light := l.headings[l.levels[k]].light; light != "" {
			named = append(named, light)
		}
	}
	slices.Sort(named)
	return slices.Equal(named, []string{string(ratio.FillRole), string(ratio.KeyRole)})
}

// AreLights reports whether the heads of a table name lights, a column each, and the names
// below them are none of places on a surface.
func AreLights(heads, names []string) bool {
	lights := map[ratio.Role]bool{}
	for _, head := range heads {
		light, rest, ok := schema.LightIn(head)
		if ok && (rest == "" || ColumnOf(rest) == schema.AnyLevel) {
			lights[light] = true
		}
	}
	return len(lights) > 1 && !arePlaces(names)
}

// nameLights gives each reading of some columns its light, and the unit of its column
// where columns differ.
func (l *list) nameLights(kept []int, lights []string) {
	if lights == nil {
		return
	}
	of := schema.Role
	if l.in == schema.SurveyFile {
		of = schema.LampOf
	}
	l.draft.others, l.otherUnits = append(l.draft.others, of), append(l.otherUnits, "")
	first := l.headings[l.levels[kept[0]]]
	for i := range l.count() {
		for n, k := range kept {
			r := &l.readings[i*len(l.levels)+k]
			name := r.level
			name.Text = lights[n]
			r.others = append(slices.Clone(r.others), name)
			if h := l.headings[l.levels[k]]; (h.unit != first.unit || h.times != first.times) && r.value.unit == photometry.NoUnit {
				r.value.unit, r.value.number = h.unit, r.value.number*max(1, h.times)
			}
		}
	}
}

// lampNamed is the lamp that the head of a column names besides a unit; "" for all lamps
// together.
func lampNamed(text string) string {
	var name []string
	together := false
	for _, word := range strings.Fields(text) {
		bare := strings.Trim(word, "()[],")
		if u, _ := unitOf(bare); u != photometry.NoUnit {
			continue
		}
		folded := table.Fold(bare)
		if slices.Contains(schema.AloneWords, folded) {
			continue
		}
		together = together || slices.Contains(togetherWords, folded)
		name = append(name, word)
	}
	if together {
		return ""
	}
	return strings.Join(name, " ")
}

var togetherWords = []string{"both", "all", "together", "beide", "alle", "zusammen", "tous", "toutes", "ensemble", "deux", "todas", "todos", "ambos", "tutte", "tutti", "insieme", "allemaal", "samen"}

// IsLampAlone reports whether a head says that its column is of one lamp alone, and not of
// a light at a mark.
func IsLampAlone(head string) bool {
	says := func(word string) bool {
		return slices.Contains(schema.AloneWords, table.Fold(strings.Trim(word, "()[],")))
	}
	_, _, light := schema.LightIn(head)
	return !light && slices.ContainsFunc(strings.Fields(head), says) && lampNamed(head) != ""
}

// nameLamp makes the title of one of several tables the lamp that it is of, where nothing
// else says and it is not a sheet of its own.
func (t *Table) nameLamp(f found) {
	said := slices.Contains(f.others, schema.LampOf) || schema.Text(schema.SurveyFile, t.Notes, schema.Lamp) != ""
	if !said && f.sheet.Name == "" {
		t.Notes = append(slices.Clone(t.Notes), table.Note{Key: schema.Lamp.Name, Value: f.title(), Line: max(f.headerLine, 1)})
		t.LeftOut = slices.DeleteFunc(t.LeftOut, func(text string) bool { return text == f.title() })
		if t.Title == f.title() {
			t.Title = ""
			t.Notes = slices.DeleteFunc(t.Notes, func(n table.Note) bool { return n.Key == schema.Title.Name })
		}
	}
}

// checkReadings asks about what readings along a series or at marks leave open, and leaves
// out what is no value.
func (d *draft) checkReadings(m *matrix) {
	d.settleUnit(m)
	d.leaveUnkeyed()
	if m.answers.leaveOut != "" {
		d.obey(m.answers.leaveOut)
	}
	d.leaveUncertain(m.answers.in)
	d.checkDistances(m.answers)
	d.checkUnits()
	d.checkLevels()
}

// leaveUnkeyed leaves out a last reading without a distance, angle or filter, where the
// others have one, that is the mean or the sum of those.
func (d *draft) leaveUnkeyed() {
	keyed := func(r reading) bool {
		for k, c := range d.others {
			if slices.Contains(seriesColumns[:3], c) && r.others[k].Text != "" {
				return true
			}
		}
		return false
	}
	n := len(d.readings) - 1
	if n < 2 || keyed(d.readings[n]) || !keyed(d.readings[n-1]) || d.readings[n].value.kind != number {
		return
	}
	if mean, sum := sumsUp(d.readings[:n], d.readings[n].value.number); mean || sum {
		last := d.readings[n]
		d.leave("line "+figure(float64(last.level.Line)), last.level.Line)
		d.readings = d.readings[:n]
	}
}

// leaveUncertain leaves out what is known to one side alone, in doubt or not read: nothing
// is fitted to it or compared with it.
func (d *draft) leaveUncertain(in schema.File) {
	keep := d.readings[:0:0]
	for _, r := range d.readings {
		v := r.value
		if v.kind != over && v.kind != under && !v.doubt && (in != schema.RatioFile || v.kind != unread) {
			keep = append(keep, r)
			continue
		}
		text := r.name.Text
		for k, c := range d.others {
			if c == schema.Role || slices.Contains(seriesColumns[:3], c) {
				text += " " + r.others[k].Text
			}
		}
		d.leave(strings.TrimSpace(text+" "+r.level.Text), r.level.Line)
	}
	if len(keep) == 0 {
		d.ask(Question{Code: "level", Text: "which levels are sure? All are bounds, in doubt or not read: write those that were read as plain numbers, such as 742"})
		return
	}
	d.readings = keep
}

// checkDistances asks where distances without a unit would be 30 m or more.
func (d *draft) checkDistances(a *answers) {
	at := slices.Index(d.others, schema.Distance)
	if at < 0 || d.otherUnits[at] != "" || a.lengthUnit != "" {
		return
	}
	farthest := 0.0
	for _, r := range d.readings {
		v := parse(table.RawCell{Cell: r.others[at]}, d.sign)
		if finite(v.length) {
			return // each has a unit of its own
		}
		farthest = math.Max(farthest, v.number)
	}
	if farthest >= FarApart {
		d.ask(askLength(d.headerLine, "distances", "the farthest would be "+figure(farthest)+" m"))
		return
	}
	d.assume("sheet.length_unit")
}

// FarApart is the length from which on one without a unit may rather be in centimeters.
const FarApart = 30

// askLength asks for the unit of lengths.
func askLength(line int, what, inMeters string) Question {
	return Question{Code: "length", Line: line, Note: "length unit", Text: "are the " + what + " in cm? In meters " + inMeters,
		Options: []Option{{"cm", ""}, {"m", ""}, {"in", ""}}}
}

// rises counts the readings of a series that are brighter than one nearer to the light.
func (d *draft) rises() (n int) {
	at := slices.Index(d.others, schema.Distance)
	if at < 0 {
		return 0
	}
	for i, r := range d.readings[1:] {
		before := d.readings[i]
		near, far := parse(table.RawCell{Cell: before.others[at]}, d.sign), parse(table.RawCell{Cell: r.others[at]}, d.sign)
		if far.kind == number && (far.number-near.number)*(r.value.level(d.unit)-before.value.level(d.unit)) > 0 {
			n++
		}
	}
	return n
}
