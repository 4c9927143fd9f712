package main

import (
	"bytes"
	"fmt"
	"io"
	"path/filepath"

	"evenfall/cmd/evenfall/demo"
	"evenfall/photometry"
	"evenfall/photometry/causes"
	"evenfall/photometry/evenness"
	"evenfall/photometry/survey"
)

// nineFolder is where the readings of the story are, apart from the set-up's own.
const nineFolder = "close-shot"

// story tells the job once: nine readings, what is wrong, the one thing to do, the same
// places after it, and what comes next.
func (a *app) story(folder, out, page string) error {
	program := a.program()
	say := func(format string, values ...any) { say(a.stdout, format, values...) }

	before, sheet, err := a.nine(folder, "before.csv", nil)
	if err != nil {
		return err
	}
	say("A puppet theatre films before a green cloth. Nine readings of a close shot:\n$ %s surface %s\n", program, before)
	a.again([]string{"surface", before}, "")
	off, err := carriedOut(sheet)
	if err != nil {
		return err
	}
	after, _, err := a.nine(folder, "after.csv", off)
	if err != nil {
		return err
	}
	say("\nThat lamp is taken down as advised, and the nine places are read again:\n$ %s surface %s\n", program, after)
	a.again([]string{"surface", after}, "")
	quiet := *a
	quiet.stdout = io.Discard
	if status := quiet.again([]string{"report", folder, "--out", page}, ""); status == exitNothing {
		return fmt.Errorf("demo: report did nothing")
	}
	say("\nThe whole set is in %s: 45 places, each lamp alone, key and fill, two days.\nThe lamps are put back from the first page of %s.", folder, page)
	say(`
Next:
  %[1]s surface --new 3x3 --size 3.6x2 > mine.csv
      your own readings: fill it in, then %[1]s mine.csv
  %[1]s page %[2]s --lan      on a phone, reading by reading
  %[1]s demo --all      every command over this set`, program, folder)
	return nil
}

// nine writes a sheet of nine readings into the folder.
func (a *app) nine(folder, name string, off map[string]float64) (path string, sheet demo.File, err error) {
	if sheet, err = demo.Nine(name, off); err != nil {
		return "", sheet, err
	}
	within := filepath.Join(folder, nineFolder)
	return filepath.Join(within, name), sheet, demo.Write(within, []demo.File{sheet}, nil, a.force)
}

// carriedOut is what the first advice to dim a lamp asks for: stops off by the lamp's
// name.
func carriedOut(sheet demo.File) (map[string]float64, error) {
	s, err := survey.Read([]survey.Input{{Name: sheet.Name, Reader: bytes.NewReader(sheet.Content)}}, survey.ReadOptions{})
	if err != nil {
		return nil, err
	}
	r, err := evenness.Analyze(s)
	if err != nil {
		return nil, err
	}
	for _, advice := range r.Advice {
		if advice.Code == causes.LowerSide {
			return map[string]float64{fmt.Sprint("cloth ", advice.Values["side"]): float64(advice.Values["loss"].(photometry.Stop))}, nil
		}
	}
	return nil, fmt.Errorf("demo: no lamp is to be dimmed: %v", r.Advice)
}
