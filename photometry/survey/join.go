package survey

import (
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
	s.X, s.Y, s.Label = b.places.X, b.places.Y, b.names
	sheets = b.levelsFirst(sheets)
	if b.placeOf == nil && len(sheets) == 1 {
		// Rows and places are one: the columns serve as they are.
		base := b.base
		s.Level, s.Minutes, s.lineOf, s.found = base.level, base.minutes, base.line, base.text
		s.confirm(base)
		base.eachLevel(nil, func(int, int32, float64) { s.ReadingCount++ })
		return
	}
	if b.checkTwins(sheets[1:]); len(b.errors) > 0 {
		return
	}
	p := newPile(b.places.Len())
	for _, r := range sheets {
		if r.quantity != b.base.quantity {
			b.add(r.fault("levels of "+r.quantity.String(), "the "+b.base.quantity.String()+" of "+b.base.sheet.File))
		}
		places := b.locate(r)
		if len(b.errors) > 0 {
			return
		}
		p.add(r, places)
	}
	p.fill(s)
}

// pile is readings piled up by place.
type pile struct {
	sheets  []*rows
	places  [][]int32 // of each sheet's rows
	level   []float64 // sums
	count   []int32
	lines   []int32   // of each place's first reading
	minutes []float64 // the same; nil without times
	found   map[int32]string
	order   []int32 // places in the order of their first readings
	// conflicting are the first readings of places where several claim to be it.
	conflicting map[int32][]float64
}

func newPile(places int) *pile {
	return &pile{level: make([]float64, places), count: make([]int32, places), lines: make([]int32, places), found: map[int32]string{},
		conflicting: map[int32][]float64{}}
}

// add piles up a sheet's readings at places.
func (p *pile) add(r *rows, places []int32) {
	if r.minutes != nil && p.minutes == nil {
		p.minutes = nans(len(p.level))
	}
	p.sheets, p.places = append(p.sheets, r), append(p.places, places)
	r.eachLevel(places, func(i int, at int32, level float64) {
		if p.count[at] == 0 {
			p.order = append(p.order, at)
			p.lines[at] = int32(r.line(i))
			if p.minutes != nil {
				p.minutes[at] = valueAt(r.minutes, i)
			}
			if text, odd := r.text[int32(i)]; odd {
				p.found[at] = text
			}
		}
		if r.status[int32(i)] == schema.Conflicting {
			p.conflicting[at] = append(p.conflicting[at], level)
		}
		p.count[at]++
		p.level[at] += level
	})
}

// fill gives a survey the means of the readings at each place, NaN where there are
// none, and the readings of places that have several.
func (p *pile) fill(s *Survey) {
	s.Level, s.Minutes, s.lines, s.found = p.level, p.minutes, p.lines, p.found
	for _, r := range p.sheets {
		s.confirm(r)
	}
	p.settleConflicts(s)
	repeated := false
	for at, n := range p.count {
		s.Level[at] /= float64(n) // 0/0 is NaN: not read
		s.ReadingCount += int(n)
		repeated = repeated || n > 1
	}
	if !repeated {
		return
	}
	s.Repeats = p.count
	for k, r := range p.sheets {
		r.eachLevel(p.places[k], func(i int, at int32, level float64) {
			if p.count[at] > 1 {
				s.Replicates = append(s.Replicates, Replicate{Point: at, Level: level, Minutes: valueAt(r.minutes, i), Line: r.line(i)})
			}
		})
	}
}

