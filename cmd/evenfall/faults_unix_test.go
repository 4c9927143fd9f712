//go:build unix

package main

import (
	"bytes"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"github.com/xuri/excelize/v2"

	"evenfall/cmd/evenfall/outfile"
	"evenfall/plots/document"
	"evenfall/plots/report"
)

// writing are command lines that write files, in the folder of the demo.
var writing = []string{
	"surface cloth.csv --out out", "surface cloth.csv --out out --format svg", "surface cloth.csv --out out --format pdf", "distance key-frame.csv --out out",
	"meter meter.csv --out out", "ratio ratio.csv --out out", "dimmer dimmers.csv --out out", "balance cloth.csv cloth-lamps.csv --out out", "match cloth.csv cloth-day2.csv --out out", "plan lamps.csv --size 4.8x2.4 --out out",
	"report --out out", "report --sheet --out out", "report --format md --out out", "report --format json --out out", "report --zip out/hand-over.zip", "surface --new 9x5 --size 4.8x2.4 out/blank.xlsx", "demo out",
}

// oneOfEachKind are those of writing that write in different ways, all of them with
// CALIBRATION=1.
func oneOfEachKind() []string {
	if os.Getenv("CALIBRATION") != "" {
		return writing
	}
	return []string{writing[0], writing[2], writing[10], writing[14], writing[15], writing[16]}
}

// person is a file that somebody wrote where results go, and earlier a result.
const person = "a person's own notes\n"

// Where the disk is full (no file may grow over four kilobytes), nothing is written in
// part, what was there stays, and the message says that it could not be written.
func TestFullDisk(t *testing.T) {
	t.Parallel()
	set := demoFolder(t)
	for _, line := range oneOfEachKind() {
		out := filepath.Join(set, "out")
		os.RemoveAll(out)
		if err := os.Mkdir(out, 0o700); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(out, "notes.txt"), []byte(person), 0o600); err != nil {
			t.Fatal(err)
		}
		command := exec.Command("sh", "-c", "ulimit -f 8; exec evenfall "+line)
		command.Dir = set
		said, _ := command.CombinedOutput()
		if status := command.ProcessState.ExitCode(); status != exitNothing {
			// What fits is written whole.
			if strings.Contains(line, "demo") || !bytes.Contains(said, []byte("too large")) {
				if partly := unsealed(t, out); len(partly) > 0 {
					t.Errorf("%s: status %d, and in part: %v", line, status, partly)
				}
				continue
			}
			t.Errorf("%s: status %d: %s", line, status, said)
		}
		if left := temporaries(out); len(left) > 0 {
			t.Errorf("%s left %v", line, left)
		}
		if partly := unsealed(t, out); len(partly) > 0 {
			t.Errorf("%s: written in part: %v", line, partly)
		}
		if kept, err := os.ReadFile(filepath.Join(out, "notes.txt")); err != nil || string(kept) != person {
			t.Errorf("%s: a person's file is now %q, %v", line, kept, err)
		}
	}
}

// unsealed are the results in a folder that are not whole.
func unsealed(t *testing.T, folder string) (names []string) {
	t.Helper()
	filepath.WalkDir(folder, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || strings.HasSuffix(path, ".txt") || strings.HasSuffix(path, ".csv") || strings.HasSuffix(path, ".xlsx") {
			return err
		}
		content, err := os.ReadFile(path)
		if err == nil && outfile.Check(content) != nil {
			names = append(names, filepath.Base(path))
		}
		return nil
	})
	return names
}

// A folder that cannot be written, or is a file, or is gone, gives status 2 and changes
// nothing.
func TestNoFolderToWriteTo(t *testing.T) {
	t.Parallel()
	set := demoFolder(t)
	if err := os.WriteFile(filepath.Join(set, "out"), []byte(person), 0o600); err != nil {
		t.Fatal(err)
	}
	for _, line := range oneOfEachKind() {
		command := exec.Command("evenfall", strings.Fields(line)...)
		command.Dir = set
		said, _ := command.CombinedOutput()
		if status := command.ProcessState.ExitCode(); status != exitNothing && !strings.HasPrefix(line, "report --out") && !strings.HasPrefix(line, "report --sheet") {
			t.Errorf("%s into a file: status %d: %s", line, status, said)
		}
		if kept, err := os.ReadFile(filepath.Join(set, "out")); err != nil || string(kept) != person {
			t.Fatalf("%s: the file is now %q, %v", line, kept, err)
		}
	}
	if os.Getuid() == 0 {
		return // whom no folder refuses
	}
	os.Remove(filepath.Join(set, "out"))
	os.Mkdir(filepath.Join(set, "out"), 0o500)
	for _, line := range writing {
		command := exec.Command("evenfall", strings.Fields(line)...)
		command.Dir = set
		if command.Run(); command.ProcessState.ExitCode() != exitNothing {
			t.Errorf("%s into a folder that is not to be written: status %d", line, command.ProcessState.ExitCode())
		}
	}
}

