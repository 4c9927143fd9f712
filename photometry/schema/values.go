package schema

import (
	"fmt"
	"reflect"
	"slices"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/table"
)

// Source is a place where notes are: a sheet, a flag, a table of keys.
type Source struct {
	File, Sheet string
	Notes       []table.Note
	Dialect     table.Dialect
	// LengthUnit is that of plain lengths; "" leaves it to the note “length unit”, else to
	// FileUnit, that of a flag's file.
	LengthUnit, FileUnit string
	// In is the sort of file that it is, 0 for the one that is being read. What a
	// source of another sort says of other things is its own business.
	In File
	of Declared // of a flag: its note
}

// Sheet is a sheet as a source.
func Sheet(s *table.Sheet) *Source {
	return &Source{File: s.File, Sheet: s.Name, Notes: s.Notes, Dialect: s.Dialect}
}

// Flag is a flag of a command line that is a note; errors name it. Where the
// note says nothing in a file, the flag does not either.
func Flag(name string, n Declared, value, lengthUnit string) *Source {
	return &Source{File: name, Notes: []table.Note{{Key: n.Declaration().Name, Value: value}}, LengthUnit: lengthUnit, Dialect: table.Dialect{Decimal: '.'}, of: n}
}

// Values are what the notes of several sources come to.
type Values struct {
	Errors   table.Errors
	Warnings []table.Warning
	Unknown  []table.Note // that are no words of the file, in order
	FlagUnit string       // what plain lengths of flags are in that nobody gave a unit for, "" for none

	said  map[string][]*saying // by name, the one that counts first
	order []string             // of the names
}

// saying is a note in its place.
type saying struct {
	of     Declared // nil for a key without a meaning
	source *Source
	note   table.Note
	rank   int
	value  any
	err    error
	done   bool
}

// Read takes the notes of a sort of file from sources of several ranks, those that
// count first in front: flags, the file, setup.csv. Within a rank a note may be there
// again with the same value; another value is an error that names both places. What
// a source of a later rank says of a note that an earlier one gives is not looked at.
func Read(in File, ranks ...[]*Source) *Values {
	v := &Values{said: map[string][]*saying{}}
	for rank, sources := range ranks {
		for _, source := range sources {
			for _, note := range source.Notes {
				v.take(in, &saying{source: source, note: note, rank: rank})
			}
		}
	}
	for _, name := range v.order {
		v.settle(name, v.said[name])
	}
	return v
}

// take puts a note under its name.
func (v *Values) take(in File, s *saying) {
	file := in
	if s.source.In != 0 {
		file = s.source.In
	}
	n, unit := s.source.of, ""
	if n == nil {
		n, unit = named(file, s.note.Key)
	}
	name := strings.ToLower(s.note.Key)
	switch {
	case n == nil && file != in || n != nil && n.Declaration().In&in == 0:
		return
	case n == nil:
		v.unknown(in, s)
		if in == SetupFile {
			s.value, s.done = s.note.Value, true
		} else if n, unit = named(SurveyFile, s.note.Key); n == nil {
			return
		} // else what it says has to make sense all the same
	}
	if n != nil {
		s.of, name = n, n.Declaration().Name
	}
	if unit != "" {
		s.note.Value += " " + unit
	}
	if v.said[name] == nil {
		v.order = append(v.order, name)
	}
	v.said[name] = append(v.said[name], s)
}

// unknown says what becomes of a note without a meaning. Keys of setup.csv are for
// people to read as well, so that there only what looks like an error is reported.
func (v *Values) unknown(in File, s *saying) {
	v.Unknown = append(v.Unknown, s.note)
	text := ""
	switch fields := NoteFields(in); {
	case in != SetupFile && Knows(AllFiles, s.note.Key):
		text = "the note “" + s.note.Key + "” has no meaning here and is left out"
	case in != SetupFile:
		nearest, _ := table.Nearest(fields, s.note.Key)
		text = "unknown note “" + s.note.Key + "” is left out; the nearest known one is “" + nearest + "”"
	case near(fields, s.note.Key) != "":
		text = "“" + s.note.Key + "” has no meaning of its own and is kept for people to read; the nearest known key is “" + near(fields, s.note.Key) + "”"
	default:
		return
	}
	v.Warnings = append(v.Warnings, table.Warning{File: s.source.File, Sheet: s.source.Sheet, Line: s.note.Line, Column: s.note.Column, Text: text})
}

// settle reads what is said of a note by the rank that counts.
func (v *Values) settle(name string, all []*saying) {
	var word Word
	if of := all[0].of; of != nil {
		word = *of.Declaration()
	}
	for i, s := range all {
		if s.rank != all[0].rank {
			break
		}
		v.read(s)
		for _, before := range all[:i] {
			if word.Many || word.OfSheet && before.source != s.source || s.err != nil || before.err != nil || reflect.DeepEqual(before.value, s.value) {
				continue
			}
			v.fail(s, fmt.Sprintf("%s once, or the same again; %s says %q", name, before.where(s.source), before.note.Value))
			break
		}
	}
}

