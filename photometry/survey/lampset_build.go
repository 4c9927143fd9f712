package survey

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"

	"evenfall/photometry"
	"evenfall/photometry/spatial"
	"evenfall/photometry/table"
	"evenfall/photometry/uncertainty"
)

// leastCommon is the share of the largest map's places that all lamps must
// have been read at, where no map of all lamps together fills the gaps.
const leastCommon = 2.0 / 3

// lampSet lays the maps of all lamps over one set of places.
func (b *builder) lampSet(together *lightRows, lamps []*lightRows) (*LampSet, table.Errors) {
	for _, l := range lamps {
		if l.n == 0 {
			b.add(l.parts[0].incomplete("no levels of the lamp "+quote(l.name), "at least one reading of it, or another name"))
		}
	}
	ground := together
	if together.n == 0 {
		ground = slices.MaxFunc(lamps, fuller)
	}
	b.findBase(ground.parts)
	if len(b.errors) > 0 || !b.findPlaces() || len(b.errors) > 0 {
		return nil, b.errors
	}
	set := &LampSet{Together: together.n > 0, Surface: b.newSurvey()}
	for _, l := range append([]*lightRows{together}, lamps...) {
		for _, r := range l.parts {
			set.OneSided += len(r.bounds)
		}
	}
	s := set.Surface
	columns := make([]*lampColumn, len(lamps))
	for k, l := range lamps {
		if columns[k] = b.lampColumn(s, l); len(b.errors) > 0 {
			return nil, b.errors
		}
	}
	if set.Together {
		if b.fillLevels(s, ground.parts); len(b.errors) > 0 {
			return nil, b.errors
		}
		b.checkGround(ground)
		b.fillColors(s, ground.parts)
	} else {
		b.sumLamps(s, columns)
	}
	if len(b.errors) > 0 {
		return nil, b.errors
	}
	read := s.readAt() // these places become the points
	b.dropEmpty(s)
	b.frame(s)
	if len(b.errors) > 0 {
		return set, b.errors
	}
	b.findReference(s)
	b.describe(s)
	if !set.Together {
		// Sums are marks of no scale.
		s.Warnings = slices.DeleteFunc(s.Warnings, func(f photometry.Finding) bool { return f.Code == "no_mark" })
	}
	for _, c := range columns {
		m := c.finish(s, read, b.places.Len())
		set.Maps = append(set.Maps, m)
		set.squares, set.nu, set.Open = set.squares+c.squares, set.nu+c.nu, set.Open+c.open
		if !set.Together {
			set.drift = max(set.drift, c.drift)
		}
	}
	set.addScatter()
	return set, b.errors
}

// fuller orders lamps by their readings; ambient light has the places only where
// there is nothing else.
func fuller(a, b *lightRows) int {
	switch {
	case a.ambient() == b.ambient():
		return a.n - b.n
	case a.ambient():
		return -1
	}
	return 1
}

// checkGround refuses levels of zero of all lamps together.
func (b *builder) checkGround(ground *lightRows) {
	for _, r := range ground.parts {
		r.checkLevels(false, &b.collector)
	}
}

// lampColumn is one lamp over all places, before those without a level go.
type lampColumn struct {
	LampMap
	places  *Survey // the places read as a survey of their own
	at      []int32 // its points among all places
	squares float64
	nu      int
	open    int     // as LampSet.Open
	drift   float64 // as in LampSet
}

// lampColumn brings a lamp's readings to their places.
func (b *builder) lampColumn(s *Survey, l *lightRows) *lampColumn {
	own := &Survey{Quantity: s.Quantity, Settings: s.Settings, Reference: -1, X: b.places.X, Y: b.places.Y}
	c := &lampColumn{LampMap: LampMap{Name: l.name}, places: own}
	p := newPile(b.places.Len())
	var colored []*rows
	for _, r := range l.parts {
		if r.x == nil && r.label != nil && r != b.base && b.notes.settings.Sized && b.columns > 0 && !b.placeLabels(r) {
			return c
		}
		if r.hasLevel && r.quantity != s.Quantity {
			b.add(r.fault("levels of "+r.quantity.String()+" of the lamp "+quote(l.name), "the "+s.Quantity.String()+" of "+b.base.sheet.File))
			return c
		}
		before := len(b.errors)
		places := b.locateLamp(r)
		if b.elsewhere(r, l.name, before); len(b.errors) > before {
			return c
		}
		if r.colors.any() {
			colored = append(colored, r)
		}
		if r.hasLevel {
			own.Settings.Meter.Unit = r.unit
			c.open += r.leaveOpen(places)
			p.add(r, places)
		}
	}
	p.fill(own)
	own.pick(p.order)
	c.at = p.order
	b.lampColors(c, colored)
	return c
}

