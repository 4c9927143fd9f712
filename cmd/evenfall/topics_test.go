package main

import (
	"fmt"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"evenfall/photometry/schema"
)

// The README's tables of notes and columns are those that are declared; -update
// writes them.
func TestReadmeTables(t *testing.T) {
	content, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	readme := string(content)
	tables := map[string][]schema.Line{
		"note":   schema.NoteLines(schema.AllFiles),
		"column": schema.ColumnLines(schema.SurveyFile | schema.SeriesFile | schema.RatioFile),
	}
	for _, file := range []schema.File{schema.LampsFile, schema.GelsFile, schema.CamerasFile} {
		tables["column of "+file.String()+".csv"] = ownColumns(file)
	}
	for what, lines := range tables {
		table := regexp.MustCompile(`(?m)^\| ` + regexp.QuoteMeta(what) + ` \|.*\n(\|.*\n)+`)
		switch got, want := table.FindString(readme), markdown(lines, what); {
		case got == "":
			t.Errorf("there is no table of each %s", what)
		case *update:
			readme = strings.Replace(readme, got, want, 1)
		case got != want:
			t.Errorf("the table of %ss is\n%s\nwant (-update writes it)\n%s", what, got, want)
		}
	}
	if *update && readme != string(content) {
		if err := os.WriteFile("../../README.md", []byte(readme), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

// ownColumns are the columns that no other sort of file has.
func ownColumns(file schema.File) []schema.Line {
	return slices.DeleteFunc(schema.ColumnLines(file), func(l schema.Line) bool { return l.In != file })
}

// markdown tells words in a table of a README. Columns of one sort of file have no
// examples.
func markdown(lines []schema.Line, what string) string {
	var b strings.Builder
	head := []string{what, "example", "means", "in"}
	one := !slices.ContainsFunc(lines, func(l schema.Line) bool { return l.Example != "" })
	if one {
		head = []string{what, "means"}
	}
	fmt.Fprintf(&b, "| %s |\n|%s\n", strings.Join(head, " | "), strings.Repeat(" --- |", len(head)))
	for _, l := range lines {
		also := ""
		if l.Also != "" {
			also = " (" + l.Also + ")"
		}
		if one {
			fmt.Fprintf(&b, "| `%s`%s | %s |\n", l.Name, also, l.Help)
			continue
		}
		fmt.Fprintf(&b, "| `%s`%s | `%s` | %s | %s |\n", l.Name, also, l.Example, l.Help, l.In)
	}
	return b.String()
}

// Every flag that stands for a note has the note's help and completes its values.
func TestNoteFlags(t *testing.T) {
	root := (&app{}).root()
	for _, command := range root.Commands() {
		for _, f := range append(append(surfaceNotes[:len(surfaceNotes):len(surfaceNotes)], ratioNotes...), seriesNotes...) {
			flag := command.Flags().Lookup(f.flag)
			if flag == nil || flag.Usage != flagHelp(f.note.Declaration()) {
				continue // another flag of this name, or none
			}
			if complete, ok := command.GetFlagCompletionFunc(f.flag); ok != (f.note.Declaration().Values != "") {
				t.Errorf("%s --%s completes: %v", command.Name(), f.flag, ok)
			} else if ok {
				words, _ := complete(command, nil, "")
				for _, word := range words {
					if err := schema.Check(f.note, string(word)); err != nil {
						t.Errorf("%s --%s completes %q: %v", command.Name(), f.flag, word, err)
					}
				}
			}
		}
	}
}
