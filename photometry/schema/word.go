package schema

import (
	"strings"

	"evenfall/photometry/table"
)

// File is a sort of file, or several, that a word may be in.
type File uint16

// The sorts of files that people write.
const (
	SurveyFile  File = 1 << iota // readings on a surface
	SeriesFile                   // readings over distance, angle or filters
	RatioFile                    // lights at marks
	LampsFile                    // lamps and what is in front of them
	GelsFile                     // a bag of gels
	CamerasFile                  // cameras against the meter
	SetupFile                    // keys and values of a set-up
	DimmersFile                  // lamps over their dimmers
	ScreenFile                   // light and luminance of a screen at the same places
)

// fileNames are the files in words, in the order of their bits.
var fileNames = []string{"surface", "series", "ratio", "lamps", "gels", "cameras", "setup", "dimmers", "screen"}

// String names the files, with commas between: surface, series.
func (f File) String() string {
	var names []string
	for i, name := range fileNames {
		if f&(1<<i) != 0 {
			names = append(names, name)
		}
	}
	return strings.Join(names, ", ")
}

// Word is the declaration of a note, key or column.
type Word struct {
	Name string // as it is shown to people
	Also string // other names, with commas between
	// Abroad are names in the other languages that sheets come in: German, French,
	// Spanish, Italian and Dutch, without accents, ß as ss.
	Abroad string
	In     File // where it may be
	// Only are names that are valid in some files alone, since they mean something else
	// in others.
	Only    []Names
	Example string
	Help    string // one line; `so` is the word for a value, where it is a flag's
	Values  string // for a shell to complete, with spaces between; "" where anything may be
	OfSheet bool   // each sheet of a survey has its own
	Many    bool   // it may be there several times, also with a number behind its name
}

// Names are further names that are valid in some files.
type Names struct {
	In    File
	Names string // with commas between
}

// Declaration is the word itself, for whatever embeds one.
func (w *Word) Declaration() *Word { return w }

// names are all names of the word in a file but its first.
func (w *Word) names(in File) (names []string) {
	all := []string{w.Also, w.Abroad}
	for _, o := range w.Only {
		if o.In&in != 0 {
			all = append(all, o.Names)
		}
	}
	for _, some := range all {
		if some != "" {
			names = append(names, strings.Split(some, ", ")...)
		}
	}
	return names
}

// field is the word as tables match it.
func (w *Word) field(in File, units []string) table.Field {
	return table.Field{Name: w.Name, Aliases: w.names(in), Units: units}
}

// near is the name that was probably meant by a word that is none of fields: at
// most two letters off and not a whole other word; "" where none is.
func near(fields []table.Field, text string) string {
	if name, edits := table.Nearest(fields, text); edits <= 2 && len(text) > edits+1 {
		return name
	}
	return ""
}
