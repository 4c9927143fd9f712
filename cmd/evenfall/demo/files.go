package demo

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"evenfall/cmd/evenfall/outfile"
)

// File is one file of the demo set-up.
type File struct {
	Name    string
	Content []byte
}

// Files computes the set-up: a walk over the cloth on each of two days, readings
// of each lamp alone, the tables of the set-up, of its lamps, of the gels in the
// bag, of the cameras, of the lights on the puppets, of the lamps over their
// dimmers and of the cloth as the camera sees it, a distance series of the key frame and a check of the meter.
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
	dimmed, err := dimmers(walks[0])
	if err != nil {
		return nil, err
	}
	s, err := newStage(walks[0])
	if err != nil {
		return nil, err
	}
	seen, err := clothSeen(s, walks[0])
	if err != nil {
		return nil, err
	}
	more, err := series()
	return append(append(out, puppets, dimmed, seen), more...), err
}

// Write writes the set-up into a folder. It refuses, before it writes anything, where a
// file of the same name is there with other content, or one of a name that later steps
// write that is not as the program wrote it; force replaces them.
func Write(folder string, files []File, later []string, force bool) error {
	for _, f := range files {
		path := filepath.Join(folder, f.Name)
		there, err := os.ReadFile(path)
		switch {
		case errors.Is(err, fs.ErrNotExist), force:
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
