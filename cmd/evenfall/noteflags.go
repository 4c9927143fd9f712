package main

import (
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/pflag"

	"evenfall/photometry/survey"
	"evenfall/photometry/table"
)

// noteFlag is a flag that stands for a note of a file.
type noteFlag struct{ flag, note, help string }

// noteFlags are such flags of one command and what was given for them. The zero
// value gives none.
type noteFlags struct {
	flags  []noteFlag
	values []*string
}

// register adds flags to a command.
func (n *noteFlags) register(to *pflag.FlagSet, flags ...noteFlag) {
	for _, f := range flags {
		n.flags = append(n.flags, f)
		n.values = append(n.values, to.String(f.flag, "", f.help))
	}
}

// given are the notes, in the order of the flags; plain numbers of a place or an
// area are in lengthUnit.
func (n noteFlags) given(lengthUnit string) (notes []table.Note) {
	for i, f := range n.flags {
		if value := *n.values[i]; value != "" {
			notes = append(notes, table.Note{Key: f.note, Value: inUnit(f.note, value, lengthUnit)})
		}
	}
	return notes
}

// flagOf names the flag that stands for a note.
func (n noteFlags) flagOf(note string) string {
	if i := slices.IndexFunc(n.flags, func(f noteFlag) bool { return f.note == note }); i >= 0 {
		return "--" + n.flags[i].flag
	}
	return ""
}

// surfaceNotes are the flags that stand for a note of a surface, with an example
// each.
var surfaceNotes = []noteFlag{
	{"for", "for", "kind of `surface`: screen, cyc, backdrop, artwork, table or face"},
	{"tolerance", "tolerance", "evenness asked for, `stops` in all (0.5 stop) or each side (±1/4 stop)"},
	{"color-tolerance", "color tolerance", "color asked for, such as `\"10 mired, 0.003 Duv\"`"},
	{"area", "area", "the part in shot as `x0,y0,x1,y1`"},
	{"reference", "reference", "the reference `place`, a label or x,y"},
	{"repeatability", "repeatability", "of one reading to the next in `percent`, such as 1.5%"},
}

// surfaceNotesOf are those of them that a command has a use for.
func surfaceNotesOf(notes ...string) []noteFlag {
	return slices.DeleteFunc(slices.Clone(surfaceNotes), func(f noteFlag) bool { return !slices.Contains(notes, f.note) })
}

// sizeNotes are the notes of a surface's size, none for an empty text.
func sizeNotes(size, lengthUnit string) ([]table.Note, error) {
	if size == "" {
		return nil, nil
	}
	width, height, err := survey.ParseSize(size, lengthUnit)
	if err != nil {
		return nil, fmt.Errorf("--size: %w", err)
	}
	return []table.Note{{Key: "width", Value: fmt.Sprintf("%v m", width)}, {Key: "height", Value: fmt.Sprintf("%v m", height)}}, nil
}

// inUnit gives the plain numbers of a place or an area on the command line the
// unit of lengths there, since notes are in meters.
func inUnit(note, value, lengthUnit string) string {
	if lengthUnit == "m" || note != "area" && note != "reference" {
		return value
	}
	parts := strings.Split(value, ",")
	for i, part := range parts {
		if _, err := table.ParseNumber(part); err != nil {
			return value // a label, or with units of its own
		}
		parts[i] = strings.TrimSpace(part) + " " + lengthUnit
	}
	return strings.Join(parts, ",")
}
