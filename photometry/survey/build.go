package survey

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/schema"
	"evenfall/photometry/spatial"
	"evenfall/photometry/table"
)

// builder makes one survey of the rows of all sheets.
type builder struct {
	collector
	notes    *noteSet
	alone    []alone // readings of single lamps
	warnings []table.Warning
	reading  []photometry.Remark
	copied   []photometry.Finding // rows that count once
	written  []photometry.PlaceNote

	base    *rows
	columns int // of a grid of labels
	rows    int
	places  *spatial.Places  // of the base, in order of appearance
	lattice *spatial.Lattice // of places; nil until it is asked for, empty where they are none
	names   []string         // labels of places; nil for none
	placing Placing
	placeOf []int32 // of each base row; nil where row and place are one
	byLabel map[string]int32

	halfColored            int // places with a color temperature and an empty Duv
	disagree, disagreeLine int // rows whose two colors differ
}

// build joins sheets by place, the first one with levels leading.
func (b *builder) build(sheets []*rows) (*Survey, table.Errors) {
	if b.findBase(sheets); b.base == nil {
		if len(sheets) > 0 {
			b.add(sheets[0].incomplete("no column of levels"+sheets[0].sheet.AmongHeads(), "a level column such as E (lx), E (fc), EV, f, L (cd/m²) or relative"))
		}
		return nil, b.errors
	}
	if !b.findPlaces() || len(b.errors) > 0 {
		return nil, b.errors
	}
	s := b.newSurvey()
	if b.fillLevels(s, sheets); len(b.errors) > 0 {
		return nil, b.errors
	}
	b.findStep(s)
	b.fillBounds(s, b.levelsFirst(sheets))
	b.fillColors(s, sheets)
	b.fillLamps(s)
	if len(b.errors) > 0 {
		return nil, b.errors
	}
	b.dropEmpty(s)
	b.frame(s)
	b.findReference(s)
	b.describe(s)
	b.describeColors(s)
	if len(b.errors) > 0 {
		return nil, b.errors
	}
	return s, nil
}

// findBase takes the first sheet with levels as the one that has the places.
func (b *builder) findBase(sheets []*rows) {
	if at := slices.IndexFunc(sheets, func(r *rows) bool { return r.hasLevel }); at >= 0 {
		b.base = sheets[at]
	}
}

// newSurvey has what the notes and the base say.
func (b *builder) newSurvey() *Survey {
	s := &Survey{Placing: b.placing, Title: b.notes.title, Date: b.notes.date, Taken: b.notes.taken, Quantity: b.base.quantity, Settings: b.notes.settings, Reference: -1, Notes: b.written}
	s.Settings.Meter.Unit = b.base.unit
	s.Feet = b.base.feet || b.notes.inFeet()
	return s
}

// findPlaces numbers the places of the base sheet.
func (b *builder) findPlaces() bool {
	r := b.base
	if r.x == nil && r.y == nil && r.label == nil {
		b.add(r.incomplete("readings without places", "columns x and y, or labels A1, A2, … with the notes width and height"))
		return false
	}
	if (r.x == nil) != (r.y == nil) {
		b.onePosition(r)
		return false
	}
	if r.x == nil && r.typed && !b.knownPlaces(r) {
		b.placeNowhere(r)
	} else if r.x == nil && !b.placeLabels(r) {
		return false
	}
	if !b.completePlaces(r) {
		return false
	}
	return b.number(r)
}

// onePosition refuses a sheet with x and no y, or the other way around.
func (b *builder) onePosition(r *rows) {
	missing := "y"
	if r.x == nil {
		missing = "x"
	}
	b.add(r.incomplete("no column "+missing, "both x and y"))
}

