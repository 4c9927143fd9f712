package main

import (
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"evenfall/photometry/schema"
	"evenfall/photometry/tolerance"
)

// Help tells every note and column that is declared, and every sort of file and kind of
// surface.
func TestHelpTellsAll(t *testing.T) {
	told := func(topic string) string {
		out, _ := runIn(t, "", "help", topic)
		return out
	}
	holds := func(topic, text, word string) {
		if !strings.Contains(text, "\n"+word+" ") {
			t.Errorf("help %s does not tell %q", topic, word)
		}
	}
	notes, columns, files, verdicts := told("notes"), told("columns"), told("files"), told("verdicts")
	for _, l := range schema.NoteLines(schema.AllFiles) {
		holds("notes", notes, l.Name)
	}
	for _, file := range schema.AllFiles.Files() {
		if fileHelp[file] == "" {
			t.Errorf("help files says nothing of %s", file)
		}
		holds("files", files, file.String())
		for _, l := range schema.ColumnLines(file) {
			holds("columns", columns, l.Name)
		}
	}
	for _, k := range tolerance.Kinds {
		holds("verdicts", verdicts, k.Name)
	}
}

// What a sheet may be asked is answered by a flag of surface and by a note of the same
// name.
func TestQuestionsHaveAnswers(t *testing.T) {
	command := (&app{}).surfaceCommand()
	for _, q := range questions {
		if command.Flags().Lookup(q.flag) == nil {
			t.Errorf("surface has no flag --%s", q.flag)
		}
		if !slices.ContainsFunc(schema.NoteLines(schema.SurveyFile), func(l schema.Line) bool { return l.Name == strings.ReplaceAll(q.flag, "-", " ") }) {
			t.Errorf("there is no note of the name of --%s", q.flag)
		}
	}
}

// The README can be read in one sitting, its pictures are there, and it names every
// command.
func TestReadmeIsShort(t *testing.T) {
	content, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	if lines := strings.Count(string(content), "\n"); lines > 250 {
		t.Errorf("%d lines, at most 250", lines)
	}
	for _, link := range regexp.MustCompile(`\]\(([^)]+)\)`).FindAllStringSubmatch(string(content), -1) {
		if _, err := os.Stat(filepath.Join("..", "..", link[1])); err != nil {
			t.Error(err)
		}
	}
	for _, c := range (&app{}).root().Commands() {
		if c.Name() != "help" && !strings.Contains(string(content), "evenfall "+c.Name()) && !strings.Contains(string(content), "`"+c.Name()+"`") && !strings.Contains(string(content), "help "+c.Name()) {
			t.Errorf("the README does not name %s", c.Name())
		}
	}
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
