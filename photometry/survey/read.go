package survey

import (
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/schema"
	"evenfall/photometry/sheet"
	"evenfall/photometry/table"
)

// Input is a file to read: its name for messages, and its content.
type Input struct {
	Name   string
	Reader io.Reader
}

// ReadOptions say what a caller knows beside the files.
type ReadOptions struct {
	// Flags are notes of a command line, which count before those in the files.
	Flags []*schema.Source
	// Lamp chooses the readings of one lamp from a file with several.
	Lamp string
	// AllowZero makes a level of zero legal, as for one lamp alone.
	AllowZero bool
}

// Read reads one survey from one or more files of the same places, by rows or
// as grids. A file that is not in the plain form is read as package sheet finds the
// table in it. Errors are table.Errors, all that were found, or a *sheet.Question.
func Read(inputs []Input, options ReadOptions) (*Survey, error) {
	if len(inputs) == 0 {
		return nil, errors.New("no file of readings: expected at least one")
	}
	newNotes := func() *noteSet {
		notes := newNoteSet(schema.SurveyFile, options.Flags)
		notes.onePlace = true
		return notes
	}
	return inEitherForm(inputs, readFile, newNotes, func(read fileReader, inputs []Input, notes *noteSet) (*Survey, error) {
		return readWith(read, inputs, notes, options)
	})
}

// fileReader reads all sheets of one file and takes their notes.
type fileReader func(in Input, notes *noteSet) (read []understoodSheet, warnings []table.Warning, told []photometry.Remark, err error)

func readWith(readFile fileReader, inputs []Input, notes *noteSet, options ReadOptions) (*Survey, error) {
	files := &collector{}
	var understood []understoodSheet
	var warnings []table.Warning
	var reading []photometry.Remark
	for _, in := range inputs {
		more, w, told, err := readFile(in, notes)
		if err := files.take(err); err != nil {
			return nil, inFile(in.Name, err)
		}
		understood, warnings, reading = append(understood, more...), append(warnings, w...), append(reading, told...)
	}
	// The notes of all sheets are known before any level is understood.
	notes.finish(understood...)
	problems := append(files.errors, notes.Errors...)
	if len(understood) == 0 && len(problems) == 0 {
		return nil, fmt.Errorf("%s: found no readings, expected a table of places and levels", inputs[0].Name)
	}
	c := &collector{}
	var sheets []*rows
	var answered []photometry.Finding
	var written []PlaceNote
	for _, u := range understood {
		r := gather(u.sheet, u.layout, notes, c)
		r.takeSpots(u.typed)
		r.nameLamp(c)
		r.checkRoles(c)
		written = append(written, r.notes()...)
		own, left := r.obeyStatus(r.placeName)
		answered, reading = append(answered, own...), append(reading, left...)
		sheets = append(sheets, r)
	}
	sheets, copied := withoutCopies(sheets)
	copied = append(copied, answered...)
	sheets, alone := splitLights(sheets, options.Lamp, c)
	for _, r := range sheets {
		r.checkLevels(options.AllowZero, c)
	}
	for _, lamp := range alone {
		lamp.rows.checkLevels(true, c)
	}
	b := &builder{notes: notes, alone: alone, warnings: append(warnings, notes.Warnings...), reading: reading, copied: copied}
	if problems = append(problems, c.errors...); len(problems) > 0 {
		// Colors are looked at all the same, so that their errors come along.
		for _, r := range sheets {
			for i := range r.n {
				if r.colors.any() {
					b.colorOf(r, i)
				}
			}
		}
		problems = append(problems, b.errors...)
		problems.Sort()
		return nil, problems
	}
	s, more := b.build(sheets)
	if len(more) > 0 {
		more.Sort()
		return nil, more
	}
	s.Notes = written
	for _, u := range understood {
		s.addReadAs(u.typed)
	}
	s.sayPlacing()
	return s, nil
}

// understoodSheet is a sheet and how its readings are laid out.
type understoodSheet struct {
	sheet  *table.Sheet
	layout layout
	typed  *sheet.Table // as it was found in a sheet; nil in the plain form
}

