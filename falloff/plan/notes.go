package plan

import (
	"errors"
	"fmt"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/setup"
	"evenfall/photometry/survey"
	"evenfall/photometry/table"
)

// surfaceNotes are the notes of a table of lamps that describe the surface; they
// mean what they do in a file of readings.
var surfaceNotes = map[string]bool{
	"surface": true, "for": true, "tolerance": true, "color tolerance": true, "width": true, "height": true, "area": true,
	"iso": true, "shutter": true, "frame rate": true, "fps": true, "receptor": true, "constant": true, "length unit": true,
}

// ReadSurface reads the notes that describe a surface: what a command line gave,
// and those of a table of lamps, which lose. ok is false where they give no
// width and height; the settings then hold all the same.
func ReadSurface(given []table.Note, lamps *setup.Lamps) (on Surface, ok bool, err error) {
	var notes []table.Note
	sides := map[string]bool{}
	for _, n := range given {
		notes = append(notes, n)
		sides[n.Key] = true
	}
	// The reader of surveys understands the notes as it does in a file of
	// readings, at the lines where they stand; two places are the least that it
	// takes.
	var text strings.Builder
	line, file := 1, "surface"
	if lamps != nil {
		file = lamps.File
		for _, n := range lamps.Notes {
			if !surfaceNotes[n.Key] {
				continue
			}
			for ; line < n.Line; line++ {
				text.WriteByte('\n')
			}
			text.WriteString("# " + n.Key + ": " + n.Value + "\n")
			line++
			sides[n.Key] = true
		}
	}
	if sides["width"] != sides["height"] {
		return Surface{}, false, errors.New(file + ": a surface with one side, expected width and height")
	}
	text.WriteString("x (m);y (m);E (lx)\n0;0;1\n0.001;0.001;1\n")
	s, err := survey.Read([]survey.Input{{Name: file, Reader: strings.NewReader(text.String())}}, survey.ReadOptions{Notes: notes})
	if err != nil {
		return Surface{}, false, err
	}
	on = Surface{Title: s.Title, Settings: s.Settings, Area: s.Area}
	if s.Settings.Sized {
		on.Extent, ok = s.Extent, true
	}
	on.Settings.Meter.Unit = photometry.NoUnit
	return on, ok, nil
}

// SurfaceOf is the surface that was read, to predict it: its size, what is in
// shot and by what it is judged. ok is false where the readings do not give its
// size.
func SurfaceOf(read *survey.Survey) (on Surface, ok bool) {
	if e := read.Extent; !(e.Width() > 0 && e.Height() > 0) {
		return Surface{}, false
	}
	on = Surface{Title: read.Title, Extent: read.Extent, Area: read.Area, Settings: read.Settings}
	on.Settings.Repeatability = nil // a prediction does not scatter
	return on, true
}

// Floor is what the note “floor y” of a table of lamps says, in meters above the
// surface's lower edge; nil where it has none. Numbers without a unit are in
// lengthUnit.
func Floor(lamps *setup.Lamps, lengthUnit string) (*float64, error) {
	text := lamps.Note("floor y")
	if text == "" {
		return nil, nil
	}
	y, err := table.ParseLength(text, lengthUnit)
	if err != nil {
		return nil, fmt.Errorf("%s: note “floor y”: found %q, expected a height such as -0.8 (m)", lamps.File, text)
	}
	return &y, nil
}
