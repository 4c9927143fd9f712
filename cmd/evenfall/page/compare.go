package page

import (
	"bytes"
	"errors"
	"io"
	"net/http"
	"slices"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/match"
	"evenfall/photometry/ratio"
	"evenfall/photometry/schema"
	"evenfall/photometry/setup"
	"evenfall/photometry/survey"
	"evenfall/photometry/table"
	"evenfall/plots/answers"
	"evenfall/plots/document"
)

// compared is the answer of match: the result that the command has, and its words.
type compared struct {
	Result any                `json:"result"`
	Words  []document.KeyText `json:"words"`
}

// input opens a file of the folder for a reader, whole and within the limits.
func (st *store) input(name string) (survey.Input, error) {
	content, _, err := st.read(name)
	return survey.Input{Name: name, Reader: bytes.NewReader(content)}, err
}

// ratios compares the lights at marks of a table, as evenfall ratio does, and is the unit
// that they are written in.
func (st *store) ratios(name string, content []byte) (*ratio.Result, photometry.Unit, error) {
	f, err := st.found()
	if f == nil {
		return nil, 0, err
	}
	var o setup.RatioOptions
	if f.Setup != "" {
		if o.Setup, err = readTable(st, f.Setup, setup.ReadSettings); err != nil {
			return nil, 0, err
		}
	}
	read, err := o.Read(bytes.NewReader(content), name)
	if err != nil {
		return nil, 0, err
	}
	result, err := ratio.Analyze(read.Input)
	if err != nil {
		return nil, 0, err
	}
	warnings := read.Warnings
	if o.Setup != nil {
		warnings = append(warnings, o.Setup.Warnings...)
	}
	result.Warnings = append(result.Warnings, table.Findings(warnings)...)
	return result, read.UnitFor(photometry.NoUnit), nil
}

// readTable reads a file of the folder as a table of some kind.
func readTable[T any](st *store, name string, read func(io.Reader, string) (T, error)) (t T, err error) {
	in, err := st.input(name)
	if err != nil {
		return t, err
	}
	return read(in.Reader, name)
}

// pair is two days of one surface.
type pair struct {
	Title  string `json:"title"`
	Before string `json:"before"` // the main files
	After  string `json:"after"`
}

// pairs are the days of each surface, each with the one before it.
func pairs(f *setup.Folder) []pair {
	out := []pair{}
	for i := 1; i < len(f.Surveys); i++ {
		before, after := f.Surveys[i-1], f.Surveys[i]
		if after.Title == "" || !strings.EqualFold(before.Title, after.Title) {
			continue
		}
		title := after.Title
		if before.Date != "" && after.Date != "" {
			title += ", " + before.Date + " to " + after.Date
		}
		out = append(out, pair{title, before.Files[0], after.Files[0]})
	}
	return out
}

// markPairs are two days of the lights at marks, each with the one before it.
func markPairs(days []listed) (out []pair) {
	days = slices.Clone(days)
	var dates []string
	for _, d := range days {
		dates = append(dates, d.Date)
	}
	order := schema.DaysOf(dates...)
	slices.SortStableFunc(days, func(a, b listed) int { return order.Compare(a.Date, b.Date) })
	for i := 1; i < len(days); i++ {
		out = append(out, pair{"marks, " + days[i-1].Name + " to " + days[i].Name, days[i-1].Name, days[i].Name})
	}
	return out
}

// match compares the light of two days, as evenfall match does.
func (s *server) match(w http.ResponseWriter, r *http.Request) error {
	result, err := s.store.matched(r.URL.Query().Get("before"), r.URL.Query().Get("after"))
	if err != nil {
		return inFiles(err, "bad_match")
	}
	return answer(w, 200, compared{answers.Describe(result), answers.Match(result, document.Words{}, false).Lines()})
}

func (st *store) matched(before, after string) (*match.Result, error) {
	f, err := st.found()
	switch {
	case f == nil:
		return nil, err
	case before == after:
		return nil, problem{400, "bad_match", "Found one survey, expected those of two days."}
	}
	var files [][]string // of each day
	for _, day := range f.Surveys {
		files = append(files, day.Files)
	}
	for _, name := range st.markFiles(f) {
		files = append(files, []string{name})
	}
	var days [2][]survey.Input
	for i, name := range []string{before, after} {
		at := slices.IndexFunc(files, func(day []string) bool { return slices.Contains(day, name) })
		if at < 0 {
			return nil, errNoSurvey
		}
		for _, name := range files[at] {
			in, err := st.input(name)
			if err != nil {
				return nil, err
			}
			days[i] = append(days[i], in)
		}
	}
	return match.Read(match.Files{Before: days[0], After: days[1]}, match.Options{})
}

// inFiles makes what is wrong with the files of a question its answer.
func inFiles(err error, code string) error {
	if errors.As(err, new(problem)) {
		return err
	}
	return problem{422, code, sentence("", err)}
}
