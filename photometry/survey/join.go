package survey

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/schema"
	"evenfall/photometry/spatial"
	"evenfall/photometry/table"
)

// fillLevels brings the levels of all sheets to their places: one entry a
// place, NaN where nothing was read.
func (b *builder) fillLevels(s *Survey, sheets []*rows) {
	base := b.base
	n := len(b.placeX)
	s.X, s.Y, s.Label = b.placeX, b.placeY, b.names
	single := b.placeOf == nil
	for _, r := range sheets {
		if r != base && r.hasLevel {
			single = false
		}
	}
	if single {
		// Rows and places are one: the columns serve as they are.
		s.Level, s.Minutes = base.level, base.minutes
		s.lineOf = base.line
		s.found = base.text
		for _, v := range s.Level {
			if !math.IsNaN(v) {
				s.Readings++
			}
		}
		return
	}
	count := make([]int32, n)
	s.found = map[int32]string{}
	s.lines = make([]int32, n)
	s.Level = make([]float64, n) // sums first
	for _, r := range sheets {
		if r.hasLevel && r.minutes != nil {
			s.Minutes = nans(n)
		}
	}
	b.checkTwins(sheets)
	if len(b.errors) > 0 {
		return
	}
	var placesOf [][]int32
	for _, r := range b.levelsFirst(sheets) {
		if !r.hasLevel {
			placesOf = append(placesOf, nil)
			continue
		}
		if r.quantity != base.quantity {
			b.add(&table.Error{File: r.sheet.File, Sheet: r.sheet.Name, Line: r.sheet.Header[0].Line, InWords: true,
				Found: "levels of " + r.quantity.String(), Expected: "the " + base.quantity.String() + " of " + base.sheet.File})
		}
		places := b.locate(r)
		placesOf = append(placesOf, places)
		if len(b.errors) > 0 {
			return
		}
		r.eachLevel(places, func(i int, p int32, level float64) {
			if count[p] == 0 {
				s.lines[p] = int32(r.line(i))
				if s.Minutes != nil {
					s.Minutes[p] = valueAt(r.minutes, i)
				}
				if text, odd := r.text[int32(i)]; odd {
					s.found[p] = text
				}
			}
			count[p]++
			s.Level[p] += level
			s.Readings++
		})
	}
	repeated := false
	for p, c := range count {
		s.Level[p] /= float64(c) // 0/0 is NaN: not read
		repeated = repeated || c > 1
	}
	if !repeated {
		return
	}
	s.Repeats = count
	for k, r := range b.levelsFirst(sheets) {
		if !r.hasLevel {
			continue
		}
		r.eachLevel(placesOf[k], func(i int, p int32, level float64) {
			if count[p] > 1 {
				s.Again = append(s.Again, Reading{Point: p, Level: level, Minutes: valueAt(r.minutes, i), Line: r.line(i)})
			}
		})
	}
}

// checkTwins looks at further sheets with levels: readings of the same places
// on another day, or the same file twice, are not repeats. Others are, and are
// said to be.
func (b *builder) checkTwins(sheets []*rows) {
	for _, r := range b.levelsFirst(sheets)[1:] {
		if !r.hasLevel {
			continue
		}
		fail := func(found, expected string) {
			b.add(&table.Error{File: r.sheet.File, Sheet: r.sheet.Name, Line: r.sheet.Header[0].Line, InWords: true, Found: found, Expected: expected})
		}
		if r.sheet.File == b.base.sheet.File && r.sheet.Name == b.base.sheet.Name {
			fail("the same file twice", "each file once")
			continue
		}
		for _, key := range []*schema.Note[string]{schema.Date, schema.Title} {
			if mine, theirs := sheetNote(r.sheet, key), sheetNote(b.base.sheet, key); mine != "" && theirs != "" && mine != theirs {
				fail("levels of another "+key.Name+" ("+mine+", not "+theirs+")", "one survey; two days or two surfaces are two calls")
				break
			}
		}
		b.warnings = append(b.warnings, table.Warning{File: r.sheet.File, Sheet: r.sheet.Name,
			Text: "its levels count as repeat readings of the places of " + b.base.sheet.File})
	}
}

