package page

import (
	"io/fs"
	"net/http"
	"path"
	"strings"

	"evenfall/photometry/setup"
	"evenfall/photometry/survey"
)

// listed is a survey in the list of the folder.
type listed struct {
	Name     string `json:"name"`
	Title    string `json:"title"`
	Columns  int    `json:"columns,omitempty"`
	Rows     int    `json:"rows,omitempty"`
	Readings int    `json:"readings"`
	Places   int    `json:"places"`
	Editable bool   `json:"editable"`
	WhyNot   string `json:"why_not,omitempty"`
	Verdict  string `json:"verdict,omitempty"`
	Changed  int64  `json:"changed"` // ms since 1970
}

type ratioFile struct {
	File string `json:"file"`
}

type fileTrouble struct {
	File string `json:"file"`
	Text string `json:"text"`
}

// plainFiles is a folder of which only plain files are seen: a link leads out of
// it, and a device may never answer.
type plainFiles struct{ fs.FS }

func (f plainFiles) ReadDir(name string) ([]fs.DirEntry, error) {
	all, err := fs.ReadDir(f.FS, name)
	kept := all[:0]
	for _, e := range all {
		if e.Type().IsRegular() {
			kept = append(kept, e)
		}
	}
	return kept, err
}

func (f plainFiles) Open(name string) (fs.File, error) { return f.FS.Open(name) }

// folder lists what the folder holds. One bad file never hides the others.
func (s *server) folder(w http.ResponseWriter, r *http.Request) {
	out := struct {
		Title    string        `json:"title"`
		Surveys  []listed      `json:"surveys"`
		Now      int64         `json:"now"`
		Version  string        `json:"version"`
		Shared   bool          `json:"shared"`
		Problems []fileTrouble `json:"problems"`
		Ratio    *ratioFile    `json:"ratio"`
		Matches  []pair        `json:"matches"`
		Report   bool          `json:"report"`
	}{Title: path.Base(strings.ReplaceAll(s.store.root.Name(), "\\", "/")), Surveys: []listed{}, Now: s.store.now().UnixMilli(),
		Version: s.options.Version, Shared: s.options.Shared, Problems: []fileTrouble{}}
	found, err := setup.OpenFolder(plainFiles{s.store.root.FS()})
	if found == nil {
		fail(w, fileProblem("the folder", err))
		return
	}
	if err != nil {
		out.Problems = append(out.Problems, fileTrouble{"", sentence("", err)})
	}
	if found.Ratio != "" {
		out.Ratio = &ratioFile{found.Ratio}
	}
	out.Matches = pairs(found)
	out.Report = !found.Empty()
	for _, p := range found.Problems {
		out.Problems = append(out.Problems, fileTrouble{p.File, sentence(p.File, p.Err)})
	}
	for _, group := range found.Surveys {
		for _, name := range group.Files {
			l, err := s.store.list(name)
			if err != nil {
				out.Problems = append(out.Problems, fileTrouble{name, sentence(name, err)})
				continue
			}
			out.Surveys = append(out.Surveys, l)
		}
	}
	answer(w, 200, out)
}

// list describes a survey for the list.
func (st *store) list(name string) (listed, error) {
	l, err := st.open(name)
	if err != nil {
		return listed{}, err
	}
	l.mu.Lock()
	out := listed{Name: name, Changed: l.modified.UnixMilli()}
	b, why, a := l.book, l.why, l.analysis
	if b != nil {
		out.Editable = true
		out.Title, out.Columns, out.Rows, out.Places = b.form.Title, b.form.GridColumns, b.form.GridRows, len(b.places)
		for _, r := range b.rows {
			if !r.empty() {
				out.Readings++
			}
		}
	}
	l.mu.Unlock()
	if b == nil {
		out.WhyNot = sentence(name, why)
	}
	if b == nil || out.Readings > 1 {
		s, r, err := a.judge()
		switch {
		case err == nil:
			out.Verdict = r.Verdict.Overall
			if b == nil {
				out.Title, out.Readings, out.Places = s.Title, s.Readings, s.Len()
				if s.Lattice != nil {
					out.Columns, out.Rows = len(s.Lattice.Xs), len(s.Lattice.Ys)
				}
			}
		case b == nil:
			return out, err
		}
	}
	if out.Title == "" {
		out.Title = strings.TrimSuffix(name, path.Ext(name))
	}
	return out, nil
}

// kinds lists the kinds of surfaces for the form of a new survey.
func (s *server) kinds(w http.ResponseWriter, r *http.Request) {
	type kind struct {
		Name  string   `json:"name"`
		Words string   `json:"words"`
		Stops float64  `json:"stops"`
		Good  *float64 `json:"good_stops,omitempty"`
		Mired float64  `json:"mired"`
		Duv   float64  `json:"duv"`
	}
	any, _ := survey.KindNamed("")
	var out []kind
	for _, k := range append([]survey.Kind{any}, survey.Kinds...) {
		v := kind{k.Name, kindWords[k.Name], k.Acceptable, nil, k.Mired, k.Duv}
		if k.Good > 0 && k.Good < k.Acceptable {
			v.Good = &k.Good
		}
		out = append(out, v)
	}
	answer(w, 200, out)
}

// kindWords are the kinds of surfaces in words.
var kindWords = map[string]string{"": "any surface", "screen": "cloth or wall to be keyed", "cyc": "cyclorama", "backdrop": "painted or plain backdrop",
	"artwork": "flat artwork on a copy stand", "table": "table top with products", "face": "where a face will be"}
