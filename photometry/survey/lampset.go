package survey

import (
	"fmt"
	"math"
	"path/filepath"
	"slices"
	"strings"

	"gonum.org/v1/gonum/stat"

	"evenfall/photometry/colorimetry"
	"evenfall/photometry/drift"
	"evenfall/photometry/schema"
	"evenfall/photometry/sheet"
	"evenfall/photometry/table"
	"evenfall/photometry/uncertainty"
)

// AmbientName is what the light that no lamp makes is called, in any case: as
// the lamp of readings, and in results.
const AmbientName = "ambient"

// LampInput is a file with readings of lamps alone. Where Lamp is set, all of
// the file's readings are of it, whatever the file says.
type LampInput struct {
	Input
	Lamp string
}

// LampSet is what each lamp alone does on one surface, at all of its places or
// at some.
type LampSet struct {
	// Surface has the places, the notes and the levels of all lamps together:
	// as they were read where Together is set, else the sum of the lamps.
	Surface  *Survey
	Together bool
	// Maps are the lamps in the order in which they first come; ambient light,
	// where it was read, is one of them.
	Maps []LampMap
	// OneSided are how many readings, of all lamps together or of one, are known only to
	// one side (over or under range). They are in no map, so nothing passes with them.
	OneSided int
	// Open are how many readings of a lamp alone claim to be the first one of their place,
	// of which nobody said yet which counts. They are in no map either.
	Open int

	squares float64 // of repeats about their means, stops²
	nu      int     // their degrees of freedom
	drift   float64 // stops that taking out a drift adds, as in noiseModel
}

// LampMap is one lamp alone: columns beside the points of the set's Surface.
type LampMap struct {
	Name string
	// Level is zero or more in the SI unit of the surface's quantity, and NaN at
	// the points where the lamp was not read. A point read several times has the
	// mean; a significant drift is taken out.
	Level   []float64
	Repeats []int32   // readings behind each level; nil is one each
	U, V    []float64 // CIE 1976 u′, v′; nil without color, NaN where there is none
	Read    int       // points read
	DuvRead bool
	// Suspects are the lamp's readings that look like data-entry errors; Point is that of
	// the surface.
	Suspects []Suspect
	Drift    *drift.Drift
}

// Ambient reports whether the map is of the light that no lamp makes.
func (m *LampMap) Ambient() bool { return strings.EqualFold(m.Name, AmbientName) }

// Color is the color of all of the lamp's light that was read with one, mixed;
// ok is false where there is none or it is no white.
func (m *LampMap) Color() (light colorimetry.CCT, ok bool) {
	return whiteOf(m.Mixed())
}

// Mixed is all of the lamp's light that was read with a color, 0 for none.
func (m *LampMap) Mixed() colorimetry.XYZ { return mixed(m.Level, m.U, m.V) }

// WithoutSuspects is the map's levels, NaN where the reading is suspect.
func (m *LampMap) WithoutSuspects() []float64 {
	level := slices.Clone(m.Level)
	for _, x := range m.Suspects {
		level[x.Point] = math.NaN()
	}
	return level
}

// Filled is the map's levels with their mean where it was not read, and that mean,
// for light that comes from far and runs smoothly, such as ambient light.
func (m *LampMap) Filled() (level []float64, mean float64) {
	level = slices.Clone(m.Level)
	mean = stat.Mean(slices.DeleteFunc(slices.Clone(level), math.IsNaN), nil)
	for i, v := range level {
		if math.IsNaN(v) {
			level[i] = mean
		}
	}
	return level, mean
}

// ReadLampSet reads what lamps do alone: a map of each lamp, or one map of all
// lamps together and each lamp alone at some of its places.
//
// Whose a reading is says its row's lamp cell, or the file's lamp note; an empty
// cell or the word all is all lamps together. A file that says nothing is the
// lamp of its own name (of the sheet's, where a workbook has several). Only where
// other files name their lamps and this one is what is missing, a map of all
// together beside lamps that were read at a few places, or one that the lamps'
// maps add up to, it is that; Surface.Inferred or Surface.Warnings says so.
//
// Places are joined by label, else by position. Without a map of all lamps
// together only the places count that every lamp was read at; ambient light may
// have been read at fewer.
//
// A file that is not in the plain form is read as package sheet finds the tables in it,
// where a column of levels or a table may be of one lamp.
func ReadLampSet(inputs []LampInput, options ReadOptions) (*LampSet, error) {
	if len(inputs) == 0 {
		return nil, fmt.Errorf("no file of readings: expected readings of each lamp alone")
	}
	files := make([]Input, len(inputs))
	for i, in := range inputs {
		files[i] = in.Input
	}
	newNotes := func() *noteSet { return newNoteSet(schema.SurveyFile, options.Flags) }
	return inEitherForm(files, newNotes, func(read fileReader, files []Input, notes *noteSet) (*LampSet, error) {
		b, parts, as, err := readLampSheets(read, files, inputs, notes)
		if err != nil {
			return nil, err
		}
		set, more := b.assign(partLights(parts))
		if len(more) > 0 {
			more.Sort()
			return nil, more
		}
		if set == nil {
			return nil, fmt.Errorf("%s: found all lamps together only, expected each lamp alone (a lamp column, a lamp note, or a file for each)", inputs[0].Name)
		}
		for _, t := range as {
			set.Surface.addReadAs(t)
		}
		return set, nil
	})
}

