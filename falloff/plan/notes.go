package plan

import (
	"errors"

	"evenfall/photometry/schema"
	"evenfall/photometry/setup"
	"evenfall/photometry/spatial"
	"evenfall/photometry/survey"
)

// Notes are what a command line and the notes of a table of lamps say of what is lit.
type Notes struct {
	Surface Surface
	Sized   bool     // width and height are given
	FloorY  *float64 // m above the surface's lower edge; nil where nobody says
}

// ReadNotes reads the notes above a table of lamps, which mean what they do in a file
// of readings, with flags before them. lamps may be nil. The error is table.Errors.
func ReadNotes(flags []*schema.Source, lamps *setup.Lamps) (n Notes, err error) {
	var file []*schema.Source
	name := "surface"
	if lamps != nil {
		file, name = append(file, lamps.Source()), lamps.File
	}
	v := schema.Read(schema.LampsFile, flags, file)
	n.Surface.Settings, _ = survey.SettingsOf(v)
	schema.Put(v, schema.Title, &n.Surface.Title)
	n.Surface.Area = survey.AreaOf(v)
	width, wide := schema.Get(v, schema.Width)
	height, high := schema.Get(v, schema.Height)
	if y, ok := schema.Get(v, schema.FloorY); ok {
		n.FloorY = &y
	}
	if err := v.Errors.ErrOrNil(); err != nil {
		return Notes{}, err
	}
	if wide != high {
		return Notes{}, errors.New(name + ": a surface with one side, expected width and height")
	}
	if n.Sized = wide; n.Sized {
		n.Surface.Extent = spatial.Box{X1: width, Y1: height}
	}
	return n, nil
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
