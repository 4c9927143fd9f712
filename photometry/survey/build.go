package survey

import (
	"fmt"
	"math"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/spatial"
	"evenfall/photometry/table"
)

// builder makes one survey of the rows of all sheets.
type builder struct {
	collector
	notes    *noteSet
	alone    []alone // readings of single lamps
	warnings []table.Warning
	reading  []string

	base    *rows
	columns int // of a grid of labels
	rows    int
	placeX  []float64 // places of the base, in order of appearance
	placeY  []float64
	names   []string // labels of places; nil for none
	placeOf []int32  // of each base row; nil where row and place are one
	byLabel map[string]int32

	halfColored            int // places with a color temperature and an empty Duv
	disagree, disagreeLine int // rows whose two colors differ
}

// build joins sheets by place, the first one with levels leading.
func (b *builder) build(sheets []*rows) (*Survey, table.Errors) {
	for _, r := range sheets {
		if b.base == nil && r.hasLevel {
			b.base = r
		}
	}
	if b.base == nil {
		if len(sheets) > 0 {
			r := sheets[0]
			b.add(&table.Error{File: r.sheet.File, Sheet: r.sheet.Name, Line: r.sheet.Header[0].Line, Found: "no column of levels", InWords: true,
				Expected: "a level column such as E (lx), E (fc), EV, f, L (cd/m²) or relative"})
		}
		return nil, b.errors
	}
	if !b.findPlaces() || len(b.errors) > 0 {
		return nil, b.errors
	}
	s := &Survey{Title: b.notes.title, Date: b.notes.date, Quantity: b.base.quantity, Settings: b.notes.settings, Reference: -1}
	s.Settings.Meter.Unit = b.base.unit
	if b.fillLevels(s, sheets); len(b.errors) > 0 {
		return nil, b.errors
	}
	b.fillColors(s, sheets)
	b.fillLamps(s)
	if len(b.errors) > 0 {
		return nil, b.errors
	}
	b.dropEmpty(s)
	b.frame(s)
	b.findReference(s)
	b.tell(s)
	b.tellColors(s)
	if len(b.errors) > 0 {
		return nil, b.errors
	}
	return s, nil
}

