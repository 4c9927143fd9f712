package survey

import (
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/floats"

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
	l.n += len(r.level) - floats.Count(math.IsNaN, r.level)
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
		for _, part := range p.rows.byLamp() {
			// A row with no lamp and nothing read is a blank of the sheet.
			if part.name != "" || part.rows.anythingRead() {
				lightOf(part.name, file, &out.lamps).add(part.rows)
			}
		}
	}
	return out
}

// byLamp are the rows of each lamp in its cells, in order; the empty name is all
// lamps together.
func (r *rows) byLamp() []alone {
	// One pass finds each row's lamp: a file may have many.
	of := map[string]int{}
	var out []alone
	which := make([]int, r.n)
	for i, name := range r.lamp {
		if strings.EqualFold(name, "all") {
			name = ""
		}
		k, known := of[name]
		if !known {
			k = slices.IndexFunc(out, func(a alone) bool { return strings.EqualFold(a.name, name) })
			if k < 0 {
				k = len(out)
				out = append(out, alone{name: name})
			}
			of[name] = k
		}
		which[i] = k
	}
	for k := range out {
		out[k].rows = r.where(func(i int) bool { return which[i] == k })
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
	with, most := 0, 0 // files that name no lamp, with levels
	for _, u := range l.unnamed {
		if u.n > 0 {
			with, most = with+1, max(most, u.n)
		}
	}
	switch {
	case !named || l.together.n > 0 || with == 0:
		return b.unnamedAsLamps(l, named && with > 0)
	case float64(fewest) < leastCommon*float64(most):
		return b.unnamedAsAll(l)
	case with == 1:
		// A trial on copies, since building puts rows in order.
		trial := &builder{notes: b.notes, warnings: slices.Clone(b.warnings), reading: slices.Clone(b.reading)}
		if set, errors := trial.unnamedAsAll(l.copied()); len(errors) == 0 && set.addsUp() {
			set.Surface.warn("sum.names_no_lamp", "file", l.unnamed[0].file)
			return set, nil
		}
	}
	return b.unnamedAsLamps(l, true)
}

// unnamedAsLamps takes files that name no lamp as lamps of their own names; describe
// says so.
func (b *builder) unnamedAsLamps(l lights, told bool) (*LampSet, table.Errors) {
	lamps := append(slices.Clone(l.lamps), l.unnamed...)
	if len(lamps) == 0 {
		return nil, nil
	}
	slices.SortFunc(lamps, func(a, c *lightRows) int { return a.order - c.order })
	set, errors := b.lampSet(l.together, lamps)
	for _, u := range l.unnamed {
		if told && set != nil {
			set.Surface.warn("names_no_lamp", "file", u.file, "lamp", quote(u.name))
		}
	}
	return set, errors
}

// unnamedAsAll takes files that name no lamp as all lamps together.
func (b *builder) unnamedAsAll(l lights) (*LampSet, table.Errors) {
	all := &lightRows{}
	for _, u := range l.unnamed {
		for _, r := range u.parts {
			all.add(r)
		}
	}
	set, errors := b.lampSet(all, l.lamps)
	for _, u := range l.unnamed {
		if set != nil {
			set.Surface.infer("all.names_no_lamp", "file", u.file)
		}
	}
	return set, errors
}

// copied are the same lights with rows of their own.
func (l lights) copied() lights {
	copies := func(lights []*lightRows) []*lightRows {
		var out []*lightRows
		for _, light := range lights {
			again := &lightRows{name: light.name, file: light.file, order: light.order}
			for _, r := range light.parts {
				again.add(r.copied())
			}
			out = append(out, again)
		}
		return out
	}
	return lights{together: l.together, lamps: copies(l.lamps), unnamed: copies(l.unnamed)}
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

// addsUp reports whether the lamps of a set, each read alone at all places, make
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
