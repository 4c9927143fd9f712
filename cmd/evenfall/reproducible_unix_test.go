//go:build unix

package main

import (
	"bytes"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// TestReproducible runs commands in several time zones and locales, on one processor and
// two: what they print and write is the same to the byte. CALIBRATION=1 runs all of them
// twenty times.
func TestReproducible(t *testing.T) {
	t.Parallel()
	places := []string{"TZ=UTC LANG=C.UTF-8 GOMAXPROCS=1", "TZ=Pacific/Auckland LANG=de_DE.UTF-8 LC_ALL=de_DE.UTF-8 GOMAXPROCS=2"}
	for i := 0; os.Getenv("CALIBRATION") != "" && len(places) < 20; i++ {
		places = append(places, fmt.Sprintf("TZ=Etc/GMT+%d LANG=fr_FR.UTF-8 GOMAXPROCS=%d", i%12, 1+i%2))
	}
	set := demoFolder(t)
	lines := []string{"surface .", "surface cloth.csv --out out --format pdf", "balance cloth.csv cloth-lamps.csv --half-steps --json", "report --zip out/hand-over.zip"}
	if os.Getenv("CALIBRATION") != "" {
		lines = append([]string{"surface .", "surface . --json", "surface cloth.csv cloth-lamps.csv --full --json", "match cloth.csv cloth-day2.csv --json", "balance cloth.csv cloth-lamps.csv --half-steps --json",
			"plan lamps-free.csv --size 4.8x2.4 --level 900lx --starts 2 --json", "correct lamps.csv --to key --json", "ratio ratio.csv --json", "ratio ratio.csv --out out --format pdf",
			"dimmer dimmers.csv --json", "screen . --json", "report --sheet --format pdf --out out",
			"report --sheet --format svg --out out", "selfcheck --json", "help notes"}, writing...)
	}
	for _, line := range lines {
		var first map[string]string
		for _, place := range places {
			os.RemoveAll(filepath.Join(set, "out"))
			os.Mkdir(filepath.Join(set, "out"), 0o700)
			command := exec.Command("evenfall", strings.Fields(line)...)
			command.Dir = set
			command.Env = append(os.Environ(), append(strings.Fields(place), "COLUMNS=80", "NO_COLOR=1")...)
			var said bytes.Buffer
			command.Stdout = &said
			command.Run()
			got := map[string]string{"": said.String(), "status": fmt.Sprint(command.ProcessState.ExitCode())}
			filepath.WalkDir(filepath.Join(set, "out"), func(path string, d fs.DirEntry, err error) error {
				if err == nil && !d.IsDir() {
					content, err := os.ReadFile(path)
					got[path] = string(content)
					return err
				}
				return err
			})
			if first == nil {
				first = got
				continue
			}
			for name, content := range got {
				if content != first[name] {
					t.Errorf("%s: %q is another in %s", line, name, place)
				}
			}
			if len(got) != len(first) {
				t.Errorf("%s: %d outputs, then %d in %s", line, len(first), len(got), place)
			}
		}
	}
}