// findPlaces numbers the places of the base sheet.
func (b *builder) findPlaces() bool {
	r := b.base
	if r.x == nil && r.y == nil && r.label == nil {
		b.add(&table.Error{File: r.sheet.File, Sheet: r.sheet.Name, Line: r.sheet.Header[0].Line, Found: "readings without places", InWords: true,
			Expected: "columns x and y, or labels A1, A2, … with the notes width and height"})
		return false
	}
	if (r.x == nil) != (r.y == nil) {
		b.onePosition(r)
		return false
	}
	if r.x == nil && !b.placeLabels(r) {
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
	b.add(&table.Error{File: r.sheet.File, Sheet: r.sheet.Name, Line: r.sheet.Header[0].Line, Found: "no column " + missing, InWords: true,
		Expected: "both x and y"})
}

// placeLabels puts the labels of a sheet without positions onto an even grid.
func (b *builder) placeLabels(r *rows) bool {
	n := b.notes
	if !n.settings.Sized {
		b.add(&table.Error{File: r.sheet.File, Sheet: r.sheet.Name, Line: r.sheet.Header[0].Line, Found: "labels without places", InWords: true,
			Expected: "the notes width and height (# width: 4.8), or columns x and y"})
		return false
	}
	if b.columns == 0 {
		b.columns, b.rows = n.grid.Columns, n.grid.Rows
		for _, label := range r.label {
			if c, row, ok := ParseGridLabel(label); ok && n.grid.Columns == 0 {
				b.columns, b.rows = max(b.columns, c+1), max(b.rows, row+1)
			}
		}
		if b.columns*b.rows > 1_000_000 {
			b.columns, b.rows = 0, 0
		}
	}
	r.x, r.y = nans(r.n), nans(r.n)
	for i, label := range r.label {
		c, row, ok := ParseGridLabel(label)
		switch {
		case ok && c < b.columns && row < b.rows:
			r.x[i], r.y[i] = GridPosition(c, row, b.columns, b.rows, n.width, n.height, n.settings.Edges)
		case label == "" && math.IsNaN(valueAt(r.level, i)):
		case ok && b.columns > 0:
			b.add(r.sheet.Error(r.cell(i, labelRole, label), fmt.Sprintf("a place of the %d × %d grid, A1 to %s", b.columns, b.rows, GridLabel(b.columns-1, b.rows-1))))
		default:
			b.add(r.sheet.Error(r.cell(i, labelRole, label), "a label such as A1 (row A from the top, column 1 from camera left), or columns x and y"))
		}
	}
	return len(b.errors) == 0
}

// completePlaces fills in the place of rows that give only a label known from
// another row, and leaves out rows with neither place nor level.
func (b *builder) completePlaces(r *rows) bool {
	var known map[string]int
	keep := []bool(nil)
	for i := range r.x {
		if !math.IsNaN(r.x[i]) && !math.IsNaN(r.y[i]) {
			continue
		}
		if known == nil {
			known = map[string]int{}
			for j := range r.label {
				if !math.IsNaN(r.x[j]) && !math.IsNaN(r.y[j]) {
					known[labelKey(r.label[j])] = j
				}
			}
		}
		if r.label != nil && r.label[i] != "" && math.IsNaN(r.x[i]) && math.IsNaN(r.y[i]) {
			if j, ok := known[labelKey(r.label[i])]; ok {
				r.x[i], r.y[i] = r.x[j], r.y[j]
				continue
			}
		}
		if math.IsNaN(valueAt(r.level, i)) && !r.colors.hasAny(i) {
			if keep == nil {
				keep = allTrue(r.n)
			}
			keep[i] = false
			continue
		}
		of := xRole
		if !math.IsNaN(r.x[i]) {
			of = yRole
		}
		b.add(r.sheet.Error(r.cell(i, of, ""), "a position"))
	}
	if keep != nil {
		r.filter(keep)
	}
	return len(b.errors) == 0
}

func allTrue(n int) []bool {
	keep := make([]bool, n)
	for i := range keep {
		keep[i] = true
	}
	return keep
}

func labelKey(label string) string { return strings.ToLower(strings.TrimSpace(label)) }

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
	b.placeX, b.placeY, b.names = r.x, r.y, r.label
	if b.placeOf != nil {
		// Places appear in the order of rows, so that the columns shrink in
		// place.
		b.placeX, b.placeY, b.names = shrunk(r.x, first), shrunk(r.y, first), picked(r.label, first)
	}
	if r.label == nil {
		return true
	}
	b.byLabel = make(map[string]int32, len(b.placeX))
	for i, label := range r.label {
		if label == "" {
			continue
		}
		p := b.place(i)
		if b.names[p] == "" {
			b.names[p] = label
		}
		if at, twice := b.byLabel[labelKey(label)]; twice && at != p {
			b.add(r.sheet.Error(r.cell(i, labelRole, label), fmt.Sprintf("one place for each label; %s stands at (%s, %s) too", label,
				photometry.FormatFigure(b.placeX[at]), photometry.FormatFigure(b.placeY[at]))))
			continue
		}
		b.byLabel[labelKey(label)] = p
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

func (b *builder) place(row int) int32 {
	if b.placeOf == nil {
		return int32(row)
	}
	return b.placeOf[row]
}

// locate finds the places of the rows of a further sheet.
func (b *builder) locate(r *rows) []int32 {
	if r == b.base {
		return b.placeOf
	}
	if r.grid && b.base.grid && r.x != nil && b.base.x != nil {
		w, h := r.places, r.n/r.places
		bw, bh := b.base.places, b.base.n/b.base.places
		if w != bw || h != bh {
			b.add(&table.Error{File: r.sheet.File, Sheet: r.sheet.Name, Line: r.sheet.Header[0].Line, InWords: true,
				Found: fmt.Sprintf("a grid of %d × %d places", w, h), Expected: fmt.Sprintf("the %d × %d places of %s", bw, bh, b.base.sheet.File)})
			return nil
		}
	}
	if r.x == nil && r.y == nil && r.label == nil {
		b.add(&table.Error{File: r.sheet.File, Sheet: r.sheet.Name, Line: r.sheet.Header[0].Line, Found: "readings without places", InWords: true,
			Expected: "the places of " + b.base.sheet.File + ", by x and y or by label"})
		return nil
	}
	if r.label == nil && (r.x == nil) != (r.y == nil) {
		b.onePosition(r)
		return nil
	}
	known := spatial.NewPlaces(b.placeX, b.placeY)
	near := math.Max(0.01, 0.05*known.Spacing())
	places := make([]int32, r.n)
	for i := range places {
		places[i] = -1
		if r.label != nil && b.byLabel != nil {
			if p, ok := b.byLabel[labelKey(r.label[i])]; ok {
				places[i] = p
				continue
			}
		}
		if r.x == nil || r.y == nil || math.IsNaN(r.x[i]) || math.IsNaN(r.y[i]) {
			if r.label != nil && r.x == nil {
				places[i] = b.placeOfGridLabel(r.label[i])
			}
		} else {
			places[i] = known.Closest(r.x[i], r.y[i], near)
		}
		if places[i] < 0 && (!math.IsNaN(valueAt(r.level, i)) || r.colors.hasAny(i)) {
			what := ""
			if r.label != nil {
				what = r.label[i]
			}
			if r.x != nil && r.y != nil {
				what = strings.TrimSpace(what + fmt.Sprintf(" at %s, %s", photometry.FormatFigure(r.x[i]), photometry.FormatFigure(r.y[i])))
			}
			b.add(r.sheet.Error(r.cell(i, xRole, what), "a place that "+b.base.sheet.File+" has too"))
		}
	}
	return places
}

// placeOfGridLabel finds a place of a base without labels by its row and
// column.
func (b *builder) placeOfGridLabel(label string) int32 {
	column, row, ok := ParseGridLabel(label)
	if !ok {
		return -1
	}
	l := spatial.FindLattice(b.placeX, b.placeY)
	if l == nil || column >= len(l.Xs) || row >= len(l.Ys) || !l.Fill(b.placeX, b.placeY) {
		return -1
	}
	return int32(l.At(column, len(l.Ys)-1-row))
}