// where names the place of a note as seen from another source.
func (s *saying) where(from *Source) string {
	where := fmt.Sprintf("line %d", s.note.Line)
	if s.source != from {
		where += " of " + strings.TrimSpace(s.source.File+" "+s.source.Sheet)
	}
	return where
}

func (v *Values) read(s *saying) {
	if s.done {
		return
	}
	s.done = true
	if s.value, s.err = s.of.read(s.note.Value, Context{values: v, source: s.source}); s.err != nil {
		v.fail(s, Expected(s.err))
	}
}

func (v *Values) fail(s *saying, expected string) { v.Errors = append(v.Errors, s.error(expected)) }

func (s *saying) error(expected string) *table.Error {
	return &table.Error{File: s.source.File, Sheet: s.source.Sheet, Line: s.note.Line, Column: s.note.Column, Found: s.note.Value, Expected: expected}
}

// first is what counts of a note, nil where nobody gives it.
func (v *Values) first(n Declared) *saying {
	if all := v.said[n.Declaration().Name]; len(all) > 0 {
		return all[0]
	}
	return nil
}

// Get is the value of a note; false where nobody gives it, or where it cannot be
// read, which is one of the errors.
func Get[T any](v *Values, n *Note[T]) (value T, ok bool) {
	s := v.first(n)
	if s == nil {
		return value, false
	}
	if v.read(s); s.err != nil {
		return value, false
	}
	return s.value.(T), true
}

// Put sets to where a note is given and can be read.
func Put[T any](v *Values, n *Note[T], to *T) {
	if value, ok := Get(v, n); ok {
		*to = value
	}
}

// All are the values of a note that may be there several times.
func All[T any](v *Values, n *Note[T]) (values []T) {
	for _, s := range v.said[n.Name] {
		if v.read(s); s.err == nil {
			values = append(values, s.value.(T))
		}
	}
	return values
}

// Taken is who took the readings, and where, by all that say so.
func Taken(v *Values) photometry.Taken {
	each := func(n *Note[string]) string { return strings.Join(slices.Compact(All(v, n)), ", ") }
	return photometry.Taken{Operator: each(Operator), Location: each(Location)}
}

// Given reports whether anybody gives a note, even one that cannot be read.
func (v *Values) Given(n Declared) bool { return v.first(n) != nil }

// SizeUnit is ft or in where the surface's width is written in it, "" elsewhere.
func (v *Values) SizeUnit() string {
	for _, width := range v.said["width"] {
		switch unit := strings.TrimLeft(strings.ToLower(width.note.Value), " 0123456789.,+"); {
		case strings.HasPrefix(unit, "f"), strings.HasPrefix(unit, "'"):
			return "ft"
		case strings.HasPrefix(unit, "in"), strings.HasPrefix(unit, "\""):
			return "in"
		case unit != "":
			return ""
		}
	}
	return ""
}

// From is the file or flag that a note is from, and its value as it was written;
// both "" where nobody gives it.
func (v *Values) From(n Declared) (file, text string) {
	if s := v.first(n); s != nil {
		return s.source.File, s.note.Value
	}
	return "", ""
}

// ErrorAt is an error at a note that makes no sense beside the rest of its file. It
// panics where nobody gives the note.
func (v *Values) ErrorAt(n Declared, expected string) *table.Error { return v.first(n).error(expected) }

// Text is what the notes of a file say under any name of a note, "" for nothing.
func Text(in File, notes []table.Note, of Declared) string {
	for _, note := range notes {
		if n, _ := named(in, note.Key); n == of {
			return note.Value
		}
	}
	return ""
}

// ReadAt is what the meter was set to when f-numbers and EV were read: as notes of its
// own say, else like the camera, its shutter at 180° where only a frame rate is given.
// Zero is not known.
func (v *Values) ReadAt() (iso, shutterS float64) {
	Put(v, ISO, &iso)
	Put(v, MeterISO, &iso)
	if rate, ok := Get(v, FrameRate); ok && !v.Given(Shutter) {
		shutterS = photometry.ShutterFromAngle(180, rate)
	}
	Put(v, Shutter, &shutterS)
	Put(v, MeterShutter, &shutterS)
	return iso, shutterS
}

// Leave takes out the notes that errors are about.
func (s *Source) Leave(errs table.Errors) {
	s.Notes = slices.DeleteFunc(s.Notes, func(n table.Note) bool {
		return slices.ContainsFunc(errs, func(e *table.Error) bool { return e.Line == n.Line && e.Column == n.Column })
	})
}
