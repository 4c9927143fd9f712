package main

import (
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/txtar"
)

// A flag that a screen, an error or JSON tells to type is one of the command that it is told
// to be typed with: the one named before it, else the one that was run.
func TestHintsAreFlags(t *testing.T) {
	goldens, _ := filepath.Glob("testdata/frozen/*.golden")
	hint := regexp.MustCompile(`evenfall ([a-z]+)\b|(unknown flag: |found “?"?)?--([a-z][a-z-]+)`)
	root, hints := (&app{}).root(), 0
	for _, golden := range goldens {
		content, err := os.ReadFile(golden)
		if err != nil {
			t.Fatal(err)
		}
		for i, run := range strings.Split("\n"+string(content), "\n=== ") {
			line, body, _ := strings.Cut(run, "\n")
			words := strings.Fields(line)
			if i == 0 || len(words) < 2 || slices.Contains(words, "help") || slices.Contains(words, "--help") {
				continue
			}
			ran := words[1]
			for paragraph := range strings.SplitSeq(body, "\n") {
				of := ran
				for _, m := range hint.FindAllStringSubmatch(paragraph, -1) {
					if m[1] != "" {
						of = m[1]
					}
					if m[3] == "" || m[2] != "" || slices.Contains(words, "--"+m[3]) || m[3] == "help" {
						continue
					}
					command, _, err := root.Find([]string{of})
					if err != nil || command.Flags().Lookup(m[3]) == nil && root.PersistentFlags().Lookup(m[3]) == nil {
						t.Errorf("%s, %q: --%s is no flag of %s: %s", filepath.Base(golden), line, m[3], of, paragraph)
					}
					hints++
				}
			}
		}
	}
	if hints < 20 {
		t.Errorf("%d hints looked at", hints)
	}
}

// proposed finds command lines that a screen or an error says to type: those behind “type:”,
// and those with what they are for in brackets.
var proposed = regexp.MustCompile(`type: evenfall ([^\n]+)|evenfall ([^()“”\n]+?) \((?:the few|what reaches|read again|to hand over)`)

// Every command line that is proposed parses, and the files that it names are there.
func TestProposedCommandsParse(t *testing.T) {
	groups, _ := filepath.Glob("testdata/frozen/*.golden")
	seen := map[string]bool{}
	for _, golden := range groups {
		content, err := os.ReadFile(golden)
		if err != nil {
			t.Fatal(err)
		}
		archive, err := txtar.ParseFile(strings.TrimSuffix(golden, ".golden") + ".txtar")
		if err != nil {
			t.Fatal(err)
		}
		folder := t.TempDir()
		if err := frozenFiles(folder, archive); err != nil {
			t.Fatal(err)
		}
		onOneLine := regexp.MustCompile(`\n {11}`).ReplaceAllString(string(content), " ")
		for _, m := range proposed.FindAllStringSubmatch(onOneLine, -1) {
			line := m[1] + m[2]
			if key := golden + line; !seen[key] {
				seen[key] = true
				if err := parses(folder, words(line)); err != nil {
					t.Errorf("%s: evenfall %s: %v", filepath.Base(golden), line, err)
				}
			}
		}
	}
	start, _ := runIn(t, "")
	for line := range strings.Lines(start) {
		if typed, ok := strings.CutPrefix(line, "  evenfall "); ok {
			typed, _, _ = strings.Cut(typed, "  ")
			seen[typed] = true
			if err := parses("", words(typed)); err != nil {
				t.Errorf("the start: %s: %v", typed, err)
			}
		}
	}
	if len(seen) < 30 {
		t.Errorf("%d command lines looked at", len(seen))
	}
}

// parses says what is wrong with a command line whose files are in a folder, if any is.
func parses(folder string, args []string) error {
	command, rest, err := (&app{}).root().Find(args)
	if err == nil {
		err = command.ParseFlags(rest)
	}
	if err == nil {
		err = command.ValidateArgs(command.Flags().Args())
	}
	for _, name := range command.Flags().Args() {
		if _, missing := os.Stat(filepath.Join(folder, name)); err == nil && folder != "" {
			err = missing
		}
	}
	return err
}
