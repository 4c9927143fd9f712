package report

import (
	"errors"
	"fmt"
	"io/fs"
	"path"
	"slices"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/setup"
)

// Comparison is a surface against the same one of another day.
type Comparison struct {
	Day
	// From is the day or folder that it was read from.
	From string `json:"from,omitempty"`

	read *Surface
}

// compare takes a survey as the day before.
func (s *Surface) compare(before *Surface, from string) {
	s.Before = &Comparison{Day: before.inShort(), From: from, read: before}
}

// before takes another day that the caller or the set-up names, in place of the day
// before in the folder.
func (g *gatherer) before() {
	if g.options.Before != nil {
		g.otherDay(g.options.Before, g.options.BeforeName, "")
		return
	}
	named := g.settings.Before
	if named == "" {
		return
	}
	name, ok := within(named)
	if !ok {
		g.Problems = append(g.Problems, Problem{g.folder.Setup, fmt.Sprintf("before: found “%s”, expected a folder or a survey within this folder (--before takes any)", named)})
		return
	}
	info, err := fs.Stat(g.fsys, name)
	switch {
	case err != nil:
		g.problem(name, err)
	case info.IsDir():
		day, err := fs.Sub(g.fsys, name)
		if err != nil {
			g.problem(name, err)
			return
		}
		g.otherDay(day, named, name)
	default:
		g.sameFolder(name)
	}
}

// sameFolder compares with a survey of this folder, by one of its files.
func (g *gatherer) sameFolder(name string) {
	for _, files := range g.folder.Surveys {
		if !slices.Contains(files.Files, name) {
			continue
		}
		before, err := g.readSurface(g.fsys, files)
		if err != nil {
			g.problem(name, err)
			return
		}
		for i := range g.Surfaces {
			if s := &g.Surfaces[i]; !slices.Contains(s.Files, name) && (strings.EqualFold(s.Title, before.Title) || len(g.Surfaces) == 1) {
				s.compare(before, before.day())
				return
			}
		}
		g.problem(name, errors.New("no newer survey of this surface to compare it with"))
		return
	}
	g.problem(name, errors.New("found no survey, expected the folder or the survey of the day before"))
}

// otherDay compares with the surveys of another folder: those of the same title,
// or the only one with the only one. inside is the folder's name within this one,
// "" where it lies elsewhere.
func (g *gatherer) otherDay(day fs.FS, name, inside string) {
	folder, err := setup.OpenFolder(day)
	if err != nil {
		g.problem(name, err)
		return
	}
	days := folder.Days()
	found := false
	for _, surveys := range days {
		for i := range g.Surfaces {
			s := &g.Surfaces[i]
			if !strings.EqualFold(surveys[0].Title, s.Title) && !(len(days) == 1 && len(g.Surfaces) == 1) {
				continue
			}
			found = true
			before, err := g.readSurface(day, surveys[0])
			if err != nil {
				g.problem(path.Join(name, surveys[0].Files[0]), err)
				continue
			}
			s.compare(before, name)
			for _, file := range surveys[0].Files {
				if inside != "" {
					g.used = append(g.used, path.Join(inside, file))
				}
			}
		}
	}
	if !found {
		g.problem(name, errors.New("found no survey of a surface of this folder, expected one with the same note “surface”"))
	}
}

// day is what the day of a survey is called.
func (s *Surface) day() string {
	if s.Date != "" {
		return s.Date
	}
	return s.Files[0]
}

// tell puts the comparison in words.
func (c *Comparison) tell(s *section, after *Surface, o Options) {
	var f facts
	e := after.decisive()
	f.add("Before", fmt.Sprintf("%s (%s): %s, spread %.2f stop, mean %s", c.From, strings.Join(c.Files, ", "), c.Verdict, c.SpreadStops, c.read.level(c.Mean, o)))
	f.add("Now", fmt.Sprintf("%s, spread %.2f stop, mean %s", after.Result.Verdict.Overall, e.SpreadStops, after.level(e.Mean, o)))
	if c.Unit == after.Result.Unit && c.Mean > 0 {
		f.add("Mean", stops(photometry.Stops(e.Mean, c.Mean))+" to the day before")
	}
	s.facts(f)
	if len(after.Older) > 1 {
		t := &grid{Caption: "Further days of " + after.Title, Header: []string{"Day", "Verdict", "Mean", "Spread", "Files"}, Right: []bool{false, false, true, true, false}}
		for _, d := range after.Older[1:] {
			t.Rows = append(t.Rows, []cell{one(d.Date), one(d.Verdict), one(after.level(d.Mean, o)), one(fmt.Sprintf("%.2f stop", d.SpreadStops)), one(strings.Join(d.Files, ", "))})
		}
		s.table(t)
	}
}
