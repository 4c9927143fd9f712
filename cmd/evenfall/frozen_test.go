package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io/fs"
	"maps"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"runtime"
	"slices"
	"strings"
	"sync"
	"testing"

	"github.com/rogpeppe/go-internal/diff"
	"github.com/rogpeppe/go-internal/txtar"

	"evenfall/cmd/evenfall/demo"
	"evenfall/cmd/evenfall/outfile"
)

// What people and tools rely on is frozen in testdata/frozen: NAME.txtar has the
// command lines and their files, NAME.golden what they give. A line of commands
// starts with how much of them is held:
//
//	all     the screen at three widths, in both units, with and without --full; JSON
//	once    the screen at 80 columns, and JSON
//	run     the screen at 80 columns; "<FILE" before the command is its standard input
//	writes  a file that the command writes to OUT, whole
//	draws   the pictures that it draws as SVG: their words, and a checksum of each
//
// Everything is held to the letter with exit status and standard error, but for
// numbers of JSON, which are held to 1e-9.

// frozenView is one way to look at a result.
type frozenView struct {
	name, columns string
	flags         []string
}

var (
	frozenJSON  = frozenView{"JSON", "80", []string{"--json"}}
	frozenPlain = frozenView{"80", "80", nil}
	frozenAll   = []frozenView{frozenPlain, {"40", "40", nil}, {"120", "120", nil}, {"80 fc ft", "80", []string{"--unit", "fc", "--length", "ft"}},
		{"80 full", "80", []string{"--full"}}, {"40 full fc ft", "40", []string{"--full", "--unit", "fc", "--length", "ft"}},
		{"120 full lx", "120", []string{"--full", "--unit", "lx"}}, frozenJSON}
)

// frozenCase is one command line in one view.
type frozenCase struct {
	name, how, stdin string
	args             []string
	view             frozenView
}

// TestFrozen holds each group of commands to its golden file; with -update it
// rewrites them. Numbers of JSON that agree keep the digits that they have there.
func TestFrozen(t *testing.T) {
	inputs, err := filepath.Glob(filepath.Join("testdata", "frozen", "*.txtar"))
	if err != nil || len(inputs) == 0 {
		t.Fatal(inputs, err)
	}
	for i := range inputs {
		if inputs[i], err = filepath.Abs(inputs[i]); err != nil {
			t.Fatal(err)
		}
	}
	for _, input := range inputs {
		t.Run(strings.TrimSuffix(filepath.Base(input), ".txtar"), func(t *testing.T) { frozenGroup(t, input) })
	}
}

// frozenGroup runs the commands of a group in a folder with its files.
func frozenGroup(t *testing.T, input string) {
	archive, err := txtar.ParseFile(input)
	if err != nil {
		t.Fatal(err)
	}
	folder := filepath.Join(t.TempDir(), "set")
	if err := frozenFiles(folder, archive); err != nil {
		t.Fatal(err)
	}
	t.Chdir(folder)
	cases := frozenCases(t, string(archive.Comment))
	got := make([]string, len(cases))
	var group sync.WaitGroup
	slots := make(chan bool, runtime.GOMAXPROCS(0))
	for i, c := range cases {
		group.Go(func() {
			slots <- true
			got[i] = c.run(i)
			<-slots
		})
	}
	group.Wait()
	golden := strings.TrimSuffix(input, ".txtar") + ".golden"
	known, err := readFrozen(golden)
	if err != nil && !*update {
		t.Fatal(err)
	}
	differ := 0
	for i, c := range cases {
		if over := linesOverMap(got[i]); c.view.name == frozenPlain.name && c.how != "draws" && over > mostOverMap {
			t.Errorf("%s: %d lines over the map, more than %d", c.name, over, mostOverMap)
		}
		want, there := known[c.name]
		difference := c.difference(want, got[i])
		switch {
		case there && difference == "":
			got[i] = want
		case !*update:
			if differ++; differ <= 5 {
				t.Errorf("%s\n%s", c.name, difference)
			}
		}
		delete(known, c.name)
	}
	if differ > 0 {
		t.Errorf("%d of %d differ; where all of it is meant, go test ./cmd/evenfall -run %s -update", differ, len(cases), t.Name())
	}
	for _, name := range slices.Sorted(maps.Keys(known)) {
		if !*update {
			t.Errorf("%s: in the golden file, no longer run", name)
		}
	}
	if *update {
		if err := writeFrozen(golden, cases, got); err != nil {
			t.Fatal(err)
		}
	}
}

// mostOverMap is how many lines of a screen may be over its map: the answer is seen
// with it.
const mostOverMap = 12

// mapRow is a row of a map, of which a screen has several.
var mapRow = regexp.MustCompile(`(?m)^[A-Z]\|? +(?:[-+]?[0-9]|\.)[^a-z]*$`)

// linesOverMap counts the lines with words over a screen's first map, 0 without one.
func linesOverMap(screen string) int {
	at := mapRow.FindStringIndex(screen)
	if at == nil {
		return 0
	}
	lines := 0
	for line := range strings.Lines(screen[:at[0]]) {
		if !strings.HasPrefix(line, "status ") && strings.ContainsAny(line, "abcdefghijklmnopqrstuvwxyz") {
			lines++
		}
	}
	return lines
}

