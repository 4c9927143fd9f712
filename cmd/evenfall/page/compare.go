package page

import (
	"bytes"
	"net/http"
	"slices"
	"strings"

	"evenfall/cmd/evenfall/screen"
	"evenfall/photometry"
	"evenfall/photometry/ratio"
	"evenfall/photometry/setup"
	"evenfall/photometry/survey"
)

// lineWidth is wide enough that no line of an answer is folded.
const lineWidth = 100_000

var plainLines = screen.Options{Width: lineWidth, Unicode: true}

// compared is the answer of ratio and match: the result that the command has, and
// its words.
type compared struct {
	Result any           `json:"result"`
	Words  []screen.Line `json:"words"`
}

// found is what the folder holds.
func (st *store) found() (*setup.Folder, error) {
	f, err := setup.OpenFolder(plainFiles{st.root.FS()})
	if f == nil {
		return nil, fileProblem("the folder", err)
	}
	return f, nil // tables that are there twice are told where the folder is listed
}

// input opens a file of the folder for a reader, whole and within the limits.
func (st *store) input(name string) (survey.Input, error) {
	content, _, err := st.read(name)
	return survey.Input{Name: name, Reader: bytes.NewReader(content)}, err
}

// ratio compares the lights at marks, as evenfall ratio does.
func (s *server) ratio(w http.ResponseWriter, r *http.Request) {
	result, err := s.store.ratios()
	if err != nil {
		fail(w, asked(err, "bad_ratio"))
		return
	}
	answer(w, 200, compared{result, screen.RatioLines(result, plainLines)})
}

func (st *store) ratios() (*ratio.Result, error) {
	f, err := st.found()
	if err != nil {
		return nil, err
	}
	if f.Ratio == "" {
		return nil, problem{404, "no_ratio", "The folder has no table ratio.csv of lights at marks."}
	}
	in, err := st.input(f.Ratio)
	if err != nil {
		return nil, err
	}
	var o setup.RatioOptions
	var warnings []string
	if f.Setup != "" {
		file, err := st.input(f.Setup)
		if err != nil {
			return nil, err
		}
		values, err := setup.ReadValues(file.Reader, f.Setup)
		if err != nil {
			return nil, err
		}
		settings, more, err := values.Settings()
		if err != nil {
			return nil, err
		}
		o.Setup, o.SetupFrom = &settings, f.Setup
		for _, x := range slices.Concat(values.Warnings, more) {
			warnings = append(warnings, x.String())
		}
	}
	read, err := o.Read(in.Reader, f.Ratio)
	if err != nil {
		return nil, err
	}
	result, err := ratio.Analyze(read.Input)
	if err != nil {
		return nil, err
	}
	for _, x := range read.Warnings {
		warnings = append(warnings, x.String())
	}
	for _, text := range warnings {
		result.Warnings = append(result.Warnings, photometry.Finding{Code: "table", Text: text})
	}
	return result, nil
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

// match holds one day's light against another's, as evenfall match does.
func (s *server) match(w http.ResponseWriter, r *http.Request) {
	result, err := s.store.matched(r.URL.Query().Get("before"), r.URL.Query().Get("after"))
	if err != nil {
		fail(w, asked(err, "bad_match"))
		return
	}
	answer(w, 200, compared{result, screen.MatchLines(result, plainLines)})
}

func (st *store) matched(before, after string) (*survey.MatchResult, error) {
	f, err := st.found()
	if err != nil {
		return nil, err
	}
	files := func(name string) ([]survey.Input, error) {
		for _, group := range f.Surveys {
			if !slices.Contains(group.Files, name) {
				continue
			}
			var in []survey.Input
			for _, name := range group.Files {
				file, err := st.input(name)
				if err != nil {
					return nil, err
				}
				in = append(in, file)
			}
			return in, nil
		}
		return nil, problem{404, "no_survey", "There is no survey of that name in the folder."}
	}
	if before == after {
		return nil, problem{400, "bad_match", "Found one survey, expected those of two days."}
	}
	first, err := files(before)
	if err != nil {
		return nil, err
	}
	second, err := files(after)
	if err != nil {
		return nil, err
	}
	return survey.ReadMatch(survey.MatchFiles{Before: first, After: second}, survey.MatchOptions{})
}

// asked makes what is wrong with the files of a question its answer.
func asked(err error, code string) error {
	if _, ok := err.(problem); ok {
		return err
	}
	return problem{422, code, sentence("", err)}
}