// eachLevel calls f with every row that has a level and a place; nil places
// mean that row and place are one.
func (r *rows) eachLevel(places []int32, f func(row int, place int32, level float64)) {
	for i, v := range r.level {
		p := int32(i)
		if places != nil {
			p = places[i]
		}
		if p >= 0 && !math.IsNaN(v) {
			f(i, p, v)
		}
	}
}

// levelsFirst puts the base first.
func (b *builder) levelsFirst(sheets []*rows) []*rows {
	out := []*rows{b.base}
	for _, r := range sheets {
		if r != b.base {
			out = append(out, r)
		}
	}
	return out
}

// dropEmpty takes out places where no level was read and counts them, and
// finds rows and columns among all of them.
func (b *builder) dropEmpty(s *Survey) {
	n := len(s.X)
	s.Lattice = spatial.FindLattice(s.X, s.Y)
	if b.columns > 0 {
		// A grid of labels is known even where whole rows were not read.
		s.Lattice = &spatial.Lattice{Even: true}
		for c := range b.columns {
			x, _ := GridPosition(c, 0, b.columns, b.rows, b.notes.width, b.notes.height, b.notes.settings.Edges)
			s.Lattice.Xs = append(s.Lattice.Xs, x)
		}
		for r := range b.rows {
			_, y := GridPosition(0, b.rows-1-r, b.columns, b.rows, b.notes.width, b.notes.height, b.notes.settings.Edges)
			s.Lattice.Ys = append(s.Lattice.Ys, y)
		}
	}
	empty := 0
	colorOnly := 0
	for i, v := range s.Level {
		if math.IsNaN(v) {
			empty++
			if s.U != nil && !math.IsNaN(s.U[i]) {
				colorOnly++
			}
		}
	}
	if colorOnly > 0 {
		s.Warnings = append(s.Warnings, photometry.Found("color_without_level", "places", colorOnly))
	}
	s.Missing = empty
	if s.Lattice != nil {
		s.Missing = len(s.Lattice.Xs)*len(s.Lattice.Ys) - (n - empty)
	}
	if empty > 0 {
		b.keep(s, n-empty)
	}
	switch {
	case s.Lattice == nil:
	case !s.Lattice.Fill(s.X, s.Y):
		s.Lattice, s.Missing = nil, empty
	case float64(s.Len()) < spatial.FullEnough*float64(len(s.Lattice.Index)):
		s.Lattice = nil // too few places to speak of rows and columns
	}
}

// keep leaves only the places with a level.
func (b *builder) keep(s *Survey, left int) {
	index := make([]int32, 0, left)
	to := make([]int32, len(s.Level))
	for i, v := range s.Level {
		to[i] = -1
		if !math.IsNaN(v) {
			to[i] = int32(len(index))
			index = append(index, int32(i))
		}
	}
	for _, column := range []*[]float64{&s.X, &s.Y, &s.Level, &s.Minutes, &s.U, &s.V} {
		*column = picked(*column, index)
	}
	if lineOf := s.lineOf; lineOf != nil {
		s.lineOf = func(i int) int { return lineOf(int(index[i])) }
	}
	s.Label, s.Repeats, s.lines = picked(s.Label, index), picked(s.Repeats, index), picked(s.lines, index)
	found := map[int32]string{}
	for i, text := range s.found {
		if to[i] >= 0 {
			found[to[i]] = text
		}
	}
	s.found = found
	for i := range s.Again {
		s.Again[i].Point = to[s.Again[i].Point]
	}
	for k := range s.Lamps {
		s.Lamps[k].keep(to)
	}
	kept := s.ColorAgain[:0]
	for _, again := range s.ColorAgain {
		if to[again.Point] >= 0 {
			again.Point = to[again.Point]
			kept = append(kept, again)
		}
	}
	s.ColorAgain = kept
}