// frozenFiles writes the files of a group: those of its archive, the demo's for a
// file named demo, and those that no text can hold.
func frozenFiles(folder string, archive *txtar.Archive) error {
	files := map[string][]byte{}
	for _, f := range archive.Files {
		switch f.Name {
		case "demo":
			made, err := demo.Files()
			if err != nil {
				return err
			}
			for _, d := range made {
				files[d.Name] = d.Content
			}
		case "hostile":
			maps.Copy(files, hostileFiles())
		default:
			files[f.Name] = f.Data
		}
	}
	for name, content := range files {
		path := filepath.Join(folder, name)
		if err := os.MkdirAll(filepath.Dir(path), 0o777); err != nil {
			return err
		}
		if err := os.WriteFile(path, content, 0o666); err != nil {
			return err
		}
	}
	return nil
}

// frozenCases are the command lines of a group in their views.
func frozenCases(t *testing.T, lines string) []*frozenCase {
	t.Helper()
	views := map[string][]frozenView{"all": frozenAll, "once": {frozenPlain, frozenJSON}, "run": {frozenPlain}, "writes": {frozenPlain}, "draws": {frozenPlain}}
	seen := map[string]bool{}
	var out []*frozenCase
	for line := range strings.Lines(lines) {
		line = strings.TrimSpace(line)
		if line == "" || strings.HasPrefix(line, "#") {
			continue
		}
		how, command, _ := strings.Cut(line, " ")
		args := words(command)
		if views[how] == nil || len(args) == 0 || seen[line] {
			t.Fatalf("%q is no line of commands, or stands twice", line)
		}
		seen[line] = true
		stdin := ""
		if file, ok := strings.CutPrefix(args[0], "<"); ok {
			stdin, args = file, args[1:]
		}
		for _, v := range views[how] {
			out = append(out, &frozenCase{fmt.Sprintf("%s [%s]", line, v.name), how, stdin, args, v})
		}
	}
	return out
}

// run gives what is held of a case: status, standard output, standard error and
// what was written. The number makes a folder of its own.
func (c *frozenCase) run(number int) string {
	var input, stdout, stderr bytes.Buffer
	if c.stdin != "" {
		content, err := os.ReadFile(c.stdin)
		if err != nil {
			return err.Error() + "\n"
		}
		input.Write(content)
	}
	folder := fmt.Sprintf("../out%d", number)
	args := slices.Clone(c.args)
	for i := range args {
		args[i] = strings.Replace(args[i], "OUT", folder, 1)
	}
	if c.how == "draws" {
		args = append(args, "--out", folder, "--format", "svg")
	}
	if c.how == "writes" || c.how == "draws" {
		if err := os.Mkdir(folder, 0o777); err != nil {
			return err.Error() + "\n"
		}
	}
	a := app{stdin: &input, stdout: &stdout, stderr: &stderr, env: []string{"COLUMNS=" + c.view.columns, "NO_COLOR=1", "LANG=C.UTF-8"}}
	var b strings.Builder
	fmt.Fprintf(&b, "status %d\n", a.run(append(args, c.view.flags...)))
	text := stdout.String()
	if c.view.name == frozenJSON.name {
		text = narrowJSON(text)
	}
	b.WriteString(strings.ReplaceAll(text, folder, "OUT"))
	if stderr.Len() > 0 {
		b.WriteString("--- standard error\n" + strings.ReplaceAll(stderr.String(), folder, "OUT"))
	}
	filepath.WalkDir(folder, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return nil
		}
		content, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		if err := outfile.Check(content); err != nil {
			fmt.Fprintf(&b, "--- %s %v\n", filepath.Base(path), err)
			return nil
		}
		content = sealedMark.ReplaceAll(content, nil)
		b.WriteString("--- " + filepath.Base(path) + "\n")
		if strings.HasSuffix(path, ".svg") {
			content = svgWords(content)
		}
		b.Write(content)
		return nil
	})
	return strings.TrimRight(b.String(), "\n") + "\n"
}

// narrowJSON is JSON without the spaces before its lines, or the text where it is
// none.
func narrowJSON(text string) string {
	var value bytes.Buffer
	if err := json.Indent(&value, []byte(text), "", ""); err != nil {
		return text
	}
	return value.String()
}

var (
	// sealedMark is the mark of what the program writes, which changes with any word.
	sealedMark = regexp.MustCompile(`\n?(<!-- |# )evenfall sha256 [0-9a-f]{64}( -->)?\n`)
	svgText    = regexp.MustCompile(`<(?:text|tspan|title|desc)[^>]*>([^<]+)<`)
	svgTags    = regexp.MustCompile(`<[^>]+>`)
)

