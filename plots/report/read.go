package report

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path"
	"strings"

	"evenfall/falloff"
	"evenfall/photometry"
	"evenfall/photometry/setup"
	"evenfall/photometry/survey"
	"evenfall/photometry/table"
	"evenfall/photometry/uncertainty"
)

// ErrEmpty is the answer to a folder without anything that a report could tell.
var ErrEmpty = errors.New("found no table of a set-up, expected readings of a surface, lamps.csv, ratio.csv or a distance series")

// Options say how a report is read and what it is compared with.
type Options struct {
	// Before is the folder of another day, and BeforeName what it is called. Nil
	// takes the one that the set-up names, or the day before in the folder.
	Before     fs.FS
	BeforeName string
	// BeforeAt is where that folder is from this one, for whoever verifies the report.
	BeforeAt string
	// Skip are files of the folder that do not belong to the set-up, beside reports
	// under their usual names.
	Skip []string
	// Intent is what the list of steps is for, match or improve, "" for as the folder
	// says.
	Intent string
}

// Read gathers a folder and computes everything that it supports. Files that
// cannot be used become problems of the report; the error is for a folder that
// has nothing at all (ErrEmpty), that cannot be listed, or in which two files
// claim to be the same table.
func Read(fsys fs.FS, o Options) (*Report, error) {
	folder, err := setup.OpenFolder(fsys)
	if err != nil {
		return nil, err
	}
	if folder.Empty() {
		if len(folder.Problems) > 0 {
			return nil, folder.Problems[0].Err
		}
		return nil, ErrEmpty
	}
	r := &Report{Schema: Schema, Problems: []Problem{}, Files: []File{}, Warnings: []photometry.Finding{}, Cautions: []photometry.Finding{}, options: o}
	for _, p := range folder.Problems {
		r.problem(p.File, p.Err)
	}
	g := &gatherer{Report: r, fsys: fsys, folder: folder, settings: &setup.Settings{}}
	g.found = stamps(fsys, folder.Files)
	g.setup()
	g.surfaces()
	g.before()
	g.previous()
	g.lamps()
	g.ratios()
	g.dials()
	g.screen()
	g.series()
	g.kit()
	g.photos()
	g.files()
	g.steps()
	r.exposure(g.settings)
	r.conclude()
	if r.nothing() {
		return nil, fmt.Errorf("no file of the folder can be used; %s: %s", r.Problems[0].File, r.Problems[0].Text)
	}
	return r, nil
}

// gatherer fills a report from a folder.
type gatherer struct {
	*Report
	fsys     fs.FS
	folder   *setup.Folder
	settings *setup.Settings
	used     []string         // files in folders of the folder that the set-up names
	found    map[string]stamp // the folder's files before anything was read
}

// problem notes a file that cannot be used.
func (r *Report) problem(file string, err error) {
	r.Problems = append(r.Problems, Problem{file, fileless(err, file)})
}

// fileless is an error's text without the name of its file at the front, which is
// told beside it, and with places in words.
func fileless(err error, file string) string {
	var all table.Errors
	if errors.As(err, &all) {
		var lines []string
		for i, e := range all {
			if i == mostErrors {
				lines = append(lines, fmt.Sprintf("and %d more", len(all)-i))
				break
			}
			lines = append(lines, e.Within(file))
		}
		return strings.Join(lines, "\n")
	}
	if e, ok := errors.AsType[*table.Error](err); ok {
		return e.Within(file)
	}
	text := err.Error()
	if on, ok := errors.AsType[*fs.PathError](err); ok {
		text = on.Err.Error()
	}
	return strings.TrimPrefix(strings.TrimPrefix(text, file+":"), " ")
}

// mostErrors is how many errors of one file are told.
const mostErrors = 8

// tableOf reads one of the folder's tables, where there is one; what is wrong with it
// becomes a problem.
func tableOf[T any](g *gatherer, name string, read func(io.Reader, string) (T, error)) (out T, ok bool) {
	if name == "" {
		return out, false
	}
	out, err := readTable(g.fsys, name, read)
	if err != nil {
		g.problem(name, err)
	}
	return out, err == nil
}

// setup reads the keys and values.
func (g *gatherer) setup() {
	name := g.folder.Setup
	s, _ := tableOf(g, name, setup.ReadSettings)
	if s == nil {
		return
	}
	// What could be read stands, told beside what could not.
	g.Warnings = append(g.Warnings, table.Findings(s.Warnings)...)
	g.settings, g.Setup = s, &Setup{name, *s}
}

// series reads what was read along lights and the checks of meters.
func (g *gatherer) series() {
	for _, name := range g.folder.Distances {
		if s, ok := tableOf(g, name, readSeries); ok {
			if d, err := falloff.FitSeries(s, falloff.Options{WithinStops: zone}); err != nil {
				g.problem(name, err)
			} else {
				g.Distances = append(g.Distances, Distance{name, d, s})
			}
		}
	}
	for _, name := range g.folder.Meters {
		if s, ok := tableOf(g, name, readSeries); ok {
			if m, err := falloff.CheckSeries(s, falloff.Options{}); err != nil {
				g.problem(name, err)
			} else {
				g.Meters = append(g.Meters, MeterCheck{name, m, s})
			}
		}
	}
}

// zone is the half width in stops of the zone about a mark that is told.
const zone = 1.0 / 3

func readSeries(file io.Reader, name string) (*survey.Series, error) {
	return survey.ReadSeries(survey.Input{Name: name, Reader: file}, survey.ReadOptions{})
}

// kit reads the bag of gels and the cameras.
func (g *gatherer) kit() {
	if bag, ok := tableOf(g, g.folder.Gels, setup.ReadGels); ok {
		g.Gels = &Gels{g.folder.Gels, bag.Gels}
	}
	if cameras, ok := tableOf(g, g.folder.Cameras, setup.ReadCameras); ok {
		g.Cameras = &Cameras{g.folder.Cameras, cameras.Offsets}
	}
}

// nothing tells whether no file could be used.
func (r *Report) nothing() bool {
	return r.Setup == nil && r.Ratios == nil && len(r.Lamps)+len(r.Surfaces)+len(r.Distances)+len(r.Meters) == 0 && r.Gels == nil && r.Cameras == nil && r.Dimmers == nil && r.Screen == nil
}

// within makes a name of a set-up's table one within the folder: with slashes, and
// without a way out.
func within(name string) (string, bool) {
	name = path.Clean(strings.ReplaceAll(strings.TrimSpace(name), `\`, "/"))
	return name, fs.ValidPath(name) && name != "."
}

// severity orders verdicts, the worst last.
var severity = map[string]int{"": 0, uncertainty.Pass: 1, uncertainty.Unsure: 2, uncertainty.Fail: 3}
