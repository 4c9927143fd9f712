package main

import (
	"strings"
	"testing"
	"unicode/utf8"
)

// A program that go run built is in a folder for its work, the second time in the build
// cache, whatever that is called; one that was built to stay is anywhere else.
func TestGoRun(t *testing.T) {
	sum := strings.Repeat("5b", 32)
	for path, want := range map[string]bool{
		"/tmp/go-build3084288345/b001/exe/evenfall":         true,
		`C:\Temp\go-build308\b001\exe\evenfall.exe`:         true,
		"/home/a/.cache/go-build/5b/" + sum + "-d/evenfall": true,
		"/var/cache/ours/5b/" + sum + "-d/evenfall":         true,
		`D:\ours\5b\` + sum + `-d\evenfall.exe`:             true,
		"/usr/local/bin/evenfall":                           false,
		"/home/a/go-builds/evenfall":                        false,
		"/home/a/" + sum[:40] + "-d/evenfall":               false,
		"/home/a/" + sum + "-d/bin/evenfall":                false,
		"/home/a/evenfall/dist/windows/evenfall.exe":        false,
	} {
		if goRun.MatchString(path) != want {
			t.Errorf("%s: go run %v", path, !want)
		}
	}
}

// Where go run built the program, its errors, screens and help say what can be typed there,
// and screens are folded with that.
func TestLinesAsCalled(t *testing.T) {
	t.Chdir(demoFolder(t))
	for _, args := range [][]string{{"match", "cloth.csv"}, {"surface", "cloth.csv"}, {"help", "files"}, {"page", "--help"}} {
		var said strings.Builder
		a := app{stdin: strings.NewReader(""), stdout: &said, stderr: &said, env: []string{"COLUMNS=60", "NO_COLOR=1"}, called: func() string { return "go run ./cmd/evenfall" }}
		a.run(args)
		if text := said.String(); !strings.Contains(text, a.program()+" ") || a.lines().MatchString(text) {
			t.Errorf("%v: lines that cannot be typed as they are:\n%s", args, text)
		}
		for line := range strings.Lines(said.String()) {
			if n := utf8.RuneCountInString(line) - 1; n > 60 && args[0] == "help" && strings.HasPrefix(line, " ") {
				t.Errorf("%v: %d wide: %s", args, n, line)
			}
		}
	}
}

// A signal may come before a command has begun.
func TestToldBeforeItBegins(t *testing.T) {
	var said strings.Builder
	(&app{stderr: &said, called: func() string { return "./evenfall" }}).tellInterrupted()
	if said.String() != "evenfall: interrupted\n" {
		t.Errorf("%q", said.String())
	}
}