// lampPart are rows of one sheet with the file that they came in.
type lampPart struct {
	rows *rows
	name string // of the file or sheet, where the rows name no lamp
}

// readLampSheets reads all files into rows, and how each was read; levels of zero are legal
// in them. Files are those of inputs at their start.
func readLampSheets(readFile fileReader, files []Input, inputs []LampInput, notes *noteSet) (b *builder, parts []lampPart, as []*sheet.Table, err error) {
	sheets, b, err := readAll(readFile, files, notes)
	if err != nil {
		return nil, nil, nil, err
	}
	withLevels := make([]int, len(files)) // sheets of each
	for _, u := range sheets {
		if u.layout.hasLevels() {
			withLevels[u.file]++
		}
	}
	for _, u := range sheets {
		in := inputs[u.file]
		as = append(as, u.typed)
		name := strings.TrimSuffix(filepath.Base(in.Name), filepath.Ext(in.Name))
		if withLevels[u.file] > 1 && u.sheet.Name != "" {
			name = u.sheet.Name
		}
		r := b.rowsOf(u, in.Lamp)
		r.checkLevels(true, &b.collector)
		for _, note := range r.notes() {
			if r.lamp == nil {
				note.Place += ", " + name
			}
			b.written = append(b.written, note)
		}
		parts = append(parts, lampPart{r, name})
	}
	if err := b.errors.ErrOrNil(); err != nil {
		return nil, nil, nil, err
	}
	parts = b.withoutCopies(parts)
	if len(parts) == 0 {
		return nil, nil, nil, fmt.Errorf("%s: found no readings, expected a table of places and levels", inputs[0].Name)
	}
	return b, parts, as, nil
}

// withoutCopies leaves out what is a copy. Files of few readings may be of two lamps
// that are alike, whose names are those of the files.
func (b *builder) withoutCopies(parts []lampPart) (kept []lampPart) {
	all := make([]*rows, len(parts))
	for i, p := range parts {
		all[i] = p.rows
	}
	copied, told := copiedLines(all, table.FewestCopied)
	b.copied = append(b.copied, told...)
	for i, p := range parts {
		if p.rows = p.rows.withoutLines(copied[i]); p.rows.n > 0 {
			kept = append(kept, p)
		}
	}
	return kept
}

// hasLevels reports whether a sheet has levels, and not only color.
func (l layout) hasLevels() bool {
	if l.grid {
		return l.quantity.role == schema.AnyLevel
	}
	return slices.ContainsFunc(l.columns, func(c column) bool { return c.role == schema.AnyLevel })
}

// anythingRead reports whether any row has a level or a color.
func (r *rows) anythingRead() bool {
	for i := range r.n {
		if !math.IsNaN(valueAt(r.level, i)) || r.colors.hasAny(i) {
			return true
		}
	}
	return false
}

// Judgeable is the part of the surface's points that decides: those in the
// area in shot, or all, less the ones that are left out.
func (l *LampSet) Judgeable(left []bool) []int {
	s := l.Surface
	var out []int
	for i := range s.Len() {
		if (left == nil || !left[i]) && s.InShot(s.X[i], s.Y[i]) {
			out = append(out, i)
		}
	}
	return out
}

// Lamps are the maps of all lamps, and of no ambient light.
func (l *LampSet) Lamps() (lamps []*LampMap) {
	for k := range l.Maps {
		if m := &l.Maps[k]; !m.Ambient() {
			lamps = append(lamps, m)
		}
	}
	return lamps
}

// Find returns the map of a lamp by its name in any case, nil where there is
// none.
func (l *LampSet) Find(name string) *LampMap {
	for k := range l.Maps {
		if strings.EqualFold(l.Maps[k].Name, strings.TrimSpace(name)) {
			return &l.Maps[k]
		}
	}
	return nil
}

// Noise is how single readings of the set scatter, as Analyze settles it.
func (l *LampSet) Noise() uncertainty.Noise {
	_, told := l.Scatter()
	return told
}

// Scatter is how single readings of the set scatter, with what taking out a drift
// adds.
func (l *LampSet) Scatter() ([]uncertainty.Model, uncertainty.Noise) {
	models, told := l.Surface.noise(l.squares, l.nu)
	for i := range models {
		models[i].Drift = l.drift
	}
	return models, told
}
