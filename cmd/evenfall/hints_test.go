package main

import (
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
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
