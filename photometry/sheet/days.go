package sheet

import (
	"fmt"
	"regexp"
	"slices"
	"strings"

	"evenfall/photometry/schema"
	"evenfall/photometry/table"
)

// dateShape is a date such as 2026-03-14, 14.3.26 or 3/14.
var dateShape = regexp.MustCompile(`^\d{1,4}([-./])\d{1,2}([-./]\d{0,4})?$`)

// isState reports whether a text names a state of the light, or a light other than the
// one of the surface, and no place: key only, both, ambient, Monday.
func isState(text string) bool {
	found := false
	for _, t := range schema.Words(text) {
		class := schema.ClassOf(t)
		if class&(schema.StateWord|schema.LampWord) != 0 {
			found = true
		} else if class&(schema.PlaceWord|schema.PlaceOther) != 0 || t == "side" {
			return false
		}
	}
	return found
}

// hasLamp reports whether a text names a lamp: left lamp, Lampe 2.
func hasLamp(text string) bool {
	return schema.HasWord(text, schema.LampWord)
}

// findDays finds the column that says on which day a reading was taken.
func (l *list) findDays() {
	for c, h := range l.headings {
		if h.role != asideRole && h.role != noRole || h.column != nil {
			continue
		}
		named := schema.HasWord(h.text, schema.DateWord)
		dates, filled := 0, 0
		for r := l.below; r < l.m.height(); r++ {
			if text := l.m.text(r, c); text != "" {
				filled++
				if first, _, _ := strings.Cut(text, " "); dateShape.MatchString(first) {
					dates++
				}
			}
		}
		if named && filled > 0 || dates > 1 && dates > filled/2 && l.m.width > 2 && h.role == asideRole {
			l.days, l.dayHead = c, h.text
			return
		}
	}
}

// dayOf is the day of a row, that of the row above where it has none; "" where nothing
// says.
func (l *list) dayOf(r int) string {
	if l.days < 0 {
		return l.day
	}
	text := l.m.text(r, l.days)
	if text == "" && len(l.readings) > 0 {
		return l.readings[len(l.readings)-1].day
	}
	if first, _, _ := strings.Cut(text, " "); dateShape.MatchString(first) {
		return first
	}
	return text
}

// takeDay makes the one day of all readings, where a column says it and no note does, the
// date of the table.
func (f found) takeDay(t *Table) {
	day := f.readings[0].day
	if f.dayHead == "" || !dateShape.MatchString(day) || !schema.Holds(f.in, schema.Date.Name, day) || schema.Text(f.in, f.sheet.Notes, schema.Date) != "" ||
		slices.ContainsFunc(f.readings, func(r reading) bool { return r.day != day }) {
		return
	}
	f.sheet.Notes = append(f.sheet.Notes, table.Note{Key: schema.Date.Name, Value: day, Line: f.readings[0].level.Line})
	t.LeftOut = slices.DeleteFunc(t.LeftOut, func(text string) bool { return text == f.dayHead })
}

// checkDays asks which day is meant where the same places were read on several, and keeps
// the one that the answer names.
func (d *draft) checkDays(answers *answers) {
	var days []string
	at := map[string]map[string]bool{} // days of a place
	again := false
	for i, r := range d.readings {
		if r.day == "" || !r.value.isReading() {
			continue
		}
		if !slices.Contains(days, r.day) {
			days = append(days, r.day)
		}
		key := d.key(i)
		if at[key] == nil {
			at[key] = map[string]bool{}
		}
		at[key][r.day] = true
		again = again || len(at[key]) > 1
	}
	if len(days) < 2 || !again {
		return
	}
	of := func(day string) draft {
		one := *d
		one.readings = slices.DeleteFunc(slices.Clone(d.readings), func(r reading) bool { return r.day != day })
		return one
	}
	q := Question{Code: "table", Line: d.headerLine, Note: "sheet", Text: fmt.Sprintf("which day, %s or %s? The same places were read on %d days", quote(days[0]), quote(days[1]), len(days))}
	for _, day := range days {
		one := of(day)
		if table.Fold(day) == table.Fold(answers.sheet) {
			d.readings, d.day = one.readings, day
			for _, other := range days {
				if other != day {
					d.leave(other, 0)
				}
			}
			return
		}
		q.Options = append(q.Options, Option{day, one.gives()})
	}
	d.ask(q)
}
