package page

import (
	"cmp"
	"net/http"
	"slices"
	"strings"

	"evenfall/photometry/parallel"
	"evenfall/photometry/schema"
	"evenfall/photometry/setup"
	"evenfall/photometry/tolerance"
	"evenfall/plots/answers"
	"evenfall/plots/document"
)

// listed is a survey in the list of the folder.
type listed struct {
	Name     string `json:"name"`
	Title    string `json:"title"`
	Date     string `json:"date,omitempty"` // as its note says
	Columns  int    `json:"columns,omitempty"`
	Rows     int    `json:"rows,omitempty"`
	Readings int    `json:"readings"`
	Places   int    `json:"places"`
	Lights   int    `json:"lights,omitempty"` // of a table of lights at marks
	Dials    bool   `json:"dials,omitempty"`  // the lights are lamps over their dimmers
	Editable bool   `json:"editable"`
	WhyNot   string `json:"why_not,omitempty"`
	Verdict  string `json:"verdict,omitempty"`
	Changed  int64  `json:"changed"` // ms since 1970
}

type fileTrouble struct {
	File string `json:"file"`
	Text string `json:"text"`
}

// folderState is the contents of the folder.
type folderState struct {
	Title    string        `json:"title"`
	Surveys  []listed      `json:"surveys"`
	Now      int64         `json:"now"`
	Version  string        `json:"version"`
	Shared   bool          `json:"shared"`
	Problems []fileTrouble `json:"problems"`
	Matches  []pair        `json:"matches"`
	Report   bool          `json:"report"`
	// LampNames are the lamps of the table of lamps that have light of their own.
	LampNames []string `json:"lamp_names"`
	Morning   bool     `json:"morning"` // lamps on file were read alone, so that they can be checked
	// ReportBytes is how large the report is, 0 where it was not made since a file changed.
	ReportBytes int `json:"report_bytes,omitempty"`
}

// found finds what the folder holds. Tables that are there twice are an error beside
// what was found.
func (st *store) found() (*setup.Folder, error) {
	f, err := setup.OpenFolder(st.files())
	if f == nil {
		return nil, fileProblem("the folder", err)
	}
	return f, err
}

// folder lists the contents of the folder. One bad file never hides the others.
func (s *server) folder(w http.ResponseWriter, r *http.Request) error {
	out := folderState{Title: folderTitle(s.store.root.Name()), Surveys: []listed{}, Now: s.store.now().UnixMilli(),
		Version: s.options.Version, Shared: s.options.Shared, Problems: []fileTrouble{}}
	trouble := func(file string, err error) {
		if err != nil {
			out.Problems = append(out.Problems, fileTrouble{file, sentence(file, err)})
		}
	}
	found, err := s.store.found()
	if found == nil {
		return err
	}
	trouble("", err)
	marks, others := s.store.lightFiles(found)
	list := func(names []string) (days []listed) {
		for _, name := range names {
			l, err := s.store.list(name)
			if trouble(name, err); err == nil {
				days = append(days, l)
			}
		}
		out.Surveys = append(out.Surveys, days...)
		return days
	}
	days := list(marks)
	list(others)
	if out.LampNames = []string{}; found.Lamps != "" {
		if lamps, err := readTable(s.store, found.Lamps, setup.ReadLamps); err == nil {
			for _, row := range lamps.Rows {
				if row.Behind == "" && row.Kind != setup.Flag && row.Kind != setup.Net {
					out.LampNames = append(out.LampNames, row.Name)
				}
			}
		}
	}
	out.Matches, out.Report = append(pairs(found), markPairs(days)...), !found.Empty()
	out.Morning = found.Lamps != "" && slices.ContainsFunc(found.Surveys, func(f setup.SurveyFiles) bool { return f.Alone })
	for _, about := range found.Findings() {
		out.Problems = append(out.Problems, fileTrouble{Text: answers.Sentence(document.Words{}, about)})
	}
	for _, p := range found.Problems {
		trouble(p.File, p.Err)
	}
	for _, name := range found.Others {
		if slices.Contains(marks, name) {
			continue
		}
		out.Problems = append(out.Problems, fileTrouble{name, "No survey: it has no places with levels that the page knows."})
	}
	for _, of := range s.store.listAll(found.Surveys) {
		if trouble(of.Name, of.err); of.err == nil {
			out.Surveys = append(out.Surveys, of.listed)
		}
	}
	out.ReportBytes = s.store.reports.size(s.store)
	if len(out.Surveys) > manySurveys && out.ReportBytes == 0 {
		go s.store.reports.warm(s.store)
	}
	return answer(w, 200, out)
}