// placeLabels puts the labels of a sheet without positions onto an even grid.
func (b *builder) placeLabels(r *rows) bool {
	n := b.notes
	if !n.settings.Sized && !r.typed {
		b.add(r.incomplete("labels without places", "the notes width and height (# width: 4.8), or columns x and y"))
		return false
	}
	if b.columns == 0 {
		b.columns, b.rows = n.grid.Columns, n.grid.Rows
		for _, label := range r.spotLabels() {
			if c, row, ok := spatial.ParseGridLabel(label); ok && n.grid.Columns == 0 {
				b.columns, b.rows = max(b.columns, c+1), max(b.rows, row+1)
			}
		}
		if b.columns*b.rows > 1_000_000 {
			b.columns, b.rows = 0, 0
		}
	}
	if !n.settings.Sized {
		b.placing, n.width, n.height = InGrid, float64(b.columns), float64(b.rows)
	}
	r.x, r.y = nans(r.n), nans(r.n)
	for i, label := range r.spotLabels() {
		c, row, ok := spatial.ParseGridLabel(label)
		switch {
		case ok && c < b.columns && row < b.rows:
			r.x[i], r.y[i] = b.gridPosition(c, row)
		case label == "" && math.IsNaN(valueAt(r.level, i)):
		case ok && b.columns > 0:
			b.add(r.sheet.Error(r.cell(i, schema.Label, label), fmt.Sprintf("a place of the %d × %d grid, A1 to %s", b.columns, b.rows, spatial.GridLabel(b.columns-1, b.rows-1))))
		default:
			b.add(r.sheet.Error(r.cell(i, schema.Label, label), "a label such as A1 (row A from the top, column 1 from camera left), or columns x and y"))
		}
	}
	return len(b.errors) == 0
}

// spotLabels are the labels that tell rows and columns.
func (r *rows) spotLabels() []string {
	if r.spots != nil {
		return r.spots
	}
	return r.label
}

// knownPlaces reports whether all readings are at places of a grid. Letters far apart, as
// in L1 and R1 for left and right, are names and no rows, but for a size that is known.
func (b *builder) knownPlaces(r *rows) bool {
	used, last := map[int]bool{}, -1
	for i, label := range r.spotLabels() {
		c, row, ok := spatial.ParseGridLabel(label)
		switch {
		case !r.anything(i):
		case !ok || c*row > 10_000:
			return false
		default:
			used[row], last = true, max(last, row)
		}
	}
	scattered := last+1 > 2*len(used)+4
	return r.spotLabels() != nil && (b.notes.settings.Sized || !scattered)
}

// placeNowhere tells places apart by their names, or takes each reading as a place of its
// own.
func (b *builder) placeNowhere(r *rows) {
	b.placing = Nowhere
	b.notes.settings.Sized = false
	r.x, r.y = nans(r.n), make([]float64, r.n)
	known := map[string]float64{}
	for i := range r.n {
		key := photometry.NameKey(textAt(r.label, i))
		at, seen := known[key]
		if key == "" || !seen {
			at = float64(i)
			known[key] = at
		}
		r.x[i] = at
	}
}

// completePlaces fills in the place of rows that give only a label known from
// another row, and leaves out rows with neither place nor level.
func (b *builder) completePlaces(r *rows) bool {
	placed := func(i int) bool { return !math.IsNaN(r.x[i]) && !math.IsNaN(r.y[i]) }
	var known map[string]int // rows with a place by their labels
	drop := map[int]bool{}
	for i := range r.x {
		if placed(i) {
			continue
		}
		if known == nil {
			known = map[string]int{}
			for j, label := range r.label {
				if placed(j) {
					known[photometry.NameKey(label)] = j
				}
			}
		}
		label, none := textAt(r.label, i), math.IsNaN(r.x[i]) && math.IsNaN(r.y[i])
		j, elsewhere := known[photometry.NameKey(label)]
		switch {
		case label != "" && none && elsewhere:
			r.x[i], r.y[i] = r.x[j], r.y[j]
		case !r.anything(i):
			drop[i] = true
		case math.IsNaN(r.x[i]):
			b.add(r.sheet.Error(r.cell(i, schema.X, ""), "a position"))
		default:
			b.add(r.sheet.Error(r.cell(i, schema.Y, ""), "a position"))
		}
	}
	if len(drop) > 0 {
		*r = *r.where(func(i int) bool { return !drop[i] })
	}
	return len(b.errors) == 0
}

// anything reports whether row i has a level or a part of a color.
func (r *rows) anything(i int) bool {
	_, bounded := r.bounds[int32(i)]
	return bounded || !math.IsNaN(valueAt(r.level, i)) || r.colors.hasAny(i)
}