// svgWords are the words of a picture, and a checksum of all else: where it
// stands, its lines and colors.
func svgWords(content []byte) []byte {
	var b bytes.Buffer
	for _, m := range svgText.FindAllSubmatch(content, -1) {
		fmt.Fprintf(&b, "%s | ", bytes.TrimSpace(m[1]))
	}
	tags := svgTags.FindAll(content, -1)
	fmt.Fprintf(&b, "\n%d tags, checksum %016x\n", len(tags), checksum(bytes.Join(tags, nil)))
	return b.Bytes()
}

// difference tells in a few lines how what a case gives differs from what is
// frozen; "" where it does not.
func (c *frozenCase) difference(want, got string) string {
	if want == got {
		return ""
	}
	if c.view.name == frozenJSON.name {
		wantValue, wantRest, ok1 := cutJSON(want)
		gotValue, gotRest, ok2 := cutJSON(got)
		if ok1 && ok2 {
			var found []string
			compareJSON("", wantValue, gotValue, &found)
			if wantRest != gotRest {
				found = append(found, fmt.Sprintf("around the JSON: %q, frozen %q", gotRest, wantRest))
			}
			if len(found) > 6 {
				found = append(found[:6], fmt.Sprintf("and %d more values", len(found)-6))
			}
			return strings.Join(found, "\n")
		}
	}
	const most = 24
	lines := strings.SplitAfter(string(diff.Diff("frozen", []byte(want), "now", []byte(got))), "\n")
	if len(lines) > most {
		lines = append(lines[:most], "…\n")
	}
	for i := range lines {
		if runes := []rune(lines[i]); len(runes) > 400 {
			lines[i] = string(runes[:400]) + "…\n"
		}
	}
	return strings.Join(lines, "")
}

// cutJSON parses the JSON in the middle of a case; rest is what stands around it.
func cutJSON(text string) (value any, rest string, ok bool) {
	status, body, _ := strings.Cut(text, "\n")
	body, after, _ := strings.Cut(body, "--- standard error\n")
	decoder := json.NewDecoder(strings.NewReader(body))
	decoder.UseNumber()
	err := decoder.Decode(&value)
	return value, status + "\n" + after, err == nil
}

// compareJSON notes where two values differ: numbers by more than 1e-9 of their
// size, everything else at all.
func compareJSON(path string, want, got any, found *[]string) {
	note := func() {
		*found = append(*found, fmt.Sprintf("%s: %s, frozen %s", strings.TrimPrefix(path, "."), shortJSON(got), shortJSON(want)))
	}
	switch w := want.(type) {
	case map[string]any:
		g, ok := got.(map[string]any)
		if !ok {
			note()
			return
		}
		keys := slices.AppendSeq(slices.Collect(maps.Keys(w)), maps.Keys(g))
		slices.Sort(keys)
		for _, key := range slices.Compact(keys) {
			inWant, ok1 := w[key]
			inGot, ok2 := g[key]
			if !ok1 || !ok2 {
				*found = append(*found, fmt.Sprintf("%s.%s: now %v, frozen %v", strings.TrimPrefix(path, "."), key, there(ok2), there(ok1)))
				continue
			}
			compareJSON(path+"."+key, inWant, inGot, found)
		}
	case []any:
		g, ok := got.([]any)
		if !ok || len(g) != len(w) {
			note()
			return
		}
		for i := range w {
			compareJSON(fmt.Sprintf("%s[%d]", path, i), w[i], g[i], found)
		}
	case json.Number:
		g, ok := got.(json.Number)
		if !ok || !sameNumber(w, g) {
			note()
		}
	default:
		if want != got {
			note()
		}
	}
}

func there(is bool) string {
	if is {
		return "there"
	}
	return "absent"
}

func sameNumber(a, b json.Number) bool {
	x, err1 := a.Float64()
	y, err2 := b.Float64()
	return err1 == nil && err2 == nil && math.Abs(x-y) <= 1e-9*max(math.Abs(x), math.Abs(y), 1e-3)
}

func shortJSON(value any) string {
	text, err := json.Marshal(value)
	if err != nil {
		return err.Error()
	}
	if runes := []rune(string(text)); len(runes) > 160 {
		return string(runes[:160]) + "…"
	}
	return string(text)
}

// frozenMark starts a case in a golden file.
const frozenMark = "\n=== "

func readFrozen(path string) (map[string]string, error) {
	content, err := os.ReadFile(path)
	if err != nil {
		return nil, err
	}
	out := map[string]string{}
	for part := range strings.SplitSeq("\n"+string(content), frozenMark) {
		if name, text, ok := strings.Cut(part, "\n"); ok {
			out[name] = text + "\n"
		}
	}
	// The last one ends the file with a line of its own.
	for name, text := range out {
		out[name] = strings.TrimRight(text, "\n") + "\n"
	}
	return out, nil
}

func writeFrozen(path string, cases []*frozenCase, got []string) error {
	var b strings.Builder
	for i, c := range cases {
		if strings.Contains(got[i], frozenMark) {
			return fmt.Errorf("%s prints %q, which golden files keep for themselves", c.name, frozenMark)
		}
		b.WriteString(strings.TrimPrefix(frozenMark, "\n") + c.name + "\n" + got[i])
	}
	return os.WriteFile(path, []byte(b.String()), 0o666)
}