// checkTwins looks at further sheets with levels: readings of the same places
// on another day, or the same file twice, are not repeats. Others are, and are
// said to be.
func (b *builder) checkTwins(further []*rows) {
	for _, r := range further {
		if r.sheet.File == b.base.sheet.File && r.sheet.Name == b.base.sheet.Name {
			b.add(r.fault("the same file twice", "each file once"))
			continue
		}
		for _, key := range []*schema.Note[string]{schema.Date, schema.Title} {
			if mine, theirs := sheetNote(r.sheet, key), sheetNote(b.base.sheet, key); mine != "" && theirs != "" && mine != theirs {
				b.add(r.fault("levels of another "+key.Name+" ("+mine+", not "+theirs+")", "one survey; two days or two surfaces are two calls"))
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
		if p := placeAt(places, i); p >= 0 && !math.IsNaN(v) {
			f(i, p, v)
		}
	}
}

// placeAt is the place of a row, −1 for none; nil places mean that row and place are one.
func placeAt(places []int32, row int) int32 {
	if places == nil {
		return int32(row)
	}
	return places[row]
}

// levelsFirst are the sheets with levels, the base first.
func (b *builder) levelsFirst(sheets []*rows) []*rows {
	out := []*rows{b.base}
	for _, r := range sheets {
		if r != b.base && r.hasLevel {
			out = append(out, r)
		}
	}
	return out
}

// dropEmpty takes out places where no level was read and counts them, and
// finds rows and columns among all of them.
func (b *builder) dropEmpty(s *Survey) {
	if s.Placing != Nowhere {
		s.Lattice = spatial.FindLattice(s.X, s.Y)
	}
	if b.columns > 0 {
		// A grid of labels is known even where whole rows were not read.
		s.Lattice = b.labelLattice()
	}
	colorOnly := 0
	for i, v := range s.Level {
		if math.IsNaN(v) && s.U != nil && !math.IsNaN(s.U[i]) {
			colorOnly++
		}
	}
	if colorOnly > 0 {
		s.warn("color_without_level", "places", colorOnly)
	}
	b.findUnread(s)
	read := s.readAt()
	empty := s.Len() - len(read)
	s.Missing = empty
	if s.Lattice != nil && b.base.spots == nil {
		s.Missing = len(s.Lattice.Xs)*len(s.Lattice.Ys) - len(read)
	}
	s.Missing = max(0, s.Missing-len(s.Bounds))
	if empty > 0 {
		s.pick(read)
	}
	switch {
	case s.Lattice == nil:
	case !s.Lattice.Fill(s.X, s.Y):
		s.Lattice, s.Missing = nil, max(0, empty-len(s.Bounds))
	case s.Placing == InMeters && float64(s.Len()) < spatial.FullEnough*float64(len(s.Lattice.Index)):
		s.Lattice = nil // too few places to speak of rows and columns
	}
}

// labelLattice are the rows and columns of a grid of labels.
func (b *builder) labelLattice() *spatial.Lattice {
	l := &spatial.Lattice{Even: true}
	for c := range b.columns {
		x, _ := b.gridPosition(c, 0)
		l.Xs = append(l.Xs, x)
	}
	for r := range b.rows {
		_, y := b.gridPosition(0, b.rows-1-r)
		l.Ys = append(l.Ys, y)
	}
	return l
}

// gridPosition is the place of a grid label on the surface of the notes.
func (b *builder) gridPosition(column, rowFromTop int) (x, y float64) {
	return spatial.GridPosition(column, rowFromTop, b.columns, b.rows, b.notes.width, b.notes.height, b.notes.settings.Edges)
}

// readAt are the points with a level.
func (s *Survey) readAt() []int32 {
	index := make([]int32, 0, len(s.Level))
	for i, v := range s.Level {
		if !math.IsNaN(v) {
			index = append(index, int32(i))
		}
	}
	return index
}

// pick leaves the points at an index, in its order.
func (s *Survey) pick(index []int32) {
	to := slices.Repeat([]int32{-1}, len(s.Level))
	for k, i := range index {
		to[i] = int32(k)
	}
	for _, column := range []*[]float64{&s.X, &s.Y, &s.Level, &s.Minutes, &s.U, &s.V, &s.conflict} {
		*column = picked(*column, index)
	}
	s.Label, s.Repeats, s.lines = picked(s.Label, index), picked(s.Repeats, index), picked(s.lines, index)
	if lineOf := s.lineOf; lineOf != nil {
		s.lineOf = func(i int) int { return lineOf(int(index[i])) }
	}
	found := map[int32]string{}
	for i, text := range s.found {
		if to[i] >= 0 {
			found[to[i]] = text
		}
	}
	s.found = found
	for i := range s.Replicates {
		s.Replicates[i].Point = to[s.Replicates[i].Point]
	}
	for k := range s.Lamps {
		s.Lamps[k].keep(to)
	}
	s.ColorReplicates = slices.DeleteFunc(s.ColorReplicates, func(again ColorReplicate) bool { return to[again.Point] < 0 })
	for k := range s.ColorReplicates {
		s.ColorReplicates[k].Point = to[s.ColorReplicates[k].Point]
	}
}

// frame sets the extent of the surface and the area in shot.
func (b *builder) frame(s *Survey) {
	n := b.notes
	box, ok := spatial.BoxOf(s.X, s.Y)
	if !ok {
		r := b.base
		b.add(r.fault("no levels", "at least two readings"))
		return
	}
	if s.Area = n.area; s.Placing != InMeters {
		b.frameWithoutLengths(s)
		return
	}
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
			s.warn("outside_surface",
				"places", outside, "width", photometry.Length(n.width), "height", photometry.Length(n.height))
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
		s.note("size_from_readings", "width", photometry.Length(s.Extent.Width()), "height", photometry.Length(s.Extent.Height()))
	}
}

// frameWithoutLengths sets the extent of places that are known in rows and columns; an
// area in shot needs lengths.
func (b *builder) frameWithoutLengths(s *Survey) {
	if s.Area != nil {
		s.Area = nil
		b.errors = append(b.errors, b.notes.ErrorAt(schema.Area, "the notes width and height too, or positions of the readings: without them the area cannot be told from the rest"))
	}
	if s.Placing == InGrid {
		s.Extent = spatial.Box{X1: float64(b.columns), Y1: float64(b.rows)}
	}
}

// latticeExtent is the surface that rows and columns cover: half a step
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
		if label := s.LabelOf(i); label != "" && photometry.SameName(label, n.reference.Label) {
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
		s.warn("reference_unread", "reference", n.reference.Label)
		return
	}
	b.errors = append(b.errors, n.ErrorAt(schema.ReferenceAt, "the label of a place that was read, or its x,y"))
}

