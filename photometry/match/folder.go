package match

import (
	"bytes"
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

// Folder is one day's set-up: its files, what was found of them, and what the folder is
// called in messages.
type Folder struct {
	*setup.Folder
	FS   fs.FS
	Name string // joined before the names of its files; "" for the folder that the user is in
	// Survey is the one file whose survey is the day; "" for all of the folder.
	Survey string
}

// CompareFolders matches two set-ups: surveys of the same title (else the only
// ones), each folder's last day; the readings of lamps alone that the folder of
// the day before has; and the tables lamps and setup row by row. Further surfaces
// are in Result.More.
//
// Where there is no after, a surface's last two days in before are matched.
func CompareFolders(a, b *Folder, flags []*schema.Source, o Options) (*Result, error) {
	if err := a.narrow(); err != nil {
		return nil, err
	}
	if b == nil {
		pairs, err := a.lastDays()
		if err != nil {
			return nil, err
		}
		return matchAll(pairs, a, a, flags, o)
	}
	if err := b.narrow(); err != nil {
		return nil, err
	}
	atMarks := a.Ratio != "" && b.Ratio != ""
	var pairs []surveyPair
	var alone []photometry.Finding
	var err error
	if !atMarks || len(a.Surveys) > 0 && len(b.Surveys) > 0 {
		if pairs, alone, err = a.pairs(b); err != nil {
			return nil, err
		}
	}
	if o.Changes == nil {
		if o.Changes, err = a.changes(b); err != nil {
			return nil, err
		}
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
	if marks != nil {
		out.addMarks(marks)
	}
	return out, nil
}

// matchAll matches all pairs of surveys, and judges them together: those after the
// first, one with lamps read alone where there is any, are its More. Changes of the
// tables are said once.
func matchAll(pairs []surveyPair, a, b *Folder, flags []*schema.Source, o Options) (*Result, error) {
	slices.SortStableFunc(pairs, func(p, q surveyPair) int { return p.without() - q.without() })
	var out *Result
	for _, p := range pairs {
		files := Files{Flags: flags}
		var err1, err2 error
		files.Before, err1 = a.inputs(p.before.Files)
		files.After, err2 = b.inputs(p.after.Files)
		if err := errors.Join(err1, err2); err != nil {
			return nil, err
		}
		r, err := Read(files, o)
		if err != nil {
			return nil, err
		}
		if out == nil {
			out, o.Changes = r, nil
			continue
		}
		out.More = append(out.More, r)
		out.Verdict.All = uncertainty.WorstVerdict(out.Verdict.Worst(), r.Verdict.Overall)
	}
	return out, nil
}

// addMarks adds how the lights at marks differ, and judges them too.
func (r *Result) addMarks(marks *Result) {
	r.Marks = marks.Marks
	if marks.Verdict.Overall != uncertainty.Pass {
		r.Steps = slices.DeleteFunc(r.Steps, func(f photometry.Finding) bool { return f.Code == StepKeep || f.Code == StepMeterAgain })
		r.Steps = append(r.Steps, marks.Steps...)
	}
	r.Verdict.All = uncertainty.WorstVerdict(r.Verdict.Worst(), marks.Verdict.Overall)
}

func (s *Folder) where() string {
	if s.Name == "" {
		return "this folder"
	}
	return s.Name
}

// narrow leaves of the folder the one survey that is the day, where there is one, and checks
// that something is there.
func (s *Folder) narrow() error {
	if s.Survey != "" {
		s.Ratio, s.Lamps, s.Setup = "", "", ""
		s.Surveys = slices.DeleteFunc(s.Surveys, func(of setup.SurveyFiles) bool { return !slices.Contains(of.Files, s.Survey) })
	}
	switch {
	case len(s.Surveys) > 0 || s.Ratio != "":
		return nil
	case s.Survey != "":
		return fmt.Errorf("%s is no survey, expected the folder or the survey of the day before", path.Join(s.Name, s.Survey))
	case s.Empty():
		return fmt.Errorf("%s has no table of readings, expected a survey of each day", s.where())
	}
	return fmt.Errorf("%s has no survey, expected readings of a surface on each day", s.where())
}

// inputs reads files of the folder.
func (s *Folder) inputs(names []string) (out []survey.Input, err error) {
	for _, name := range names {
		content, err := fs.ReadFile(s.FS, name)
		if err != nil {
			return nil, err
		}
		out = append(out, survey.Input{Name: path.Join(s.Name, name), Reader: bytes.NewReader(content)})
	}
	return out, nil
}

// marks matches the tables of lights at marks.
func (s *Folder) marks(b *Folder, flags []*schema.Source, o Options) (*Result, error) {
	before, err1 := s.inputs([]string{s.Ratio})
	after, err2 := b.inputs([]string{b.Ratio})
	if err := errors.Join(err1, err2); err != nil {
		return nil, err
	}
	return readMarks(before[0], after[0], flags, o)
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
func (s *Folder) lastDays() (out []surveyPair, err error) {
	for _, days := range s.Days() {
		if len(days) > 1 {
			out = append(out, surveyPair{days[1], days[0]})
		}
	}
	if len(out) == 0 {
		return nil, fmt.Errorf("%s has no two days of one surface, expected surveys with one note “surface” and different dates, or two files", s.where())
	}
	return out, nil
}

// pairs are the surveys of two folders that belong together, each surface's last day,
// and what to say of those that only one of them has.
func (s *Folder) pairs(b *Folder) (out []surveyPair, alone []photometry.Finding, err error) {
	for _, s := range []*Folder{s, b} {
		if len(s.Surveys) == 0 {
			return nil, nil, fmt.Errorf("%s has no survey, expected readings of a surface on each day", s.where())
		}
	}
	first, second := s.Days(), b.Days()
	rest := slices.Clone(second)
	for _, days := range first {
		f := days[0]
		i := slices.IndexFunc(rest, func(days []setup.SurveyFiles) bool {
			return strings.EqualFold(f.Title, days[0].Title) && (f.Title != "" || strings.EqualFold(f.Files[0], days[0].Files[0]))
		})
		if i < 0 {
			alone = append(alone, photometry.Found("match.before.surface_unmatched", "surface", surveyName(f)))
			continue
		}
		out = append(out, surveyPair{f, rest[i][0]})
		rest = slices.Delete(rest, i, i+1)
	}
	switch {
	case len(out) == 0 && len(first) == 1 && len(second) == 1:
		return []surveyPair{{first[0][0], second[0][0]}}, nil, nil
	case len(out) == 0:
		return nil, nil, fmt.Errorf("%s and %s have no surface in common: %s and %s; expected the same note “surface” on both days", s.where(), b.where(), surveyNames(first), surveyNames(second))
	}
	for _, days := range rest {
		alone = append(alone, photometry.Found("match.today.surface_unmatched", "surface", surveyName(days[0])))
	}
	return out, alone, nil
}

func surveyName(f setup.SurveyFiles) string {
	if f.Title != "" {
		return f.Title
	}
	return f.Files[0]
}

func surveyNames(all [][]setup.SurveyFiles) string {
	var names []string
	for _, days := range all {
		names = append(names, surveyName(days[0]))
	}
	return strings.Join(names, ", ")
}

// changes are the differences of the tables that both folders have.
func (s *Folder) changes(b *Folder) (out []setup.Change, err error) {
	if s.Lamps != "" && b.Lamps != "" {
		before, err1 := readTable(s, s.Lamps, setup.ReadLamps)
		after, err2 := readTable(b, b.Lamps, setup.ReadLamps)
		if err := errors.Join(err1, err2); err != nil {
			return nil, err
		}
		out = setup.LampChanges(before, after)
	}
	if s.Setup != "" && b.Setup != "" {
		before, err1 := readTable(s, s.Setup, setup.ReadSettings)
		after, err2 := readTable(b, b.Setup, setup.ReadSettings)
		if err := errors.Join(err1, err2); err != nil {
			return nil, err
		}
		out = append(out, setup.SettingChanges(before, after)...)
	}
	return out, nil
}

// readTable reads one of a folder's tables.
func readTable[T any](s *Folder, name string, read func(r io.Reader, file string) (T, error)) (out T, err error) {
	in, err := s.inputs([]string{name})
	if err != nil {
		return out, err
	}
	return read(in[0].Reader, in[0].Name)
}