// frame sets the extent of the surface and the area in shot.
func (b *builder) frame(s *Survey) {
	n := b.notes
	box, ok := spatial.BoxOf(s.X, s.Y)
	if !ok {
		r := b.base
		b.add(&table.Error{File: r.sheet.File, Sheet: r.sheet.Name, Line: r.sheet.Header[0].Line, InWords: true, Found: "no levels", Expected: "at least two readings"})
		return
	}
	s.Area = n.area
	switch {
	case s.Settings.Sized:
		s.Extent = spatial.Box{X0: 0, Y0: 0, X1: n.width, Y1: n.height}
		outside := 0
		slackX, slackY := 0.02*n.width, 0.02*n.height
		for i := range s.X {
			if s.X[i] < -slackX || s.X[i] > n.width+slackX || s.Y[i] < -slackY || s.Y[i] > n.height+slackY {
				outside++
			}
		}
		if outside > 0 {
			s.Warnings = append(s.Warnings, photometry.Found("outside_surface",
				"places", outside, "width", photometry.Length(n.width), "height", photometry.Length(n.height)))
		}
	case s.Lattice != nil:
		s.Extent = latticeExtent(s.Lattice, box, s.Settings.Edges)
	default:
		s.Extent = box
	}
	if s.Area != nil && !s.Settings.Sized {
		s.Extent = s.Extent.Union(*s.Area)
	}
	if !s.Settings.Sized {
		s.Reading = append(s.Reading, fmt.Sprintf("the surface is taken as %s × %s m from where the readings stand; the notes width and height say otherwise",
			photometry.FormatFigure(s.Extent.Width()), photometry.FormatFigure(s.Extent.Height())))
	}
}

// latticeExtent is the surface that rows and columns stand for: half a step
// beyond the outer ones, since readings are taken at the middle of cells,
// unless the outer ones lie on the axes or are said to be on the border.
func latticeExtent(l *spatial.Lattice, box spatial.Box, edges bool) spatial.Box {
	half := func(at []float64) float64 {
		if len(at) < 2 {
			return 0
		}
		return (at[1] - at[0]) / 2
	}
	dx, dy := half(l.Xs), half(l.Ys)
	onAxis := func(first, half float64) bool { return half > 0 && math.Abs(first) < 0.02*half }
	if edges || (onAxis(box.X0, dx) && onAxis(box.Y0, dy)) {
		return box
	}
	grown := box.Grow(dx, dy)
	// Cell centers typed to the millimeter leave the corner a hair off zero.
	snap := func(v, step float64) float64 {
		if math.Abs(v) < 0.01*step {
			return 0
		}
		return v
	}
	grown.X0, grown.Y0 = snap(grown.X0, dx), snap(grown.Y0, dy)
	return grown
}

// findReference finds the point that the notes name, or the one that was read
// again and again over time.
func (b *builder) findReference(s *Survey) {
	n := b.notes
	if !n.Given(schema.ReferenceAt) {
		b.guessReference(s)
		return
	}
	for i := range s.X {
		if label := s.LabelOf(i); label != "" && labelKey(label) == labelKey(n.reference.Label) {
			s.Reference = i
			return
		}
	}
	if at := n.reference.At; at != nil {
		places := spatial.NewPlaces(s.X, s.Y)
		near := math.Max(0.01, 0.3*places.Spacing())
		if i := places.Closest(at[0], at[1], near); i >= 0 {
			s.Reference = int(i)
			return
		}
	}
	if b.knownUnread(n.reference.Label) {
		s.Warnings = append(s.Warnings, photometry.Found("reference_unread", "reference", n.reference.Label))
		return
	}
	b.errors = append(b.errors, n.ErrorAt(schema.ReferenceAt, "the label of a place that was read, or its x,y"))
}