// knownUnread reports whether a label is of a place that a row asks for and nobody
// has read.
func (b *builder) knownUnread(label string) bool {
	for i, l := range b.base.label {
		if photometry.SameName(l, label) && math.IsNaN(valueAt(b.base.level, i)) {
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
		s.infer("reference_by_repeats", "place", s.Point(best), "readings", int(s.Repeats[best]))
	}
}

// describe adds what a person should know about how the files were understood.
func (b *builder) describe(s *Survey) {
	s.ParseLog = slices.Concat(b.reading, s.ParseLog)
	if unit := b.notes.FlagUnit; unit == "ft" || unit == "in" || unit != "" && b.base.unit == photometry.FC {
		b.copied = append(b.copied, photometry.Found("flag_lengths", "unit", unit))
	}
	s.Warnings = slices.Concat(table.Findings(b.warnings), b.copied, s.Warnings)
	s.Inferred = append(s.Inferred, b.notes.inferred...)
	if b.columns > 0 && b.notes.grid.Columns == 0 {
		s.note("labels_make_grid", "columns", b.columns, "rows", b.rows)
	}
	if g := b.notes.grid; g.Columns > 0 && s.Lattice != nil && (g.Columns != len(s.Lattice.Xs) || g.Rows != len(s.Lattice.Ys)) {
		s.warn("grid_size",
			"columns", g.Columns, "rows", g.Rows, "read_columns", len(s.Lattice.Xs), "read_rows", len(s.Lattice.Ys))
	}
	b.describeFStops(s)
	m := s.Settings.Meter
	switch {
	case m.Unit == photometry.FStop && m.Continuous && m.ShutterS > 0:
		s.infer("f_continuous", "shutter", photometry.Shutter(m.ShutterS), "iso", m.Speed(), "constant", m.IncidentConstant())
	case m.Unit == photometry.FStop:
		s.infer("f_flash", "iso", m.Speed(), "constant", m.IncidentConstant())
	case m.Unit == photometry.EV:
		s.infer("ev_read_at", "iso", m.Speed(), "constant", m.IncidentConstant())
	}
	if m.Unit == photometry.FStop && s.Settings.Resolution == 0 {
		s.note("f_rounded")
	}
}

// describeFStops warns of f-numbers that are no marks but look like a mark and tenths
// of a stop, 8.5: they were read as typed.
func (b *builder) describeFStops(s *Survey) {
	m := s.Settings.Meter
	if m.Unit != photometry.FStop {
		return
	}
	var odd []string
	for i := range min(s.Len(), 10_000) {
		n := m.Written(s.firstLevel(i))
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
