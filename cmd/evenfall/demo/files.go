// Package demo is an invented set-up to try everything on: a small puppet theatre films
// its series in front of a green cloth lit by two lamps, with a key light through a frame
// of diffusion for the puppets. Its tables are files. What they read follows from the
// lamps of lamps.csv, on the second day from those of lamps-day2.csv, with the scatter of
// a meter, so that a plan can explain them.
package demo

import (
	"bytes"
	"embed"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"evenfall/cmd/evenfall/outfile"
)

//go:embed scene/*.csv
var scene embed.FS

// File is one file of the demo set-up.
type File struct {
	Name    string
	Content []byte
}

// names are the files of the set-up: a walk over the cloth on each of two days, readings
// of each lamp alone, the tables of the set-up, of its lamps, of the gels in the bag, of
// the cameras, of the lights on the puppets, of the lamps over their dimmers and of the
// cloth as the camera sees it, a distance series of the key frame and a check of the meter.
var names = []string{
	"cloth.csv", "cloth-lamps.csv", "cloth-day2.csv", "setup.csv", "lamps.csv", "lamps-free.csv", "gels.csv",
	"cameras.csv", "ratio.csv", "dimmers.csv", "screen.csv", "key-frame.csv", "meter.csv",
}

// Files are the set-up.
func Files() ([]File, error) {
	var out []File
	for _, name := range names {
		content, err := Table(name)
		if err != nil {
			return nil, err
		}
		out = append(out, File{name, content})
	}
	return out, nil
}

// Table is the table of the set-up of a name.
func Table(name string) ([]byte, error) { return scene.ReadFile("scene/" + name) }

// Write writes the set-up into a folder. It refuses, before it writes anything, where a
// file of the same name is there with other content, or one of a name that later steps
// write that is not as the program wrote it; force replaces them.
func Write(folder string, files []File, later []string, force bool) error {
	for _, f := range files {
		path := filepath.Join(folder, f.Name)
		info, err := os.Lstat(path)
		if errors.Is(err, fs.ErrNotExist) || force {
			continue
		}
		if err == nil && !info.Mode().IsRegular() { // a pipe may never answer
			return fmt.Errorf("%s is no regular file and stays: expected a new folder, or one that only the demo wrote into; --force replaces it", path)
		}
		there, err := os.ReadFile(path)
		switch {
		case err != nil:
			return fmt.Errorf("%s: %w", path, err)
		case !bytes.Equal(there, f.Content):
			return fmt.Errorf("%s is not as the demo wrote it and stays: expected a new folder, or one that only the demo wrote into; --force replaces it", path)
		}
	}
	for _, name := range later {
		if err := outfile.Replaceable(filepath.Join(folder, name)); err != nil && !force {
			return err
		}
	}
	for _, f := range files {
		if err := outfile.Write(filepath.Join(folder, f.Name), outfile.Bytes(f.Content)); err != nil {
			return err
		}
	}
	return nil
}