// locateLamp finds the places of a lamp's rows. A grid may have fewer rows and
// columns than the base's.
func (b *builder) locateLamp(r *rows) []int32 {
	if (r.x == nil) != (r.y == nil) {
		if r.label == nil {
			b.add(r.fault("only one of the columns x and y", "both"))
			return nil
		}
		r.x, r.y = nil, nil // the labels say where
	}
	if r != b.base && r.grid && b.base.grid && r.x != nil && b.base.x != nil {
		return b.locateRows(r)
	}
	return b.locate(r)
}

// elsewhere says once that a lamp's map is of other places, where errors since
// before say so row by row.
func (b *builder) elsewhere(r *rows, lamp string, before int) {
	missed := len(b.errors) - before
	if missed < 4 || 2*missed < r.n {
		return
	}
	first := b.errors[before]
	b.errors = append(b.errors[:before], &table.Error{File: r.sheet.File, Sheet: r.sheet.Name, Line: first.Line, Column: first.Column, InWords: true,
		Found:    fmt.Sprintf("%d of %d places that %s does not have, such as %s", missed, r.n, b.base.sheet.File, quote(first.Found)),
		Expected: "a map of the same places (" + quote(lamp) + " is of another surface, or counts from another corner)"})
}

// lampColors lays the colors of a lamp's sheets at all places.
func (b *builder) lampColors(c *lampColumn, colored []*rows) {
	if len(colored) == 0 {
		return
	}
	scratch := &Survey{}
	places := []int32(nil)
	r := colored[0]
	if len(colored) > 1 {
		r = b.mergedColors(colored)
	} else {
		places = b.locateLamp(r)
	}
	if len(b.errors) > 0 {
		return
	}
	if places == nil && r.n != b.places.Len() {
		panic("survey: a sheet of colors without places")
	}
	b.colorsOf(scratch, []*rows{r}, [][]int32{places})
	c.U, c.V, c.DuvRead = scratch.U, scratch.V, scratch.DuvRead
	if !slices.ContainsFunc(c.U, func(u float64) bool { return !math.IsNaN(u) }) {
		c.U, c.V = nil, nil
	}
}

// sumLamps makes the surface's levels of its lamps where no reading of all of
// them together does: NaN where a lamp was not read.
func (b *builder) sumLamps(s *Survey, columns []*lampColumn) {
	n := b.places.Len()
	s.X, s.Y, s.Label = b.places.X, b.places.Y, b.names
	s.Level = make([]float64, n)
	fewest := columns[0]
	for _, c := range columns {
		if c.Ambient() && len(c.at) < n {
			continue // filled in by whoever knows how
		}
		if fewest.Ambient() || len(c.at) < len(fewest.at) {
			fewest = c
		}
		floats.Add(s.Level, c.overAll(c.places.Level, n))
		s.ReadingCount += c.places.ReadingCount
	}
	common := n - floats.Count(math.IsNaN, s.Level)
	if common == n {
		return
	}
	if common < 2 || float64(common) < leastCommon*float64(n) {
		b.add(&table.Error{File: b.base.sheet.File, InWords: true,
			Found:    fmt.Sprintf("the lamp %s alone at %d of the %d places", quote(fewest.Name), len(fewest.at), n),
			Expected: "every lamp alone at the same places, or all lamps together as well (rows with an empty lamp cell)"})
		return
	}
	s.warn("places_left_out", "left_out", n-common, "places", n)
}