// readFile reads all sheets of one file and takes their notes.
func readFile(in Input, notes *noteSet) (read []understoodSheet, warnings []table.Warning, told []photometry.Remark, err error) {
	var layouts []layout
	choose := func(_ []table.Note, header []table.Cell) ([]table.Want, error) {
		l, err := understand(header)
		if err != nil {
			// A further worksheet that is no table of readings is left alone.
			if len(layouts) > 0 {
				layouts = append(layouts, layout{})
				return nil, table.ErrSkipSheet
			}
			notes.noHeader = notes.noHeader || !errors.Is(err, errUnit)
			return nil, placed(err, in.Name)
		}
		layouts = append(layouts, l)
		return l.wants(header), nil
	}
	sheets, err := table.ReadColumns(in.Reader, in.Name, choose)
	c := &collector{}
	if err := c.take(err); err != nil {
		return nil, nil, nil, err
	}
	kept := layouts[:0]
	for _, l := range layouts {
		if l.grid || len(l.columns) > 0 {
			kept = append(kept, l)
		} else {
			warnings = append(warnings, table.Warning{File: in.Name, Text: "a further worksheet is no table of readings and is left out"})
		}
	}
	for i, sheet := range sheets {
		if i >= len(kept) {
			break
		}
		l := kept[i]
		notes.take(sheet)
		warnings = append(warnings, l.warnings(sheet)...)
		told = append(told, readAs(sheet, schema.SurveyFile, l.unused)...)
		if sheet.Rows == 0 {
			line := 1
			if len(sheet.Header) > 0 {
				line = sheet.Header[0].Line
			}
			c.add(&table.Error{File: sheet.File, Sheet: sheet.Name, Line: line, Found: "a header and no rows", InWords: true, Expected: "at least two readings"})
			continue
		}
		read = append(read, understoodSheet{sheet: sheet, layout: l})
	}
	if anyLeftOpen(read, notes) {
		return nil, nil, nil, errLeftOpen
	}
	return read, warnings, told, c.errors.ErrOrNil()
}

// anyLeftOpen reports whether a sheet of a file can be meant in two ways, or several of
// them have levels of one place: before and after, say.
func anyLeftOpen(read []understoodSheet, notes *noteSet) bool {
	levels := 0
	for _, u := range read {
		if u.leavesOpen(notes) {
			return true
		}
		if u.layout.hasLevels() && !u.ofLamps() {
			levels++
		}
	}
	return notes.onePlace && levels > 1
}

// warnings are those of a sheet, and its columns without a known name.
func (l layout) warnings(sheet *table.Sheet) []table.Warning {
	all := slices.Clone(sheet.Warnings)
	if more := len(l.unknown) - mostUnknown; more > 0 {
		first := l.unknown[mostUnknown]
		first.Text = fmt.Sprintf("and %d more unknown columns are left out", more)
		l.unknown = append(l.unknown[:mostUnknown:mostUnknown], first)
	}
	for _, w := range l.unknown {
		w.File, w.Sheet = sheet.File, sheet.Name
		all = append(all, w)
	}
	return all
}

// readAs says how a sheet was understood: how it is written, what was assumed of
// its header, and which of its columns are not used.
func readAs(sheet *table.Sheet, in schema.File, unused []string) []photometry.Remark {
	all := []photometry.Remark{ofFile(sheet.File, photometry.Found("dialect", "dialect", sheet.Dialect))}
	for _, assumed := range schema.Assumed(in, sheet.Header) {
		all = append(all, ofFile(sheet.File, assumed.Finding))
	}
	if len(unused) > 0 {
		all = append(all, ofFile(sheet.File, photometry.Found("not_used", "columns", strings.Join(unused, ", "), "series", in == schema.SeriesFile)))
	}
	return all
}

// ofFile is what is said of a file.
func ofFile(file string, what photometry.Finding) photometry.Remark {
	return photometry.Remarked("of_file", "file", file, "what", what)
}

// inFile names the file of an error that does not.
func inFile(name string, err error) error {
	var q *sheet.Question
	if errors.As(err, &q) {
		return err
	}
	return fmt.Errorf("%s: %w", name, err)
}

// placed names the file in an error that a header gave.
func placed(err error, file string) error {
	var e *table.Error
	if errors.As(err, &e) && e.File == "" {
		e.File = file
	}
	return err
}

func valueAt(column []float64, i int) float64 {
	if column == nil {
		return math.NaN()
	}
	return column[i]
}

// distinct are the different nonempty texts of a column in order.
func distinct(texts []string) []string {
	var out []string
	seen := map[string]bool{}
	for _, t := range texts {
		if key := strings.ToLower(t); t != "" && !seen[key] {
			seen[key] = true
			out = append(out, t)
		}
	}
	return out
}
