package match

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path"
	"slices"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/schema"
	"evenfall/photometry/setup"
	"evenfall/photometry/survey"
	"evenfall/photometry/uncertainty"
)

// Folder is one day's set-up: its files and what the folder is called in
// messages.
type Folder struct {
	FS   fs.FS
	Name string // joined before the names of its files; "" for the folder it stands in
	// Survey is the one file whose survey is the day; "" for all of the folder.
	Survey string
}

// CompareFolders matches two set-ups: surveys of the same title (else the only
// ones), each folder's last day; the readings of lamps alone that the folder of
// the day before has; and the tables lamps and setup row by row. Further surfaces
// are in MatchResult.More.
//
// Where after has no FS, a surface's last two days in before are matched.
func CompareFolders(before, after Folder, flags []*schema.Source, o Options) (*Result, error) {
	a, err := openSetUp(before)
	if err != nil {
		return nil, err
	}
	b := a
	if after.FS != nil {
		if b, err = openSetUp(after); err != nil {
			return nil, err
		}
	}
	atMarks := a != b && a.Ratio != "" && b.Ratio != ""
	var pairs []surveyPair
	var alone []photometry.Finding
	switch {
	case a == b:
		pairs, err = a.lastDays()
	case !atMarks || len(a.Surveys) > 0 && len(b.Surveys) > 0:
		pairs, alone, err = a.pairs(b)
	}
	if err == nil && o.Changes == nil && a != b {
		o.Changes, err = a.changes(b)
	}
	if err != nil {
		return nil, err
	}
	var marks *Result
	if atMarks {
		if marks, err = a.marks(b, flags, o); err != nil || len(pairs) == 0 {
			return marks, err
		}
	}
	out, err := matchAll(pairs, a, b, flags, o)
	if err != nil {
		return nil, err
	}
	out.Warnings = append(out.Warnings, alone...)
	out.Warnings = append(out.Warnings, a.Findings()...)
	if b != a {
		out.Warnings = append(out.Warnings, b.Findings()...)
	}
	out.addMarks(marks)
	return out, nil
}

// matchAll matches all pairs of surveys: those after the first, one with lamps read
// alone where there is any, are its More. Changes of the tables are told once.
func matchAll(pairs []surveyPair, a, b *setUp, flags []*schema.Source, o Options) (*Result, error) {
	slices.SortStableFunc(pairs, func(p, q surveyPair) int { return p.without() - q.without() })
	var out *Result
	for _, p := range pairs {
		r, err := p.match(a, b, flags, o)
		switch {
		case err != nil:
			return nil, err
		case out == nil:
			out, o.Changes = r, nil
		default:
			out.More = append(out.More, r)
		}
	}
	return out, nil
}

// addMarks adds how the lights at marks differ, nil for none, and judges all
// surfaces and marks together.
func (r *Result) addMarks(marks *Result) {
	if marks != nil {
		r.Marks = marks.Marks
		if marks.Verdict.Overall != uncertainty.Pass {
			r.Steps = slices.DeleteFunc(r.Steps, func(f photometry.Finding) bool { return f.Code == StepKeep || f.Code == StepMeterAgain })
			r.Steps = append(r.Steps, marks.Steps...)
		}
	}
	if len(r.More) == 0 && marks == nil {
		return
	}
	worst := []string{r.Verdict.Overall}
	if marks != nil {
		worst = append(worst, marks.Verdict.Overall)
	}
	for _, more := range r.More {
		worst = append(worst, more.Verdict.Overall)
	}
	r.Verdict.All = uncertainty.WorstVerdict(worst...)
}

// setUp is a folder with what it holds.
type setUp struct {
	given Folder
	*setup.Folder
}

func (f Folder) where() string {
	if f.Name == "" {
		return "this folder"
	}
	return f.Name
}

func openSetUp(f Folder) (*setUp, error) {
	found, err := setup.OpenFolder(f.FS)
	switch {
	case err != nil:
		return nil, fmt.Errorf("%s: %w", f.where(), err)
	case len(found.Surveys) == 0 && found.Ratio == "" && len(found.Problems) > 0:
		return nil, fmt.Errorf("%s: %w", path.Join(f.Name, found.Problems[0].File), found.Problems[0].Err)
	case f.Survey != "":
		found.Ratio, found.Lamps, found.Setup = "", "", ""
		found.Surveys = slices.DeleteFunc(found.Surveys, func(s setup.SurveyFiles) bool { return !slices.Contains(s.Files, f.Survey) })
		if len(found.Surveys) == 0 {
			return nil, fmt.Errorf("%s is no survey, expected the folder or the survey of the day before", path.Join(f.Name, f.Survey))
		}
	case found.Empty():
		return nil, fmt.Errorf("%s has no table of readings, expected a survey of each day", f.where())
	case len(found.Surveys) == 0 && found.Ratio == "":
		return nil, fmt.Errorf("%s has no survey, expected readings of a surface on each day", f.where())
	}
	return &setUp{f, found}, nil
}

// marks matches the tables of lights at marks.
func (a *setUp) marks(b *setUp, flags []*schema.Source, o Options) (*Result, error) {
	before, err := a.input(a.Ratio)
	if err != nil {
		return nil, err
	}
	defer before.Close()
	after, err := b.input(b.Ratio)
	if err != nil {
		return nil, err
	}
	defer after.Close()
	return readMarks(before.Input, after.Input, flags, o)
}

