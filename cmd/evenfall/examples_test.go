package main

import (
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"testing/fstest"

	"github.com/spf13/cobra"
)

// words splits a command line at spaces, with double and single quotes as in a
// shell.
func words(line string) []string {
	var out []string
	var word strings.Builder
	var quote rune
	started := false
	for _, r := range line {
		switch {
		case quote != 0 && r == quote:
			quote = 0
		case quote == 0 && (r == '"' || r == '\''):
			quote, started = r, true
		case quote == 0 && r == ' ':
			if started || word.Len() > 0 {
				out = append(out, word.String())
			}
			word.Reset()
			started = false
		default:
			word.WriteRune(r)
		}
	}
	if started || word.Len() > 0 {
		out = append(out, word.String())
	}
	return out
}

// demoFolder is a folder with the demo's files to stand in: the demo runs once for all
// tests, and each has a copy.
func demoFolder(t *testing.T) string {
	t.Helper()
	folder := t.TempDir()
	if err := os.CopyFS(folder, ranDemo()); err != nil {
		t.Fatal(err)
	}
	return folder
}

// ranDemo are the files of the demo, as it leaves them.
var ranDemo = sync.OnceValue(func() fs.FS {
	folder, err := os.MkdirTemp("", "demo")
	must(err)
	defer os.RemoveAll(folder)
	var said strings.Builder
	a := app{stdin: strings.NewReader(""), stdout: &said, stderr: &said, env: []string{"COLUMNS=80", "NO_COLOR=1", "LANG=C.UTF-8"}}
	if status := a.run([]string{"demo", folder, "--all"}); status != exitDone {
		panic(fmt.Sprintf("demo: status %d\n%s", status, said.String()))
	}
	files := fstest.MapFS{}
	entries, err := os.ReadDir(folder)
	must(err)
	for _, e := range entries {
		content, err := os.ReadFile(filepath.Join(folder, e.Name()))
		must(err)
		files[e.Name()] = &fstest.MapFile{Data: content, Mode: 0o666}
	}
	return files
})

// TestHelpExamples runs every example of every --help in the demo's folder, so
// that none can go stale. The demo with all of its pictures, which takes longest, is run for
// that folder and in testdata/script/demo.txtar, and its examples are only parsed.
func TestHelpExamples(t *testing.T) {
	t.Chdir(demoFolder(t))
	a := app{}
	root := a.root()
	ran := 0
	for _, command := range append(root.Commands(), root) {
		if command.Hidden || command.Name() == "help" || command.Name() == "completion" {
			continue
		}
		if slices.ContainsFunc(a.topics(), func(topic *cobra.Command) bool { return topic.Name() == command.Name() }) {
			continue // text alone, held in topics_test.go
		}
		if command.Long == "" || command.Example == "" {
			t.Errorf("%s: no paragraph or no example in --help", command.Name())
		}
		for line := range strings.Lines(command.Example) {
			args := words(strings.TrimSpace(line))
			if len(args) == 0 {
				continue
			}
			if args[0] != "evenfall" {
				t.Errorf("%s: example %q does not start with evenfall", command.Name(), line)
				continue
			}
			if command.Name() == "page" {
				if out, told, status := servedUntilSaid(t, args[1:]...); status != exitDone || !strings.HasPrefix(out, "http://") {
					t.Errorf("%s: example %q: status %d\n%s%s", command.Name(), strings.TrimSpace(line), status, out, told)
				}
				ran++
				continue
			}
			if args[1] == "demo" && slices.Contains(args, "--all") {
				if err := parses("", args[1:]); err != nil {
					t.Errorf("%s: example %q: %v", command.Name(), strings.TrimSpace(line), err)
				}
				ran++
				continue
			}
			if out, status := runIn(t, "", args[1:]...); status == exitNothing || out == "" {
				t.Errorf("%s: example %q: status %d\n%s", command.Name(), strings.TrimSpace(line), status, out)
			}
			ran++
		}
	}
	if ran < 8 {
		t.Errorf("%d examples ran", ran)
	}
}

// Every flag says what it wants.
func TestFlagsAreExplained(t *testing.T) {
	a := app{}
	var visit func(*cobra.Command)
	visit = func(c *cobra.Command) {
		if c.Short == "" {
			t.Errorf("%s has no short text", c.CommandPath())
		}
		for _, inner := range c.Commands() {
			visit(inner)
		}
	}
	visit(a.root())
}

// TestReadme runs the commands of README.md in an empty folder and compares
// what they print with what the README shows. A block ```csv NAME is a file; a
// block ```console has command lines after "$ " and their output.
func TestReadme(t *testing.T) {
	content, err := os.ReadFile(filepath.Join("..", "..", "README.md"))
	if err != nil {
		t.Fatal(err)
	}
	readme := strings.ReplaceAll(string(content), "\r\n", "\n")
	t.Chdir(demoFolder(t))
	files, commands := 0, 0
	for _, block := range fenced(readme) {
		switch kind, name, _ := strings.Cut(block.info, " "); kind {
		case "csv":
			if err := os.MkdirAll(filepath.Dir(name), 0o777); err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(name, []byte(block.text), 0o666); err != nil {
				t.Fatal(err)
			}
			files++
		case "console":
			for _, step := range strings.Split("\n"+block.text, "\n$ ")[1:] {
				line, want, _ := strings.Cut(step, "\n")
				args := words(line)
				if args[0] != "evenfall" {
					t.Errorf("README: %q is not a command of this program", line)
					continue
				}
				got, _ := runIn(t, "", args[1:]...)
				if strings.TrimRight(got, "\n") != strings.TrimRight(want, "\n") {
					t.Errorf("README: %s prints\n%s\nthe README shows\n%s", line, got, want)
				}
				commands++
			}
		}
	}
	if files == 0 || commands == 0 {
		t.Errorf("README has %d files and %d commands to run", files, commands)
	}
}

type block struct{ info, text string }

// fenced are the fenced blocks of a Markdown text.
func fenced(text string) []block {
	var out []block
	var open *block
	for line := range strings.Lines(text) {
		switch {
		case strings.HasPrefix(line, "```") && open == nil:
			open = &block{info: strings.TrimSpace(strings.TrimPrefix(line, "```"))}
		case strings.HasPrefix(line, "```"):
			out = append(out, *open)
			open = nil
		case open != nil:
			open.text += line
		}
	}
	return out
}
