package page

import (
	"cmp"
	"errors"
	"fmt"
	"io/fs"
	"net/http"
	"regexp"
	"strings"
	"time"

	"evenfall/cmd/evenfall/outfile"
	"evenfall/photometry/schema"
	"evenfall/photometry/table"
)

// trimsFolder contains what was read while lamps were checked and trimmed: no command takes
// it for surveys, since files in folders of a folder do not count.
const trimsFolder = "trims"

// checkSurvey accepts names of surveys of the folder, and of what was read while they were
// trimmed.
func checkSurvey(name string) error {
	return checkFile(strings.TrimPrefix(strings.TrimPrefix(name, trimsFolder+"/"), trialFolder+"/"))
}

// numbered is a name with a number behind it.
var numbered = regexp.MustCompile(`^(.+)-[0-9]{1,3}$`)

// put writes a new file among the trims, or into the folder, by the first of some names that
// is free.
func (st *store) put(content []byte, name func(n int) string) (string, error) {
	if err := st.root.Mkdir(trimsFolder, 0o777); err != nil && !errors.Is(err, fs.ErrExist) {
		return "", fileProblem(trimsFolder, err)
	}
	for n := 1; n < 1000; n++ {
		err := outfile.CreateIn(st.root, name(n), outfile.Bytes(content))
		if err == nil {
			return name(n), nil
		}
		if !errors.Is(err, fs.ErrExist) {
			return "", fileProblem(name(n), err)
		}
	}
	return "", problem{409, "exists", "There are too many files of that name."}
}

// readColumns are the columns of a row that a reading fills.
var readColumns = []string{"time", "level", "CCT", "mired", "Duv", "CC", "cie x", "cie y", "u'", "v'", "flicker", "note", "status"}

// anew is the same survey, or the same lights at marks, to be read again: its notes with
// another date, and a row for each place that is wanted, without readings but for those that
// hold for the light as it is now.
func (b *editor) anew(date time.Time, wanted func(label string) bool, since map[string]reread) ([]byte, error) {
	again, err := newEditor(b.name, b.text.bytes(), date, b.zone)
	if err != nil {
		return nil, err
	}
	gone, seen := map[*record]bool{}, map[cellKey]bool{}
	for _, x := range again.rows {
		key := keyOf(x.Label, x.Lamp)
		if x.Lamp != "" && b.lights == nil || seen[key] || !wanted(x.Label) {
			gone[x.record] = true
			continue
		}
		seen[key] = true
		for _, name := range readColumns {
			again.set(x, name, "")
		}
		if r, ok := since[fold(x.Label)]; ok {
			again.fill(x, r.reading, r.at, false)
		}
	}
	again.text.remove(gone)
	notes := []table.Note{{Key: "surface", Value: cmp.Or(b.form.Title, stem(b.name))}, {Key: "date", Value: date.In(b.zone).Format("2006-01-02 15:04")}}
	head := again.text.mark
	for i, of := range []*schema.Note[string]{schema.Title, schema.Date} {
		line, found := "# "+notes[i].Key+": "+notes[i].Value, false
		for _, r := range again.text.records {
			if r == again.text.header || found {
				break
			}
			key, value, _ := strings.Cut(strings.TrimLeft(r.cells[0], "# "), ":")
			if found = schema.Text(schema.SurveyFile|schema.RatioFile, []table.Note{{Key: strings.TrimSpace(key), Value: value}}, of) != ""; found && of == schema.Date {
				r.cells = []string{line}
			}
		}
		if !found {
			head += line + again.text.end
		}
	}
	again.text.mark = ""
	return append([]byte(head), again.text.bytes()...), nil
}

// reread is a reading that holds for the light as it is now.
type reread struct {
	reading
	at int64
}

// again begins the survey anew for the light as it is now: after a trim with what was read
// since the lamp last changed.
func (s *server) again(l *live, w http.ResponseWriter, r *http.Request) error {
	var call struct {
		From string `json:"from"` // the trims
	}
	if err := body(w, r, &call); err != nil {
		return err
	}
	since := map[string]reread{}
	if t, err := s.store.open(call.From); err == nil && trimOfSurvey(call.From) == l.name {
		t.filling(func(b *editor) { since = b.sinceChange() })
	}
	base := stem(l.name)
	if found := numbered.FindStringSubmatch(base); found != nil {
		base = found[1]
	}
	return s.begin(l, w, func(string) bool { return true }, since, func(n int) string { return fmt.Sprintf("%s-%d.csv", base, n+1) })
}

// begin writes a survey anew and answers with its name.
func (s *server) begin(l *live, w http.ResponseWriter, wanted func(string) bool, since map[string]reread, name func(int) string) error {
	if l.store != s.store {
		return errTrial
	}
	var content []byte
	var err error
	if !l.filling(func(b *editor) { content, err = b.anew(s.store.now(), wanted, since) }) {
		return problem{409, "not_editable", l.name + " cannot be filled in here: " + words(l.name, l.why) + "."}
	}
	if err != nil {
		return inFiles(err, "bad_survey")
	}
	made, err := s.store.put(content, name)
	if err != nil {
		return err
	}
	return answer(w, 201, map[string]string{"name": made})
}