// A report that is killed while it is written leaves the earlier one or the new one,
// whole.
func TestKilledReportIsWhole(t *testing.T) {
	t.Parallel()
	set := demoFolder(t)
	for i, line := range []string{"report", "report --zip hand-over.zip", "report --sheet"} {
		name := []string{"report.html", "hand-over.zip", "reset-sheet.html"}[i]
		if output, err := exec.Command("sh", "-c", "cd "+set+" && evenfall "+line).CombinedOutput(); err != nil && !bytes.Contains(output, []byte(name)) {
			t.Fatalf("%s: %v %s", line, err, output)
		}
		for wait := 40 * time.Millisecond; wait < 500*time.Millisecond; wait += 220 * time.Millisecond {
			command, _ := started(t, set, nil, strings.Fields(line)...)
			time.Sleep(wait)
			command.Process.Kill()
			command.Wait()
			content, err := os.ReadFile(filepath.Join(set, name))
			if err == nil {
				err = outfile.Check(content)
			}
			if err != nil {
				t.Errorf("%s killed after %v: %v", line, wait, err)
			}
			left := temporaries(set)
			if len(left) > 1 {
				t.Errorf("%s left %v", line, left)
			}
			for _, name := range left {
				os.Remove(name)
			}
		}
	}
}

// faulty is a folder in which one file does something odd when it is opened or read.
type faulty struct {
	fstest.MapFS
	name  string
	fault error
	after int // bytes that can be read
}

func (f faulty) Open(name string) (fs.File, error) {
	file, err := f.MapFS.Open(name)
	if err != nil || name != f.name {
		return file, err
	}
	if f.after < 0 {
		file.Close()
		return nil, &fs.PathError{Op: "open", Path: name, Err: f.fault}
	}
	return &breaking{file, f}, nil
}

// ReadFile hides that of the map.
func (f faulty) ReadFile(name string) ([]byte, error) {
	if name != f.name {
		return f.MapFS.ReadFile(name)
	}
	return nil, &fs.PathError{Op: "read", Path: name, Err: f.fault}
}

type breaking struct {
	fs.File
	of faulty
}

func (b *breaking) Read(to []byte) (int, error) {
	if b.of.after == 0 {
		return 0, &fs.PathError{Op: "read", Path: b.of.name, Err: b.of.fault}
	}
	n, err := b.File.Read(to[:min(len(to), 1+b.of.after/2)])
	return n, err
}

// A file of the folder that vanishes after it was listed, or breaks off while it is
// read, is a problem of that file: the report says so, and everything else is there.
func TestVanishingFiles(t *testing.T) {
	t.Parallel()
	set := demoFolder(t)
	files := fstest.MapFS{}
	entries, err := os.ReadDir(set)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		if filepath.Ext(e.Name()) == ".csv" {
			content, err := os.ReadFile(filepath.Join(set, e.Name()))
			if err != nil {
				t.Fatal(err)
			}
			files[e.Name()] = &fstest.MapFile{Data: content}
		}
	}
	for i, name := range slices.Sorted(maps.Keys(files)) {
		after := i%2 - 1 // gone, or broken off
		r, err := report.Read(faulty{files, name, fs.ErrNotExist, after}, report.Options{})
		if err != nil {
			t.Errorf("without %s: %v", name, err)
			continue
		}
		if len(r.Problems) == 0 || r.Verdict.Overall == "pass" {
			t.Errorf("%s vanished (%d): problems %v, verdict %s", name, after, r.Problems, r.Verdict.Overall)
		}
		if err := r.Markdown(io.Discard, document.Words{}); err != nil {
			t.Errorf("without %s: %v", name, err)
		}
	}
}

// workbook is a survey as a spreadsheet program saves it.
func workbook(t *testing.T) []byte {
	t.Helper()
	book := excelize.NewFile()
	for i, row := range [][]any{{"Spot", "E (lx)"}, {"A1", 701}, {"A2", 733}, {"A3", 720}, {"B1", 690}, {"B2", 742}, {"B3", 711}} {
		if err := book.SetSheetRow("Sheet1", fmt.Sprintf("A%d", i+1), &row); err != nil {
			t.Fatal(err)
		}
	}
	var b bytes.Buffer
	if err := book.Write(&b); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// A workbook with flipped bits is refused, or reads as before where the bits carry
// nothing; one that is cut short is refused.
func TestFlippedBits(t *testing.T) {
	folder := t.TempDir()
	whole := workbook(t)
	path := filepath.Join(folder, "cloth.xlsx")
	read := func(content []byte) (string, int) {
		if err := os.WriteFile(path, content, 0o600); err != nil {
			t.Fatal(err)
		}
		return runIn(t, "", "surface", path, "--json")
	}
	want, status := read(whole)
	if status == exitNothing {
		t.Fatalf("the whole workbook: %s", want)
	}
	random, refused := rand.New(rand.NewPCG(1, 2)), 0
	for range 150 {
		broken := bytes.Clone(whole)
		broken[random.IntN(len(broken))] ^= 1 << random.IntN(8)
		if got, status := read(broken); status == exitNothing {
			refused++
		} else if got != want {
			t.Fatalf("a flipped bit is believed: %s", got)
		}
	}
	if refused < 75 {
		t.Errorf("%d of 150 damaged workbooks refused", refused)
	}
	for _, part := range []int{10, 100, len(whole) / 2, len(whole) - 1} {
		if got, status := read(whole[:part]); status != exitNothing {
			t.Errorf("%d bytes of %d: %s", part, len(whole), got)
		}
	}
}