// openFile is a file of a folder, to be closed.
type openFile struct {
	survey.Input
	fs.File
}

// input opens a file of the folder.
func (a *setUp) input(name string) (openFile, error) {
	f, err := a.given.FS.Open(name)
	return openFile{survey.Input{Name: path.Join(a.given.Name, name), Reader: f}, f}, err
}

// surveyPair are one surface's files on both days.
type surveyPair struct{ before, after setup.SurveyFiles }

// without is 0 for a surface whose lamps were read alone, else 1.
func (p surveyPair) without() int {
	if p.before.Alone {
		return 0
	}
	return 1
}

// lastDays are the last two days of each surface of one folder.
func (a *setUp) lastDays() (out []surveyPair, err error) {
	for i := 1; i < len(a.Surveys); i++ {
		if sameTitle(a.Surveys[i-1], a.Surveys[i]) && (i+1 == len(a.Surveys) || !sameTitle(a.Surveys[i], a.Surveys[i+1])) {
			out = append(out, surveyPair{a.Surveys[i-1], a.Surveys[i]})
		}
	}
	if len(out) == 0 {
		return nil, fmt.Errorf("%s has no two days of one surface, expected surveys with the same note “surface” and different dates, or two files", a.given.where())
	}
	return out, nil
}

// sameTitle reports whether two surveys are named the same; those of a folder stand in
// the order of their titles and dates.
func sameTitle(f, g setup.SurveyFiles) bool {
	return f.Title != "" && strings.EqualFold(f.Title, g.Title)
}

// last is the last day of each surface.
func (a *setUp) last() (out []setup.SurveyFiles) {
	for i, f := range a.Surveys {
		if i+1 == len(a.Surveys) || !sameTitle(f, a.Surveys[i+1]) {
			out = append(out, f)
		}
	}
	return out
}

// pairs are the surveys of two folders that belong together, and what to say of
// those that only one of them has.
func (a *setUp) pairs(b *setUp) (out []surveyPair, alone []photometry.Finding, err error) {
	for _, s := range []*setUp{a, b} {
		if len(s.Surveys) == 0 {
			return nil, nil, fmt.Errorf("%s has no survey, expected readings of a surface on each day", s.given.where())
		}
	}
	first, second := a.last(), b.last()
	rest := slices.Clone(second)
	for _, f := range first {
		i := slices.IndexFunc(rest, func(g setup.SurveyFiles) bool {
			return sameTitle(f, g) || f.Title == "" && g.Title == "" && strings.EqualFold(f.Files[0], g.Files[0])
		})
		if i < 0 {
			alone = append(alone, photometry.Found("match.before.surface_unmatched", "surface", surveyName(f)))
			continue
		}
		out = append(out, surveyPair{f, rest[i]})
		rest = slices.Delete(rest, i, i+1)
	}
	switch {
	case len(out) == 0 && len(first) == 1 && len(second) == 1:
		return []surveyPair{{first[0], second[0]}}, nil, nil
	case len(out) == 0:
		return nil, nil, fmt.Errorf("%s and %s have no surface in common: %s and %s; expected the same note “surface” on both days", a.given.where(), b.given.where(), surveyNames(first), surveyNames(second))
	}
	for _, g := range rest {
		alone = append(alone, photometry.Found("match.today.surface_unmatched", "surface", surveyName(g)))
	}
	return out, alone, nil
}

func surveyName(f setup.SurveyFiles) string {
	if f.Title != "" {
		return f.Title
	}
	return f.Files[0]
}

func surveyNames(all []setup.SurveyFiles) string {
	var names []string
	for _, f := range all {
		names = append(names, surveyName(f))
	}
	return strings.Join(names, ", ")
}

// match reads and matches one pair.
func (p surveyPair) match(a, b *setUp, flags []*schema.Source, o Options) (*Result, error) {
	files := Files{Flags: flags}
	for _, day := range []struct {
		*setUp
		names []string
		into  *[]survey.Input
	}{{a, p.before.Files, &files.Before}, {b, p.after.Files, &files.After}} {
		for _, name := range day.names {
			f, err := day.input(name)
			if err != nil {
				return nil, err
			}
			defer f.Close()
			*day.into = append(*day.into, f.Input)
		}
	}
	return Read(files, o)
}

// changes are the differences of the tables that both folders have.
func (a *setUp) changes(b *setUp) ([]setup.Change, error) {
	var out []setup.Change
	if a.Lamps != "" && b.Lamps != "" {
		before, err1 := readTable(a, a.Lamps, setup.ReadLamps)
		after, err2 := readTable(b, b.Lamps, setup.ReadLamps)
		if err := errors.Join(err1, err2); err != nil {
			return nil, err
		}
		out = append(out, setup.LampChanges(before, after)...)
	}
	if a.Setup != "" && b.Setup != "" {
		before, err1 := readTable(a, a.Setup, setup.ReadSettings)
		after, err2 := readTable(b, b.Setup, setup.ReadSettings)
		if err := errors.Join(err1, err2); err != nil {
			return nil, err
		}
		out = append(out, setup.SettingChanges(before, after)...)
	}
	return out, nil
}

// readTable reads one of a folder's tables.
func readTable[T any](s *setUp, name string, read func(r io.Reader, file string) (T, error)) (out T, err error) {
	f, err := s.input(name)
	if err != nil {
		return out, err
	}
	defer f.Close()
	return read(f.Reader, f.Name)
}
