package main

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"evenfall/photometry/schema"
	"evenfall/photometry/table"
)

// noteFlag is a flag that stands for a note of a file.
type noteFlag struct {
	flag string
	note schema.Declared
}

// noteFlags are such flags of one command and what was given for them. The zero
// value gives none.
type noteFlags struct {
	flags  []noteFlag
	values []*string
}

// register adds flags to a command, with the help and the values of their notes.
func (n *noteFlags) register(command *cobra.Command, flags ...noteFlag) {
	for _, f := range flags {
		n.flags = append(n.flags, f)
		n.values = append(n.values, command.Flags().String(f.flag, "", flagHelp(f.note.Declaration())))
		if words := strings.Fields(f.note.Declaration().Values); len(words) > 0 {
			must(command.RegisterFlagCompletionFunc(f.flag, cobra.FixedCompletions(words, cobra.ShellCompDirectiveNoFileComp)))
		}
	}
}

// flagHelp is the help of a note with its example, where that is not told already.
func flagHelp(w *schema.Word) string {
	if w.Values != "" || strings.Contains(w.Help, w.Example) {
		return w.Help
	}
	return w.Help + " (" + w.Example + ")"
}

// sources are the notes that were given; plain lengths are in lengthUnit, "" for that of
// the file.
func (n noteFlags) sources(lengthUnit string) (given []*schema.Source) {
	for i, f := range n.flags {
		if value := *n.values[i]; value != "" {
			given = append(given, schema.Flag("--"+f.flag, f.note, value, lengthUnit))
		}
	}
	return given
}

// surfaceNotes are the flags that stand for a note of a surface.
var surfaceNotes = slices.Concat([]noteFlag{{"for", schema.For}, {"reference", schema.ReferenceAt}, {"repeatability", schema.Repeatability}}, judgedNotes, sheetNotes)

// sheetNotes are the flags that answer what a sheet leaves open.
var sheetNotes = slices.Concat(tableNotes, levelNotes, []noteFlag{{"rows", schema.RowsFrom}, {"repeats", schema.RepeatsAre}})

// tableNotes are those of any table, levelNotes those of one with levels.
var (
	tableNotes = []noteFlag{{"sheet", schema.SheetOf}, {"decimal", schema.DecimalSign}, {"length-unit", schema.LengthUnit}}
	levelNotes = []noteFlag{{"column", schema.ColumnOf}, {"level-unit", schema.LevelUnit}, {"leave-out", schema.LeaveOut}}
)

// judgedNotes are those of them that every command has a use for that judges a
// surface.
var judgedNotes = []noteFlag{{"tolerance", schema.Tolerant}, {"color-tolerance", schema.ColorTolerant}, {"area", schema.Area}}

// plainLengths is the unit of plain lengths on the command line, "" for that of the file.
func (a *app) plainLengths() string {
	if a.lengthGiven {
		return a.lengthName
	}
	return ""
}

// sizeNotes are the notes of a surface's size, none for an empty text.
func sizeNotes(size, lengthUnit string) ([]*schema.Source, error) {
	if size == "" {
		return nil, nil
	}
	width, height, err := schema.ParseSize(size, cmp.Or(lengthUnit, "m"))
	if err != nil {
		return nil, fmt.Errorf("--size: %w", err)
	}
	unit := " m"
	if !strings.ContainsAny(strings.ToLower(size), "cfimn'\"″′") && lengthUnit == "" {
		unit = "" // that of the file
	}
	return []*schema.Source{
		schema.Flag("--size", schema.Width, fmt.Sprint(width, unit), ""), schema.Flag("--size", schema.Height, fmt.Sprint(height, unit), ""),
	}, nil
}

// written are the notes that were given as they are written into a file, whose plain
// lengths are in meters.
func (n noteFlags) written(lengthUnit string) (notes []table.Note) {
	for _, source := range n.sources(lengthUnit) {
		note := source.Notes[0]
		note.Value = inUnit(note.Key, note.Value, lengthUnit)
		notes = append(notes, note)
	}
	return notes
}

// inUnit gives the plain numbers of a place or an area the unit that they are in on
// the command line.
func inUnit(note, value, lengthUnit string) string {
	if lengthUnit == "m" || note != schema.Area.Name && note != schema.ReferenceAt.Name {
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
