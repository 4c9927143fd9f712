package report

import (
	"archive/zip"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"regexp"
	"slices"
	"strings"

	"evenfall/photometry"
	"evenfall/photometry/setup"
	"evenfall/plots/answers"
	"evenfall/plots/document"
)

// Verification is whether a folder is still as a report found it.
type Verification struct {
	Schema    string               `json:"schema"`
	Unchanged bool                 `json:"unchanged"`
	Files     int                  `json:"files"` // that the report lists
	Changed   []string             `json:"changed"`
	Gone      []string             `json:"gone"`
	New       []string             `json:"new"` // tables and photos that the report does not list
	Findings  []photometry.Finding `json:"findings"`
}

// Verify holds the files of a folder to those that a report lists.
func Verify(fsys fs.FS, listed []File) (*Verification, error) {
	folder, err := setup.OpenFolder(fsys)
	if folder == nil {
		return nil, err
	}
	v := &Verification{Schema: "evenfall/verify/1", Files: len(listed), Changed: []string{}, Gone: []string{}, New: []string{}, Findings: folder.Findings()}
	known := map[string]bool{}
	for _, f := range listed {
		known[f.Name] = true
		is, err := copyFile(io.Discard, fsys, f.Name)
		switch {
		case errors.Is(err, fs.ErrNotExist):
			v.Gone = append(v.Gone, f.Name)
		case err != nil || is.SHA256 != f.SHA256:
			v.Changed = append(v.Changed, f.Name)
		}
	}
	for _, name := range folder.Files {
		if !known[name] && (setup.IsTable(name) || slices.Contains(folder.Photos, name)) {
			v.New = append(v.New, name)
		}
	}
	if len(v.Changed) > 0 {
		v.Findings = append(v.Findings, photometry.Found("report.changed", "files", v.Changed))
	}
	if len(v.Gone) > 0 {
		v.Findings = append(v.Findings, photometry.Found("report.gone", "files", v.Gone))
	}
	if len(v.New) > 0 {
		v.Findings = append(v.Findings, photometry.Found("report.new", "files", v.New))
	}
	v.Unchanged = len(v.Changed)+len(v.Gone)+len(v.New) == 0
	return v, nil
}

// Document is the verification in words.
func (v *Verification) Document(w document.Words) *document.Document {
	d := document.New(w)
	head := document.Headline{Word: "CHANGED", Tone: document.Bad, Text: answers.Sentence(w, photometry.Found("report.other_folder"))}
	if v.Unchanged {
		head = document.Headline{Word: "SAME", Tone: document.Good, Text: answers.Sentence(w, photometry.Found("report.same_folder", "files", v.Files))}
	}
	d.Add(head)
	d.Line("files", answers.Sentences(w, v.Findings)...)
	return d
}

// ErrNoReport is the error for a file that lists no inputs.
var ErrNoReport = errors.New("found no list of inputs, expected a report as HTML or JSON, or a hand-over")

// inputs is where a page lists the files that it rests on, for Verify.
var inputs = regexp.MustCompile(`(?m)^<!-- inputs (.*) -->$`)

// writeInputs writes the list. A comment may not have two hyphens, and its text is a
// JSON string all the same.
func (r *Report) writeInputs(to io.Writer) error {
	list, err := json.Marshal(r.Files)
	if err == nil {
		_, err = fmt.Fprintf(to, "<!-- inputs %s -->\n", strings.ReplaceAll(string(list), "-", `\u002d`))
	}
	return err
}

// Inputs reads which files a report rests on, from a page, JSON or a hand-over.
func Inputs(content []byte) (files []File, err error) {
	if bytes.HasPrefix(content, []byte("PK")) {
		if content, err = packedPage(content); err != nil {
			return nil, ErrNoReport
		}
	}
	if all := inputs.FindAllSubmatch(content, -1); len(all) > 0 {
		if json.Unmarshal(all[len(all)-1][1], &files) != nil {
			return nil, ErrNoReport
		}
		return files, nil
	}
	var r struct{ Files *[]File }
	if json.Unmarshal(content, &r) != nil || r.Files == nil {
		return nil, ErrNoReport
	}
	return *r.Files, nil
}

// packedPage is the page in a hand-over.
func packedPage(packed []byte) ([]byte, error) {
	archive, err := zip.NewReader(bytes.NewReader(packed), int64(len(packed)))
	if err != nil {
		return nil, err
	}
	page, err := archive.Open(PageName)
	if err != nil {
		return nil, err
	}
	defer page.Close()
	return io.ReadAll(io.LimitReader(page, mostPage))
}

// mostPage is the largest page in a hand-over that is read, with all its photos.
const mostPage = 128 << 20
