package survey

import (
	"math"
	"slices"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/table"
)

// lightRows are all rows of one light, sheet by sheet.
type lightRows struct {
	name  string
	file  string // that its rows came in
	parts []*rows
	n     int // rows with a level
	order int // in which it first comes
}

func (l *lightRows) add(r *rows) {
	l.parts = append(l.parts, r)
	for _, v := range r.level {
		if !math.IsNaN(v) {
			l.n++
		}
	}
}

func (l *lightRows) ambient() bool { return strings.EqualFold(l.name, AmbientName) }

// lights are rows sorted by whose light they are.
type lights struct {
	together *lightRows   // said to be all lamps
	lamps    []*lightRows // by lamp cells and notes
	unnamed  []*lightRows // files that say nothing, by their own names
}

// partLights sorts rows by whose light they are.
func partLights(parts []lampPart) lights {
	out := lights{together: &lightRows{}}
	at := map[string]*lightRows{}
	lightOf := func(name, file string, into *[]*lightRows) *lightRows {
		if name == "" || strings.EqualFold(name, "all") { // a file may be called so
			return out.together
		}
		key := strings.ToLower(name)
		if at[key] == nil {
			at[key] = &lightRows{name: name, file: file, order: len(at)}
			*into = append(*into, at[key])
		}
		return at[key]
	}
	for _, p := range parts {
		file := p.rows.sheet.File
		if p.rows.lamp == nil {
			lightOf(p.name, file, &out.unnamed).add(p.rows)
			continue
		}
		// One pass finds each row's light: a file may hold many lamps.
		of := map[string]int{}
		var names []string
		which := make([]int, p.rows.n)
		for i, name := range p.rows.lamp {
			if strings.EqualFold(name, "all") {
				name = ""
			}
			k, known := of[name]
			if !known {
				k = slices.IndexFunc(names, func(n string) bool { return strings.EqualFold(n, name) })
				if k < 0 {
					k = len(names)
					names = append(names, name)
				}
				of[name] = k
			}
			which[i] = k
		}
		if len(names) == 1 {
			lightOf(names[0], file, &out.lamps).add(p.rows)
			continue
		}
		keep := make([]bool, p.rows.n)
		for k, name := range names {
			for i := range keep {
				keep[i] = which[i] == k
			}
			// A row with no lamp and nothing read is a blank of the sheet.
			if r := p.rows.subset(keep); name != "" || r.anythingRead() {
				lightOf(name, file, &out.lamps).add(r)
			}
		}
	}
	return out
}

// assign settles what files are that name no lamp, and builds the set. It is
// nil where no lamp was read alone.
func (b *builder) assign(l lights) (*LampSet, table.Errors) {
	named, fewest := false, math.MaxInt
	for _, lamp := range l.lamps {
		if !lamp.ambient() {
			named, fewest = true, min(fewest, lamp.n)
		}
	}
	with := 0 // files that name no lamp, with levels
	most := 0
	for _, u := range l.unnamed {
		if u.n > 0 {
			with, most = with+1, max(most, u.n)
		}
	}
	asLamps := func(told bool) (*LampSet, table.Errors) {
		lamps := append(slices.Clone(l.lamps), l.unnamed...)
		if len(lamps) == 0 {
			return nil, nil
		}
		slices.SortFunc(lamps, func(a, c *lightRows) int { return a.order - c.order })
		set, errors := b.lampSet(l.together, lamps)
		for _, u := range l.unnamed {
			if told && set != nil {
				set.Surface.Warnings = append(set.Surface.Warnings, photometry.Found("names_no_lamp", "file", u.file, "lamp", quote(u.name)))
			}
		}
		return set, errors
	}
	if !named || l.together.n > 0 || with == 0 {
		return asLamps(named && with > 0)
	}
	asAll := func(b *builder, copied bool) (*LampSet, table.Errors) {
		all := &lightRows{}
		for _, u := range l.unnamed {
			for _, r := range u.parts {
				if copied {
					r = r.copied()
				}
				all.add(r)
			}
		}
		lamps := l.lamps
		if copied {
			lamps = nil
			for _, lamp := range l.lamps {
				again := &lightRows{name: lamp.name, file: lamp.file, order: lamp.order}
				for _, r := range lamp.parts {
					again.add(r.copied())
				}
				lamps = append(lamps, again)
			}
		}
		set, errors := b.lampSet(all, lamps)
		if set != nil {
			for _, u := range l.unnamed {
				set.Surface.Inferred = append(set.Surface.Inferred, u.file+" names no lamp: it is taken as all lamps together")
			}
		}
		return set, errors
	}
	if float64(fewest) < leastCommon*float64(most) {
		return asAll(b, false)
	}
	if with == 1 {
		// A trial on copies, since building puts rows in order.
		trial := &builder{notes: b.notes, warnings: slices.Clone(b.warnings), reading: slices.Clone(b.reading)}
		if set, errors := asAll(trial, true); len(errors) == 0 && set.addsUp() {
			set.Surface.Warnings = append(set.Surface.Warnings, photometry.Found("sum.names_no_lamp", "file", l.unnamed[0].file))
			return set, nil
		}
	}
	return asLamps(true)
}

// copied are the same rows with number columns of their own.
func (r *rows) copied() *rows {
	out := *r
	out.level = slices.Clone(r.level)
	for _, column := range out.numberColumns() {
		*column = slices.Clone(*column)
	}
	out.label = slices.Clone(r.label)
	return &out
}

// addsUp tells whether the lamps of a set, each read alone at all places, make
// what is taken as all of them together, at four places of five within a third
// of a stop.
func (l *LampSet) addsUp() bool {
	within, all := 0, 0
	for i, together := range l.Surface.Level {
		sum, known := 0.0, true
		for _, m := range l.Maps {
			if math.IsNaN(m.Level[i]) {
				known = known && m.Ambient()
				continue
			}
			sum += m.Level[i]
		}
		if known {
			all++
			if sum > 0 && math.Abs(math.Log2(together/sum)) < 1.0/3 {
				within++
			}
		}
	}
	return all > 0 && 5*within >= 4*all
}