// manySurveys are so many that their report is made before somebody asks for it.
const manySurveys = 20

type listedOrNot struct {
	listed
	err error
}

// listAll describes all surveys, several at a time, in their order.
func (st *store) listAll(groups []setup.SurveyFiles) (out []listedOrNot) {
	for _, group := range groups {
		for _, name := range group.Files {
			out = append(out, listedOrNot{listed{Name: name, Date: group.Date}, errUnjudged})
		}
	}
	one := func(of *listedOrNot) {
		// One survey that nobody can judge keeps none of the others back.
		defer func() { _ = recover() }()
		date := of.Date
		l, err := st.list(of.Name)
		if l.Name, of.err = of.Name, err; err == nil {
			l.Date = date
			of.listed = l
		}
	}
	parallel.Each(len(out), 1, func(i int) { one(&out[i]) })
	return out
}

// list describes a survey for the list.
func (st *store) list(name string) (listed, error) {
	l, err := st.open(name)
	if err != nil {
		return listed{}, err
	}
	l.mu.Lock()
	out := listed{Name: name, Changed: l.modified.UnixMilli(), Editable: l.editor != nil}
	if b := l.editor; b != nil {
		out.Title, out.Columns, out.Rows, out.Places = b.form.Title, b.form.GridColumns, b.form.GridRows, len(b.places)
		for _, lamp := range b.lamps {
			out.Readings += b.readings(lamp)
		}
	} else {
		out.WhyNot = sentence(name, l.why)
	}
	if l.editor == nil && isLights(l.content, name) {
		defer l.mu.Unlock()
		return out, l.why
	}
	a, marks := l.analysis, l.editor != nil && l.editor.lights != nil
	if marks {
		out.Lights, out.Dials = len(l.editor.lamps), l.editor.dials
	}
	l.mu.Unlock()
	if out.Dials {
		out.Title = cmp.Or(out.Title, stem(name))
		return out, nil
	}
	if marks {
		if r, _, err := st.ratios(name, a.content); err == nil {
			out.Date, out.Verdict = r.Date, r.Verdict
		}
		out.Title = cmp.Or(out.Title, stem(name))
		return out, nil
	}
	if !out.Editable || out.Readings > 1 {
		s, r, err := a.glance()
		switch {
		case err != nil && !out.Editable:
			return out, err
		case err == nil:
			out.Verdict = r.Verdict.Overall
		}
		if !out.Editable {
			out.Title, out.Readings, out.Places = s.Title, s.ReadingCount, s.Len()
			if s.Lattice != nil {
				out.Columns, out.Rows = len(s.Lattice.Xs), len(s.Lattice.Ys)
			}
		}
	}
	out.Title = cmp.Or(out.Title, stem(name))
	return out, nil
}

// form tells the form of a new survey the kinds of surfaces, and for each of its fields
// that is a note an example of it and what it means.
func (s *server) form(w http.ResponseWriter, r *http.Request) error {
	type note struct {
		Example string `json:"example"`
		Help    string `json:"help"`
	}
	notes := map[string]note{}
	for field, of := range map[string]schema.Declared{"title": schema.Title, "tolerance": schema.Tolerant, "repeatability_percent": schema.Repeatability,
		"iso": schema.ISO, "shutter": schema.Shutter, "reference": schema.ReferenceAt} {
		l := schema.LineOf(of)
		notes[field] = note{strings.TrimSuffix(l.Example, " %"), l.Help}
	}
	return answer(w, 200, map[string]any{"kinds": kinds(), "notes": notes})
}

// kind is a kind of surface as the form shows it.
type kind struct {
	Name  string   `json:"name"`
	Words string   `json:"words"`
	Stops float64  `json:"stops"`
	Good  *float64 `json:"good_stops,omitempty"`
	Mired float64  `json:"mired"`
	Duv   float64  `json:"duv"`
}

func kinds() (out []kind) {
	for _, k := range append([]tolerance.Kind{tolerance.Any}, tolerance.Kinds...) {
		v := kind{k.Name, kindWords[k.Name], k.Acceptable, nil, k.Mired, k.Duv}
		if k.Good > 0 && k.Good < k.Acceptable {
			v.Good = &k.Good
		}
		out = append(out, v)
	}
	return out
}

// kindWords are the kinds of surfaces in words.
var kindWords = map[string]string{"": "any surface", "screen": "cloth or wall to be keyed", "cyc": "cyclorama", "backdrop": "painted or plain backdrop",
	"artwork": "flat artwork on a copy stand"}
