package plan

import (
	"errors"
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
