package report

import (
	"archive/zip"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"path"
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
	Schema string `json:"schema"`
	// Unchanged is whether all is as it was, the day before too. Where that cannot be
	// found it is false, though nothing may have changed.
	Unchanged bool `json:"unchanged"`
	Differences
	// DayBefore is the other folder that the report compares with, if any.
	DayBefore *OtherVerification   `json:"before,omitempty"`
	Findings  []photometry.Finding `json:"findings"`
}

// Differences are between the files of a folder and what a report lists.
type Differences struct {
	Files   int      `json:"files"` // that the report lists
	Changed []string `json:"changed"`
	Gone    []string `json:"gone"`
	New     []string `json:"new"` // tables and photos that the report does not list
}

// OtherVerification is whether the folder of the day before is still the same.
type OtherVerification struct {
	Folder string `json:"folder"` // that was looked in
	Found  bool   `json:"found"`
	Differences
}

// Verify holds the files of a folder to those that a report lists.
func Verify(fsys fs.FS, listed []File) (*Verification, error) {
	folder, d, err := differences(fsys, listed, true)
	if folder == nil {
		return nil, err
	}
	v := &Verification{Schema: "evenfall/verify/1", Unchanged: d.none(), Differences: d, Findings: folder.Findings()}
	v.Findings = append(v.Findings, d.findings("")...)
	return v, nil
}

// Before holds the folder of the day before, as it is called, to what a report lists of
// it; nil is for one that is not there.
func (v *Verification) Before(fsys fs.FS, name string, listed *DayFolder) error {
	v.DayBefore = &OtherVerification{Folder: name, Differences: noDifferences(len(listed.Files))}
	if fsys == nil {
		v.Unchanged = false
		v.Findings = append(v.Findings, photometry.Found("report.day_not_found", "folder", name))
		return nil
	}
	folder, d, err := differences(fsys, listed.Files, false)
	if folder == nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	v.DayBefore.Found, v.DayBefore.Differences = true, d
	v.Unchanged = v.Unchanged && d.none()
	if d.none() {
		v.Findings = append(v.Findings, photometry.Found("report.same_day", "folder", name, "files", d.Files))
	}
	v.Findings = append(v.Findings, d.findings(name)...)
	return nil
}

// noDifferences is of that many files, all as they were.
func noDifferences(files int) Differences {
	return Differences{Files: files, Changed: []string{}, Gone: []string{}, New: []string{}}
}

// differences finds what is not as it was; photos count where they are shown.
func differences(fsys fs.FS, listed []File, photos bool) (*setup.Folder, Differences, error) {
	folder, err := setup.OpenFolder(fsys)
	d := noDifferences(len(listed))
	if folder == nil {
		return nil, d, err
	}
	known := map[string]bool{}
	below := map[string]bool{} // folders in the folder with tables of the report
	for _, f := range listed {
		known[f.Name] = true
		if setup.IsTable(f.Name) && path.Dir(f.Name) != "." {
			below[path.Dir(f.Name)] = true
		}
		is, err := copyFile(io.Discard, fsys, f.Name)
		switch {
		case errors.Is(err, fs.ErrNotExist):
			d.Gone = append(d.Gone, f.Name)
		case err != nil || is.SHA256 != f.SHA256:
			d.Changed = append(d.Changed, f.Name)
		}
	}
	for _, name := range folder.Files {
		if !known[name] && (setup.IsTable(name) || photos && slices.Contains(folder.Photos, name)) {
			d.New = append(d.New, name)
		}
	}
	for _, in := range slices.Sorted(maps.Keys(below)) {
		entries, _ := fs.ReadDir(fsys, in)
		for _, e := range entries {
			name := path.Join(in, e.Name())
			if e.Type().IsRegular() && setup.IsTable(name) && !setup.Hidden(e.Name()) && !known[name] {
				d.New = append(d.New, name)
			}
		}
	}
	return folder, d, nil
}

// none reports whether all is as it was.
func (d Differences) none() bool { return len(d.Changed)+len(d.Gone)+len(d.New) == 0 }

// findings tell the differences of a folder of a name.
func (d Differences) findings(folder string) (out []photometry.Finding) {
	within := func(files []string) (names []string) {
		for _, name := range files {
			names = append(names, path.Join(folder, name))
		}
		return names
	}
	if len(d.Changed) > 0 {
		out = append(out, photometry.Found("report.changed", "files", within(d.Changed)))
	}
	if len(d.Gone) > 0 {
		out = append(out, photometry.Found("report.gone", "files", within(d.Gone)))
	}
	if len(d.New) > 0 {
		out = append(out, photometry.Found("report.new", "files", within(d.New)))
	}
	return out
}

// Document is the verification in words.
func (v *Verification) Document(w document.Words) *document.Document {
	d := document.New(w)
	head := document.Headline{Word: "SAME", Tone: document.Good, Text: answers.Sentence(w, photometry.Found("report.same_folder", "files", v.Files))}
	switch {
	case !v.none(), v.DayBefore != nil && !v.DayBefore.none():
		head = document.Headline{Word: "CHANGED", Tone: document.Bad, Text: answers.Sentence(w, photometry.Found("report.other_folder", "before", v.none()))}
	case !v.Unchanged:
		head.Word, head.Tone = "UNSURE", document.Open
	}
	d.Add(head)
	d.Line("files", answers.Sentences(w, v.Findings)...)
	return d
}

// ErrNoReport is the error for a file that lists no inputs.
var ErrNoReport = errors.New("found no list of inputs, expected a report as HTML or JSON, or a hand-over")

// inputs is where a page lists the files that it rests on, for Verify.
var inputs = regexp.MustCompile(`(?m)^<!-- inputs (.*) -->$`)

// dayBefore is where it lists those of the day before in another folder.
var dayBefore = regexp.MustCompile(`(?m)^<!-- day before (.*) -->$`)

// writeInputs writes the lists. A comment may not have two hyphens, and its text is a
// JSON string all the same.
func (r *Report) writeInputs(to io.Writer) error {
	if r.BeforeFolder != nil {
		if err := writeList(to, "day before", r.BeforeFolder); err != nil {
			return err
		}
	}
	return writeList(to, "inputs", r.Files)
}

func writeList(to io.Writer, name string, list any) error {
	text, err := json.Marshal(list)
	if err == nil {
		_, err = fmt.Fprintf(to, "<!-- %s %s -->\n", name, strings.ReplaceAll(string(text), "-", `\u002d`))
	}
	return err
}

// Inputs reads which files a report rests on, and which of another folder, from a page,
// JSON or a hand-over.
func Inputs(content []byte) (files []File, day *DayFolder, err error) {
	if bytes.HasPrefix(content, []byte("PK")) {
		if content, err = packedPage(content); err != nil {
			return nil, nil, ErrNoReport
		}
	}
	var r struct {
		Files        *[]File    `json:"files"`
		BeforeFolder *DayFolder `json:"before_folder"`
	}
	if all := inputs.FindAllSubmatch(content, -1); len(all) > 0 {
		err = json.Unmarshal(all[len(all)-1][1], &r.Files)
		if all := dayBefore.FindAllSubmatch(content, -1); len(all) > 0 && err == nil {
			err = json.Unmarshal(all[len(all)-1][1], &r.BeforeFolder)
		}
	} else {
		err = json.Unmarshal(content, &r)
	}
	if err != nil || r.Files == nil {
		return nil, nil, ErrNoReport
	}
	return *r.Files, r.BeforeFolder, nil
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