// finish turns a column over all of so many places into one over the points that are
// kept, with its drift taken out and its data-entry errors found.
func (c *lampColumn) finish(s *Survey, kept []int32, places int) LampMap {
	own := c.places
	m := c.LampMap
	m.U, m.V = picked(m.U, kept), picked(m.V, kept)
	if s.Reference >= 0 {
		own.Reference = slices.Index(c.at, kept[s.Reference])
	} else {
		(&builder{}).guessReference(own)
	}
	cleaned := own.cleaned(nil)
	m.Drift, c.squares, c.nu, c.drift = cleaned.Drift, cleaned.squares, cleaned.nu, cleaned.driftError()
	m.Level = picked(c.overAll(cleaned.Level, places), kept)
	m.Read = len(kept) - floats.Count(math.IsNaN, m.Level)
	if own.Repeats != nil {
		repeats := make([]int32, places)
		for k, p := range c.at {
			repeats[p] = own.Repeats[k]
		}
		m.Repeats = picked(repeats, kept)
	}
	for _, x := range own.lampSuspects(cleaned.Level, photometry.ReadingStops(uncertainty.AssumedRepeatability, own.Settings.Resolution)) {
		if q := slices.Index(kept, c.at[x.Point]); q >= 0 {
			x.Point, x.Label = q, s.Name(q)
			m.Suspects = append(m.Suspects, x)
		}
	}
	return m
}

// overAll is a column of the places read over all places, NaN elsewhere.
func (c *lampColumn) overAll(read []float64, places int) []float64 {
	out := nans(places)
	for k, p := range c.at {
		out[p] = read[k]
	}
	return out
}

// addScatter adds what repeats of all lamps together say of the scatter.
func (l *LampSet) addScatter() {
	if !l.Together {
		return
	}
	c := l.Surface.Clean(spatial.NewPlaces(l.Surface.X, l.Surface.Y))
	l.drift = c.driftError()
	l.squares, l.nu = l.squares+c.squares, l.nu+c.nu
}

// lampSuspects looks for data-entry errors in a map of one lamp. Places without
// light have no logarithm and cannot look like one. A large map is searched
// only where something differs at a first look, since there may be many.
func (s *Survey) lampSuspects(level []float64, noise float64) []Suspect {
	lit := &Survey{Quantity: s.Quantity, Settings: s.Settings, found: map[int32]string{}}
	var from []int32
	var levels []float64
	for i, v := range level {
		if v > 0 && s.Level[i] > 0 {
			if text, odd := s.found[int32(i)]; odd {
				lit.found[int32(len(from))] = text
			}
			from = append(from, int32(i))
			lit.X, lit.Y, lit.Level = append(lit.X, s.X[i]), append(lit.Y, s.Y[i]), append(lit.Level, s.firstLevel(i))
			lit.lines, levels = append(lit.lines, s.lines[i]), append(levels, v)
		}
	}
	if len(levels) < 5 || len(levels) >= largeMap && !lit.standsOut(levels) {
		return nil
	}
	places := spatial.NewPlaces(lit.X, lit.Y)
	out, _ := lit.Suspects(places, levels, places.Trend(levels, nil), noise)
	for k := range out {
		out[k].Point = int(from[out[k].Point])
	}
	return out
}

// largeMap is how many points of one lamp get the first look first.
const largeMap = 200

// standsOut reports whether any point differs from a plane through those around it
// by nearly as much as a data-entry error at least does. What each point does to
// its own plane is taken out by its leverage h: r/(1 − h) is its distance from the
// plane without it.
func (s *Survey) standsOut(level []float64) bool {
	const nearly = 0.8 * farStops
	stops := make([]float64, len(level))
	for i, v := range level {
		stops[i] = math.Log2(v)
	}
	for members := range spatial.NewPlaces(s.X, s.Y).Groups(12) {
		n := float64(len(members))
		var mx, my, mv float64
		for _, i := range members {
			mx, my, mv = mx+s.X[i]/n, my+s.Y[i]/n, mv+stops[i]/n
		}
		var sxx, sxy, syy, sxv, syv float64
		for _, i := range members {
			x, y, v := s.X[i]-mx, s.Y[i]-my, stops[i]-mv
			sxx, sxy, syy, sxv, syv = sxx+x*x, sxy+x*y, syy+y*y, sxv+x*v, syv+y*v
		}
		det := sxx*syy - sxy*sxy
		flat := det <= 1e-9*sxx*syy // too few, or in a line: no slope can be found
		for _, i := range members {
			x, y, off, h := s.X[i]-mx, s.Y[i]-my, stops[i]-mv, 1/n
			if !flat {
				off -= ((syy*sxv-sxy*syv)*x + (sxx*syv-sxy*sxv)*y) / det
				h += (syy*x*x - 2*sxy*x*y + sxx*y*y) / det
			}
			if math.Abs(off) > nearly*(1-h) && n > 1 {
				return true
			}
		}
	}
	return false
}
