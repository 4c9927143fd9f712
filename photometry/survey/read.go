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
	return inEitherForm(inputs, newNotes, func(read fileReader, inputs []Input, notes *noteSet) (*Survey, error) {
		return readWith(read, inputs, notes, options)
	})
}

// fileReader reads all sheets of one file and takes their notes.
type fileReader func(in Input, notes *noteSet) (read []understoodSheet, warnings []table.Warning, told []photometry.Remark, err error)

// readAll reads all files, and then their notes: these are known before any level is
// understood. What is wrong so far are the errors of the builder.
func readAll(readFile fileReader, inputs []Input, notes *noteSet) (read []understoodSheet, b *builder, err error) {
	b = &builder{notes: notes}
	for i, in := range inputs {
		sheets, warnings, told, err := readFile(in, notes)
		if err := b.take(err); err != nil {
			return nil, nil, inFile(in.Name, err)
		}
		for _, u := range sheets {
			u.file = i
			read = append(read, u)
		}
		b.warnings, b.reading = append(b.warnings, warnings...), append(b.reading, told...)
	}
	notes.finish(read...)
	b.errors = append(b.errors, notes.Errors...)
	b.warnings = append(b.warnings, notes.Warnings...)
	return read, b, nil
}

// rowsOf are the readings of a sheet, all of one lamp where that is not "", without those
// that somebody said are not to count.
func (b *builder) rowsOf(u understoodSheet, lamp string) *rows {
	r := gather(u.sheet, u.layout, b.notes, &b.collector)
	if u.typed != nil {
		r.typed, r.spots = true, u.typed.Spots
	}
	if lamp != "" {
		r.lamp = slices.Repeat([]string{lamp}, r.n)
	} else {
		r.nameLamp(&b.collector)
	}
	r.checkRoles(&b.collector)
	told, log := r.obeyStatus(r.placeName)
	b.copied, b.reading = append(b.copied, told...), append(b.reading, log...)
	return r
}

func readWith(readFile fileReader, inputs []Input, notes *noteSet, options ReadOptions) (*Survey, error) {
	understood, b, err := readAll(readFile, inputs, notes)
	switch {
	case err != nil:
		return nil, err
	case len(understood) == 0 && len(b.errors) == 0:
		return nil, fmt.Errorf("%s: found no readings, expected a table of places and levels", inputs[0].Name)
	}
	var sheets []*rows
	for _, u := range understood {
		r := b.rowsOf(u, "")
		b.written = append(b.written, r.notes()...)
		sheets = append(sheets, r)
	}
	sheets, copied := withoutCopies(sheets)
	b.copied = append(copied, b.copied...)
	sheets, b.alone = splitLights(sheets, options.Lamp, &b.collector)
	for _, r := range sheets {
		r.checkLevels(options.AllowZero, &b.collector)
	}
	for _, lamp := range b.alone {
		lamp.rows.checkLevels(true, &b.collector)
	}
	if len(b.errors) > 0 {
		// Colors are looked at all the same, so that their errors come along.
		for _, r := range sheets {
			for i := range r.n {
				if r.colors.any() {
					b.colorOf(r, i)
				}
			}
		}
		return nil, b.errors.ErrOrNil()
	}
	s, errs := b.build(sheets)
	if len(errs) > 0 {
		return nil, errs.ErrOrNil()
	}
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
	file   int          // among the inputs
}

// readFile reads the sheets of one file in the plain form and takes their notes. A series
// is one table, a row a reading.
func readFile(in Input, notes *noteSet) (read []understoodSheet, warnings []table.Warning, told []photometry.Remark, err error) {
	series := notes.in == schema.SeriesFile
	var layouts []layout // of the sheets that are read
	further := 0         // sheets that are left alone
	choose := func(_ []table.Note, header []table.Cell) ([]table.Want, error) {
		l, err := understand(notes.in, header)
		switch {
		case len(layouts) > 0 && (series || err != nil):
			further++
			return nil, table.ErrSkipSheet
		case err != nil || series && l.grid:
			notes.noHeader = notes.noHeader || !errors.Is(err, errUnit)
			if series {
				err = seriesHeader(header, err)
			}
			return nil, placed(err, in.Name)
		}
		layouts = append(layouts, l)
		return l.wants(notes.in, header), nil
	}
	sheets, err := table.ReadColumns(in.Reader, in.Name, choose)
	c := &collector{}
	if err := c.take(err); err != nil {
		return nil, nil, nil, err
	}
	if !series {
		warnings = slices.Repeat([]table.Warning{{File: in.Name, Text: "a further worksheet is no table of readings and is left out"}}, further)
	}
	for i, sheet := range sheets {
		l := layouts[i]
		notes.take(sheet)
		warnings = append(warnings, l.warnings(sheet)...)
		told = append(told, readAs(sheet, notes.in, l.unused)...)
		if sheet.Rows == 0 && !series {
			c.add(sheet.Fault("a header and no rows", "at least two readings"))
			continue
		}
		read = append(read, understoodSheet{sheet: sheet, layout: l})
	}
	if series && further > 0 {
		warnings = append(warnings, table.Warning{File: in.Name, Text: "further worksheets are left out: a series is one table"})
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
