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
	st := s.store
	found, err := st.found()
	if found == nil {
		return err
	}
	out := folderState{Title: folderTitle(st.root.Name()), Surveys: []listed{}, Now: st.now().UnixMilli(), Shared: s.options.Shared,
		Problems: []fileTrouble{}, Report: !found.Empty(), LampNames: st.lampNames(found),
		Morning: found.Lamps != "" && slices.ContainsFunc(found.Surveys, func(f setup.SurveyFiles) bool { return f.Alone })}
	out.trouble("", err)
	marks, others := st.lightFiles(found)
	days := out.list(st, filesNamed("", marks))
	out.list(st, filesNamed("", others))
	out.Matches = append(pairs(found), markPairs(days)...)
	for _, about := range found.Findings() {
		out.Problems = append(out.Problems, fileTrouble{Text: answers.Sentence(document.Words{}, about)})
	}
	for _, p := range found.Problems {
		out.trouble(p.File, p.Err)
	}
	for _, name := range found.Others {
		if !slices.Contains(marks, name) {
			out.Problems = append(out.Problems, fileTrouble{name, "No survey: it has no places with levels that the page knows."})
		}
	}
	var surveys []listed
	for _, group := range found.Surveys {
		surveys = append(surveys, filesNamed(group.Date, group.Files)...)
	}
	out.list(st, surveys)
	out.ReportBytes = st.reports.size(st)
	if len(out.Surveys) > manySurveys && out.ReportBytes == 0 {
		go st.reports.warm(st)
	}
	return answer(w, 200, out)
}

// manySurveys are so many that their report is made before somebody asks for it.
const manySurveys = 20

func (f *folderState) trouble(file string, err error) {
	if err != nil {
		f.Problems = append(f.Problems, fileTrouble{file, sentence(file, err)})
	}
}

// list lists the files that can be listed, in their order, and returns these.
func (f *folderState) list(st *store, files []listed) []listed {
	troubles := make([]error, len(files))
	parallel.Each(len(files), 1, func(i int) { troubles[i] = st.list(&files[i]) })
	var out []listed
	for i, l := range files {
		if f.trouble(l.Name, troubles[i]); troubles[i] == nil {
			out = append(out, l)
		}
	}
	f.Surveys = append(f.Surveys, out...)
	return out
}

func filesNamed(date string, names []string) (out []listed) {
	for _, name := range names {
		out = append(out, listed{Name: name, Date: date})
	}
	return out
}

// lampNames are the lamps of the table of lamps that have light of their own.
func (st *store) lampNames(f *setup.Folder) []string {
	names := []string{}
	lamps, err := readTable(st, f.Lamps, setup.ReadLamps)
	if err != nil {
		return names
	}
	for _, row := range lamps.Rows {
		if row.Behind == "" && row.Kind != setup.Flag && row.Kind != setup.Net {
			names = append(names, row.Name)
		}
	}
	return names
}

// list describes a file of the folder for the list.
func (st *store) list(out *listed) (err error) {
	defer func() {
		if recover() != nil { // one that nobody can list keeps none of the others back
			err = errUnjudged
		}
	}()
	l, err := st.open(out.Name)
	if err != nil {
		return err
	}
	l.mu.Lock()
	a, why := l.analysis, l.why
	out.Title, out.Changed, out.Editable = stem(l.name), l.modified.UnixMilli(), l.editor != nil
	if out.Editable {
		l.editor.list(out)
	} else {
		out.WhyNot = sentence(l.name, why)
	}
	l.mu.Unlock()
	switch {
	case out.Dials:
	case out.Lights > 0:
		if r, _, err := st.ratios(a.name, a.content); err == nil {
			out.Date, out.Verdict = r.Date, r.Verdict
		}
	case out.Editable && out.Readings < 2:
	case out.Editable:
		if r, err := a.glance(); err == nil {
			out.Verdict = r.Verdict.Overall
		}
	case isLights(a.content, a.name):
		return why
	default:
		r, err := a.glance()
		if err != nil {
			return err
		}
		s := r.Survey
		out.Title, out.Verdict, out.Readings, out.Places = cmp.Or(s.Title, out.Title), r.Verdict.Overall, s.ReadingCount, s.Len()
		if s.Lattice != nil {
			out.Columns, out.Rows = len(s.Lattice.Xs), len(s.Lattice.Ys)
		}
	}
	return nil
}

// list fills in what the file says.
func (b *editor) list(out *listed) {
	out.Title, out.Columns, out.Rows, out.Places = cmp.Or(b.form.Title, out.Title), b.form.GridColumns, b.form.GridRows, len(b.places)
	for _, lamp := range b.lamps {
		out.Readings += b.readings(lamp)
	}
	if b.lights != nil {
		out.Lights, out.Dials = len(b.lamps), b.dials
	}
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
	Name  string `json:"name"`
	Words string `json:"words"`
	tolerance.Limits
}

func kinds() (out []kind) {
	for _, k := range append([]tolerance.Kind{tolerance.Any}, tolerance.Kinds...) {
		out = append(out, kind{k.Name, kindWords[k.Name], k.Limits()})
	}
	return out
}

// kindWords are the kinds of surfaces in words.
var kindWords = map[string]string{"": "any surface", "screen": "cloth or wall to be keyed", "cyc": "cyclorama", "backdrop": "painted or plain backdrop",
	"artwork": "flat artwork on a copy stand"}
