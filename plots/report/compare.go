package report

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path"
	"slices"
	"strings"

	"evenfall/photometry/evenness"
	"evenfall/photometry/match"
	"evenfall/photometry/setup"
)

// Comparison is a surface against the same one of another day.
type Comparison struct {
	Day
	// From is the day or folder that it was read from.
	From string `json:"from,omitempty"`
	// Match is today's light against that day's; absent where the two cannot be
	// compared, which is a problem then.
	Match *match.Result `json:"match,omitempty"`
	// Inputs are that day's files where they lie in another folder; those of this one
	// are among the report's.
	Inputs []File `json:"inputs,omitempty"`

	read     *Surface
	here     bool     // in this folder
	within   []string // that day's files that lie in this folder or below
	approved bool     // by that folder's own set-up
}

// compare holds a surface against a survey of another day, with what changed in
// the tables of the two set-ups. folder is where the files of that day are, for
// messages.
func (g *gatherer) compare(s, before *Surface, from, folder string, changes []setup.Change) {
	s.Before = &Comparison{Day: before.inShort(), From: from, read: before, here: folder == ""}
	if folder == "" {
		s.Before.within = before.Files
	}
	match, err := match.Read(match.Files{Before: before.inputs(folder), After: s.inputs("")}, match.Options{Changes: changes})
	if err != nil {
		g.problem(strings.Join(before.Files, ", "), err)
		return
	}
	s.Before.Match = match
}

// before compares with another day that the caller or the set-up names.
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
	case err == nil && info.IsDir():
		var day fs.FS
		if day, err = fs.Sub(g.fsys, name); err == nil {
			g.otherDay(day, named, name)
		}
	case err == nil:
		err = g.sameFolder(name)
	}
	if err != nil {
		g.problem(name, err)
	}
}

// previous compares each surface that no other day was named for with the day
// before in the folder.
func (g *gatherer) previous() {
	for i := range g.Surfaces {
		if s := &g.Surfaces[i]; s.Before == nil && s.previous != nil {
			g.compare(s, s.previous, s.previous.day(), "", nil)
		}
	}
}

// sameFolder compares with a survey of this folder, by one of its files.
func (g *gatherer) sameFolder(name string) error {
	at := slices.IndexFunc(g.folder.Surveys, func(s setup.SurveyFiles) bool { return slices.Contains(s.Files, name) })
	if at < 0 {
		return errors.New("found no survey, expected the folder or the survey of the day before")
	}
	before, err := g.readSurface(g.fsys, g.folder.Surveys[at], evenness.Judge)
	if err != nil {
		return err
	}
	for i := range g.Surfaces {
		if s := &g.Surfaces[i]; !slices.Contains(s.Files, name) && (strings.EqualFold(s.Title, before.Title) || len(g.Surfaces) == 1) {
			g.compare(s, before, before.day(), "", nil)
			return nil
		}
	}
	return errors.New("no newer survey of this surface to compare it with")
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
	begun := stamps(day, folder.Files)
	g.listDay(day, folder, name, inside)
	changes, err := g.changes(day, folder)
	if err != nil {
		g.problem(name, err)
	}
	for i := range g.Surfaces {
		s := &g.Surfaces[i]
		k := slices.IndexFunc(days, func(surveys []setup.SurveyFiles) bool {
			return strings.EqualFold(surveys[0].Title, s.Title) || len(days) == 1 && len(g.Surfaces) == 1
		})
		if k < 0 {
			continue
		}
		found = true
		files := days[k][0]
		before, err := g.readSurface(day, files, evenness.Judge)
		if err != nil {
			g.problem(path.Join(name, files.Files[0]), err)
			continue
		}
		g.compare(s, before, name, name, changes)
		s.Before.approved = approved(day, folder, before)
		changes = nil // told once
		for _, file := range append([]string{folder.Setup}, files.Files...) {
			switch {
			case file == "":
			case inside != "":
				s.Before.within = append(s.Before.within, path.Join(inside, file))
			default:
				for _, f := range g.BeforeFolder.Files {
					if f.Name == file {
						f.Name = path.Join(name, file)
						s.Before.Inputs = append(s.Before.Inputs, f)
					}
				}
			}
		}
	}
	if inside != "" { // looked at again when this folder's files are listed
		for file, was := range begun {
			g.found[path.Join(inside, file)] = was
		}
	} else {
		g.noteChanged(begun, day, name, g.BeforeFolder.Files)
	}
	if !found {
		g.problem(name, errors.New("found no survey of a surface of this folder, expected one with the same note “surface”"))
	}
}

// listDay lists the tables of another folder, by which it is known again: those of one
// within this folder are listed with its own files.
func (g *gatherer) listDay(day fs.FS, folder *setup.Folder, name, inside string) {
	tables := slices.DeleteFunc(slices.Clone(folder.Files), func(file string) bool { return !setup.IsTable(file) })
	if inside != "" {
		for _, file := range tables {
			g.used = append(g.used, path.Join(inside, file))
		}
		return
	}
	g.BeforeFolder = &DayFolder{Folder: g.options.BeforeAt, Files: []File{}}
	for _, file := range tables {
		f, err := copyFile(io.Discard, day, file)
		if err != nil {
			g.problem(path.Join(name, file), err)
			continue
		}
		g.BeforeFolder.Files = append(g.BeforeFolder.Files, f)
	}
}

// approved reports whether another folder's set-up says that its light, or that of a day,
// is to be had again.
func approved(day fs.FS, folder *setup.Folder, s *Surface) bool {
	if folder.Setup == "" {
		return false
	}
	set, err := readTable(day, folder.Setup, setup.ReadSettings)
	return err == nil && set.Approved != "" && (set.Approved == s.Date || s.Date == "" || !strings.ContainsAny(set.Approved, "0123456789"))
}

// changes are the differences of the tables that both days have.
func (g *gatherer) changes(day fs.FS, folder *setup.Folder) (out []setup.Change, err error) {
	if folder.Lamps != "" && g.folder.Lamps != "" {
		before, err1 := readTable(day, folder.Lamps, setup.ReadLamps)
		after, err2 := readTable(g.fsys, g.folder.Lamps, setup.ReadLamps)
		if err := errors.Join(err1, err2); err != nil {
			return nil, err
		}
		out = setup.LampChanges(before, after)
	}
	if folder.Setup != "" && g.Setup != nil {
		before, err := readTable(day, folder.Setup, setup.ReadSettings)
		if err != nil {
			return out, err
		}
		out = append(out, setup.SettingChanges(before, g.settings)...)
	}
	return out, nil
}

// readTable reads one of a folder's tables.
func readTable[T any](fsys fs.FS, name string, read func(io.Reader, string) (T, error)) (out T, err error) {
	file, err := fsys.Open(name)
	if err != nil {
		return out, err
	}
	defer file.Close()
	return read(file, name)
}

// day is what the day of a survey is called.
func (s *Surface) day() string { return cmp.Or(s.Date, s.Files[0]) }
