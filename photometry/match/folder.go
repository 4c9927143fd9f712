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
	onlyMarks := atMarks && (len(a.Surveys) == 0 || len(b.Surveys) == 0)
	var pairs []surveyPair
	var left []string
	if !onlyMarks {
		if pairs, left, err = a.pairs(b); err != nil {
			return nil, err
		}
	}
	if o.Changes == nil && a != b {
		if o.Changes, err = a.changes(b); err != nil {
			return nil, err
		}
	}
	var marks *Result
	if atMarks {
		if marks, err = a.marks(b, flags, o); err != nil || onlyMarks {
			return marks, err
		}
	}
	var all []*Result
	for _, p := range pairs {
		r, err := p.match(a, b, flags, o)
		if err != nil {
			return nil, err
		}
		all = append(all, r)
		o.Changes = nil // told once
	}
	out := all[0]
	out.More = all[1:]
	out.addMarks(marks)
	out.judgeAll()
	for _, text := range left {
		(&matching{r: out}).warn("surface_unmatched", "%s", text)
	}
	return out, nil
}

// addMarks takes in what the lights at the marks say; nil is none.
func (r *Result) addMarks(marks *Result) {
	if marks == nil {
		return
	}
	r.Marks = marks.Marks
	if marks.Verdict.Overall != uncertainty.Pass {
		r.Steps = slices.DeleteFunc(r.Steps, func(f photometry.Finding) bool { return f.Code == StepKeep || f.Code == StepMeterAgain })
		r.Steps = append(r.Steps, marks.Steps...)
	}
}

// judgeAll is the verdict of all surfaces and of the marks, where there are several.
func (r *Result) judgeAll() {
	parts := []string{r.Verdict.Overall}
	if r.Marks != nil {
		parts = append(parts, r.Marks.Verdict.Overall)
	}
	for _, other := range r.More {
		parts = append(parts, other.Verdict.Overall)
	}
	if len(parts) > 1 {
		r.Verdict.All = uncertainty.WorstVerdict(parts...)
	}
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
	case found.Empty():
		return nil, fmt.Errorf("%s has no table of readings, expected a survey of each day", f.where())
	case len(found.Surveys) == 0 && found.Ratio == "":
		return nil, fmt.Errorf("%s has no survey, expected readings of a surface on each day", f.where())
	}
	return &setUp{f, found}, nil
}

// marks matches the tables of lights at marks.
func (a *setUp) marks(b *setUp, flags []*schema.Source, o Options) (*Result, error) {
	before, err := a.given.FS.Open(a.Ratio)
	if err != nil {
		return nil, err
	}
	defer before.Close()
	after, err := b.given.FS.Open(b.Ratio)
	if err != nil {
		return nil, err
	}
	defer after.Close()
	return readMarks(survey.Input{Name: path.Join(a.given.Name, a.Ratio), Reader: before}, survey.Input{Name: path.Join(b.given.Name, b.Ratio), Reader: after}, flags, o)
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

// pairs are the surveys that belong together, those with lamps read alone first,
// and what is left over in words.
func (a *setUp) pairs(b *setUp) (out []surveyPair, left []string, err error) {
	if a == b {
		out = a.lastTwoDays()
		if len(out) == 0 {
			return nil, nil, fmt.Errorf("%s has no two days of one surface, expected surveys with the same note “surface” and different dates, or two files", a.given.where())
		}
	} else {
		for _, s := range []*setUp{a, b} {
			if len(s.Surveys) == 0 {
				return nil, nil, fmt.Errorf("%s has no survey, expected readings of a surface on each day", s.given.where())
			}
		}
		first, second := a.lastDays(), b.lastDays()
		if out, left = pairSurveys(first, second); len(out) == 0 {
			return nil, nil, fmt.Errorf("%s and %s have no surface in common: %s and %s; expected the same note “surface” on both days", a.given.where(), b.given.where(), surveyNames(first), surveyNames(second))
		}
	}
	slices.SortStableFunc(out, func(p, q surveyPair) int { return p.without() - q.without() })
	return out, left, nil
}

// sameSurface tells whether a survey and the next one are days of one surface.
func (a *setUp) sameSurface(i int) bool {
	return i+1 < len(a.Surveys) && a.Surveys[i].Title != "" && strings.EqualFold(a.Surveys[i].Title, a.Surveys[i+1].Title)
}

// lastTwoDays are those of each surface that has two days; days of one surface
// follow each other.
func (a *setUp) lastTwoDays() (out []surveyPair) {
	for i := 1; i < len(a.Surveys); i++ {
		if a.sameSurface(i-1) && !a.sameSurface(i) {
			out = append(out, surveyPair{a.Surveys[i-1], a.Surveys[i]})
		}
	}
	return out
}

// lastDays are the last one of each surface.
func (a *setUp) lastDays() (out []setup.SurveyFiles) {
	for i, f := range a.Surveys {
		if !a.sameSurface(i) {
			out = append(out, f)
		}
	}
	return out
}

// pairSurveys brings surveys of the same title together, else the only two there
// are.
func pairSurveys(first, second []setup.SurveyFiles) (out []surveyPair, left []string) {
	used := make([]bool, len(second))
	for _, f := range first {
		at := -1
		for i, g := range second {
			if at < 0 && !used[i] && strings.EqualFold(f.Title, g.Title) && (f.Title != "" || strings.EqualFold(f.Files[0], g.Files[0])) {
				at = i
			}
		}
		if at < 0 {
			left = append(left, fmt.Sprintf("“%s” of the day before has no partner today.", surveyName(f)))
			continue
		}
		used[at], out = true, append(out, surveyPair{f, second[at]})
	}
	if len(out) == 0 && len(first) == 1 && len(second) == 1 {
		return []surveyPair{{first[0], second[0]}}, nil
	}
	for i, g := range second {
		if !used[i] {
			left = append(left, fmt.Sprintf("“%s” of today has no partner the day before.", surveyName(g)))
		}
	}
	return out, left
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
	var open []fs.File
	defer func() {
		for _, f := range open {
			f.Close()
		}
	}()
	inputs := func(s *setUp, names []string) ([]survey.Input, error) {
		var out []survey.Input
		for _, name := range names {
			f, err := s.given.FS.Open(name)
			if err != nil {
				return nil, err
			}
			open = append(open, f)
			out = append(out, survey.Input{Name: path.Join(s.given.Name, name), Reader: f})
		}
		return out, nil
	}
	before, err1 := inputs(a, p.before.Files)
	after, err2 := inputs(b, p.after.Files)
	if err := errors.Join(err1, err2); err != nil {
		return nil, err
	}
	return Read(Files{Before: before, After: after, Flags: flags}, o)
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
	f, err := s.given.FS.Open(name)
	if err != nil {
		return out, err
	}
	defer f.Close()
	return read(f, path.Join(s.given.Name, name))
}
