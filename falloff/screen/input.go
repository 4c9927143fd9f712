package screen

import (
	"math"
	"slices"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/ratio"
	"evenfall/photometry/setup"
	"evenfall/photometry/spatial"
	"evenfall/photometry/survey"
	"evenfall/photometry/table"
)

// NewInput is a table of a screen, with the light, the places and the part in view that
// it leaves out taken from a survey of the same surface by the labels; nil for none. The
// error is table.Errors: a luminance without light, and places that have no light in the
// survey.
func NewInput(read *setup.Screen, on *survey.Survey) (Input, error) {
	in := Input{Title: read.Title, Date: read.Date, Repeatability: read.Repeatability, Resolution: read.Resolution, Lit: read.Area, Warnings: slices.Clone(read.Findings)}
	lit := on != nil && on.Quantity == photometry.Illuminance
	var errs table.Errors
	for i, p := range read.Places {
		place := Place{p.Label, p.X, p.Y, p.Light, p.Luminance, p.Card}
		if at := labeled(on, p.Label); at >= 0 {
			if lit && place.Light == 0 {
				place.Light = on.Level[at]
			}
			if on.Placing == survey.InMeters && math.IsNaN(place.X) {
				place.X, place.Y = on.X[at], on.Y[at]
			}
		}
		if !(place.Light > 0) {
			errs = append(errs, read.LightError(i))
		}
		in.Places = append(in.Places, place)
	}
	if in.Lit == nil && read.Width > 0 && read.Height > 0 {
		in.Lit = &spatial.Box{X1: read.Width, Y1: read.Height}
	}
	if in.Lit == nil && on != nil && on.Placing == survey.InMeters {
		if in.Lit = on.Area; in.Lit == nil {
			in.Lit = &on.Extent
		}
	}
	return in, errs.ErrOrNil()
}

// SurveyFor is which of some surveys, by their titles, has the light of a screen's table:
// the one with its title, else the only one; -1 for none. No title is like no other.
func SurveyFor(title string, surveys []string) int {
	if i := slices.IndexFunc(surveys, func(s string) bool { return s != "" && photometry.SameName(s, title) }); i >= 0 {
		return i
	}
	if len(surveys) == 1 {
		return 0
	}
	return -1
}

// labeled is the place of a survey with a label, -1 for none.
func labeled(s *survey.Survey, label string) int {
	if s == nil || label == "" {
		return -1
	}
	for i := range s.X {
		if strings.EqualFold(s.LabelOf(i), label) {
			return i
		}
	}
	return -1
}

// TakeMarks takes the marks of a table of lights: the key in lx, the spill as read, where
// they stand, and what is wanted of the screen and its spill.
func (in *Input) TakeMarks(read *setup.Ratios, lights *ratio.Result) {
	in.Tolerance = lights.ToleranceStops
	for _, t := range read.Input.AreaTargets {
		switch stops := t.Stops; t.Role {
		case ratio.ScreenRole:
			in.Target = &stops
		case ratio.SpillRole:
			in.SpillTarget = &stops
		}
	}
	for _, m := range lights.Marks {
		at := read.Marks[photometry.NameKey(m.Label)]
		mark := Mark{Label: m.Label, ToScreenM: at.ToScreenM, X: at.X, Y: at.Y}
		if m.Key != nil && m.Unit == photometry.Illuminance.Unit() {
			mark.Key = *m.Key
		}
		for _, area := range m.Areas {
			if level := area.Level; area.Role == ratio.SpillRole && area.Unit == photometry.Illuminance.Unit() {
				mark.Spill = &level
			}
		}
		in.Marks = append(in.Marks, mark)
	}
}
