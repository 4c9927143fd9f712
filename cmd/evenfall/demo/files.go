package demo

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"sort"
	"strings"

	"evenfall/cmd/evenfall/outfile"
)

// File is one file of the demo set-up.
type File struct {
	Name    string
	Content []byte
}

// Files computes the set-up: a walk over the cloth on each of two days, readings
// of each lamp alone, the tables of the set-up, of its lamps, of the gels in the
// bag, of the cameras and of the lights on the puppets, a distance series of the
// key frame and a check of the meter.
func Files() ([]File, error) {
	walks, err := days()
	if err != nil {
		return nil, err
	}
	var out []File
	for day, lampTable := range []string{"lamps.csv", "lamps-day2.csv"} {
		shining, err := lights(lampTable)
		if err != nil {
			return nil, err
		}
		content, err := walkOver(shining, walks[day])
		if err != nil {
			return nil, err
		}
		out = append(out, File{walks[day]["file"], content})
		if walks[day]["alone"] == "" {
			continue
		}
		if content, err = walkAlone(shining, walks[day]); err != nil {
			return nil, err
		}
		out = append(out, File{walks[day]["alone file"], content})
	}
	// Tables of the scene that are also the set-up's own files.
	for _, name := range []string{"setup.csv", "lamps.csv", "lamps-free.csv", "gels.csv", "cameras.csv"} {
		content, err := scene.ReadFile("scene/" + name)
		if err != nil {
			return nil, err
		}
		out = append(out, File{name, content})
	}
	puppets, err := ratios(walks[0])
	if err != nil {
		return nil, err
	}
	more, err := series()
	return append(append(out, puppets), more...), err
}

// Manifest is the list of what the demo wrote into a folder, with a checksum
// each, so that it never replaces anything else.
const Manifest = "written-by-demo.txt"

// Write writes the set-up into a folder. It refuses, before it writes anything,
// where a file of the same name, or of a name that the demo will write later,
// stands that it did not write or that was changed since.
func Write(folder string, files []File, later []string) error {
	known, err := readManifest(folder)
	if err != nil {
		return err
	}
	for _, name := range later {
		files = append(files[:len(files):len(files)], File{Name: name})
	}
	for _, f := range files {
		path := filepath.Join(folder, f.Name)
		there, err := os.ReadFile(path)
		switch {
		case errors.Is(err, fs.ErrNotExist):
		case err != nil:
			return fmt.Errorf("%s: %w", path, err)
		case known[f.Name] != checksum(there) && checksum(there) != checksum(f.Content):
			return fmt.Errorf("%s is not as the demo wrote it and stays: expected a new folder, or one that only the demo wrote into", path)
		}
	}
	files = files[:len(files)-len(later)]
	for _, f := range files {
		if err := outfile.Write(filepath.Join(folder, f.Name), outfile.Bytes(f.Content)); err != nil {
			return err
		}
		known[f.Name] = checksum(f.Content)
	}
	return writeManifest(folder, known)
}

// Remember adds the files that a later step of the demo wrote to the list.
func Remember(folder string, names ...string) error {
	known, err := readManifest(folder)
	if err != nil {
		return err
	}
	for _, name := range names {
		content, err := os.ReadFile(filepath.Join(folder, name))
		if errors.Is(err, fs.ErrNotExist) {
			continue
		}
		if err != nil {
			return err
		}
		known[name] = checksum(content)
	}
	return writeManifest(folder, known)
}

func readManifest(folder string) (map[string]string, error) {
	known := map[string]string{}
	content, err := os.ReadFile(filepath.Join(folder, Manifest))
	if errors.Is(err, fs.ErrNotExist) {
		return known, nil
	}
	if err != nil {
		return nil, err
	}
	for line := range strings.Lines(string(content)) {
		if sum, name, ok := strings.Cut(strings.TrimSpace(line), "  "); ok {
			known[name] = sum
		}
	}
	return known, nil
}

func writeManifest(folder string, known map[string]string) error {
	names := make([]string, 0, len(known))
	for name := range known {
		names = append(names, name)
	}
	sort.Strings(names)
	return outfile.Write(filepath.Join(folder, Manifest), func(w io.Writer) error {
		for _, name := range names {
			if _, err := fmt.Fprintf(w, "%s  %s\n", known[name], name); err != nil {
				return err
			}
		}
		return nil
	})
}

func checksum(content []byte) string {
	sum := sha256.Sum256(content)
	return hex.EncodeToString(sum[:])
}