// knownUnread tells whether a label is of a place that a row asks for and nobody
// has read.
func (b *builder) knownUnread(label string) bool {
	for i, l := range b.base.label {
		if labelKey(l) == labelKey(label) && math.IsNaN(valueAt(b.base.level, i)) {
			return true
		}
	}
	return false
}

// guessReference takes the one point that was read three times or more, with
// times, as the reference for drift.
func (b *builder) guessReference(s *Survey) {
	if s.Repeats == nil || s.Minutes == nil {
		return
	}
	best, ties := -1, 0
	for i, k := range s.Repeats {
		switch {
		case k < 3:
		case best < 0 || k > s.Repeats[best]:
			best, ties = i, 1
		case k == s.Repeats[best]:
			ties++
		}
	}
	if best >= 0 && ties == 1 {
		s.Reference = best
		s.Inferred = append(s.Inferred, fmt.Sprintf("%s is the reference: it was read %d times; the note reference says otherwise", s.Name(best), s.Repeats[best]))
	}
}

// tell adds what a person should know about how the files were understood.
func (b *builder) tell(s *Survey) {
	s.Reading = append(append([]string{}, b.reading...), s.Reading...)
	s.Warnings = append(findings(b.warnings), s.Warnings...)
	s.Inferred = append(s.Inferred, b.notes.inferred...)
	if b.columns > 0 && b.notes.grid.Columns == 0 {
		s.Reading = append(s.Reading, fmt.Sprintf("the labels make a grid of %d × %d places; the note grid says otherwise", b.columns, b.rows))
	}
	if g := b.notes.grid; g.Columns > 0 && s.Lattice != nil && (g.Columns != len(s.Lattice.Xs) || g.Rows != len(s.Lattice.Ys)) {
		s.Warnings = append(s.Warnings, photometry.Found("grid_size",
			"columns", g.Columns, "rows", g.Rows, "read_columns", len(s.Lattice.Xs), "read_rows", len(s.Lattice.Ys)))
	}
	b.tellMarks(s)
	m := s.Settings.Meter
	switch {
	case m.Unit == photometry.FStop && m.Continuous && m.ShutterS > 0:
		s.Inferred = append(s.Inferred, fmt.Sprintf("f-numbers are of continuous light at %s, ISO %.0f, C = %.0f", photometry.FormatShutter(m.ShutterS), m.Speed(), m.IncidentConstant()))
	case m.Unit == photometry.FStop:
		s.Inferred = append(s.Inferred, fmt.Sprintf("f-numbers are of flash at ISO %.0f, C = %.0f (light: continuous says otherwise)", m.Speed(), m.IncidentConstant()))
	case m.Unit == photometry.EV:
		s.Inferred = append(s.Inferred, fmt.Sprintf("exposure values are at ISO %.0f, C = %.0f", m.Speed(), m.IncidentConstant()))
	}
	if m.Unit == photometry.FStop && s.Settings.Resolution == 0 {
		s.Reading = append(s.Reading, "f-numbers are rounded when read: the note resolution (0.1 stop, say) lets the interval know")
	}
}

// tellMarks warns of f-numbers that are no marks but look like a mark and tenths
// of a stop, 8.5: they were read as typed.
func (b *builder) tellMarks(s *Survey) {
	m := s.Settings.Meter
	if m.Unit != photometry.FStop {
		return
	}
	var odd []string
	for i := range min(s.Len(), 10_000) {
		n := s.written(s.firstLevel(i))
		tenths := math.Round(n * 10)
		if _, typed := s.found[int32(i)]; typed || math.Abs(n*10-tenths) > 1e-6 || m.Marks.IsMark(tenths/10) {
			continue // with a fraction, with more digits, or a mark
		}
		if text := strconv.FormatFloat(tenths/10, 'f', -1, 64); !slices.Contains(odd, text) {
			odd = append(odd, text)
		}
	}
	if len(odd) > 0 {
		s.Warnings = append(s.Warnings, photometry.Found("no_mark", "typed", strings.Join(odd[:min(4, len(odd))], ", ")))
	}
}
