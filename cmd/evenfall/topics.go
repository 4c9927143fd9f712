package main

import (
	"strings"

	"github.com/spf13/cobra"

	"evenfall/photometry/schema"
	"evenfall/plots/document"
)

// topics are what help tells beside the commands, from the words that are declared.
func (a *app) topics() []*cobra.Command {
	return []*cobra.Command{
		a.topic("files", "Sorts of files, sheets as people type them, and what they are asked", filesTold),
		a.topic("notes", "Notes of files, keys of setup.csv, and flags that stand for them", notesTold),
		a.topic("columns", "Columns of files", columnsTold),
		a.topic("folder", "What a folder may hold, and how it is read", folderTold),
		a.topic("verdicts", "PASS, FAIL, UNSURE, exit statuses and usual tolerances", verdictsTold),
		a.topic("safety", "Cautions for people who rig and read lights", safetyTold),
	}
}

// topic is a command that only help knows.
func (a *app) topic(name, short string, tell func(d *document.Document)) *cobra.Command {
	c := &cobra.Command{Use: name, Short: short, Long: short}
	c.SetHelpFunc(func(*cobra.Command, []string) {
		d := document.New(a.words())
		tell(d)
		must(a.show(d))
	})
	return c
}

func notesTold(d *document.Document) {
	d.Line("notes", "Notes stand above a table, one a line: # key: value. Keys of setup.csv and flags of the same names mean the same.",
		"A flag counts before a file, and a file before setup.csv. Plain lengths are in meters, those of flags in the unit of --length.")
	d.Gap()
	d.Add(told(schema.NoteLines(schema.AllFiles), true))
}

// columnsTold tells the columns of each sort of file; those of a series are among
// those of a surface.
func columnsTold(d *document.Document) {
	d.Line("columns", "Columns stand in any order and case, a unit in brackets or behind the name: x (m), x [m], x_m.",
		"Names in German, French, Spanish, Italian and Dutch are known too.")
	for _, file := range (schema.AllFiles &^ schema.SeriesFile).Files() {
		if file == schema.SurveyFile {
			file |= schema.SeriesFile
		}
		d.Gap()
		d.Add(document.Heading{Title: file.String()}, told(schema.ColumnLines(file), false))
	}
}

// told are words with what they mean beside them.
func told(words []schema.Line, where bool) (lines document.Lines) {
	for _, w := range words {
		parts := []string{w.Help}
		if w.Example != "" {
			parts[0] += " (" + w.Example + ")"
		}
		if w.Also != "" {
			parts = append(parts, "also "+w.Also)
		}
		if where {
			parts = append(parts, "in "+w.In.String())
		}
		lines = append(lines, document.Line{Key: w.Name, Texts: []string{strings.Join(parts, "; ")}})
	}
	return lines
}