// number gives each distinct place of the base a number, in order of first
// appearance, and checks that a label names one place.
func (b *builder) number(r *rows) bool {
	t := newPlaceTable(r.x, r.y, r.n)
	var first []int32
	for i := range r.n {
		j := t.find(i)
		if j < 0 {
			if b.placeOf != nil {
				b.placeOf[i] = int32(len(first))
				first = append(first, int32(i))
			}
			continue
		}
		if b.placeOf == nil {
			// The first repeat: rows and places part ways here.
			b.placeOf = make([]int32, r.n)
			first = make([]int32, i, r.n)
			for k := range i {
				b.placeOf[k], first[k] = int32(k), int32(k)
			}
		}
		b.placeOf[i] = b.placeOf[j]
	}
	x, y := r.x, r.y
	b.names = r.label
	if b.placeOf != nil {
		// Places appear in the order of rows, so that the columns shrink in
		// place.
		x, y, b.names = shrunk(r.x, first), shrunk(r.y, first), picked(r.label, first)
	}
	b.places = spatial.NewPlaces(x, y)
	if r.label == nil {
		return true
	}
	b.byLabel = make(map[string]int32, b.places.Len())
	for i, label := range r.label {
		if label == "" {
			continue
		}
		p := placeAt(b.placeOf, i)
		if b.names[p] == "" {
			b.names[p] = label
		}
		if at, twice := b.byLabel[photometry.NameKey(label)]; twice && at != p {
			b.add(r.sheet.Error(r.cell(i, schema.Label, label), fmt.Sprintf("one place for each label; %s is at (%s, %s) too", label,
				photometry.FormatFigure(b.places.X[at]), photometry.FormatFigure(b.places.Y[at]))))
			continue
		}
		b.byLabel[photometry.NameKey(label)] = p
	}
	return len(b.errors) == 0
}

// shrunk moves the entries of an ascending index to the front of a column.
func shrunk(column []float64, index []int32) []float64 {
	for to, from := range index {
		column[to] = column[from]
	}
	return column[:len(index)]
}

// locate finds the places of the rows of a further sheet, −1 for none; nil where
// row and place are one.
func (b *builder) locate(r *rows) []int32 {
	if r == b.base {
		return b.placeOf
	}
	switch {
	case r.grid && b.base.grid && r.x != nil && b.base.x != nil && !b.sameGrid(r):
		b.add(r.fault(fmt.Sprintf("a grid of %d × %d places", r.places, r.n/r.places),
			fmt.Sprintf("the %d × %d places of %s", b.base.places, b.base.n/b.base.places, b.base.sheet.File)))
		return nil
	case r.x == nil && r.y == nil && r.label == nil:
		b.add(r.fault("readings without places", "the places of "+b.base.sheet.File+", by x and y or by label"))
		return nil
	case r.label == nil && (r.x == nil) != (r.y == nil):
		b.onePosition(r)
		return nil
	}
	return b.locateRows(r)
}

// sameGrid reports whether a grid has as many rows and columns as the base's.
func (b *builder) sameGrid(r *rows) bool { return r.places == b.base.places && r.n == b.base.n }

// locateRows finds the place of each row by its label, else by its position.
func (b *builder) locateRows(r *rows) []int32 {
	places := make([]int32, r.n)
	near := math.Max(0.01, 0.05*b.places.Spacing())
	for i := range places {
		p, known := b.byLabel[photometry.NameKey(textAt(r.label, i))]
		switch {
		case known && r.label != nil:
		case r.x == nil && r.label != nil:
			p = b.placeOfGridLabel(r.label[i])
		case r.x != nil && r.y != nil && !math.IsNaN(r.x[i]) && !math.IsNaN(r.y[i]):
			p = b.places.Closest(r.x[i], r.y[i], near)
		default:
			p = -1
		}
		if places[i] = p; p < 0 && r.anything(i) {
			what := textAt(r.label, i)
			if r.x != nil && r.y != nil {
				what = strings.TrimSpace(what + fmt.Sprintf(" at %s, %s", photometry.FormatFigure(r.x[i]), photometry.FormatFigure(r.y[i])))
			}
			b.add(r.sheet.Error(r.cell(i, schema.X, what), "a place that "+b.base.sheet.File+" has too"))
		}
	}
	return places
}

// placeOfGridLabel finds a place of a base without labels by its row and
// column.
func (b *builder) placeOfGridLabel(label string) int32 {
	if b.lattice == nil {
		b.lattice = &spatial.Lattice{}
		if l := spatial.FindLattice(b.places.X, b.places.Y); l != nil && l.Fill(b.places.X, b.places.Y) {
			b.lattice = l
		}
	}
	l := b.lattice
	if column, row, ok := spatial.ParseGridLabel(label); ok && column < len(l.Xs) && row < len(l.Ys) {
		return int32(l.At(column, len(l.Ys)-1-row))
	}
	return -1
}
